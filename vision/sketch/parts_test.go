package sketch

import (
	"context"
	"math"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
	"quadrille/vision/squares"
	"quadrille/vision/synth"
)

// A peak ten squares high and half a square wide is followed to its top, though the way across its foot is short; a
// flank that leans back as well.
func TestASteepPeakIsFollowed(t *testing.T) {
	const w, h = 150, 220
	g := emptyGround(w, h)
	on := func(x, y int) {
		for d := -1; d <= 1; d++ {
			g.gain[x*h+y+d], g.steep[x*h+y+d] = 1, 1
		}
	}
	for x := 10; x < 140; x++ {
		switch {
		case x < 70 || x > 78:
			on(x, 210)
		case x < 74:
			for y := 210 - 50*(x-69); y <= 210-50*(x-70); y++ {
				on(x, max(y, 10))
			}
		default:
			for y := 210 - 50*(79-x); y <= 210-50*(78-x); y++ {
				on(x, max(y, 10))
			}
		}
	}
	top := h
	p := g.follow()
	for _, q := range p.at {
		top = min(top, q.y)
	}
	if n := len(p.at); p.at[0].x > 10 || p.at[n-1].x < 139 || top > 20 {
		t.Errorf("the way goes from %d to %d, its top is row %d", p.at[0].x, p.at[n-1].x, top)
	}
}

// A flank that a way passes on its foot is not climbed up and down for what climbing gains.
func TestAFlankIsGoneOverOnce(t *testing.T) {
	const w, h = 150, 220
	g := emptyGround(w, h)
	g.lean = 2
	for d := -1; d <= 1; d++ {
		for x := 10; x < 140; x++ {
			g.gain[x*h+200+d], g.steep[x*h+200+d] = 1, 1
		}
		for y := 5; y < 200; y++ {
			g.gain[(75+d)*h+y], g.steep[(75+d)*h+y] = 1, 1
		}
	}
	for _, q := range g.follow().at {
		if q.y < 190 {
			t.Fatalf("the way along row 200 comes to %v", q)
		}
	}
}

// A broad flank is gone over once, and gains what it is high once, though a tick stands over it: up and down again on
// one stroke gains nothing more.
func TestABroadFlankGainsOnce(t *testing.T) {
	const w, h = 150, 220
	g := emptyGround(w, h)
	g.lean = 2
	on := func(x, y int) { g.gain[x*h+y], g.steep[x*h+y] = 1, 1 }
	for d := -1; d <= 1; d++ {
		for x := 10; x < 76; x++ {
			on(x, 60+d)
			on(140-x+10, 200+d)
		}
	}
	for x := 73; x <= 78; x++ {
		for y := 40; y <= 200; y++ {
			on(x, y)
		}
	}
	p := g.follow()
	climbed := 0
	for i, q := range p.at[1:] {
		climbed += abs(q.y - p.at[i].y)
	}
	// So broad a flank is come to round its corners.
	if once := 132 + 140*flank; p.gain < once-4 || p.gain > once+4 || climbed > 200 {
		t.Errorf("it gains %.0f, once over is %.0f; %d cells are climbed, of 140", p.gain, once, climbed)
	}
}

// emptyGround is paper on which a corner costs what it does at 20 cells a square.
func emptyGround(w, h int) *ground {
	g := &ground{w: w, h: h, corner: corner * 20, gain: make([]float32, w*h), steep: make([]float32, w*h)}
	for i := range g.gain {
		g.gain[i], g.steep[i] = -1, -1
	}
	return g
}

// At a crossing a way goes on as it came, though the other branch is a little longer; and of itself a way has no kinks.
func TestAWayTurnsLittle(t *testing.T) {
	const w, h = 240, 240
	g := emptyGround(w, h)
	for x := 20; x < 220; x++ {
		for d := -1; d <= 1; d++ {
			if x < 216 {
				g.gain[x*h+x+d], g.steep[x*h+x+d] = 1, 1 // falls, and ends first
			}
			g.gain[x*h+239-x+d], g.steep[x*h+239-x+d] = 1, 1
		}
	}
	p := g.follow()
	for _, q := range p.at {
		if d := abs(q.y - q.x); p.at[0].y < 120 && d > 4 || p.at[0].y > 120 && abs(q.y-239+q.x) > 4 {
			t.Fatalf("from %v the way comes to %v", p.at[0], q)
		}
	}
}

// What is loose at an end of a way is a label; what lies behind a short gap is the curve.
func TestALabelIsNoEndOfACurve(t *testing.T) {
	c := &canvas{evidence: &evidence{sheet: &sheet{per: 50}}}
	for _, x := range []struct {
		runs     []run
		from, to int
	}{
		{[]run{{0, 500, 0, false}, {520, 560, 20, false}}, 0, 500},                       // a letter
		{[]run{{0, 500, 0, false}, {510, 800, 10, false}}, 0, 800},                       // a gap in the stroke
		{[]run{{0, 60, 0, false}, {100, 600, 40, false}}, 100, 600},                      // a label before
		{[]run{{0, 100, 0, false}, {110, 600, 10, false}}, 0, 600},                       // two squares of the curve
		{[]run{{0, 40, 0, false}, {60, 90, 20, false}, {110, 600, 20, false}}, 110, 600}, // a word
		{[]run{{0, 500, 0, false}, {520, 560, 10, true}}, 0, 560},                        // the curve beyond an axis
		{[]run{{0, 500, 0, false}, {520, 540, 5, true}}, 0, 500},                         // a tick's end
		{[]run{{0, 500, 0, false}, {540, 570, 15, true}}, 0, 500},                        // far along an axis
	} {
		got := c.trimmed(x.runs)
		if got[0].from != x.from || got[len(got)-1].to != x.to {
			t.Errorf("%v: %v", x.runs, got)
		}
	}
}

// What a way's end is worth counts its corners, what is bare of ink, and the letters round it.
func TestAnEndHasToEarnItsPlace(t *testing.T) {
	const per, w, h = 40, 600, 200
	page := func() *canvas { return emptyCanvas(w, h, per) }
	// A way along row 100, of which ink lies under the first 400 cells and from 430 on.
	level := func(c *canvas, to int) *way {
		p := &way{}
		for x := 20; x < to; x++ {
			p.at = append(p.at, place{x, 100})
			for y := 98; y <= 102 && (x < 400 || x >= 430); y++ {
				c.ink.Pix[y*w+x] = 1
			}
		}
		return p
	}
	c := page()
	if p := level(c, 580); true {
		if a, b := c.earned(p, 0); a > 1 || b < len(p.at)-1 {
			t.Errorf("a curve that goes on for long behind a gap: %d to %d of %d", a, b, len(p.at))
		}
	}
	c = page()
	p := level(c, 470)
	if _, b := c.earned(p, 0); b > 385 || b < 375 {
		t.Errorf("a stroke shorter than the gap before it: to %d", b)
	}
	// Letters round its last square.
	c = page()
	p = level(c, 398)
	for x := 358; x < 398; x += 8 {
		for y := 106; y < 120; y++ {
			c.ink.Pix[y*w+x], c.ink.Pix[y*w+x+1], c.ink.Pix[y*w+x+2] = 1, 1, 1
		}
	}
	if _, b := c.earned(p, 0); b > 350 || b < 320 {
		t.Errorf("a last square among letters: to %d", b)
	}
	// A corner some squares before the end.
	for _, x := range []struct {
		behind float64 // squares
		stays  bool
	}{{0.5, false}, {1.2, false}, {2.2, true}} {
		c = page()
		p = level(c, 378)
		for y := 101; y < 101+int(x.behind*per); y++ {
			p.at = append(p.at, place{377, y})
			for x := 375; x < 380; x++ {
				c.ink.Pix[y*w+x] = 1
			}
		}
		if _, b := c.earned(p, 0); b > 360 != x.stays {
			t.Errorf("%.1f squares behind a corner: to %d of %d", x.behind, b, len(p.at))
		}
	}
}

// emptyCanvas is paper of so many cells with room for the ink of one pen.
func emptyCanvas(w, h, per int) *canvas {
	e := &evidence{sheet: &sheet{per: per, w: w, h: h}, ink: raster.New(w, h), drawing: make([]bool, w*h)}
	own := make([]float32, w*h)
	for i := range own {
		own[i] = 1
	}
	return &canvas{evidence: e, own: [][]float32{own}, axis: make([]bool, w*h), used: make([]bool, w*h)}
}

// fill draws on the cells from (x0, y0) up to but without (x1, y1).
func (c *canvas) fill(x0, y0, x1, y1 int) {
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			c.ink.Pix[y*c.w+x] = 1
		}
	}
}

// Where less is left beside an axis than of paper, for the printed line under it counted for more than it absorbs, it
// is no ink where it does not: only what absorbs something is.
func TestWhatAbsorbsNothingBesideAnAxisIsNoInk(t *testing.T) {
	const per, row = 60, 100
	c := emptyCanvas(600, 200, per)
	for j := range c.colour {
		c.colour[j] = raster.New(c.w, c.h)
	}
	c.dark = raster.New(c.w, c.h)
	set := func(x0, y0, x1, y1 int, v float32) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				c.dark.Pix[y*c.w+x] = v
				for j := range c.colour {
					c.colour[j].Pix[y*c.w+x] = v
				}
			}
		}
	}
	set(0, row-2, 600, row+3, 0.4)
	set(0, row+4, 350, row+6, -0.4)
	set(450, row+4, 550, row+7, 0.4) // a curve's tail
	c.takeLine(line{level: true, from: 20, to: 580, a: row, b: row, half: 2.5})
	if n, tail := c.inkIn(0, row-10, 440, row+10), c.inkIn(460, row+4, 540, row+7); n > 0 || tail < 3*80/2 {
		t.Errorf("%d cells of ink without any, %d of %d of a tail", n, tail, 3*80)
	}
}

// What is filled, a hand or a table beside the paper, is no stroke; a stroke stays.
func TestWhatIsFilledIsNoStroke(t *testing.T) {
	const per, w, h = 40, 200, 200
	c := &canvas{evidence: &evidence{sheet: &sheet{per: per, w: w, h: h}, ink: raster.New(w, h)}}
	for y := range h {
		for x := range w {
			if x > 150 || y > 20 && y < 26 && x < 100 {
				c.ink.Pix[y*w+x] = 1
			}
		}
	}
	c.takeSolids()
	if c.ink.Pix[100*w+180] > 0 || c.ink.Pix[23*w+50] == 0 {
		t.Errorf("filled %g, stroke %g", c.ink.Pix[100*w+180], c.ink.Pix[23*w+50])
	}
}

// A way keeps to the middle of a broad stroke.
func TestAWayKeepsToTheMiddle(t *testing.T) {
	s := twoPens()
	s.Pen = synth.Pens()[2]
	s.Lines = s.Pen
	s.Axes, s.Letters = false, false
	c := canvasOf(evidenceFor(t, s))
	st := c.strokeOf(0, 0)
	if st == nil {
		t.Fatal("nothing is followed")
	}
	sum, n := 0.0, 0.0
	for i := 50; i < len(st.at)-50; i += 5 {
		p := st.at[i]
		up, down := 0, 0
		for c.ink.Pix[(p.y-up)*c.w+p.x] > 0.5 {
			up++
		}
		for c.ink.Pix[(p.y+down)*c.w+p.x] > 0.5 {
			down++
		}
		sum += math.Abs(float64(up-down)) / float64(up+down+1)
		n++
	}
	if sum/n > 0.35 {
		t.Errorf("the way is off the middle by %.2f of half the stroke's breadth", sum/n)
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

// A curve that runs to the edge of what is looked at goes on, unless the photo ends there.
func TestACurveOnSquaresThatWereNotFound(t *testing.T) {
	const per, w, h = 40, 400, 200
	c := emptyCanvas(w, h, per)
	for name, x := range map[string]struct {
		from, to int
		outside  bool
		goesOn   bool
	}{
		"to the right edge": {60, w - 9, false, true},
		"from the left one": {9, 300, false, true},
		"ends near it":      {60, w - 13, false, false},
		"begins near it":    {13, 300, false, false},
		"the photo's edge":  {60, w - 1, true, false},
	} {
		c.outside = make([]bool, w*h)
		for y := range h {
			c.outside[y*w+w-1] = x.outside
		}
		if got := c.goesOn(&stroke{way: way{at: straightTo(place{x.from, 100}, place{x.to + 1, 100})}}); got != x.goesOn {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// Two strokes that cross keep their directions; two that touch and part again are left as they are.
func TestCurvesThatCrossAreDoubted(t *testing.T) {
	c := &canvas{evidence: &evidence{sheet: &sheet{per: 40}}}
	line := func(y func(x int) int) *stroke {
		s := &stroke{half: 1}
		for x := range 400 {
			s.at = append(s.at, place{x, y(x)})
		}
		return s
	}
	end := func(s *stroke) int { return s.at[len(s.at)-1].y }
	told := func(s *stroke) (clear, unclear bool) {
		for _, m := range s.crossings {
			clear, unclear = clear || m.clear, unclear || !m.clear
		}
		return
	}
	// Followed as two angles that touch, drawn as two lines that cross.
	a := line(func(x int) int { return 200 - abs(x-200)/2 })
	b := line(func(x int) int { return 200 + abs(x-200)/2 })
	c.untangle(a, b)
	if clear, _ := told(a); !clear || len(b.crossings) != 1 {
		t.Error("they meet, and it is not told")
	}
	if end(a) < 250 || end(b) > 150 {
		t.Errorf("they end at %d and %d", end(a), end(b))
	}
	// Two that run into each other at so small an angle that nobody can tell.
	a = line(func(x int) int { return 200 - abs(x-200)/12 })
	b = line(func(x int) int { return 200 + abs(x-200)/12 })
	c.untangle(a, b)
	if _, unclear := told(a); !unclear {
		t.Errorf("nobody can tell which is which, and it is not doubted")
	}
	// An arc that touches a line.
	a = line(func(int) int { return 198 })
	b = line(func(x int) int { return 202 + (x-200)*(x-200)/400 })
	c.untangle(a, b)
	if end(a) != 198 || end(b) < 250 {
		t.Errorf("two that touch were exchanged: %d, %d", end(a), end(b))
	}
	// Two that begin at one place.
	a, b = line(func(int) int { return 100 }), line(func(x int) int { return 100 + x })
	c.untangle(a, b)
	if len(a.crossings) > 0 {
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
