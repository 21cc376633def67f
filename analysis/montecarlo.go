package analysis

// The budget checked by propagating distributions (JCGM 101:2008). In every trial each input is drawn from the
// distribution that its term of the budget states, and all results are made anew from what was drawn:
//
//	the points      correlated normal noise, as the residuals have it, times √(ν/χ²ν), for its size is itself
//	                known to ν degrees of freedom only (6.4.9)
//	the effects     on the whole record (graticule fit, volts scale, …), each by its own factor
//	the parts       R, C, Rin, Rs, as the meters' accuracies say
//	other terms     limits stated for a result itself (a knee between two points, …), one draw a source and trial
//
// The middle 95 % of the trials (7.7.2, equal tails) stand beside x ± U. Trial k draws from its own stream, so that
// the numbers depend on the seed and not on how many processors share the work.

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// Trials is what a Monte Carlo calculation says of a result.
type Trials struct {
	N         int     // trials that gave a number
	Seed      uint64  // of all draws
	Mean, U   float64 // mean and standard deviation of the trials, in the result's unit
	Low, High float64 // ends of the 95 % interval, equal tails
}

const (
	// FewestTrials leave 25 beyond each end of the 95 % interval, which places it to a seventh of u. MostTrials take a
	// minute or two. TestTrialsAreFromAThousandToAMillion would notice.
	FewestTrials = 1000
	MostTrials   = 1000000 // TestTrialsAreFromAThousandToAMillion would notice
	// trialsApart, as a share of U, is how far the end of an interval may lie outside x ± U before the reader is told:
	// an interval that is short by a tenth holds 92 to 93 % instead of 95 (normal distribution; TestWhatIsToldOfTrials).
	trialsApart = 0.1
	// lostTrials is the share of trials without a number from which on the reader is told (TestWhatIsToldOfTrials).
	lostTrials = 0.01
)

// A replay is what it takes to make results anew. Models are run in order.
type replay struct {
	points   *points
	settings *Settings
	noise    *noise
	dof      float64 // of the noise
	models   []model
}

// A model makes count results, from first on, from a trial: NaN, or none at all, if the trial shows no such quantity. A
// derived one is made from other results of the trial, and their terms are in it already.
type model struct {
	first, count int
	of           func(t *trial) []float64
	derived      bool
	// noise has the standard uncertainties that the replay's noise makes; what the budget has beyond them is drawn
	// as a term of the result itself. nil if the budget has no more.
	noise []float64
}

// A trial is one draw of all inputs, and the results that were made of it so far.
type trial struct {
	rec      *calibrate.Record
	settings *Settings
	x        []float64
}

// propagate runs n trials and puts a Trials beside every result that has a budget and a model.
func (f *Findings) propagate(ctx context.Context, n int, seed uint64) {
	a := f.again
	if a == nil || n <= 0 {
		return
	}
	plans := f.planTerms()
	x := runTrials(ctx, n, seed, func() func(*rand.Rand) []float64 {
		d := a.newDrawer()
		return func(rng *rand.Rand) []float64 { return d.draw(rng, plans, len(f.Results)) }
	})
	if ctx.Err() != nil {
		return
	}
	made, apart := 0, 0
	for q := range f.Results {
		if plans[q] == nil {
			continue
		}
		made++
		if !f.Results[q].summarise(x, q, seed) {
			apart++
		}
	}
	f.Notes = append(f.Notes, trialsRun("", n, seed, made, apart))
}

// trialsRun tells what the n trials found of so many results, those of what is named, and for how many the budget is
// too narrow.
func trialsRun(of string, n int, seed uint64, made, apart int) remark.Remark {
	return remark.Of(KindTrials, remark.Count("trials", n), remark.Count("seed", int(seed)), remark.Word("of", of),
		remark.Count("results", made), remark.Count("apart", apart))
}

// runTrials gives trial by trial what the workers' functions make; newWorker is called once a worker.
// Once ctx is done no more are begun; the rows that are missing are nil.
func runTrials(ctx context.Context, n int, seed uint64, newWorker func() func(*rand.Rand) []float64) [][]float64 {
	x := make([][]float64, n)
	var wg sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			draw := newWorker()
			for k := w; k < n && ctx.Err() == nil; k += workers {
				x[k] = draw(newTrialRand(seed, k))
			}
		}()
	}
	wg.Wait()
	return x
}

// newTrialRand is the stream that trial k draws from.
func newTrialRand(seed uint64, k int) *rand.Rand { return rand.New(rand.NewPCG(seed, uint64(k))) }

// A planned result knows which of its terms are drawn as its own.
type planned struct {
	own      []Term
	together []int // the source of each: equal sources are drawn once a trial
}

// planTerms sorts every result's terms; nil for a result without a model.
func (f *Findings) planTerms() []*planned {
	sources := map[string]int{}
	drawn := map[string]bool{sourceNoise: true}
	for _, e := range f.again.points.rec.Effects {
		drawn[e.Name] = true
	}
	for _, part := range circuitParts(f.again.settings) {
		drawn[part.name] = true
	}
	plans := make([]*planned, len(f.Results))
	for i := range f.again.models {
		m := &f.again.models[i]
		for q := m.first; q < m.first+m.count; q++ {
			p := &planned{}
			plans[q] = p
			if m.derived {
				continue
			}
			for _, t := range f.Results[q].Budget {
				if t.Source == sourceNoise && m.noise != nil {
					t.U = math.Sqrt(math.Max(0, t.U*t.U-m.noise[q-m.first]*m.noise[q-m.first]))
				} else if drawn[t.Source] {
					continue
				}
				if !(t.U > 0) {
					continue
				}
				id, seen := sources[t.Source]
				if !seen {
					id = len(sources)
					sources[t.Source] = id
				}
				p.own, p.together = append(p.own, t), append(p.together, id)
			}
		}
	}
	return plans
}

// A drawer has one worker's room.
type drawer struct {
	replay   *replay
	noise    *noiseDraw
	rec      calibrate.Record
	settings Settings
	e        []float64
}

func (a *replay) newDrawer() *drawer {
	rec := a.points.rec
	return &drawer{replay: a, noise: newNoiseDraw(a.noise), settings: *a.settings, e: make([]float64, len(a.points.t)),
		rec: calibrate.Record{T: make([]float64, len(rec.T)), V: make([]float64, len(rec.V)), Sigma: rec.Sigma}}
}

// draw runs one trial.
func (d *drawer) draw(rng *rand.Rand, plans []*planned, results int) []float64 {
	d.drawPoints(rng)
	d.move(drawFactors(rng, d.replay.points.rec.Effects))
	return d.work(rng, plans, results)
}

// drawPoints makes the record of a trial of its points alone.
func (d *drawer) drawPoints(rng *rand.Rand) {
	a, rec := d.replay, d.replay.points.rec
	copy(d.rec.T, rec.T)
	copy(d.rec.V, rec.V)
	d.noise.draw(rng, d.e)
	scale := studentScale(rng, a.dof)
	for i, j := range a.points.at {
		d.rec.V[j] += scale * d.e[i]
	}
}

// drawFactors draws by how many standard deviations each effect moves a record.
func drawFactors(rng *rand.Rand, effects []calibrate.Effect) []float64 {
	factors := make([]float64, len(effects))
	for i, e := range effects {
		if factors[i] = rng.NormFloat64(); e.Shared {
			factors[i] = rectangular(rng)
		}
	}
	return factors
}

// move moves the record of a trial by its effects.
func (d *drawer) move(factors []float64) {
	for i, e := range d.replay.points.rec.Effects {
		for j, move := range e.DT {
			d.rec.T[j] += factors[i] * move
		}
		for j, move := range e.DV {
			d.rec.V[j] += factors[i] * move
		}
	}
}

// work draws the parts and makes all results of the record of a trial.
func (d *drawer) work(rng *rand.Rand, plans []*planned, results int) []float64 {
	a := d.replay
	for i, part := range []*unit.Value{&d.settings.Resistance, &d.settings.Capacitance, &d.settings.InputResistance, &d.settings.SourceResistance} {
		k, given := rectangular(rng), circuitParts(a.settings)[i].value
		*part = given
		if given.U > 0 {
			part.X += k * given.U
		}
	}
	t := &trial{rec: &d.rec, settings: &d.settings, x: make([]float64, results)}
	for q := range t.x {
		t.x[q] = math.NaN()
	}
	var units []float64 // one a source
	for i := range a.models {
		m := &a.models[i]
		for k, x := range m.of(t) {
			q := m.first + k
			for n, term := range plans[q].own {
				id := plans[q].together[n]
				for len(units) <= id {
					units = append(units, math.NaN())
				}
				if math.IsNaN(units[id]) {
					units[id] = unitDraw(rng, term)
				}
				x += term.U * units[id]
			}
			t.x[q] = x
		}
	}
	return t.x
}

// unitDraw draws from the distribution of a term, with a standard uncertainty of 1.
func unitDraw(rng *rand.Rand, t Term) float64 {
	switch t.Distribution {
	case "rectangular":
		return rectangular(rng)
	case "t":
		return rng.NormFloat64() * studentScale(rng, t.DOF)
	}
	return rng.NormFloat64()
}

// rectangular draws from -√3 to √3.
func rectangular(rng *rand.Rand) float64 { return math.Sqrt(3) * (2*rng.Float64() - 1) }

// studentScale is √(ν/χ²ν), which makes a normal draw one of Student's t at ν degrees of freedom.
func studentScale(rng *rand.Rand, dof float64) float64 {
	if !(dof < endless) {
		return 1
	}
	return math.Sqrt(dof / distuv.ChiSquared{K: math.Max(dof, 1), Src: rng}.Rand())
}

// summarise gathers trial by trial what column q of x says of r; it gives false, and a doubt, if the budget is too
// narrow.
func (r *Result) summarise(x [][]float64, q int, seed uint64) (holds bool) {
	var all []float64
	for _, row := range x {
		if v := row[q]; !math.IsNaN(v) && !math.IsInf(v, 0) {
			all = append(all, v)
		}
	}
	lost := len(x) - len(all)
	if float64(lost) > lostTrials*float64(len(x)) {
		r.Notes = append(r.Notes, remark.Of(KindTrialsWithout, remark.Count("lost", lost), remark.Count("trials", len(x))))
	}
	if len(all) < FewestTrials/2 {
		return true
	}
	slices.Sort(all)
	t := &Trials{N: len(all), Seed: seed}
	for _, v := range all {
		t.Mean += v / float64(len(all))
	}
	for _, v := range all {
		t.U += (v - t.Mean) * (v - t.Mean) / float64(len(all)-1)
	}
	t.U = math.Sqrt(t.U)
	tail := (1 - coverage) / 2
	t.Low, t.High = quantileOf(all, tail), quantileOf(all, 1-tail)
	r.Trials = t
	if !(r.Expanded > 0) {
		return true
	}
	// An end is itself placed to √(p(1-p)/n)/density only, here at that of a normal distribution.
	chance := 3 * math.Sqrt(tail*(1-tail)/float64(t.N)) / (distuv.UnitNormal.Prob(distuv.UnitNormal.Quantile(tail)) / t.U)
	below, above := r.Value.X-r.Expanded-t.Low, t.High-r.Value.X-r.Expanded
	if math.Max(below, above) > trialsApart*r.Expanded+chance {
		r.Doubts = append(r.Doubts, remark.Of(KindTrialsDisagree, remark.Number("low", t.Low), remark.Number("high", t.High), remark.Word("unit", r.Value.Unit)))

		return false
	}
	return true
}

// quantileOf gives the p-quantile of a sorted list, between neighbours (JCGM 101:2008, 7.7.1), which
// no kind of gonum's quantiles is.
func quantileOf(sorted []float64, p float64) float64 {
	at := p*float64(len(sorted)) - 0.5
	k := min(max(int(math.Floor(at)), 0), len(sorted)-2)
	return sorted[k] + (at-float64(k))*(sorted[k+1]-sorted[k])
}
