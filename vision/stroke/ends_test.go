package stroke

import (
	"math"
	"testing"
)

// Beyond the end of a trace its glow is dimmer than half, and absent. A column or two that are missing inside are no
// end.
func TestWhatIsDimAtAnEnd(t *testing.T) {
	for _, c := range []struct {
		name  string
		gap   int     // columns in the middle that are missing
		light float64 // of the five columns beside them, of the others' 1
		stays bool
	}{
		{"0.35 of the light", 10, 0.35, false},
		{"0.7 of the light", 10, 0.7, true},
		{"one column is missing", 1, 0.1, true},
		{"three are", 3, 0.1, false},
	} {
		trace := scattered(0, 0, 500, 1)
		trace.light, trace.stroke = make([]float64, 500), 0.05
		for i := range trace.Y {
			trace.light[i] = 1
			if i >= 245 && i < 255+c.gap {
				trace.light[i] = c.light
			}
			if i >= 250 && i < 250+c.gap {
				trace.Y[i] = math.NaN()
			}
		}
		trace.dropSmear(plainSheet())
		if stays := !math.IsNaN(trace.Y[247]) && !math.IsNaN(trace.Y[252+c.gap]); stays != c.stays {
			t.Errorf("%s: what lies beside the gap stays: %v", c.name, stays)
		}
		if math.IsNaN(trace.Y[230]) || math.IsNaN(trace.Y[280]) {
			t.Errorf("%s: the trace further in is dropped", c.name)
		}
	}
}

// A breadth rounds a bend by half of the second difference over it, as far as that is more than three standard
// deviations of noise.
func TestABendIsMoreThanNoise(t *testing.T) {
	for _, c := range []struct{ bent, want float64 }{ // box, for a noise of 0.01 box
		{0.025, 0}, {0.03, 0}, {0.06, 0.023}, {0.2, 0.163},
	} {
		trace := scattered(0, 0, 500, 1)
		trace.stroke = 0.04 // two columns
		trace.Y[250] = c.bent
		if got := trace.bend(plainSheet(), 250, 0.01); math.Abs(got-c.want) > 0.004 {
			t.Errorf("bent by %g box: %.4f is added, want %.4f", c.bent, got, c.want)
		}
	}
}

// A stroke that is cut off beside a column moves its centre there, on a slope up or down as well; two and a half
// standard deviations of the stroke away that is nothing.
func TestHowFarTheEndOfAStrokeReaches(t *testing.T) {
	s := plainSheet()
	trace := scattered(0.16, 0, 500, 1) // a slope of 1
	trace.stroke = 0.04                 // two columns
	for i := range 200 {
		trace.Y[i] = math.NaN()
	}
	for _, c := range []struct {
		columns, least, most float64 // from the end; box
	}{
		{0, 0.02, 0.04}, {2, 0.005, 0.015}, {4, 0.0005, 0.005}, {7, 0, 0},
	} {
		if off := trace.oneSided(s, 200+int(c.columns)); off < c.least || off > c.most {
			t.Errorf("%g columns from the end the centre is off by %.5f box, want %g to %g", c.columns, off, c.least, c.most)
		}
	}
}
