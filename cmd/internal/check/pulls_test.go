package check_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/analysis/drawing"
	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/wire"
)

// wobbling is a hand that wavers by so many boxes up, alike over so many boxes, and half as much across, and how it
// laid the screen on the paper.
func wobbling(rng *rand.Rand, sigma, alike float64) func(x, y float64) (float64, float64) {
	smooth := func() func(x float64) float64 {
		v, first := make([]float64, 128), rng.Float64()
		for i := range v {
			v[i] = rng.NormFloat64()
		}
		return func(x float64) float64 {
			i := (x+20)/alike + first
			k := min(max(int(i), 0), len(v)-2)
			f := i - float64(k)
			f = f * f * (3 - 2*f)
			return (1-f)*v[k] + f*v[k+1]
		}
	}
	across, up := smooth(), smooth()
	const laid = 0.01 // box
	dx, dy := laid*rng.NormFloat64(), laid*rng.NormFloat64()
	return func(x, y float64) (float64, float64) { return x + dx + sigma/2*across(x), y + dy + sigma*up(x) }
}

// pulls are differences over the uncertainty of the drawing, of so many drawings of a display that differ by the wobble
// alone: they are drawn from the trace as it was read, so that what is not sure of the display is the same in both.
func pulls(t testing.TB, display *wire.Document, sigma, alike float64, drawings int) map[string][]float64 {
	out := map[string][]float64{}
	add := func(name string, d check.Difference, u wire.Number) {
		if v := float64(d.Value / u); !math.IsNaN(v) {
			out[name] = append(out[name], v)
		}
	}
	for seed := range drawings {
		rng := rand.New(rand.NewPCG(uint64(seed), 23))
		c, err := check.Of(t.Context(), drawnFrom(display, wobbling(rng, sigma, alike)), display, where)
		if err != nil {
			t.Fatal(err)
		}
		add("start level", c.Start.Difference, c.Start.UDrawing)
		for _, q := range c.Quantities {
			add(fmt.Sprint(q.Quantity, " ", q.Method, " ", q.Label), q.Difference, q.UDrawing)
		}
	}
	return out
}

// spread is the mean and the standard deviation.
func spread(list []float64) (mean, sd float64) {
	for _, v := range list {
		mean += v / float64(len(list))
	}
	for _, v := range list {
		sd += (v - mean) * (v - mean) / float64(len(list)-1)
	}
	return mean, math.Sqrt(sd)
}

// What a drawing differs by through the wobble of the hand alone is as large as its uncertainty says.
func TestDifferencesHaveTheirUncertainty(t *testing.T) {
	const drawings = 16
	for name, list := range pulls(t, slow(t), 0.03, drawing.Alike, drawings) {
		if mean, sd := spread(list); len(list) < drawings*3/4 || math.Abs(mean) > 0.8 || sd < 0.5 || sd > 1.6 {
			t.Errorf("%s: %d pulls of mean %.2f, spread %.2f", name, len(list), mean, sd)
		}
	}
}

// A clumsy hand's slow decay is not cut where the hand wavers, so that τ would be that of a part of it, and the knees
// of a fast one are found.
func TestAClumsyHandsDecayIsNotCut(t *testing.T) {
	const drawings = 20
	for name, display := range map[string]*wire.Document{"slow": slow(t), "fast": fast(t)} {
		far, list := 0, pulls(t, display, 0.06, drawing.Alike, drawings)["tau curve "]
		for _, v := range list {
			if math.Abs(v) > 3 {
				far++
			}
		}
		if mean, sd := spread(list); len(list) < drawings || far > 0 || math.Abs(mean) > 0.5 {
			t.Errorf("%s: %d pulls of τ of mean %.2f, spread %.2f, %d beyond 3", name, len(list), mean, sd, far)
		}
	}
}

// A difference is told where it is larger than twice its uncertainty: of τ that is drawn 20 % too long, of the start
// that is drawn half a box too high, and of nothing where the drawing is right.
func TestOnlyLargeDifferencesAreTold(t *testing.T) {
	display := slow(t)
	const knee = -4.0
	draw := func(wrong func(x, y float64) (float64, float64)) *check.Check {
		return of(t, drawnFrom(display, wrong), display, where)
	}
	long := draw(func(x, y float64) (float64, float64) { return knee + max(0, 1.2*(x-knee)) + min(0, x-knee), y })
	high := draw(func(x, y float64) (float64, float64) { return x, y + 0.5 })
	right := draw(nil)
	told := func(c *check.Check, quantity string) bool {
		for _, q := range c.Quantities {
			if q.Quantity == quantity {
				return q.Difference.Told
			}
		}
		t.Errorf("no %s", quantity)
		return false
	}
	if !told(long, "tau") || !told(long, "half_life") || long.Start.Difference.Told {
		t.Errorf("τ too long: %+v", long.Quantities)
	}
	if !high.Start.Difference.Told || !told(high, "v_start") || told(high, "tau") {
		t.Errorf("too high: %+v, %+v", high.Start, high.Quantities)
	}
	if right.Start.Difference.Told || told(right, "tau") || told(right, "v_start") {
		t.Errorf("right: %+v, %+v", right.Start, right.Quantities)
	}
}

// BenchmarkPulls is the table of pulls in testdata/measured/drawing.md: -benchtime 200x makes 200 drawings of each
// sort.
func BenchmarkPulls(b *testing.B) {
	for _, sample := range []struct {
		name, file string
		s          wire.Settings
	}{
		{"slow", "slow-pale.jpg", wire.Settings{TimePerBox: "5s", TraceFields: wire.TraceFields{VoltsPerBox: "1.5V", Ground: "bottom"}}},
		{"fast", "fast-blue.jpg", wire.Settings{TimePerBox: "20ms", TraceFields: wire.TraceFields{VoltsPerBox: "0.5V", Ground: "-3"}}},
		{"sine", "sine-colour.jpg", wire.Settings{TimePerBox: "5ms", TraceFields: wire.TraceFields{VoltsPerBox: "1V", Ground: "centre"}}},
	} {
		display := displayOf(b, sample.file, sample.s)
		const alike = drawing.Alike
		for _, hand := range [][2]float64{{0.02, alike}, {0.04, alike}, {0.06, alike}, {0.04, alike / 2}, {0.04, 2 * alike}} {
			b.Run(fmt.Sprintf("%s, hand %g, alike over %g", sample.name, hand[0], hand[1]), func(b *testing.B) {
				for name, list := range pulls(b, display, hand[0], hand[1], b.N) {
					if mean, sd := spread(list); b.N > 1 {
						b.Logf("%s: %d pulls of mean %.2f, spread %.2f", name, len(list), mean, sd)
					}
				}
			})
		}
	}
}
