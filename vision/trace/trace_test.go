package trace

import (
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

func sine(amplitude, periods, level float64) func(x float64) float64 {
	return func(x float64) float64 { return level + amplitude*math.Sin(2*math.Pi*periods*x/10) }
}

func flat(level float64) func(x float64) float64 { return func(float64) float64 { return level } }

func TestCurveCrossingGridLinesIsUnbiased(t *testing.T) {
	p := plain()
	truth := sine(2.3, 2, 0.4)
	p.curves = []curve{{truth, yellow, 0.02}}
	tr := p.only(t)
	mean, rms := meanAndRMS(errorsOf(tr, truth, nil))
	if math.Abs(mean) > 0.002 || rms > 0.01 || tr.Coverage < 0.98 {
		t.Errorf("mean error %.4f, rms %.4f box, coverage %.3f", mean, rms, tr.Coverage)
	}
}

func TestHorizontalTraceOnGridLine(t *testing.T) {
	for _, level := range []float64{-4, -3, -0.5, 0, 0.02, 1, 1.99, 2.04} {
		p := plain()
		p.curves = []curve{{flat(level), yellow, 0.02}}
		tr := p.only(t)
		mean, rms := meanAndRMS(errorsOf(tr, flat(level), nil))
		if math.Abs(mean) > 0.003 || rms > 0.01 || tr.Coverage < 0.98 {
			t.Errorf("level %g: mean error %.4f, rms %.4f box, coverage %.3f", level, mean, rms, tr.Coverage)
		}
	}
}

func TestGapStaysGap(t *testing.T) {
	p := plain()
	curved := sine(1.5, 1, 0)
	p.curves = []curve{{func(x float64) float64 {
		if x > 1 && x < 2.2 {
			return math.NaN()
		}
		return curved(x)
	}, yellow, 0.02}}
	tr := p.only(t)
	for i, y := range tr.Y {
		if gap := tr.X[i] > 1.05 && tr.X[i] < 2.15; gap != math.IsNaN(y) && (tr.X[i] < 0.95 || tr.X[i] > 2.25 || gap) {
			t.Errorf("at %.3f: y = %g", tr.X[i], y)
		}
	}
}

func TestSquareWaveKeepsItsLevelsAndEdges(t *testing.T) {
	// One period a box and edges on the lines, so that the edges look like the graticule's own.
	p := plain()
	truth := func(x float64) float64 {
		if modulo(int(math.Floor(2*x)), 2) == 0 {
			return 2.5
		}
		return -3
	}
	p.curves = []curve{{truth, yellow, 0.02}}
	tr := p.only(t)
	edge := func(x float64) bool { return math.Abs(2*x-math.Round(2*x)) < 0.1 }
	mean, rms := meanAndRMS(errorsOf(tr, truth, func(x float64) bool { return !edge(x) }))
	if math.Abs(mean) > 0.003 || rms > 0.01 || tr.Coverage < 0.95 {
		t.Errorf("mean error %.4f, rms %.4f box, coverage %.3f", mean, rms, tr.Coverage)
	}
	tall := 0
	for i := range tr.Y {
		if tr.Thick[i] > 4 {
			tall++
			if tr.Sigma[i] < 1 {
				t.Errorf("at %.3f: an edge %.2f boxes tall has sigma %.3f", tr.X[i], tr.Thick[i], tr.Sigma[i])
			}
		}
	}
	if tall < 15 {
		t.Errorf("%d columns hold an edge, want about 20", tall)
	}
}

func TestTwoColoursAreToldApart(t *testing.T) {
	p := plain()
	one, two := sine(2, 2, 0.5), sine(2.5, 1, -0.5)
	p.curves = []curve{{one, yellow, 0.02}, {two, cyan, 0.02}}
	ph, g := p.paint(t)
	for _, want := range []struct {
		colour [3]uint8
		truth  func(float64) float64
	}{{[3]uint8{255, 230, 0}, one}, {[3]uint8{0, 220, 255}, two}} {
		ts, err := Extract(t.Context(), ph, g, &Options{Colour: &want.colour})
		if err != nil {
			t.Fatal(err)
		}
		if _, rms := meanAndRMS(errorsOf(ts[0], want.truth, nil)); rms > 0.015 || ts[0].Coverage < 0.9 {
			t.Errorf("%v: rms %.4f box, coverage %.3f", want.colour, rms, ts[0].Coverage)
		}
	}
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil || len(ts) != 2 || ts[0].Name != "a" || ts[1].Name != "b" {
		t.Errorf("%d traces, error %v; want a and b", len(ts), err)
	}
}

func TestEmptyDisplayHasNoTrace(t *testing.T) {
	ph, g := plain().paint(t)
	_, err := Extract(t.Context(), ph, g, nil)
	var missing *NotFoundError
	if !errors.As(err, &missing) || missing.Hint == "" {
		t.Errorf("error %v, want a NotFoundError with a hint", err)
	}
}

func TestTextIsNoTrace(t *testing.T) {
	// Rows of letter-like blots in white beside a yellow trace.
	p := plain()
	truth := sine(1.2, 2, 1.5)
	p.curves = []curve{{truth, yellow, 0.02}}
	p.extra = func(x, y float64) ([3]float64, float64) {
		white := [3]float64{0.9, 0.9, 0.9}
		for row := range 4 {
			base := -3.6 + 0.45*float64(row)
			if x > -4 && x < 3 && y > base && y < base+0.25 {
				// Letters 0.2 box wide of strokes 0.04 box, chosen by the column of the letter.
				k, u := math.Floor(x/0.2), math.Mod(x+20, 0.2)
				bits := int(k*k*7+float64(row)*13) & 7
				v := y - base
				if u < 0.15 && (u < 0.04 && bits&1 > 0 || u > 0.11 && bits&2 > 0 || v < 0.04 && bits&4 > 0 || math.Abs(v-0.12) < 0.02) {
					return white, 1
				}
			}
		}
		return white, 0
	}
	tr := p.only(t)
	if mean, rms := meanAndRMS(errorsOf(tr, truth, nil)); math.Abs(mean) > 0.003 || rms > 0.01 {
		t.Errorf("mean error %.4f, rms %.4f box", mean, rms)
	}
}

func TestMirroringThePhotoMirrorsTheTrace(t *testing.T) {
	// A curve drawn upside down has the opposite heights, whatever the graticule's dots do.
	p := plain()
	p.noise = 0
	truth := sine(1.7, 1.5, 0.3)
	p.curves = []curve{{truth, yellow, 0.02}}
	up := p.only(t)
	p.curves = []curve{{func(x float64) float64 { return -truth(x) }, yellow, 0.02}}
	down := p.only(t)
	for i := range up.Y {
		if d := up.Y[i] + down.Y[i]; math.Abs(d) > 0.004 || math.IsNaN(d) != (math.IsNaN(up.Y[i]) && math.IsNaN(down.Y[i])) {
			t.Errorf("at %.3f: %.4f and %.4f", up.X[i], up.Y[i], down.Y[i])
		}
	}
}

func TestTraceOnTheRimIsMended(t *testing.T) {
	// A fall onto the lowest line, below which the display draws nothing, and noise about it.
	p := plain()
	p.cut = true
	rng := rand.New(rand.NewPCG(4, 4))
	noise := make([]float64, 2000)
	for i := range noise {
		noise[i] = 0.02 * rng.NormFloat64()
	}
	truth := func(x float64) float64 { return -4 + 6*math.Exp(-max(x+4, 0)/1.2) }
	p.curves = []curve{{func(x float64) float64 {
		return truth(x) + noise[modulo(int(math.Floor(x*p.pitch)), len(noise))]
	}, yellow, 0.02}}
	tr := p.only(t)
	mean, rms := meanAndRMS(errorsOf(tr, truth, func(x float64) bool { return x > 3 }))
	if math.Abs(mean) > 0.008 || rms > 0.03 {
		t.Errorf("on the rim: mean error %.4f, rms %.4f box", mean, rms)
	}
	if mean, _ := meanAndRMS(errorsOf(tr, truth, func(x float64) bool { return x > -3 && x < 1 })); math.Abs(mean) > 0.005 {
		t.Errorf("off the rim: mean error %.4f box", mean)
	}
}

func TestPixelsOfTheDisplayAreSeen(t *testing.T) {
	pale, dark := [3]float64{0.5, 0.56, 0.44}, [3]float64{0.07, 0.09, 0.1}
	for _, n := range []int{0, 24, 25, 32, 40} {
		p := plain()
		p.pitch, p.pixels = 120, n
		p.frame = geom.Frame{Cols: 6, Rows: 4}
		p.field, p.grid = pale, [3]float64{-0.2, -0.2, -0.2}
		truth := sine(1.2, 2, 0.1)
		p.curves = []curve{{truth, dark, 0.02}}
		ph, g := p.paint(t)
		s, err := sheet.Read(t.Context(), ph, g)
		if err != nil {
			t.Fatal(err)
		}
		if s.Own != n {
			t.Errorf("%d pixels a box, want %d", s.Own, n)
		}
		if mean, rms := meanAndRMS(errorsOf(p.only(t), truth, nil)); math.Abs(mean) > 0.003 || rms > 0.015 {
			t.Errorf("%d pixels a box: mean error %.4f, rms %.4f box", n, mean, rms)
		}
	}
}

// Of a large photo pixels are averaged before they are sampled, which moves no trace.
func TestALargePhotosTraceIsWhereItWas(t *testing.T) {
	p := plain()
	p.frame, p.pitch = geom.Frame{Cols: 4, Rows: 4}, 230
	truth := sine(1.3, 1.5, 0.1)
	p.curves = []curve{{truth, yellow, 0.02}}
	if mean, rms := meanAndRMS(errorsOf(p.only(t), truth, nil)); math.Abs(mean) > 5e-4 || rms > 1e-3 {
		t.Errorf("mean error %.5f, rms %.5f box", mean, rms)
	}
}

func TestTracesOfOneColourGoStraightOnWhereTheyCross(t *testing.T) {
	p := plain()
	one, two := sine(2.5, 1, 0), sine(0.2, 0.5, 0.7)
	p.curves = []curve{{one, yellow, 0.02}, {two, yellow, 0.02}}
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil || len(ts) != 2 {
		t.Fatalf("%d traces, error %v; want 2", len(ts), err)
	}
	for _, tr := range ts {
		truth := one
		if raster.Rank(finite(tr.Y), 0.9)-raster.Rank(finite(tr.Y), 0.1) < 1 {
			truth = two
		}
		if _, rms := meanAndRMS(errorsOf(tr, truth, nil)); rms > 0.03 || tr.Coverage < 0.9 {
			t.Errorf("rms %.4f box, coverage %.3f", rms, tr.Coverage)
		}
		if len(tr.Doubts) == 0 {
			t.Error("no doubt where two traces of one colour cross")
		}
	}
}

func TestDoubtWhereAnotherThingGoesOn(t *testing.T) {
	// A thin trace on the right half; on the left a cable of its colour, four times as thick.
	p := plain()
	p.curves = []curve{
		{func(x float64) float64 {
			if x < 0 {
				return math.NaN()
			}
			return 2 + 0.5*math.Sin(x)
		}, yellow, 0.015},
		{func(x float64) float64 {
			if x > -0.1 {
				return math.NaN()
			}
			return -2 + 0.2*x
		}, yellow, 0.07},
	}
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !remark.Any(ts[0].Doubts, KindChangesStroke) && ts[0].Coverage > 0.6 {
		t.Errorf("coverage %.2f, doubts %q", ts[0].Coverage, ts[0].Doubts)
	}
}

func TestTraceThatLeavesTheScreenIsDoubted(t *testing.T) {
	p := plain()
	p.cut = true
	truth := sine(5, 1, 0)
	p.curves = []curve{{truth, yellow, 0.02}}
	tr := p.only(t)
	if !remark.Any(tr.Doubts, KindLeavesTop) || !remark.Any(tr.Doubts, KindLeavesBottom) {
		t.Errorf("doubts %q", tr.Doubts)
	}
	for i, y := range tr.Y {
		if math.Abs(truth(tr.X[i])) > 4.3 && !math.IsNaN(y) {
			t.Errorf("at %.2f: y = %.3f, where the trace is off the screen", tr.X[i], y)
		}
	}
}

// A fall that ends on the lowest line, parts of it hidden by the line itself, rests there and does not leave.
func TestTraceThatRestsOnTheRimIsNotDoubted(t *testing.T) {
	p := plain()
	p.cut = true
	truth := func(x float64) float64 { return -4 + 6.5*math.Exp(-max(x+4, 0)/1.6) }
	p.curves = []curve{{func(x float64) float64 {
		if x > 3.2 && x < 3.9 { // the gap ahead of the pen
			return math.NaN()
		}
		return truth(x)
	}, yellow, 0.02}}
	if tr := p.only(t); len(tr.Doubts) != 0 {
		t.Errorf("doubts %q", tr.Doubts)
	}
}

// Nothing to follow, and things that are no trace: a clear error or a doubt, never a confident trace.
func TestWhatIsNoTraceIsRefusedOrDoubted(t *testing.T) {
	white := [3]float64{0.9, 0.9, 0.9}
	words := func(x, y float64) bool { // two rows of letters 0.2 box wide
		k, u := math.Floor(x/0.2), math.Mod(x+20, 0.2)
		bits := modulo(int(k*k*7), 8)
		for _, base := range []float64{-3.6, -3.1} {
			if v := y - base; x > -4 && x < 3 && v > 0 && v < 0.25 && u < 0.15 && (u < 0.04 && bits&1 > 0 || u > 0.11 && bits&2 > 0 || v < 0.04 || math.Abs(v-0.12) < 0.02) {
				return true
			}
		}
		return false
	}
	for _, c := range []struct {
		name  string
		extra func(x, y float64) bool
	}{
		{"only words", words},
		{"saturated", func(x, y float64) bool { return true }},
		{"an upright helper line", func(x, y float64) bool { return math.Abs(x-1.3) < 0.02 && math.Abs(y) < 4 }},
		{"a short piece", func(x, y float64) bool { return math.Abs(y-1.3) < 0.03 && x > -0.7 && x < 0.7 }},
	} {
		p := plain()
		p.extra = func(x, y float64) ([3]float64, float64) {
			if c.extra(x, y) {
				return white, 1
			}
			return white, 0
		}
		ph, g := p.paint(t)
		ts, err := Extract(t.Context(), ph, g, nil)
		var none *NotFoundError
		if err != nil && (!errors.As(err, &none) || none.Hint == "") {
			t.Errorf("%s: error %v", c.name, err)
		}
		for _, tr := range ts {
			if len(tr.Doubts) == 0 {
				t.Errorf("%s: a trace over %.0f %% of the width without a doubt", c.name, 100*tr.Coverage)
			}
		}
	}
}

// The frame's lower line in a bright colour hangs together better than a trace with gaps, and is none.
func TestTraceComesBeforeTheRim(t *testing.T) {
	p := plain()
	p.curves = []curve{{func(x float64) float64 {
		if modulo(int(math.Floor(x/0.5)), 4) == 0 {
			return math.NaN()
		}
		return 2 * math.Sin(x)
	}, yellow, 0.02}}
	p.extra = func(x, y float64) ([3]float64, float64) {
		if math.Abs(y+4) < 0.04 && math.Abs(x) < 5 {
			return [3]float64{0.1, 0.35, 0.95}, 1
		}
		return yellow, 0
	}
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	if mean, rms := meanAndRMS(errorsOf(ts[0], func(x float64) float64 { return 2 * math.Sin(x) }, nil)); rms > 0.02 {
		t.Errorf("the first trace is off by %.2f (mean), %.2f box (rms)", mean, rms)
	}
}

// A colour that no trace has is refused, and the message tells those that there are.
func TestColourThatIsNotThereIsRefused(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(2, 2, 0.5), yellow, 0.02}}
	ph, g := p.paint(t)
	_, err := Extract(t.Context(), ph, g, &Options{Colour: &[3]uint8{40, 40, 255}})
	var none *NotFoundError
	if !errors.As(err, &none) || !strings.Contains(none.Hint, "#") {
		t.Errorf("error %v", err)
	}
}

// What a hand hides is absent, and is told when it is more than half.
func TestHiddenPartIsAbsent(t *testing.T) {
	skin := [3]float64{0.35, 0.2, 0.13}
	for _, to := range []float64{-2, 1.5} {
		p := plain()
		truth := sine(2, 1.5, 0.5)
		p.curves = []curve{{truth, yellow, 0.02}}
		p.extra = func(x, y float64) ([3]float64, float64) {
			if x > -4.3 && x < to+0.1*math.Sin(3*y) {
				return skin, 1
			}
			return skin, 0
		}
		ph, g := p.paint(t)
		ts, err := Extract(t.Context(), ph, g, nil)
		if err != nil {
			continue // refused
		}
		tr := ts[0]
		for i, y := range tr.Y {
			if x := tr.X[i]; x > -4.1 && x < to-0.3 && !math.IsNaN(y) && len(tr.Doubts) == 0 {
				t.Fatalf("to %.1f: y = %.2f at %.2f under the hand, without a doubt", to, y, x)
			}
		}
		if tr.Coverage < 0.5 && len(tr.Doubts) == 0 || math.Abs(tr.Coverage-(1-(to+4.3)/10)) > 0.1 {
			t.Errorf("to %.1f: coverage %.2f, doubts %q", to, tr.Coverage, tr.Doubts)
		}
	}
}

func TestResultsDoNotDependOnTheNumberOfWorkers(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(2, 2, 0.5), yellow, 0.02}, {sine(1, 3, -1), cyan, 0.02}}
	ph, g := p.paint(t)
	var first []*Trace
	for _, n := range []int{1, 3} {
		before := runtime.GOMAXPROCS(n)
		ts, err := Extract(t.Context(), ph, g, nil)
		runtime.GOMAXPROCS(before)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = ts
			continue
		}
		if d := cmp.Diff(first, ts, cmpopts.EquateNaNs()); d != "" {
			t.Error(d)
		}
	}
}

// Where the lines are lit, what is darker than the field is no trace: a lens and the camera's sharpening draw dark
// bands beside what is bright. Before, one could be read in place of the trace.
func TestNoTraceIsDarkerThanTheFieldOfLitLines(t *testing.T) {
	p := plain()
	p.field = [3]float64{0.12, 0.12, 0.12}
	p.grid = [3]float64{0.3, 0.3, 0.3}
	truth := sine(1.5, 2, -1)
	p.curves = []curve{
		{sine(0.3, 1, 2.5), [3]float64{}, 0.03},
		{func(x float64) float64 {
			if math.Abs(x) > 3.3 {
				return math.NaN()
			}
			return truth(x)
		}, [3]float64{0.3, 0.28, 0.05}, 0.025},
	}
	tr := p.only(t)
	if _, rms := meanAndRMS(errorsOf(tr, truth, nil)); rms > 0.03 {
		t.Errorf("the trace is %.2f box off (rms)", rms)
	}
}

// What goes by turns along the rim and a menu's border, or along the fringes of another trace, is no second trace; a
// curve that crosses the first one is.
func TestALesserTraceIsSeenByItself(t *testing.T) {
	blue := [3]float64{0.1, 0.35, 0.95}
	for _, c := range []struct {
		name  string
		extra func(x, y float64) bool
		want  int
	}{
		{"rim and border", func(x, y float64) bool { return x < -0.5 && math.Abs(y+4) < 0.03 || x > -0.5 && math.Abs(y-2.4) < 0.03 }, 1},
		{"another curve", func(x, y float64) bool { return math.Abs(y-2*math.Cos(0.7*x)) < 0.04 }, 2},
	} {
		p := plain()
		p.curves = []curve{{sine(1.5, 2, -0.5), yellow, 0.02}}
		p.extra = func(x, y float64) ([3]float64, float64) {
			if math.Abs(x) < 5 && c.extra(x, y) {
				return blue, 1
			}
			return blue, 0
		}
		ph, g := p.paint(t)
		if ts, err := Extract(t.Context(), ph, g, nil); err != nil || len(ts) != c.want {
			t.Errorf("%s: %d traces, want %d, error %v", c.name, len(ts), c.want, err)
		}
	}
}
