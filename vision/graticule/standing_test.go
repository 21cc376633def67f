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
		if over := marks.over(&hypothesis{verdict: c.v, standing: c.v.stand(300, scene.Photographed), quality: 300}); over != c.over {
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

// Lattices that were wrong and otherwise without fault had a quality of 75 at most, true ones 160 and more; of either, one
// with a rival, with ends that another frame shares or with few lines is not settled.
func TestASettledLatticeIsRight(t *testing.T) {
	sound := verdict{share: 0.95, margin: 13}
	with := func(change func(*verdict)) verdict {
		v := sound
		change(&v)
		return v
	}
	for _, c := range []struct {
		name    string
		v       verdict
		quality float64
		settled bool
	}{
		{"sound", sound, 160, true},
		{"of little quality", sound, 75, false},
		{"a rival", with(func(v *verdict) { v.rival = 0.5 }), 500, false},
		{"a weak rival", with(func(v *verdict) { v.rival = 0.2 }), 500, true},
		{"another frame", with(func(v *verdict) { v.margin = 4 }), 500, false},
		{"some lines missing, ends unclear", with(func(v *verdict) { v.share, v.stops = 0.7, [4]float64{0.6, 0.6, 0.6, 0.6} }), 500, false},
		{"some lines missing, clear ends", with(func(v *verdict) { v.share, v.stops = 0.7, [4]float64{0.7, 0.7, 0.7, 0.7} }), 500, true},
		{"most lines missing, clear ends", with(func(v *verdict) { v.share, v.stops = 0.5, [4]float64{0.7, 0.7, 0.7, 0.7} }), 500, false},
		{"two inks", with(func(v *verdict) { v.inks = true }), 500, false},
		{"dots alike", with(func(v *verdict) { v.alike = true }), 500, false},
	} {
		if got := c.v.settled(c.quality); got != c.settled {
			t.Errorf("%s: settled is %v", c.name, got)
		}
	}
}

// Lines that are none had a quality of up to 50, those of faint displays 40 and more: where so few are seen, marks are
// looked for before the costlier views, and once only.
func TestMarksAreSoughtEarlyWhereLinesAreFew(t *testing.T) {
	early, late := -1, -1
	for i, w := range ways {
		switch w.name {
		case "marks":
			early = i
		case "marks, late":
			late = i
		}
	}
	if early < 0 || late < early {
		t.Fatal("the ways by marks are not in the table, or not in order")
	}
	for quality, want := range map[float64]bool{20: true, 40: false, 300: false} {
		s := &search{leader: &hypothesis{quality: quality}}
		if got := ways[early].wanted(s); got != want {
			t.Errorf("lines of quality %g: marks are sought early: %v", quality, got)
		}
	}
	if !ways[early].wanted(&search{}) || !ways[late].wanted(&search{}) || ways[late].wanted(&search{marksSought: true}) {
		t.Error("marks are not sought where there are no lines, or are sought twice")
	}
}
