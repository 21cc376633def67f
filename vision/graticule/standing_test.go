package graticule

import (
	"image"
	"slices"
	"testing"

	"quadrille/vision/photo"
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
	for second, none := range map[float64]bool{1: false, 0.35: false, 0.2: false, 0.08: true, 0: true} {
		v := verdict{share: 1, second: second}
		if reason, hint := v.refusal(); (reason != "") != none || (hint != "") != none {
			t.Errorf("lines of %g of those between: refused with %q, %q", second, reason, hint)
		}
	}
}

// gone are the names of the ways that a search goes of which only the first finds something, h.
func gone(t *testing.T, h *hypothesis) (names []string) {
	s := &search{Finder: NewFinder(photo.New(image.NewGray(image.Rect(0, 0, 64, 48)))), ctx: t.Context(), o: &Options{}}
	for i, w := range ways {
		seeks := w.run
		w.run = func(s *search) *hypothesis {
			names = append(names, w.name)
			if i == 0 {
				return h
			}
			if w.name == "marks" {
				seeks(s) // which is noted
			}
			return nil
		}
		s.ways = append(s.ways, w)
	}
	if _, err := s.find(); err != nil {
		t.Fatal(err)
	}
	return names
}

// A lattice that explains its lines ends the search if it is of more quality than any wrong one was that seemed without
// fault: those had 75 at most, true ones 160 and more. One with a rival, with ends that another frame shares or with
// few lines does not.
func TestASettledLatticeEndsTheSearch(t *testing.T) {
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
		h := &hypothesis{verdict: c.v, quality: c.quality, standing: c.v.stand(c.quality, scene.Photographed)}
		if names := gone(t, h); (len(names) == 1) != c.settled {
			t.Errorf("%s: after it was found the search went %q", c.name, names[1:])
		}
	}
}

// Lines that are none had a quality of up to 50, those of faint displays 40 and more: where so few are seen, marks are
// looked for before the costlier views, and once only.
func TestMarksAreSoughtEarlyWhereLinesAreFew(t *testing.T) {
	for quality, early := range map[float64]bool{20: true, 40: false, 120: false} {
		names := gone(t, &hypothesis{quality: quality, standing: likely})
		marks, late, limited := slices.Index(names, "marks"), slices.Index(names, "marks, late"), slices.Index(names, "limited light, coarse")
		if limited < 0 || early && (marks < 0 || marks > limited || late >= 0) || !early && (marks >= 0 || late < limited) {
			t.Errorf("lines of quality %g: the search went %q", quality, names)
		}
	}
}
