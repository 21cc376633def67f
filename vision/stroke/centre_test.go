package stroke

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

// The bound is that of Hagen, Kupinski, Dereniak, Appl. Opt. 46 (2007) 5374, for a Gaussian stripe in
// white noise: sd(x0) >= (s/A)·sqrt(2w/√π), in samples.
func TestStripeCentreReachesTheBound(t *testing.T) {
	const amplitude, noise, rows, trials = 1, 0.02, 60, 4000
	for _, w := range []float64{1, 1.2, 1.5, 2, 3, 5} {
		rng := rand.New(rand.NewPCG(3, uint64(w*10)))
		sum, squares := 0.0, 0.0
		for range trials {
			truth := 30 + rng.Float64() - 0.5
			s := &sheet.Sheet{Grid: sheet.Grid{NX: 1, NY: rows}}
			plane, under := make([]float32, rows), make([]float32, rows)
			lo, hi := rows, 0
			for j := range plane {
				d := float64(j) - truth
				v := amplitude * math.Exp(-d*d/(2*w*w))
				if v > visible*amplitude {
					lo, hi = min(lo, j), max(hi, j)
				}
				plane[j] = float32(v + noise*rng.NormFloat64())
			}
			st := &profile{amount: amplitude, usual: float64(hi - lo + 1), width: w}
			st.load(s, 0, path.Run{Lo: lo, Hi: hi}, plane, under, nil)
			y, _, _, ok := st.centroid(st.ends())
			if !ok {
				t.Fatal("no centre")
			}
			sum += y - truth
			squares += (y - truth) * (y - truth)
		}
		mean, sd := sum/trials, math.Sqrt(squares/trials)
		bound := noise / amplitude * math.Sqrt(2*w/math.Sqrt(math.Pi))
		t.Logf("w = %.1f rows: %.2f × the bound, mean error %.4f rows", w, sd/bound, mean)
		if sd > 1.5*bound || math.Abs(mean) > 0.005 {
			t.Errorf("w = %.1f rows: %.2f × the bound, mean error %.4f rows", w, sd/bound, mean)
		}
	}
}

// From four fifths of three usual heights to six fifths a stroke becomes an edge, evenly.
func TestBetweenStrokeAndEdge(t *testing.T) {
	for _, c := range []struct{ height, want float64 }{ // in usual ones
		{2.35, 0}, {2.7, 0.25}, {3, 0.5}, {3.3, 0.75}, {3.65, 1}, {9, 1},
	} {
		if got := max(edgeLike(2*c.height, 2), 0); math.Abs(got-c.want) > 0.01 {
			t.Errorf("a stroke of %g heights is an edge by %.2f, want %.2f", c.height, got, c.want)
		}
	}
}

// Little light beside a stroke is its surround; much is something else that is drawn there.
func TestWhatLiesBesideAStroke(t *testing.T) {
	for _, c := range []struct {
		light    float64 // of the stroke's 2
		surround bool
	}{
		{0, true}, {0.4, true}, {-0.4, true}, {0.7, false}, {-0.7, false},
	} {
		k := &profile{amount: 2, v: []float64{c.light, c.light, c.light, 9}}
		if got := k.surround(0, 3); math.IsNaN(got) == c.surround || c.surround && math.Abs(got-c.light) > 1e-9 {
			t.Errorf("light of %g beside a stroke of 2 counts as %g", c.light, got)
		}
	}
}

func TestWindowedSumsWholeAndPartCells(t *testing.T) {
	v := []float64{1, 2, 4, 8, 16}
	sum, moment := windowed(v, 2, 1.25)
	// Cells 1 to 3 whole but for a quarter cell beyond 0.75 and 3.25: cell 1 covers 0.75..1.5, cell 3 2.5..3.25.
	if want := 2*0.75 + 4 + 8*0.75; math.Abs(sum-want) > 1e-12 {
		t.Errorf("sum %g, want %g", sum, want)
	}
	if want := 2*0.75*1.125 + 4*2 + 8*0.75*2.875; math.Abs(moment-want) > 1e-12 {
		t.Errorf("moment %g, want %g", moment, want)
	}
}

// Moving a profile by whole rows moves its centre by as much, mirroring mirrors it, and brighter light
// leaves it where it is.
func TestCentreMovesWithItsStripe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const rows = 80
		w := rapid.Float64Range(1, 4).Draw(t, "w")
		at := rapid.Float64Range(30, 40).Draw(t, "at")
		skew := rapid.Float64Range(-0.3, 0.3).Draw(t, "skew")
		light := rapid.Float64Range(0.1, 5).Draw(t, "light")
		shift := rapid.IntRange(-8, 8).Draw(t, "shift")
		centreOf := func(f func(j int) float64, amount float64) float64 {
			plane, lo, hi := make([]float32, rows), rows, 0
			for j := range plane {
				v := f(j)
				plane[j] = float32(v)
				if v > visible*amount {
					lo, hi = min(lo, j), max(hi, j)
				}
			}
			st := &profile{amount: amount, usual: float64(hi - lo + 1), width: w}
			st.load(&sheet.Sheet{Grid: sheet.Grid{NX: 1, NY: rows}}, 0, path.Run{Lo: lo, Hi: hi}, plane, make([]float32, rows), nil)
			y, _, _, ok := st.centroid(st.ends())
			if !ok {
				t.Fatal("no centre")
			}
			return y
		}
		stripe := func(y float64) float64 {
			d := (y - at) / w
			return math.Exp(-d*d/2) * (1 + skew*math.Tanh(d))
		}
		y := centreOf(func(j int) float64 { return stripe(float64(j)) }, 1)
		if moved := centreOf(func(j int) float64 { return stripe(float64(j - shift)) }, 1); math.Abs(moved-y-float64(shift)) > 1e-3 {
			t.Errorf("moved by %d: from %.4f to %.4f", shift, y, moved)
		}
		if m := centreOf(func(j int) float64 { return stripe(float64(rows - 1 - j)) }, 1); math.Abs(m+y-(rows-1)) > 1e-3 {
			t.Errorf("mirrored: %.4f and %.4f", y, m)
		}
		if b := centreOf(func(j int) float64 { return light * stripe(float64(j)) }, light); math.Abs(b-y) > 1e-3 {
			t.Errorf("%.2f times the light: %.4f and %.4f", light, y, b)
		}
	})
}
