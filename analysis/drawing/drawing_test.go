package drawing

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"quadrille/calibrate/remark"
)

// random gives the source of a test of its own.
func random(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 5)) }

// held holds a drawing by a hand, and fails where there is none.
func held(t *testing.T, h hand, s *shown, o Options) *Held {
	t.Helper()
	out, err := Hold(h.draw(s, random(9)), &s.Screen, o)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// steadyHand draws with axes and next to no wobble.
func steadyHand(wrong func(Point) Point) hand {
	return hand{squares: 2, corner: Point{3, 4}, wobble: 0.005, axes: true, wrong: wrong}
}

// An edge that is drawn a little late departs by that, and not by its height.
func TestEdgesAreMeasuredAlongTheSquares(t *testing.T) {
	s := traceOf("square", random(3))
	for _, late := range []float64{0.1, 0.3} {
		h := held(t, steadyHand(func(p Point) Point { return Point{p.X + late, p.Y} }), s, Options{})
		if d := math.Abs(h.Largest.Size - late); d > 0.05 {
			t.Errorf("%.1f box late: the largest departure is %.2f box", late, h.Largest.Size)
		}
	}
}

// The city-block distance to a straight line is the smaller of the differences of height and along x.
func TestDepartureIsTheSmallerDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slope := rapid.Float64Range(-8, 8).Draw(t, "slope")
		p := Point{rapid.Float64Range(-1, 1).Draw(t, "x"), rapid.Float64Range(-3, 3).Draw(t, "y")}
		c := curve{{Point{-50, -50 * slope}, Point{50, 50 * slope}, true, true}}
		_, d, _ := c.nearest(p)
		up := math.Abs(p.Y - slope*p.X)
		if want := min(up, up/math.Abs(slope)); math.Abs(d-want) > 1e-9 {
			t.Errorf("%v from a slope of %g: %g, want %g", p, slope, d, want)
		}
	})
}

// The strips in which places become one change nothing.
func TestDeparturesDoNotDependOnTheStrips(t *testing.T) {
	for i, kind := range kinds {
		s := traceOf(kind, random(uint64(i)))
		k := steadyHand(func(p Point) Point { return Point{p.X, p.Y + 0.4} }).draw(s, random(1))
		var sizes []float64
		for _, w := range []float64{bin / 2, bin, 2 * bin} {
			x, y := make([]float64, len(k.X)), make([]float64, len(k.X))
			for j := range x {
				x[j], y[j] = (k.X[j]-3)/2+left, (k.Y[j]-4)/2+bottom
			}
			_, largest := over(departures(curveIn(x, y, w), curveIn(s.X, s.Y, w)), 0.2)
			sizes = append(sizes, largest.Size)
		}
		if math.Abs(sizes[0]-sizes[1]) > 0.03 || math.Abs(sizes[2]-sizes[1]) > 0.03 {
			t.Errorf("%s: largest departures of %.3f box", kind, sizes)
		}
	}
}

// A place that is off alone, where a letter touches the curve, is no departure.
func TestOneBadPlaceIsNoDeparture(t *testing.T) {
	s := traceOf("sine", random(4))
	k := steadyHand(nil).draw(s, random(1))
	for i, x := range k.X {
		if b := (x-3)/2 + left; b > 1 && b < 1.09 {
			k.Y[i] += 1.5
		}
	}
	h, err := Hold(k, &s.Screen, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !h.Within() {
		t.Errorf("the largest departure is %.2f box at %.2f", h.Largest.Size, h.Largest.X)
	}
}

// A bump that is drawn where there is none is told by its place and its height, and by no cause that moves the whole.
func TestALocalSlipHasNoCause(t *testing.T) {
	for i, kind := range []string{"decay", "sine", "triangle"} {
		s := traceOf(kind, random(uint64(i)))
		h := held(t, steadyHand(func(p Point) Point { return Point{p.X, p.Y + 0.8*math.Exp(-math.Pow((p.X-3)/0.6, 2))} }), s, Options{})
		if len(h.Causes) > 0 || h.Within() || math.Abs(h.Largest.X-3) > 0.6 {
			t.Errorf("%s: the largest departure is %.2f box at %.2f; causes %v", kind, h.Largest.Size, h.Largest.X, h.Causes)
		}
		if v := h.Verdict(); len(v) != 1 || v[0].Kind != KindDeparts || math.Abs(v[0].Number("x_box")-8) > 0.6 {
			t.Errorf("%s: the verdict is %v", kind, v)
		}
	}
}

// A pulse that is left out is told by its place, though every place of the drawing lies on the trace or near it.
func TestWhatTheDrawingPassesByIsTold(t *testing.T) {
	rng := random(6)
	pulse := func(x float64) float64 {
		if x > 2 && x < 2.3 {
			return 2
		}
		return -1
	}
	s := traced("pulse", rng, pulse)
	flat := *s
	flat.at = func(float64) float64 { return -1 }
	h, err := Hold(steadyHand(nil).draw(&flat, rng), &s.Screen, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if v := h.Verdict(); h.Within() || len(h.Lacks) != 1 || math.Abs(h.Lacks[0].From-2) > 0.2 || v[len(v)-1].Kind != KindLacks {
		t.Errorf("passed by: %v; verdict %v", h.Lacks, v)
	}
}

// Two bumps are two stretches, the larger one first, however the hand wavers within each.
func TestEachStretchThatDepartsIsToldOnce(t *testing.T) {
	s := traceOf("decay without a knee", random(2))
	h := held(t, steadyHand(func(p Point) Point {
		return Point{p.X, p.Y + 0.5*math.Exp(-math.Pow((p.X-1)/0.5, 2)) + (0.8+0.1*math.Sin(20*p.X))*math.Exp(-math.Pow((p.X-4)/0.5, 2))}
	}), s, Options{})
	if len(h.Over) != 2 || math.Abs(h.Over[0].X-4) > 0.5 || math.Abs(h.Over[1].X-1) > 0.5 {
		t.Errorf("stretches: %+v", h.Over)
	}
}

// What of the trace is not drawn is told, and a drawing of a part of it is no wrong one but for that.
func TestWhatIsNotDrawnIsTold(t *testing.T) {
	for i, kind := range kinds {
		s := traceOf(kind, random(uint64(i)))
		k := steadyHand(nil)
		k.from, k.to = left, 1
		h := held(t, k, s, Options{})
		if len(h.Missing) != 1 || math.Abs(h.Missing[0].From-1) > 0.1 || h.Missing[0].To < 4.9 || math.Abs(h.Coverage-0.6) > 0.03 {
			t.Errorf("%s: missing %v, coverage %.2f", kind, h.Missing, h.Coverage)
		}
		if len(h.Over) > 0 || h.Within() {
			t.Errorf("%s: departures %v", kind, h.Over)
		}
	}
}

// A drawing that breaks off in the middle of an edge lacks the rest, and is not wrong where it ends.
func TestADrawingMayBreakOffInAnEdge(t *testing.T) {
	rng := random(3)
	s := traced("square", rng, func(x float64) float64 {
		if math.Mod(x+6.8, 4) < 2 {
			return 2
		}
		return -2
	})
	s.Middle = 0
	k := steadyHand(nil).draw(s, rng)
	for i, x := range k.X {
		if b := (x-3)/2 + left; b > 3.2 && (k.Y[i]-4)/2+bottom < 0.5 || b > 3.23 {
			k.X, k.Y = k.X[:i], k.Y[:i]
			break
		}
	}
	h, err := Hold(k, &s.Screen, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(h.Over) > 0 || len(h.Missing) != 1 || math.Abs(h.Missing[0].From-3.2) > 0.1 {
		t.Errorf("departures %+v, missing %v", h.Over, h.Missing)
	}
}

// Axes and a frame place the screen, whatever is drawn wrongly in it, and lines beside them that are none of the
// screen's do not.
func TestAFrameThatIsDrawnPlacesTheScreen(t *testing.T) {
	for i, kind := range kinds {
		s := traceOf(kind, random(uint64(i)))
		k := hand{squares: 2, corner: Point{3, 4}, wobble: 0.02, frame: true, wrong: func(p Point) Point { return Point{p.X, p.Y - 1} }}
		drawn := k.draw(s, random(7))
		drawn.Level = append(drawn.Level, 9.37) // a dimension line
		h, err := Hold(drawn, &s.Screen, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if h.SquaresPerBox != 2 || h.Corner != (Point{3, 4}) || h.From != FromAxes {
			t.Errorf("%s: placed at %v with %g squares a box, by %s", kind, h.Corner, h.SquaresPerBox, h.From)
		}
		for _, l := range append(h.Upright, h.Level...) {
			if (l.Is == "") != (l.At == 9.37) {
				t.Errorf("%s: the line at %g was taken for %q", kind, l.At, l.Is)
			}
		}
	}
}

// What a person says goes before what is found.
func TestAPlacementThatIsGivenIsTaken(t *testing.T) {
	s := traceOf("sine", random(4))
	h := held(t, hand{squares: 2, corner: Point{3, 4}, wobble: 0.02}, s, Options{SquaresPerBox: 2, Corner: &Point{3, 5}})
	if h.From != FromGiven || h.Corner != (Point{3, 5}) || len(h.Causes) != 1 || h.Causes[0].Kind != KindUp || math.Abs(h.Causes[0].Size+0.5) > 0.05 {
		t.Errorf("placed at %v by %s; causes %v", h.Corner, h.From, h.Causes)
	}
}

// Half way between two lines of the paper nobody can tell to which of them a drawing belongs.
func TestPlacementsThatFitAsWellAreDoubted(t *testing.T) {
	s := traceOf("decay", random(4))
	k := hand{squares: 1, corner: Point{3, 4}, wobble: 0.01, wrong: func(p Point) Point { return Point{p.X, p.Y + 0.5} }}
	if h := held(t, k, s, Options{}); !remark.Any(h.Doubts, KindOtherPlacement) {
		t.Errorf("placed at %v; doubts %v", h.Corner, h.Doubts)
	}
	k.wrong = nil
	if h := held(t, k, s, Options{}); len(h.Doubts) > 0 || !remark.Any(h.Notes, KindNoAxes) {
		t.Errorf("a right drawing has doubts %v and notes %v", h.Doubts, h.Notes)
	} else if v := h.Verdict(); len(v) != 1 || v[0].Kind != KindWithin || v[0].Number("corner_y_squares") != 4 || v[0].Number("up_box") != 1 {
		t.Errorf("the verdict does not say that the place is assumed: %v", v)
	}
}

// A drawing of something else is doubted.
func TestADrawingOfAnotherTraceIsDoubted(t *testing.T) {
	silent := 0
	for i := range 16 {
		a, b := traceOf(kinds[i%len(kinds)], random(uint64(i))), traceOf(kinds[(i+3)%len(kinds)], random(uint64(100+i)))
		h, err := Hold(steadyHand(nil).draw(b, random(1)), &a.Screen, Options{})
		if err != nil {
			continue
		}
		if h.Within() {
			t.Errorf("a %s holds for a %s", b.name, a.name)
		}
		if !remark.Any(h.Doubts, KindNotAlike) {
			silent++
		}
	}
	if silent > 3 {
		t.Errorf("%d of 16 are not doubted", silent)
	}
}

// Whatever the numbers, there is an answer or an error, and no panic.
func TestHoldTakesAnyNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Float64Range(-10, 30), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, 1e300}))
		list := func(name string) []float64 { return rapid.SliceOfN(number, 0, 40).Draw(t, name) }
		s := &Sketch{X: list("x"), Y: list("y"), Upright: list("upright"), Level: list("level")}
		on := &Screen{Cols: 10, Rows: 8, X: list("tx"), Y: list("ty"), Ground: number.Draw(t, "ground"), Middle: number.Draw(t, "middle")}
		if rapid.Bool().Draw(t, "decay") {
			on.Decays = []Decay{{number.Draw(t, "from"), number.Draw(t, "to"), number.Draw(t, "start"), number.Draw(t, "end")}}
		}
		if h, err := Hold(s, on, Options{}); err == nil {
			h.Verdict()
		}
	})
}

// How far a hand wavers is found from where its curves lie, across and up, whatever a pencil's grain is and whatever
// one place is off by. Smoothed between its knots a hand of the simulator wavers 0.86 times as far as at them, along x
// half as far.
func TestTheWobbleIsTold(t *testing.T) {
	bump := func(p Point) Point { return Point{p.X, p.Y + math.Exp(-math.Pow((p.X-3)/0.2, 2))} }
	for name, c := range map[string]struct {
		wobble, grain float64
		wrong         func(Point) Point
		most          float64
	}{
		"steady": {0.02, 0, nil, 1.15}, "clumsy": {0.06, 0, nil, 1.15}, "grain": {0.03, 0.03, nil, 1.1}, "bump": {0.03, 0, bump, 1.45},
	} {
		across, up, n := 0.0, 0.0, 0.0
		for seed := range uint64(24) {
			rng := random(seed)
			s := traceOf([]string{"sine", "decay", "driven"}[seed%3], rng)
			k := hand{squares: 1, wobble: c.wobble, wrong: c.wrong}.draw(s, rng)
			for i := range k.X {
				k.X[i], k.Y[i] = k.X[i]+left, k.Y[i]+bottom+c.grain*rng.NormFloat64()
			}
			truth := curveOf(s.X, s.Y)
			w := wobbleOf(departures(curveOf(k.X, k.Y), truth), truth)
			across, up, n = across+w.X/(0.43*c.wobble), up+w.Y/(0.86*c.wobble), n+1
		}
		if across, up = across/n, up/n; up < 0.85 || up > c.most || across < 0.85 || across > 1.6 {
			t.Errorf("%s: %.2f of what it is up, %.2f across", name, up, across)
		}
	}
}

// Over how many boxes a hand wavers together is told as far as ten boxes tell it, half way from the usual 0.7.
func TestHowFarAHandWaversTogether(t *testing.T) {
	for alike, want := range map[float64]float64{0.35: 0.6, 0.7: 0.8, 1.4: 1} {
		mean, n := 0.0, 0.0
		for seed := range uint64(30) {
			rng := random(seed)
			s := traceOf("decay", rng)
			k := hand{squares: 1, wobble: 0.04, alike: alike}.draw(s, rng)
			for i := range k.X {
				k.X[i], k.Y[i] = k.X[i]+left, k.Y[i]+bottom
			}
			mean, n = mean+alikeOf(departures(curveOf(k.X, k.Y), curveOf(s.X, s.Y))), n+1
		}
		if mean /= n; math.Abs(mean-want) > 0.08 {
			t.Errorf("%g box: %.2f on average, want about %.2f", alike, mean, want)
		}
	}
}
