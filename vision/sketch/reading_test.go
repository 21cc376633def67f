package sketch_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/sketch"
	"quadrille/vision/synth"
)

// plain is a decay in pencil on 5 mm squares, photographed well.
func plain() synth.Sketch {
	pen := synth.Pens()[0]
	return synth.Sketch{Seed: 3, Ruling: synth.Rulings()[0], Cols: 14, Rows: 10, Pen: pen, Lines: pen,
		Form: synth.SketchDecay, From: 2, To: 12, Zero: 2.3, High: 6, Tau: 3, Wobble: 0.02,
		Width: 1200, Height: 900, Tilt: 4, Lean: -3, Roll: 1, Curl: 0.2, Blur: 0.7, Noise: 0.008, Quality: 90, Zoom: 0.95}
}

func find(t *testing.T, s synth.Sketch) (*sketch.Drawing, synth.SketchTruth, error) {
	t.Helper()
	img, truth := s.Shoot()
	d, err := sketch.Find(context.Background(), photo.New(img), nil)
	return d, truth, err
}

// A curve is read where it was drawn: on each kind of ruling, with each kind of pen, in shadow, before a back page.
func TestHowNearACurveIsRead(t *testing.T) {
	rulings, pens := synth.Rulings(), synth.Pens()
	// Of a square wave with axes a level may be taken for a second curve, which is told.
	remarked := map[string]bool{"square wave with axes": true}
	for name, change := range map[string]func(s *synth.Sketch){
		"pencil on blue 5 mm": func(*synth.Sketch) {},
		"red pen on grey 1 mm": func(s *synth.Sketch) {
			s.Ruling, s.Pen, s.Form, s.High, s.Zero = rulings[14], pens[5], synth.SketchSine, 3, 5
		},
		"blue pen on green 10 mm, in shadow": func(s *synth.Sketch) {
			s.Ruling, s.Pen, s.Shadow = rulings[7], pens[4], 0.8
		},
		"square wave with axes": func(s *synth.Sketch) {
			s.Pen, s.Form, s.Tau, s.Axes = pens[3], synth.SketchSquare, 1.2, true
		},
	} {
		v := judge(t, with(plain(), change))
		if !v.placed() || v.doubted && !remarked[name] {
			t.Errorf("%s: %v, squares off by %.3f, curve by %.3f, %.2f of it found%s", name, v.err, v.squares, v.rms, v.share, v.doubts)
		}
	}
}

func with(s synth.Sketch, change func(s *synth.Sketch)) synth.Sketch {
	change(&s)
	return s
}

// A sheet that is cut near its last squares lies on a table, dark or light: its edge is neither an axis nor a curve.
func TestTheTableIsNoDrawing(t *testing.T) {
	for _, c := range []struct{ rim, table float64 }{{0.03, 0.05}, {0.4, 0.5}, {1.35, 0.05}} {
		d, truth, err := find(t, with(plain(), func(s *synth.Sketch) {
			s.Rim, s.Table, s.Axes, s.Zoom, s.Width, s.Height = c.rim, c.table, true, 0.85, 900, 675
		}))
		if err != nil {
			t.Errorf("cut %.2f square beyond, on a table of %.2f: %v", c.rim, c.table, err)
			continue
		}
		at := d.Paper.Box(truth.Pixel(geom.Box{X: truth.Upright, Y: truth.Level}))
		if len(d.Traces) != 1 || len(d.Axes) != 2 || d.Origin == nil || math.Hypot(d.Origin.X-at.X, d.Origin.Y-at.Y) > 0.1 { // the hand is not steady
			t.Errorf("cut %.2f square beyond, on a table of %.2f: %d curves, %d axes, origin %v, drawn at %v", c.rim, c.table,
				len(d.Traces), len(d.Axes), d.Origin, at)
		}
	}
}

// Of a curled sheet a part is found only: that the curve goes on is told.
func TestASheetThatIsFoundInPartIsTold(t *testing.T) {
	if v := judge(t, synth.RandomSketch(1359)); v.err != nil || !strings.Contains(v.doubts, string(sketch.KindGoesOn)) {
		t.Errorf("%v, doubts%s", v.err, v.doubts)
	}
}

// A hand's shadow over the sheet hides nothing and adds nothing.
func TestAShadowIsNoInk(t *testing.T) {
	d, _, err := find(t, with(plain(), func(s *synth.Sketch) { s.Shadow = 0.9 }))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Traces) != 1 || d.Explained < 0.9 {
		t.Errorf("%d curves, which are %.2f of what is drawn", len(d.Traces), d.Explained)
	}
}

// Words on the back that shine through are not taken for drawn.
func TestTheBackPageIsNoInk(t *testing.T) {
	d, _, err := find(t, with(plain(), func(s *synth.Sketch) { s.BackPage = 0.8 }))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Traces) != 1 || d.Explained < 0.8 {
		t.Errorf("%d curves, which are %.2f of what is drawn", len(d.Traces), d.Explained)
	}
}

// Axes of the curve's own pencil are told from it, with the place where they cross; the level one is the curve's
// ground.
func TestAxesAreNoCurves(t *testing.T) {
	d, truth, err := find(t, with(plain(), func(s *synth.Sketch) {
		s.Form, s.High, s.Zero, s.Axes, s.Ticks = synth.SketchSine, 3, 5, true, true
	}))
	if err != nil {
		t.Fatal(err)
	}
	level, upright := truth.Level+d.Paper.Frame.Bottom(), truth.Upright+d.Paper.Frame.Left()
	if d.Origin == nil || math.Hypot(d.Origin.X-upright, d.Origin.Y-level) > 0.06 {
		t.Errorf("the axes cross at %v, were drawn through %.2f, %.2f", d.Origin, upright, level)
	}
	if len(d.Traces) != 1 || math.Abs(d.Traces[0].GroundMark-level) > 0.06 {
		t.Errorf("%d curves, the first with ground at %.2f", len(d.Traces), d.Traces[0].GroundMark)
	}
}

// A decay ends on its ground line, drawn with the same pencil: what is drawn twice is the curve's, what is drawn once
// is the axis.
func TestATailOnAnAxisIsTheCurves(t *testing.T) {
	d, truth, err := find(t, with(plain(), func(s *synth.Sketch) {
		s.Zero, s.Tau, s.To, s.Axes = 2.02, 1.6, 10.5, true
	}))
	if err != nil {
		t.Fatal(err)
	}
	x := d.Traces[0].X
	end, want := x[len(x)-1], d.Paper.Box(truth.Pixel(truth.Curve[len(truth.Curve)-1])).X
	if math.Abs(end-want) > 0.5 {
		t.Errorf("the curve ends at %.2f, was drawn to %.2f", end, want)
	}
}

// Words alone are no curve, and the error says what to do.
func TestAPageOfWordsHasNoCurve(t *testing.T) {
	_, _, err := find(t, with(plain(), func(s *synth.Sketch) { s.From, s.To, s.Letters, s.BackPage = 3, 2, true, 0.5 }))
	var none *sketch.NotFoundError
	if !errors.As(err, &none) || none.Hint == "" {
		t.Errorf("a page without a curve: %v", err)
	}
}

// Two curves of one pen that cross are both found, and their reader is told.
func TestSeveralCurvesAreFound(t *testing.T) {
	d, _, err := find(t, with(plain(), func(s *synth.Sketch) {
		s.Form, s.High, s.Zero, s.Tau, s.Second, s.Pen = synth.SketchSine, 3, 5, 2.5, true, synth.Pens()[3]
	}))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Traces) < 2 {
		t.Fatalf("%d curves, 2 were drawn", len(d.Traces))
	}
	for _, tr := range d.Traces {
		if !remark.Any(append(tr.Notes, tr.Doubts...), sketch.KindMeets) {
			t.Errorf("%s crosses the other one without a word", tr.Name)
		}
	}
}

// Two square waves of one pen stand on one level: neither is followed into the higher flanks of the other.
func TestTwoSquareWavesAreTold(t *testing.T) {
	d, truth, err := find(t, with(plain(), func(s *synth.Sketch) {
		s.Form, s.High, s.Tau, s.Second, s.Pen = synth.SketchSquare, 6, 1.9, true, synth.Pens()[3]
	}))
	if err != nil {
		t.Fatal(err)
	}
	if !remark.Any(append(d.Traces[0].Notes, d.Traces[0].Doubts...), sketch.KindMeets) {
		t.Error("it meets the other one without a word")
	}
	if on := shareOf(d, &truth, truth.Curve); on < 0.95 {
		t.Errorf("%.2f of the higher wave was found on one curve", on)
	}
	if v := judge(t, synth.RandomSketch(24)); !v.placed() {
		t.Errorf("of two that cross and share an edge: curve off by %.3f, %.2f of it found", v.rms, v.share)
	}
}

// shareOf is which part of the places of a drawn curve, at most one has found.
func shareOf(d *sketch.Drawing, truth *synth.SketchTruth, curve []geom.Box) (most float64) {
	for _, tr := range d.Traces {
		var found []geom.Box
		for i := range tr.X {
			if !math.IsNaN(tr.Y[i]) {
				found = append(found, geom.Box{X: tr.X[i], Y: tr.Y[i]})
			}
		}
		n := 0
		for _, b := range curve {
			if distance(found, d.Paper.Box(truth.Pixel(b))) < 0.1 {
				n++
			}
		}
		most = max(most, float64(n)/float64(len(curve)))
	}
	return most
}

// The low level of a square wave just below its axis is the curve's, and its first edge no upright axis.
func TestALevelBesideAnAxisIsTheCurves(t *testing.T) {
	for _, seed := range []uint64{121, 645} { // of a square wave, and a decay's tail as long as the drawing is wide
		v := judge(t, synth.RandomSketch(seed))
		if !v.placed() || v.doubted {
			t.Errorf("%d: %v, squares off by %.3f, curve by %.3f, %.2f of it found%s",
				seed, v.err, v.squares, v.rms, v.share, v.doubts)
		}
	}
}

// Of a pencil's edge along a printed line less is seen: a square wave of which a third is gaps is a curve, and told.
func TestAnEdgeAlongAPrintedLineIsTheCurves(t *testing.T) {
	if v := judge(t, synth.RandomSketch(651)); !v.placed() || !v.doubted {
		t.Errorf("%v, squares off by %.3f, curve by %.3f, %.2f of it found%s", v.err, v.squares, v.rms, v.share, v.doubts)
	}
}

// A narrow peak is as high, and a narrow trough as deep, as it was drawn; what is drawn across a wave's top is no peak.
func TestATipIsFollowedToItsEnd(t *testing.T) {
	d, truth, err := find(t, with(plain(), func(s *synth.Sketch) {
		for x := 2.0; x <= 12; x += 0.01 {
			y := 5.0
			if d := math.Abs(math.Mod(x-2, 4) - 1); d < 0.4 { // at 3, 7 and 11
				y += 4 * (0.4 - d) / 0.4
			}
			if d := math.Abs(x - 9); d < 0.4 {
				y -= 3 * (0.4 - d) / 0.4
			}
			s.Meant = append(s.Meant, geom.Box{X: x, Y: y})
		}
	}))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []geom.Box{{X: 3, Y: 9}, {X: 7, Y: 9}, {X: 9, Y: 2}, {X: 11, Y: 9}} {
		want = d.Paper.Box(truth.Pixel(want))
		near := math.Inf(1)
		for i, x := range d.Traces[0].X {
			near = min(near, math.Hypot(x-want.X, d.Traces[0].Y[i]-want.Y))
		}
		if !(near < 0.15) { // a pen's breadth
			t.Errorf("the tip at %.2f is missed by %.2f", want, near)
		}
	}
}

// A hard pencil on grey graph paper is hardly darker than the paper's own lines.
func TestAHardPencilIsReadOnGreyPaper(t *testing.T) {
	if v := judge(t, synth.RandomSketch(222)); !v.placed() || v.doubted {
		t.Errorf("%v, squares off by %.3f, curve by %.3f, %.2f of it found%s", v.err, v.squares, v.rms, v.share, v.doubts)
	}
}

// A damped oscillation that ends shortly after it crossed its axis does not go on along the axis.
func TestADampedWaveEndsAcrossItsAxis(t *testing.T) {
	if v := judge(t, synth.RandomSketch(27)); !v.placed() || v.doubted {
		t.Errorf("%v, squares off by %.3f, curve by %.3f, %.2f of it found%s", v.err, v.squares, v.rms, v.share, v.doubts)
	}
}

// A hard pencil leaves two thirds of a line in small pieces, among printed lines: its axes are none of the curves, and
// its curve is one.
func TestAxesOfAHardPencilAreNoCurves(t *testing.T) {
	for _, seed := range []uint64{135, 174} {
		if v := judge(t, synth.RandomSketch(seed)); !v.placed() || v.doubted {
			t.Errorf("seed %d: %v, squares off by %.3f, curve by %.3f, %.2f of it found%s", seed, v.err, v.squares, v.rms, v.share, v.doubts)
		}
	}
}

// A hard pencil on rough paper leaves gaps in its stroke, and is one stroke.
func TestAPencilStrokeIsOneStroke(t *testing.T) {
	d, _, err := find(t, with(plain(), func(s *synth.Sketch) { s.Pen = synth.Pens()[1] }))
	if err != nil {
		t.Fatal(err)
	}
	if doubts := d.Traces[0].Doubts; len(doubts) > 0 {
		t.Errorf("%v", doubts)
	}
}

// What is drawn beyond the last printed line is a part of the curve.
func TestACurveGoesOnBeyondTheRuledPart(t *testing.T) {
	d, _, err := find(t, with(plain(), func(s *synth.Sketch) { s.To, s.Zoom, s.Pen = 14.9, 0.85, synth.Pens()[4] }))
	if err != nil {
		t.Fatal(err)
	}
	x := d.Traces[0].X
	if over := x[len(x)-1] + d.Paper.Frame.Left(); over < 0.8 || over > 1 {
		t.Errorf("the curve ends %.2f squares beyond the ruled part, was drawn to 0.9", over)
	}
}
