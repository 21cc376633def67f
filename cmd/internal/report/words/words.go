// Package words says in English what the rooms tell as data: for each kind of remark one wording. There is
// a file for each room. A wording takes everything that it says from the remark's values; what it is
// told about (one of several traces, readings laid beside) is put before it by About.
package words

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A wording turns a remark of one kind into one sentence or a few.
type wording func(r remark.Remark) string

// table has the wordings of all kinds.
var table = joined(photo, graticule, trace, calibrate, analysis, compared(), causes, supposed(), reading, sketch, drawing)

func joined(rooms ...map[remark.Kind]wording) map[remark.Kind]wording {
	all := map[remark.Kind]wording{}
	for _, m := range rooms {
		maps.Copy(all, m)
	}
	return all
}

// Kinds lists what there are words for, in alphabetical order.
func Kinds() []remark.Kind { return slices.Sorted(maps.Keys(table)) }

// Of gives the remark in words. A kind that has none, which is a fault of the program (the tests refuse
// it), is shown as its data.
func Of(r remark.Remark) string {
	if w, ok := table[r.Kind]; ok {
		return w(r)
	}
	return r.String()
}

// About puts what a sentence is about before it: one of several traces by its name, or "readings"; nothing
// for "".
func About(about, sentence string) string {
	switch about {
	case "":
		return sentence
	case "readings":
		return "Readings: " + sentence
	}
	return "Trace " + about + ": " + sentence
}

// plain words a remark that is always the same.
func plain(sentence string) wording { return func(remark.Remark) string { return sentence } }

// format words a remark by a format of package fmt and the names of the values for it, in that order.
func format(f string, names ...string) wording {
	return func(r remark.Remark) string {
		values := make([]any, len(names))
		for i, n := range names {
			values[i] = r.Value(n)
		}
		return fmt.Sprintf(f, values...)
	}
}

// quantity prints the number called name with its standard uncertainty, which is called u_name, in a unit.
func quantity(r remark.Remark, name, in string) string {
	v := unit.Value{X: r.Number(name), Unit: unitOf(r, in)}
	if r.Has("u_" + name) {
		v.U = r.Number("u_" + name)
	}
	return v.String()
}

// engineering prints the number called name to so many digits, with a prefix of the unit.
func engineering(r remark.Remark, name string, digits int, in string) string {
	return unit.Engineering(r.Number(name), digits, unitOf(r, in))
}

// flags lists the settings of a remark as they are typed.
func flags(r remark.Remark) string {
	names := strings.Fields(r.Word("settings"))
	for i := range names {
		names[i] = "--" + names[i]
	}
	return strings.Join(names, ", ")
}

// unitOf is the unit of what is in the given one where both scales are known (see remark.Within).
func unitOf(r remark.Remark, in string) string {
	return unit.Axes{TimeInBoxes: r.Word(remark.SecondsIn) == unit.Box, VoltsInBoxes: r.Word(remark.VoltsIn) == unit.Box}.Of(in)
}

// fromCentre says where a height lies, in boxes from the centre line.
func fromCentre(box float64) string {
	switch {
	case box > -0.005 && box < 0.005:
		return "on the centre line"
	case box > 0:
		return fmt.Sprintf("%.2f boxes above the centre line", box)
	}
	return fmt.Sprintf("%.2f boxes below the centre line", -box)
}
