package sketch

import (
	"context"
	"math"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/photo"
	"quadrille/vision/squares"
	"quadrille/vision/synth"
)

// A peak ten squares high and half a square wide is followed to its top, though the way across its foot is short; a flank
// that leans back as well.
func TestASteepPeakIsFollowed(t *testing.T) {
	const w, h = 300, 400
	g := &ground{w, h, make([]float32, w*h), make([]float32, w*h)}
	for i := range g.gain {
		g.gain[i], g.cost[i] = -1, 1
	}
	on := func(x, y int) {
		for d := -1; d <= 1; d++ {
			g.gain[x*h+y+d], g.cost[x*h+y+d] = 1, upright
		}
	}
	for x := 20; x < 280; x++ {
		switch {
		case x < 140 || x > 156:
			on(x, 390)
		case x < 148:
			for y := 390 - 46*(x-139); y <= 390-46*(x-140); y++ {
				on(x, max(y, 20))
			}
		default:
			for y := 390 - 46*(157-x); y <= 390-46*(156-x); y++ {
				on(x, max(y, 20))
			}
		}
	}
	top := h
	p := g.follow()
	p.each(func(_, y int) { top = min(top, y) })
	if p.first > 20 || p.first+len(p.enter) < 280 || top > 30 {
		t.Errorf("the way goes from %d over %d columns, its top is row %d", p.first, len(p.enter), top)
	}
}

// What is loose at an end of a way is a label; what lies behind a short gap is the curve.
func TestALabelIsNoEndOfACurve(t *testing.T) {
	c := &canvas{evidence: &evidence{sheet: &sheet{per: 50}}}
	for _, x := range []struct {
		runs     []run
		from, to int
	}{
		{[]run{{0, 500, 0}, {520, 560, 20}}, 0, 500},                // a letter
		{[]run{{0, 500, 0}, {510, 800, 10}}, 0, 800},                // a gap in the stroke
		{[]run{{0, 60, 0}, {100, 600, 40}}, 100, 600},               // a label before
		{[]run{{0, 100, 0}, {110, 600, 10}}, 0, 600},                // two squares of the curve
		{[]run{{0, 40, 0}, {60, 90, 20}, {110, 600, 20}}, 110, 600}, // a word
	} {
		got := c.trimmed(x.runs)
		if got[0].from != x.from || got[len(got)-1].to != x.to {
			t.Errorf("%v: %v", x.runs, got)
		}
	}
}

// A curve of straight level lines may be a circuit.
func TestACircuitIsDoubted(t *testing.T) {
	for straight, told := range map[float64]bool{0.5: false, 0.95: true} {
		doubts, _ := doubtsOf(&stroke{coverage: 1, longest: 10, span: 10, straight: straight})
		if remark.Any(doubts, KindMostlyStraight) != told {
			t.Errorf("%.2f of it straight: %v", straight, doubts)
		}
	}
}

// A curve in pieces may be pieces of several.
func TestABrokenCurveIsDoubted(t *testing.T) {
	for _, x := range []struct {
		coverage, longest float64
		told              bool
	}{{1, 10, false}, {0.9, 6, false}, {0.7, 6, true}, {0.9, 3, true}} {
		doubts, _ := doubtsOf(&stroke{coverage: x.coverage, longest: x.longest, span: 10})
		if remark.Any(doubts, KindBroken) != x.told {
			t.Errorf("%v: %v", x, doubts)
		}
	}
}

// Two strokes that cross keep their directions; two that touch and part again are left as they are.
func TestCurvesThatCrossAreDoubted(t *testing.T) {
	c := &canvas{evidence: &evidence{sheet: &sheet{per: 40}}}
	line := func(y func(x int) int) *stroke {
		s := &stroke{half: 1}
		for x := range 400 {
			s.enter, s.leave = append(s.enter, y(x)), append(s.leave, y(x))
		}
		return s
	}
	// Followed as two angles that touch, drawn as two lines that cross.
	a := line(func(x int) int { return 200 - abs(x-200)/2 })
	b := line(func(x int) int { return 200 + abs(x-200)/2 })
	if _, ok := c.meets(a, []*stroke{a, b}); !ok {
		t.Error("they meet, and it is not told")
	}
	c.untangle(a, b)
	if a.enter[399] < 250 || b.enter[399] > 150 {
		t.Errorf("they end at %d and %d", a.enter[399], b.enter[399])
	}
	// An arc that touches a line.
	a = line(func(int) int { return 198 })
	b = line(func(x int) int { return 202 + (x-200)*(x-200)/400 })
	c.untangle(a, b)
	if a.enter[399] != 198 || b.enter[399] < 250 {
		t.Errorf("two that touch were exchanged: %d, %d", a.enter[399], b.enter[399])
	}
	// Two that begin at one place.
	a, b = line(func(int) int { return 100 }), line(func(x int) int { return 100 + x })
	if _, ok := c.meets(a, []*stroke{a, b}); ok {
		t.Error("two that begin together cannot be mixed up")
	}
}

func abs(x int) int { return max(x, -x) }

// evidenceFor reads a sketch as far as its evidence.
func evidenceFor(t *testing.T, s synth.Sketch) *evidence {
	t.Helper()
	img, _ := s.Shoot()
	ph := photo.New(img)
	p, err := squares.Find(context.Background(), ph)
	if err != nil {
		t.Fatal(err)
	}
	sh, err := readSheet(context.Background(), ph, p)
	if err != nil {
		t.Fatal(err)
	}
	sh.takeOutRuling()
	return evidenceOf(sh)
}

func twoPens() synth.Sketch {
	pens := synth.Pens()
	return synth.Sketch{Seed: 8, Ruling: synth.Rulings()[12], Cols: 14, Rows: 10, Pen: pens[4], Lines: pens[2],
		Form: synth.SketchDamped, From: 2, To: 12, Zero: 5, High: 3, Tau: 2, Wobble: 0.02, Axes: true, Letters: true,
		Width: 1200, Height: 900, Blur: 0.6, Noise: 0.006, Quality: 92, Zoom: 0.95}
}

// A blue pen and a pencil are two inks, one pen is one.
func TestTwoPensAreTwoInks(t *testing.T) {
	s := twoPens()
	if got := evidenceFor(t, s).inks(); len(got) != 2 || apart(got[0], got[1]) < tintApart {
		t.Errorf("a blue pen and a pencil: %v", got)
	}
	s.Lines = s.Pen
	if got := evidenceFor(t, s).inks(); len(got) != 1 {
		t.Errorf("one pen: %v", got)
	}
}

// On ruled paper without a drawing nothing is drawn, and of a curve nearly every place is ink.
func TestInkIsWhatTheRulingIsNot(t *testing.T) {
	share := func(e *evidence) float64 {
		n := 0
		for _, d := range e.drawing {
			if d {
				n++
			}
		}
		return float64(n) / float64(len(e.drawing))
	}
	s := twoPens()
	s.Axes, s.Letters = false, false
	drawn := share(evidenceFor(t, s))
	s.From, s.To = 3, 2 // no curve
	e := evidenceFor(t, s)
	if empty := share(e); empty > 0.0005 || drawn < 0.004 {
		t.Errorf("%.5f of an empty sheet is drawn on, %.5f of one with a curve", empty, drawn)
	}
	grain := e.noise.Pix[len(e.noise.Pix)/2]
	if grain > 0.1 || math.IsNaN(float64(grain)) {
		t.Errorf("the ruling leaves a noise of %.3f", grain)
	}
}

// A sheet is read as finely as the photo has it, and no finer than is of use.
func TestHowFinelyTheSheetIsRead(t *testing.T) {
	e := evidenceFor(t, twoPens())
	if e.per < 55 || e.per > mostPer || e.w*e.h > mostCells {
		t.Errorf("%d cells a square, %d × %d in all", e.per, e.w, e.h)
	}
	if x := e.x(e.col(3.25)); math.Abs(x-3.25) > 1e-9 {
		t.Errorf("3.25 comes back as %g", x)
	}
	if y := e.y(e.row(-2.5)); math.Abs(y+2.5) > 1e-9 {
		t.Errorf("-2.5 comes back as %g", y)
	}
}
