package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
)

// Trials of a pair draw the time base, which is off by a hundred times what the phase is uncertain by, once for both
// traces: their spread is that of the budget.
func TestTrialsOfTwoSinesAgreeWithTheBudget(t *testing.T) {
	ra, rb := twoSines(rand.New(rand.NewPCG(7, 3)), 200, 0.9, 0.45)
	s := &Settings{Signal: SignalSine, Trials: 4000}
	a, errA := Analyse(t.Context(), ra, s)
	b, errB := Analyse(t.Context(), rb, s)
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	p := Between(t.Context(), Subject{"a", a}, Subject{"b", b})
	for _, r := range p.Results {
		if r.Trials == nil {
			t.Fatalf("%s has no trials", r.Quantity)
		}
		// The standard deviation of 4000 trials is known to 1.1 %, Student's t at ten degrees of freedom is wider by a tenth.
		if k := r.Trials.U / r.Value.U; !(k > 0.9 && k < 1.2) || len(r.Doubts) > 0 {
			t.Errorf("%s: %g by trials, %g by the budget, doubts %q", r.Quantity, r.Trials.U, r.Value.U, r.Doubts)
		}
		if math.Abs(r.Trials.Mean-r.Value.X) > 0.2*r.Value.U {
			t.Errorf("%s: the mean of the trials is %g, the value %g", r.Quantity, r.Trials.Mean, r.Value.X)
		}
	}
	if told := p.Notes[len(p.Notes)-2]; told.Kind != KindTrials || told.Word("of") != "both" || told.Count("results") != 3 || told.Count("apart") != 0 {
		t.Errorf("notes %q", p.Notes)
	}
}

// Trials of a drive draw the volts scale once for both of its levels.
func TestTrialsOfADriveAgreeWithTheBudget(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	square, decay := &calibrate.Record{}, &calibrate.Record{}
	const tau, half = 0.1, 0.5
	low := 6 / (1 + math.Exp(half/tau)) // where it turns round
	for i := range 400 {
		x := 2 * float64(i) / 399
		up := int(x/half)%2 == 0
		v, c := 0.0, (6-low)*math.Exp(-math.Mod(x, half)/tau)
		if up {
			v, c = 6, 6-c
		}
		for rec, y := range map[*calibrate.Record]float64{square: v, decay: c} {
			rec.T, rec.Sigma = append(rec.T, x), append(rec.Sigma, 0.02)
			rec.V = append(rec.V, y)
		}
	}
	for _, rec := range []*calibrate.Record{square, decay} {
		for i := range rec.V {
			rec.V[i] += 0.02 * rng.NormFloat64()
		}
		with(rec, "volts scale", true, func(_, v float64) (float64, float64) { return 0, 0.017 * v })
		with(rec, groundTerm, false, func(_, _ float64) (float64, float64) { return 0, 0.06 })
	}
	s := func(signal string) *Settings { return &Settings{Signal: signal, Trials: 2000} }
	a, errA := Analyse(t.Context(), square, s(SignalStates))
	b, errB := Analyse(t.Context(), decay, s(SignalDecay))
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	r := Between(t.Context(), Subject{"a", a}, Subject{"b", b}).Results[0]
	if r.Quantity != "v_drive" || r.Trials == nil {
		t.Fatalf("%s, %+v", r.Quantity, r.Trials)
	}
	// The ground line, 0.06 V, moves both levels alike and drops out of both.
	if k := r.Trials.U / r.Value.U; !(k > 0.9 && k < 1.1) || len(r.Doubts) > 0 {
		t.Errorf("%g by trials, %g by the budget, doubts %q", r.Trials.U, r.Value.U, r.Doubts)
	}
}
