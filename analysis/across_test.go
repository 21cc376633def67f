package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate/unit"
)

func measuredAs(x, u float64, common ...Common) Measured {
	return Measured{Value: unit.Value{X: x, U: u, Unit: "s"}, Common: common}
}

// JCGM 100:2008, 5.2.2, worked out by hand: two values of u = 1 s that share a cause of 0.8 s differ with
// u = √(1 + 1 − 2·0.64) s = 0.849 s; shared with opposite signs, with √3.28 s; of different causes, with √2 s.
func TestWhatTwoRecordsShareIsTakenOff(t *testing.T) {
	for _, c := range []struct {
		other Common
		u     float64
		taken int
	}{
		{Common{"clock", 0.8}, math.Sqrt(0.72), 1},
		{Common{"clock", -0.8}, math.Sqrt(3.28), 1},
		{Common{"another clock", 0.8}, math.Sqrt2, 0},
	} {
		p := CompareRecords([]Measured{measuredAs(10, 1, Common{"clock", 0.8}), measuredAs(12, 1, c.other)}).Pairs[0]
		if math.Abs(p.Gap.U-c.u) > 1e-12 || p.Gap.X != 2 || len(p.Taken) != c.taken {
			t.Errorf("%v: %g(%g), taken off %v, want u = %g", c.other, p.Gap.X, p.Gap.U, p.Taken, c.u)
		}
		if want := 2/c.u <= 2; p.Agree != want || math.Abs(p.Zeta-2/c.u) > 1e-12 {
			t.Errorf("%v: zeta = %g, agree: %v", c.other, p.Zeta, p.Agree)
		}
	}
}

// Records of one quantity with noise of their own and a clock in common: pairs, all together and the slope fail as
// often as chance has it (4.55 % beyond 2 of a normal distribution), and the pulls of the mean have a spread of 1.
func TestRecordsThatAreOneFailAsOftenAsChanceHasIt(t *testing.T) {
	const trials = 6000
	r := rand.New(rand.NewPCG(14, 12))
	pairs, together, slopes, pulls := 0, 0, 0, 0.0
	for range trials {
		clock := r.NormFloat64()
		var of []Measured
		for _, own := range []float64{0.5, 1, 2} {
			move := 0.7
			of = append(of, measuredAs(10+own*r.NormFloat64()+move*clock, math.Hypot(own, move), Common{"clock", move}))
		}
		a := CompareRecords(of)
		if !a.Pairs[1].Agree {
			pairs++
		}
		if !a.Agree {
			together++
		}
		trend, ok := Along(of, []float64{3, 6, 4.5})
		if !ok {
			t.Fatal("no slope")
		}
		if !trend.Agree {
			slopes++
		}
		pulls += math.Pow((a.Mean.X-10)/a.Mean.U, 2)
	}
	for name, n := range map[string]int{"pairs": pairs, "all together": together, "slopes": slopes} {
		if share := float64(n) / trials; math.Abs(share-0.0455) > 0.012 {
			t.Errorf("%s: %.2f %% fail, want about 4.6 %%", name, 100*share)
		}
	}
	if spread := math.Sqrt(pulls / trials); math.Abs(spread-1) > 0.03 {
		t.Errorf("the pulls of the mean have a spread of %.3f", spread)
	}
}

// Without anything in common the mean is the one with weights 1/u², and the slope that of the line of least squares.
func TestIndependentRecordsAreWeightedByTheirUncertainty(t *testing.T) {
	of := []Measured{measuredAs(1, 1), measuredAs(4, 2)}
	a := CompareRecords(of)
	if math.Abs(a.Mean.X-1.6) > 1e-12 || math.Abs(a.Mean.U-math.Sqrt(0.8)) > 1e-12 {
		t.Errorf("mean %g(%g), want 1.6(0.894)", a.Mean.X, a.Mean.U)
	}
	trend, ok := Along(of, []float64{3, 6})
	if !ok || math.Abs(trend.Slope-1) > 1e-12 || math.Abs(trend.U-math.Sqrt(5)/3) > 1e-12 {
		t.Errorf("slope %g(%g), want 1(0.745)", trend.Slope, trend.U)
	}
	if _, ok := Along(of, []float64{5.8, 6}); ok {
		t.Error("a slope from drives that are the same")
	}
	if len(CompareRecords(of[:1]).Pairs) != 0 {
		t.Error("one record is compared")
	}
}
