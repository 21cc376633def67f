package analysis

// Simulated records for the tests of decays: a formula, noise that may be correlated from point to point, and
// effects on the whole record.

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/unit"
)

// A specimen says how a record is made.
type specimen struct {
	n     int     // points
	span  float64 // s
	sigma float64 // V, stated and true standard deviation of a point
	rho   float64 // correlation of neighbouring points (AR(1))
	v     func(t float64) float64
}

// record makes one with the noise of seed.
func (s specimen) record(seed uint64) *calibrate.Record {
	rng := rand.New(rand.NewPCG(seed, 20))
	rec := &calibrate.Record{}
	e := rng.NormFloat64()
	for j := range s.n {
		t := (float64(j) + 0.5) / float64(s.n) * s.span
		rec.T = append(rec.T, t)
		rec.V = append(rec.V, s.v(t)+s.sigma*e)
		rec.Sigma = append(rec.Sigma, s.sigma)
		e = s.rho*e + math.Sqrt(1-s.rho*s.rho)*rng.NormFloat64()
	}
	return rec
}

// with adds an effect that moves every point as told, at one standard deviation.
func with(rec *calibrate.Record, name string, shared bool, move func(t, v float64) (dt, dv float64)) *calibrate.Record {
	e := calibrate.Effect{Name: name, Shared: shared, DT: make([]float64, len(rec.T)), DV: make([]float64, len(rec.T))}
	for j := range rec.T {
		e.DT[j], e.DV[j] = move(rec.T[j], rec.V[j])
	}
	rec.Effects = append(rec.Effects, e)
	return rec
}

// slowDischarge is a level of v0 until the switch opens at t0, then a decay towards vInf.
func slowDischarge(v0, vInf, t0, tau float64) func(t float64) float64 {
	return func(t float64) float64 {
		if t < t0 {
			return v0
		}
		return vInf + (v0-vInf)*math.Exp(-(t-t0)/tau)
	}
}

// squareDriven is a capacitor driven between 0 and v through a resistor, half a period long each way, in its
// steady state; the first rise begins at t0.
func squareDriven(v, half, tau, t0 float64) func(t float64) float64 {
	low := v * math.Exp(-half/tau) / (1 + math.Exp(-half/tau))
	return func(t float64) float64 {
		phase := math.Mod(t-t0, 2*half)
		if phase < 0 {
			phase += 2 * half
		}
		if phase < half {
			return v - (v-low)*math.Exp(-phase/tau)
		}
		return (v - low) * math.Exp(-(phase-half)/tau)
	}
}

// blurred is f averaged over a window of the given width, as a stroke of that width shows it.
func blurred(f func(t float64) float64, width float64) func(t float64) float64 {
	return func(t float64) float64 {
		const steps = 9
		s := 0.0
		for k := range steps {
			s += f(t + width*((float64(k)+0.5)/steps-0.5))
		}
		return s / steps
	}
}

// find gives the result of a quantity by a method; the zero Result if there is none.
func find(f *Findings, quantity, method string) Result {
	for _, r := range f.Results {
		if r.Quantity == quantity && r.Method == method {
			return r
		}
	}
	return Result{}
}

func unitValue(x, u float64, in string) unit.Value { return unit.Value{X: x, U: u, Unit: in} }

// findDecays gives the findings of rec taken as decays, without what is the same for all kinds.
func findDecays(ctx context.Context, rec *calibrate.Record, s *Settings) (*Findings, error) {
	if s == nil {
		s = &Settings{}
	}
	s = s.withTolerances()
	p, err := choose(rec, s)
	if err != nil {
		return nil, err
	}
	d, err := fitDecay(ctx, p, s)
	if err != nil {
		return nil, err
	}
	return d.findings(ctx)
}

// fittedTable is what findDecays makes its results of.
func fittedTable(t *testing.T, rec *calibrate.Record, s *Settings) *table {
	t.Helper()
	p, err := choose(rec, s)
	if err != nil {
		t.Fatal(err)
	}
	d, err := fitDecay(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	return newTable(t.Context(), d.(*decaying).scheme, d.(*decaying).base)
}

// mistakesIn is what the usual mistakes would do to rec.
func mistakesIn(t *testing.T, rec *calibrate.Record, s *Settings) *mistakes {
	made := fittedTable(t, rec, s)
	return &mistakes{scheme: made.scheme, settings: s, tau: made.numbers[0].x, bend: made.bend}
}
