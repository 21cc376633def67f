package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
)

// decayAndReadings are a photo's record of a decay of τ = 10 s from 9 V that begins at 5 s, and readings of it, u of each 0.08 V. The
// photo's ground is off by a draw of its effect; gain and clock are off in both alike.
func decayAndReadings(rng *rand.Rand) (photo, table *calibrate.Record) {
	const ground, gain, clock, u = 0.05, 0.02, 1e-3, 0.08
	v := func(t float64) float64 { return 9 * math.Exp(-math.Max(0, t-5)/10) }
	g, k, c := ground*rng.NormFloat64(), 1+gain*rng.NormFloat64(), 1+clock*rng.NormFloat64()
	make1 := func(times []float64, u, shift float64) *calibrate.Record {
		rec := &calibrate.Record{}
		var e [2]calibrate.Effect
		e[0], e[1] = calibrate.Effect{Name: "volts scale", Shared: true}, calibrate.Effect{Name: "time base", Shared: true, Joint: true}
		for _, t := range times {
			y := v(t)*k + u*rng.NormFloat64() + shift
			rec.T, rec.V, rec.Sigma = append(rec.T, t*c), append(rec.V, y), append(rec.Sigma, u)
			e[0].DT, e[0].DV = append(e[0].DT, 0), append(e[0].DV, gain*y)
			e[1].DT, e[1].DV = append(e[1].DT, clock*t), append(e[1].DV, 0)
		}
		rec.Effects = e[:]
		return rec
	}
	var times []float64
	for i := range 500 {
		times = append(times, float64(i)/10)
	}
	photo = make1(times, 0.02, g)
	level := calibrate.Effect{Name: "ground line", DT: make([]float64, 500), DV: make([]float64, 500)}
	for i := range level.DV {
		level.DV[i] = -ground
	}
	photo.Effects = append(photo.Effects, level)
	return photo, make1([]float64{5.5, 7, 10, 12, 15, 20, 25, 30, 35, 40}, u, 0)
}

func laid(t *testing.T, photo, table *calibrate.Record) *Beside {
	t.Helper()
	f, err := Analyse(t.Context(), photo, &Settings{Signal: SignalDecay})
	if err != nil {
		t.Fatal(err)
	}
	g, err := Analyse(t.Context(), table, &Settings{Signal: SignalDecay})
	if err != nil {
		t.Fatal(err)
	}
	return LayBeside(Subject{"a", f}, table, g)
}

// The zetas of single readings, of the mean difference and of the two τ have a spread near 1, though gain and clock are off in
// both; and about one table in twenty has a reading flagged by chance.
func TestZetasOfReadingsHold(t *testing.T) {
	const seeds = 200
	squares := map[string]float64{}
	count := map[string]float64{}
	flagged := 0
	for seed := range uint64(seeds) {
		photo, table := decayAndReadings(rand.New(rand.NewPCG(seed, 7)))
		b := laid(t, photo, table)
		add := func(name string, zeta float64) {
			squares[name] += zeta * zeta
			count[name]++
		}
		odd := 0
		for _, r := range b.Readings {
			add("reading", r.Zeta)
			if r.Odd {
				odd = 1
			}
		}
		flagged += odd
		for _, c := range b.Comparisons {
			if c.What.Kind == KindReadingsInTheMean || c.What.Word("quantity") == "tau" && c.What.Word("method") == "curve" {
				add(string(c.What.Kind), c.Zeta)
			}
		}
	}
	if len(count) != 3 {
		t.Fatalf("compared %v", count)
	}
	for name, s := range squares {
		// Of 200 numbers the spread is known to 5 %; the τ of ten readings is of few degrees of freedom.
		if spread := math.Sqrt(s / count[name]); spread < 0.8 || spread > 1.25 {
			t.Errorf("%s: zetas with a spread of %.2f", name, spread)
		}
	}
	if flagged > seeds/8 {
		t.Errorf("%d of %d tables have an odd reading by chance", flagged, seeds)
	}
}

// A reading mistyped by ten of its u is flagged, and no other.
func TestAMistypedReadingIsFlagged(t *testing.T) {
	photo, table := decayAndReadings(rand.New(rand.NewPCG(3, 8)))
	table.V[5] += 0.8
	for i, r := range laid(t, photo, table).Readings {
		if r.Odd != (i == 5) {
			t.Errorf("reading %d: odd is %v, zeta %.1f", i, r.Odd, r.Zeta)
		}
	}
}

// A table that counts from the knee is told by how much, to a tenth of the time in which the trace falls by u; one that counts
// from the rim is left alone.
func TestShiftOfReadingsIsFound(t *testing.T) {
	photo, table := decayAndReadings(rand.New(rand.NewPCG(4, 9)))
	f, err := Analyse(t.Context(), photo, &Settings{Signal: SignalDecay})
	if err != nil {
		t.Fatal(err)
	}
	if shift, ok := ShiftOfReadings(t.Context(), Subject{"a", f}, table); ok {
		t.Errorf("a shift of %g s where there is none", shift)
	}
	for i := range table.T {
		table.T[i] -= 5
	}
	if shift, ok := ShiftOfReadings(t.Context(), Subject{"a", f}, table); !ok || math.Abs(shift-5) > 0.25 {
		t.Errorf("a shift of %g s, found %v; want 5 s", shift, ok)
	}
}

// Readings where the trace is hidden or does not reach have no difference.
func TestReadingsBesideAGapHaveNoDifference(t *testing.T) {
	photo, table := decayAndReadings(rand.New(rand.NewPCG(5, 10)))
	for i := range photo.V {
		if photo.T[i] > 18 && photo.T[i] < 22 {
			photo.V[i] = math.NaN()
		}
	}
	table.T[9] = 80
	for i, r := range laid(t, photo, table).Readings {
		if hidden := i == 5 || i == 9; math.IsNaN(r.Difference) != hidden {
			t.Errorf("reading %d at %g s: difference %g", i, r.T, r.Difference)
		}
	}
}
