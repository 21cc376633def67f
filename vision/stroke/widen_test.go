package stroke

import (
	"math"
	"testing"
)

// A slow rise tells how a place is rounded: by nothing, by the display's pixels, or by coarser steps. Rounding to 50
// pixels a box has a standard deviation of 0.0058 box.
func TestWhatASlowRiseTellsOfTheRounding(t *testing.T) {
	const rounded = 0.00577
	for _, c := range []struct {
		name          string
		rise, scatter float64 // box, the rise over 0.16 box
		columns       int
		least, most   float64
	}{
		{"hardly any scatter", 0.1, 0.0003, 500, 0.0015, 0.003},
		{"a third of the rounding's", 0.1, 0.0022, 500, 0.0017, 0.0027},
		{"three quarters of it", 0.1, 0.0042, 500, rounded, 0.0058},
		{"twice as much", 0.1, 0.012, 500, 0.01, 0.016},
		{"over 18 columns", 0.1, 0.02, 26, rounded, 0.0058},
		{"over 40 columns", 0.1, 0.02, 48, 0.01, 0.04},
		{"too slow", 0.02, 0.0003, 500, rounded, 0.0058},
		{"slow", 0.045, 0.0003, 500, 0.0015, 0.003},
		{"fast", 0.15, 0.0003, 500, 0.0015, 0.003},
		{"too fast", 0.3, 0.0003, 500, rounded, 0.0058},
	} {
		if r := scattered(c.rise, c.scatter, c.columns, 1).pixelError(plainSheet()); r < c.least || r > c.most {
			t.Errorf("%s: %.4f box, want %g to %g", c.name, r, c.least, c.most)
		}
	}
}

// A trace slopes where it goes on rising at both sides, not at a knee, a crest or an edge.
func TestWhatIsASlope(t *testing.T) {
	for _, c := range []struct {
		name   string
		y      []float64 // nine columns
		tall   float64   // box, of the stroke in the middle
		slopes bool
	}{
		{"an even rise", []float64{-4, -3, -2, -1, 0, 1, 2, 3, 4}, 1, true},
		{"less before than after", []float64{-1.6, -1.6, -1, -0.5, 0, 1, 2, 3, 4}, 1, true},
		{"a knee", []float64{-0.7, -0.7, -0.4, -0.2, 0, 1, 2, 3, 4}, 1, false},
		{"a crest", []float64{0, 1, 2, 3, 4, 3, 2, 1, 0}, 1, false},
		{"a rise between two crests", []float64{3, -3, -2, -1, 0, 1, 2, 3, -3}, 1, true},
		{"a terrace", []float64{-3, -3, 0, 0, 0, 0, 0, 3, 3}, 0.1, true},
		{"tall strokes", []float64{-4, -3, -2, -1, 0, 1, 2, 3, 4}, 3.6, true},
		{"an edge in one column", []float64{-3, -3, -2.9, -0.2, 0, 0.2, 2.9, 3, 3}, 5.4, false},
		{"an edge over two", []float64{-3, -3, -2.9, -2.8, 0, 2.8, 2.9, 3, 3}, 1, false},
	} {
		trace := scattered(0, 0, 500, 1)
		for i := range trace.Y {
			trace.Y[i] = c.y[min(max(i-246, 0), 8)] / 10
		}
		if _, ok := trace.slopes(plainSheet(), 250, c.tall/10); ok != c.slopes {
			t.Errorf("%s: slopes: %v", c.name, ok)
		}
	}
}

// Where enough of a trace is steep, what it scatters by across tells how wide the display's columns are; else they are
// as usual, 0.0058 box.
func TestWhatASteepTraceTellsOfTheColumns(t *testing.T) {
	for _, c := range []struct {
		name    string
		slope   float64 // boxes a box
		columns int
		told    bool
	}{
		{"a slope of 1", 1, 500, false},
		{"a slope of 2", 2, 500, true},
		{"18 columns", 2, 18, false},
		{"28 columns", 2, 28, true},
	} {
		trace, slope := scattered(0.16*c.slope, 0.012*c.slope, 500, 1), make([]float64, 500)
		for i := range c.columns {
			slope[200*(500-c.columns)/500+i] = c.slope
		}
		if r := trace.columnError(plainSheet(), slope); (r > 0.0075) != c.told {
			t.Errorf("%s: a column is wide by %.4f box", c.name, r)
		}
	}
}

// made is a level trace of strokes that are thick by 0.05 box.
func made(y func(x float64) float64) *Centres {
	c := scattered(0, 0, 500, 1)
	for i := range c.Y {
		c.Y[i], c.Thick[i] = y(float64(i)*0.02), 0.05
	}
	return c
}

// A wave of a period of a box is followed by the parabolas and adds nothing; a wobble of a fifth of a box is scatter.
func TestOverWhatALevelScatters(t *testing.T) {
	for _, c := range []struct {
		amplitude, period float64 // box
		least, most       float64
	}{{0.08, 1, 0.0015, 0.004}, {0.01, 0.3, 0.005, 0.009}} {
		trace := made(func(x float64) float64 { return c.amplitude * math.Sin(2*math.Pi*x/c.period) })
		trace.widen(plainSheet())
		if u := trace.Sigma[200]; u < c.least || u > c.most {
			t.Errorf("a wave of %g box and a period of %g: sigma %.4f box, want %g to %g", c.amplitude, c.period, u, c.least, c.most)
		}
	}
}

// The top of a pulse is as sure as a stroke is thick, however near its edges are, if it is drawn as thin as a level;
// what is thicker may have the edge in it.
func TestAPulsesTopIsSure(t *testing.T) {
	for _, c := range []struct {
		thick float64 // box, where a level has 0.05
		sure  bool
	}{{0.05, true}, {0.06, true}, {0.08, false}} {
		trace := made(func(x float64) float64 {
			if x > 4.99 && x < 5.13 { // seven columns
				return 3
			}
			return 0
		})
		trace.stroke = 0.05
		for i := 250; i < 257; i++ {
			trace.Thick[i] = c.thick
		}
		trace.widen(plainSheet())
		for i := 245; i < 262; i++ {
			top := i >= 250 && i < 257
			if u := trace.Sigma[i]; (u < 0.02) != (c.sure || !top) {
				t.Errorf("a top of %.2f box, column %d: sigma %.3f box", c.thick, i, u)
			}
		}
	}
}

// The place of an edge in its column is not known: it lies anywhere in its height, which has a standard deviation of
// 1/√12 of that.
func TestAnEdgeIsAsUnsureAsItIsTall(t *testing.T) {
	trace := made(func(x float64) float64 { return 2 * math.Round(x/10) })
	trace.Y[250], trace.Thick[250] = 1, 2
	trace.widen(plainSheet())
	if u, want := trace.Sigma[250], 2/math.Sqrt(12); math.Abs(u-want) > 0.1*want {
		t.Errorf("sigma %.3f box, want %.3f", u, want)
	}
}

// A trace is flat where it rises over two columns by less than half its thickness of 0.05 box: only there columns tell
// the signal's noise.
func TestWhereATraceIsFlat(t *testing.T) {
	for _, c := range []struct {
		rise float64 // box, over two columns
		flat bool
	}{{0.004, true}, {0.018, true}, {0.035, false}} {
		trace := scattered(4*c.rise, 0.001, 500, 1)
		for i := range trace.Thick {
			trace.Thick[i] = 0.05
		}
		trace.widen(plainSheet())
		if got := trace.ripple > 0; got != c.flat {
			t.Errorf("a rise by %g box is flat: %v", c.rise, got)
		}
	}
}

// Of a wave that is nowhere flat the thinnest fiftieth of the strokes says how thick a level one is.
func TestHowThickAFastWavesStrokeIs(t *testing.T) {
	for _, c := range []struct {
		thin int // of 500 strokes
		want float64
	}{{15, 0.05}, {7, 0.5}} {
		trace := made(func(x float64) float64 { return math.Mod(x, 0.06) * 30 })
		for i := c.thin; i < 500; i++ {
			trace.Thick[i] = 0.5
		}
		trace.widen(plainSheet())
		if trace.level != c.want {
			t.Errorf("%d thin strokes: %g box thick, want %g", c.thin, trace.level, c.want)
		}
	}
}
