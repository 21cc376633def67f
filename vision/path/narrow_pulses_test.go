package path

import (
	"testing"

	"quadrille/vision/sheet"
)

// plainSheet is an empty sheet of ten boxes by eight.
func plainSheet() *sheet.Sheet {
	return &sheet.Sheet{Grid: sheet.Grid{NX: 500, NY: 800, X0: -4.99, DX: 0.02, Y0: -3.995, DY: 0.01, Across: 50, Up: 100}}
}

// levelPath is a path of runs five rows high about one row, and these runs by column.
func levelPath(s *sheet.Sheet, row int) (*Path, [][]Run) {
	p, runs := &Path{Runs: make([]Run, s.NX), Amount: 1}, make([][]Run, s.NX)
	for i := range p.Runs {
		p.Runs[i] = Run{Lo: row - 2, Hi: row + 2, Peak: 1}
		runs[i] = []Run{p.Runs[i]}
	}
	return p, runs
}

// A level at row 200 has a gap, over which something lies at row 400: it is a pulse or not, by its width, its share
// of the gap, how far it goes on past the gap, its light, and by what else lies at its height.
func TestWhatIsANarrowPulse(t *testing.T) {
	for _, c := range []struct {
		name            string
		gap, wide, past int     // columns; past is how many of them lie before the gap
		light           float32 // as a share of the usual
		elsewhere       int     // columns in which something else lies at its height
		want            bool
	}{
		{"narrow", 4, 3, 0, 1, 0, true},
		{"too narrow", 3, 2, 0, 1, 0, false},
		{"as wide as the gap", 20, 20, 0, 1, 0, true},
		{"two thirds of the gap", 20, 13, 0, 1, 0, true},
		{"a part of the gap", 20, 8, 0, 1, 0, false},
		{"begins before the gap", 20, 20, 4, 1, 0, true},
		{"begins long before the gap", 20, 22, 6, 1, 0, false},
		{"dim", 20, 20, 0, 0.6, 0, true},
		{"too dim", 20, 20, 0, 0.4, 0, false},
		{"something else at its height", 20, 20, 0, 1, 14, true},
		{"a dashed line at its height", 20, 20, 0, 1, 38, false},
	} {
		s := plainSheet()
		p, runs := levelPath(s, 200)
		const first = 240
		for i := first; i < first+c.gap; i++ {
			p.Runs[i], runs[i] = absent, nil
		}
		for k := range c.wide {
			i := first - c.past + k
			runs[i] = append(runs[i], Run{Lo: 398, Hi: 402, Peak: c.light})
		}
		for k := range c.elsewhere {
			i := 10 + 5*k
			runs[i] = append(runs[i], Run{Lo: 398, Hi: 402, Peak: 1})
		}
		p.takePulses(s, runs)
		if (p.pulses == 1) != c.want || (p.Runs[first+1].Lo == 398) != c.want {
			t.Errorf("%s: %d pulses, run %+v", c.name, p.pulses, p.Runs[first+1])
		}
	}
}

// Pulses that go on past their gaps, being blurred, lie at each other's height and are pulses all the same.
func TestATrainOfBlurredPulses(t *testing.T) {
	s := plainSheet()
	p, runs := levelPath(s, 200)
	for first := 20; first < 480; first += 60 {
		for i := first - 3; i < first+6; i++ {
			runs[i] = append(runs[i], Run{Lo: 398, Hi: 402, Peak: 1})
		}
		for i := first; i < first+3; i++ {
			p.Runs[i], runs[i] = absent, runs[i][1:]
		}
	}
	p.takePulses(s, runs)
	if p.pulses != 8 {
		t.Errorf("%d of 8 pulses", p.pulses)
	}
}

// A level that is dim below a pulse is one that a beam has left for it.
func TestPulsesOverADimLevel(t *testing.T) {
	for _, c := range []struct {
		light float32 // of the level below the pulse
		want  int
	}{{0.4, 1}, {0.6, 0}} {
		s := plainSheet()
		p, runs := levelPath(s, 200)
		for i := 240; i < 244; i++ {
			p.Runs[i].Peak, runs[i][0].Peak = c.light, c.light
			runs[i] = append(runs[i], Run{Lo: 398, Hi: 402, Peak: 0.8})
		}
		p.takePulses(s, runs)
		if p.pulses != c.want || (p.Runs[241].Lo == 398) != (c.want > 0) {
			t.Errorf("a level of %.1f: %d pulses, run %+v", c.light, p.pulses, p.Runs[241])
		}
	}
}
