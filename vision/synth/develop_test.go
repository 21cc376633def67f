package synth

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/vision/raster"
)

// Values of the curve in IEC 61966-2-1:1999, clause 5.2: the straight piece ends at 0.0031308,
// where the file's value is 0.04045; half the file's scale is 21.404 % of the light, and a grey of
// 18 % is level 118 of 255 (from memory: common photographic practice).
func TestTransferCurveFollowsIEC61966(t *testing.T) {
	for _, c := range []struct{ light, want, within float64 }{
		{0, 0, 0}, {1, 1, 1e-12}, {0.0031308, 0.04045, 1e-6}, {0.21404114, 0.5, 1e-7}, {0.18, 118.0 / 255, 0.5 / 255},
	} {
		if got := srgb(c.light); math.Abs(got-c.want) > c.within {
			t.Errorf("light %g is stored as %g, want %g", c.light, got, c.want)
		}
	}
	// The table against the curve, half-way between the entries where it is worst.
	curve := transferCurve(0)
	for i := range curveEntries {
		v := (float64(i) + 0.499) / curveEntries
		if d := math.Abs(float64(curve[i]) - srgb(v)); d > 0.1/255 {
			t.Fatalf("the table is off by %g levels at light %g", d*255, v)
		}
	}
}

func TestContrastKeepsEndsAndOrder(t *testing.T) {
	curve := transferCurve(0.5)
	if curve[0] != 0 || math.Abs(float64(curve[curveEntries])-1) > 1e-6 {
		t.Errorf("ends at %g and %g", curve[0], curve[curveEntries])
	}
	for i := 1; i < len(curve); i++ {
		if curve[i] < curve[i-1] {
			t.Fatalf("the curve falls at entry %d", i)
		}
	}
}

// Counts of small means against the Poisson probabilities of gonum's distuv, by chi-square over the
// counts that are expected at least ten times; and of a large mean by its first three moments.
func TestPhotonNoiseIsPoisson(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const draws = 200000
	for _, mean := range []float64{0.3, 3, 17, 39} {
		seen := map[int]float64{}
		for range draws {
			seen[int(poisson(mean, rng))]++
		}
		law := distuv.Poisson{Lambda: mean}
		var obs, exp []float64
		for k := range 200 {
			if e := draws * law.Prob(float64(k)); e >= 10 {
				obs, exp = append(obs, seen[k]), append(exp, e)
			}
		}
		chi2 := stat.ChiSquare(obs, exp)
		if p := (distuv.ChiSquared{K: float64(len(obs) - 1)}).Survival(chi2); p < 1e-3 {
			t.Errorf("mean %g: chi-square %.1f over %d counts, probability %.2g", mean, chi2, len(obs), p)
		}
	}
	x := make([]float64, draws)
	for i := range x {
		x[i] = poisson(900, rng)
	}
	m, v := stat.MeanVariance(x, nil)
	if math.Abs(m-900) > 4*30/math.Sqrt(draws) || math.Abs(v/900-1) > 4*math.Sqrt(2./draws) {
		t.Errorf("mean 900: drawn mean %g, variance %g", m, v)
	}
	if s := stat.Skew(x, nil); math.Abs(s) > 1/math.Sqrt(poissonAsGauss) {
		t.Errorf("mean 900: skewness %g", s)
	}
}

// The photon transfer curve (J. Janesick, Photon Transfer, 2007, chapter 5): with F electrons at
// white and r electrons of read noise, the variance of light v is v/F + (r/F)².
func TestNoiseFollowsThePhotonTransferCurve(t *testing.T) {
	c := Camera{FullWell: 2000, ReadNoise: 6}
	rng := rand.New(rand.NewPCG(3, 4))
	x := make([]float64, 100000)
	for _, v := range []float64{0, 0.002, 0.02, 0.3, 0.9} {
		for i := range x {
			x[i] = float64(noisy(float32(v), c, rng))
		}
		mean, variance := stat.MeanVariance(x, nil)
		want := v/2000 + 9e-6
		if math.Abs(mean-v) > 4*math.Sqrt(want/float64(len(x))) {
			t.Errorf("light %g has mean %g", v, mean)
		}
		if math.Abs(variance/want-1) > 4*math.Sqrt(2./float64(len(x))) {
			t.Errorf("light %g has variance %g, want %g", v, variance, want)
		}
	}
	if noisy(0.3, Camera{}, rng) != 0.3 {
		t.Error("a camera without noise changes the light")
	}
}

// The interpolation gives back exactly what it is built for: even colours and even slopes.
func TestDemosaicKeepsEvenAndSloping(t *testing.T) {
	const w, h = 16, 12
	colour := func(k, x, y int) float32 { return 0.2*float32(k+1) + 0.01*float32(x) - 0.005*float32(y) }
	for _, slope := range []bool{false, true} {
		var p [3]*raster.Plane
		value := func(k, x, y int) float32 {
			if !slope {
				x, y = 0, 0
			}
			return colour(k, x, y)
		}
		for k := range p {
			p[k] = raster.New(w, h)
			for y := range h {
				for x := range w {
					if mosaicColour(x, y) == k { // the others hold nothing of use
						p[k].Pix[y*w+x] = value(k, x, y)
					}
				}
			}
		}
		demosaic(p)
		for k := range p {
			for y := 2; y < h-2; y++ {
				for x := 2; x < w-2; x++ {
					if got, want := p[k].Pix[y*w+x], value(k, x, y); math.Abs(float64(got-want)) > 1e-5 {
						t.Fatalf("slope %v, colour %d at (%d, %d): %g, want %g", slope, k, x, y, got, want)
					}
				}
			}
		}
	}
}

// Blur and scattered light move light, they neither make nor lose it, nor shift its centre.
func TestSpreadingKeepsLightAndCentre(t *testing.T) {
	spread := map[string]func(p *raster.Plane) *raster.Plane{
		"disc 1.0": func(p *raster.Plane) *raster.Plane { return disc(p, 1) },
		"disc 3.7": func(p *raster.Plane) *raster.Plane { return disc(p, 3.7) },
		"scatter":  func(p *raster.Plane) *raster.Plane { scatter(p, 0.2); return p },
	}
	for name, f := range spread {
		p := raster.New(200, 150)
		p.Pix[70*200+90] = 1
		p = f(p)
		var s, sx, sy float64
		for y := range p.H {
			for x, v := range p.Row(y) {
				s, sx, sy = s+float64(v), sx+float64(v)*float64(x), sy+float64(v)*float64(y)
			}
		}
		if math.Abs(s-1) > 1e-3 || math.Abs(sx/s-90) > 1e-2 || math.Abs(sy/s-70) > 1e-2 {
			t.Errorf("%s: light %.5f, centre (%.3f, %.3f), want 1 at (90, 70)", name, s, sx/s, sy/s)
		}
	}
}

// A disc of radius r has second moment r²/4 along each axis.
func TestDiscIsAsWideAsItSays(t *testing.T) {
	for _, r := range []float64{2, 4, 8.5} {
		p := raster.New(81, 81)
		p.Pix[40*81+40] = 1
		p = disc(p, r)
		for axis := range 2 {
			m := 0.0
			for y := range 81 {
				for x := range 81 {
					d := float64([2]int{x, y}[axis] - 40)
					m += d * d * float64(p.Pix[y*81+x])
				}
			}
			m -= 1. / 12 // the square pixel itself
			if got := 2 * math.Sqrt(m); math.Abs(got/r-1) > 0.05 {
				t.Errorf("radius %g, axis %d: the second moment is that of radius %.2f", r, axis, got)
			}
		}
	}
}

func TestFallOffReachesItsLossInTheCorners(t *testing.T) {
	var p [3]*raster.Plane
	for i := range p {
		p[i] = raster.New(400, 300)
		for k := range p[i].Pix {
			p[i].Pix[k] = 1
		}
	}
	falloff(p, 0.3)
	if c, m := p[0].Pix[0], p[1].Pix[150*400+200]; math.Abs(float64(c)-0.7) > 0.01 || math.Abs(float64(m)-1) > 0.001 {
		t.Errorf("corner %g, middle %g; want 0.7 and 1", c, m)
	}
}
