package calibrate

// What a table says of itself above its head, in the comment lines that a photo's own points.csv has:
//
//	# volts accuracy: ± 3 %
//	# time accuracy: ± 100 ppm
//	# zero accuracy: ± 0.15 V

import (
	"strings"

	"quadrille/calibrate/unit"
)

// Stated gives s with the limits that the comment lines at the top of the table state, where s has none. A line
// that cannot be read as a limit is a comment like any other.
func (s Table) Stated(data []byte) Table {
	for line := range strings.Lines(strings.TrimPrefix(string(data), "\ufeff")) {
		comment, ok := strings.CutPrefix(strings.TrimSpace(line), "#")
		if !ok {
			break
		}
		name, text, _ := strings.Cut(comment, ":")
		text = strings.TrimSpace(text)
		share := func(limit *float64) {
			if v, err := unit.ParseAccuracy(text); err == nil && *limit == 0 {
				*limit = v
			}
		}
		switch strings.TrimSpace(name) {
		case "volts accuracy":
			share(&s.GainLimit)
		case "time accuracy":
			share(&s.TimeLimit)
		case "zero accuracy":
			v, err := unit.Parse(strings.TrimSpace(strings.TrimPrefix(text, "±")), "V")
			if err == nil && s.ZeroLimit == 0 {
				s.ZeroLimit = v.X
			}
		}
	}
	return s
}
