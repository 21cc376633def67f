package stroke

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"quadrille/vision/sheet"
)

// driven gives the heights of cycles of a square-driven decay as a display of n rows and columns a box draws them:
// in every column of the display the middle of its lowest and highest sample, each on a row.
func driven(s *sheet.Sheet, cycles, tau float64, n int) *Centres {
	c := &Centres{Y: make([]float64, s.NX), Sigma: make([]float64, s.NX), Thick: make([]float64, s.NX)}
	period := float64(s.NX) * s.DX / cycles
	truth := func(x float64) float64 {
		t := math.Mod(x-s.X0, period)
		if t < period/2 {
			return -2.5 + 5*(1-math.Exp(-t/tau))
		}
		return -2.5 + 5*math.Exp(-(t-period/2)/tau)
	}
	row := func(y float64) float64 { return math.Round(y*float64(n)) / float64(n) }
	for i := range c.Y {
		column := math.Floor(s.X(i) * float64(n))
		a, b := truth(column/float64(n)), truth((column+1)/float64(n))
		c.Y[i], c.Thick[i] = (row(a)+row(b))/2, math.Abs(row(a)-row(b))+0.05
		c.Sigma[i] = 1e-4
	}
	return c
}

func plainSheet() *sheet.Sheet {
	return &sheet.Sheet{Grid: sheet.Grid{NX: 500, NY: 400, X0: -4.99, DX: 0.02, Y0: -3.99, DY: 0.02, Across: 50, Up: 50}}
}

// On a steep trace the steps from column to column of the display are the error: 1/√12 of a column's width times the
// slope.
func TestSteepSamplesAreAsSureAsTheDisplaysColumns(t *testing.T) {
	for _, n := range []int{20, 25, 32, 50} {
		s := plainSheet()
		c := driven(s, 1, 2, n)
		c.widen(s)
		for i := 20; i < 100; i++ { // from 0.4 to 2 boxes, where the slope is more than 0.9
			slope := 2.5 * math.Exp(-(float64(i)*s.DX)/2)
			want := math.Hypot(slope, 1) / (math.Sqrt(12) * float64(n)) // column and row
			if r := c.Sigma[i] / want; r < 0.5 || r > 2.2 {
				t.Errorf("%d pixels a box, column %d: sigma %.4f, want about %.4f", n, i, c.Sigma[i], want)
			}
		}
	}
}

// What a display makes of a height it makes of it in every cycle: one effect has the ends of all falls, another those
// of all rises, and no effect is of one cycle alone.
func TestCyclesShareTheRoundingOfTheirHeights(t *testing.T) {
	s := plainSheet()
	c := driven(s, 4, 0.25, 24)
	c.widen(s)
	effects := append(c.steps(s), c.roundings()...)
	cycle := func(k int) int { return k * 4 / s.NX }
	ends := 0
	for _, e := range effects {
		if e.Name != "pixels of the display" {
			t.Errorf("effect %q", e.Name)
		}
		var seen [4]bool
		for k, d := range e.DY {
			if d != 0 {
				seen[cycle(k)] = true
			}
		}
		if seen != [4]bool{true, true, true, true} {
			t.Errorf("an effect of some cycles only: %v", seen)
		}
		if e.DY[s.NX/4-3] > 0.01 { // the first fall's end
			ends++
		}
	}
	if ends == 0 {
		t.Error("no effect has the end of the fall")
	}
	// A single decay comes to each height once.
	once := driven(s, 0.5, 1, 25)
	once.widen(s)
	if e := once.roundings(); e != nil {
		t.Errorf("%d effects of repeated heights in a single decay", len(e))
	}
}

// A tube's beam is rounded by nothing: a slow rise without steps shows it, and its levels are as sure as its focus.
func TestABeamHasNoSteps(t *testing.T) {
	s := plainSheet()
	c := driven(s, 4, 0.25, 2000)
	c.widen(s)
	if u := c.still(); u > 2*leastPixel {
		t.Errorf("a level of a beam is good to %.4f box only", u)
	}
	if e := c.roundings(); e != nil {
		t.Errorf("%d effects of rounded heights", len(e))
	}
	rows := driven(s, 4, 0.25, 25)
	rows.widen(s)
	if u := rows.still(); u < 0.8/(math.Sqrt(12)*25) {
		t.Errorf("a level on 25 rows a box is good to %.4f box", u)
	}
}

// A level of so much noise is drawn in every column of the display from its lowest to its highest of six samples,
// which a converter has rounded; what the mean of their middles is off the voltage is as large as still says, over
// many levels.
func TestNoiseMakesLevelsFiner(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	var all []float64
	for _, noise := range []float64{0, 0.005, 0.01, 0.015, 0.02, 0.03} {
		var pulls []float64
		for _, n := range []float64{25, 30, 40, 50, 60} {
			for range 40 {
				s := plainSheet()
				c := &Centres{Y: make([]float64, s.NX), Sigma: make([]float64, s.NX), Thick: make([]float64, s.NX)}
				level, last := rng.Float64(), math.Inf(-1)
				var lo, hi, sum float64
				for i := range c.Y {
					if column := math.Floor(s.X(i) * n); column != last {
						last, lo, hi = column, math.Inf(1), math.Inf(-1)
						for range 6 {
							y := math.Round((level+noise*rng.NormFloat64())*25) / 25
							y = math.Round(y*n) / n
							lo, hi = min(lo, y), max(hi, y)
						}
					}
					c.Y[i], c.Thick[i], c.Sigma[i] = (lo+hi)/2, hi-lo+0.04, 1e-4
					sum += c.Y[i] / float64(s.NX)
				}
				c.widen(s)
				pulls = append(pulls, (sum-level)/math.Hypot(c.still(), c.noise/math.Sqrt(10*n)))
			}
		}
		r := math.Sqrt(meanSquare(pulls))
		t.Logf("noise %.3f box: spread of the pull %.2f", noise, r)
		if r < 0.6 || r > 1.4 {
			t.Errorf("noise %.3f box: spread of the pull %.2f", noise, r)
		}
		all = append(all, pulls...)
	}
	if r := math.Sqrt(meanSquare(all)); r < 0.8 || r > 1.25 {
		t.Errorf("spread of the pull %.2f", r)
	}
}

// A decay on codes, without noise from column to column: what means of columns scatter by does not make its rest finer.
func TestARestBesideASlopeIsNoFinerThanItsStep(t *testing.T) {
	s := plainSheet()
	c := &Centres{Y: make([]float64, s.NX), Sigma: make([]float64, s.NX), Thick: make([]float64, s.NX)}
	for i := range c.Y {
		c.Y[i] = math.Round(3*math.Exp(-(s.X(i)-s.X(0))/2)*25) / 25
		c.Thick[i], c.Sigma[i] = 0.05, 1e-3
	}
	c.widen(s)
	c.noise = 0.03
	effects := c.steps(s)
	if len(effects) == 0 {
		t.Fatal("no rest found")
	}
	for _, e := range effects {
		if u := slices.Max(e.DY); u < 0.8*c.rounded() {
			t.Errorf("a rest is sure to %.4f box, its step has %.4f", u, c.rounded())
		}
	}
}

// The same decay with noise that differs from column to column, blurred over three: its rest is finer than its step.
func TestARestIsFinerByTheNoiseOfItsColumns(t *testing.T) {
	s := plainSheet()
	rng := rand.New(rand.NewPCG(5, 5))
	noisy := make([]float64, s.NX+2)
	for i := range noisy {
		noisy[i] = math.Round((3*math.Exp(-float64(i)*s.DX/2)+0.025*rng.NormFloat64())*25) / 25
	}
	c := &Centres{Y: make([]float64, s.NX), Sigma: make([]float64, s.NX), Thick: make([]float64, s.NX)}
	for i := range c.Y {
		c.Y[i] = noisy[i]/4 + noisy[i+1]/2 + noisy[i+2]/4
		c.Thick[i], c.Sigma[i] = 0.05, 1e-3
	}
	c.widen(s)
	if u := c.still(); !(u < 0.4*c.rounded()) {
		t.Errorf("a rest is sure to %.4f box, its step has %.4f: noise %.4f, %.4f by neighbours", u, c.rounded(), c.noise, c.ripple)
	}
}

func meanSquare(v []float64) (m float64) {
	for _, x := range v {
		m += x * x / float64(len(v))
	}
	return m
}
