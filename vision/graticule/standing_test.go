package graticule

import (
	"testing"

	"quadrille/vision/scene"
)

// Minor lines across the field look like ticks; where lines surely run, ticks do not count boxes.
func TestTicksDoNotOverruleLines(t *testing.T) {
	marks := &hypothesis{standing: markedClearly, quality: 20}
	for _, c := range []struct {
		name string
		v    verdict
		over bool
	}{
		{"lines are there", verdict{share: 0.95, margin: 13}, false},
		{"the frame may be elsewhere", verdict{share: 0.95, margin: 2}, true},
		{"lines are missing", verdict{share: 0.65, margin: 13}, true},
		{"edges of the trace", verdict{share: 0.95, margin: 13, inks: true}, true},
	} {
		if over := marks.over(&hypothesis{verdict: c.v, standing: c.v.stand(1000, scene.Photographed), quality: 30}); over != c.over {
			t.Errorf("%s: over is %v", c.name, over)
		}
	}
}

func TestALatticeWithEverySecondLineEmptyIsNone(t *testing.T) {
	for second, none := range map[float64]bool{1: false, 0.35: false, 0.08: true, 0: true} {
		v := verdict{share: 1, second: second}
		if reason, hint := v.refusal(); (reason != "") != none || (hint != "") != none {
			t.Errorf("lines of %g of those between: refused with %q, %q", second, reason, hint)
		}
	}
}
