package analysis

// Durations between the transitions of a waveform of two states (IEEE Std 181): pulse duration between
// crossings of the 50 % reference level, duty factor, and transition duration from the 10 % to the 90 % level.
// Each number is a mean over the screen and linear in the instants, so that its uncertainty follows from theirs.

import (
	"context"
	"math"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// An edge is one transition: its 50 % instant and those of 10 % and 90 % in order of time; start and end are
// zero if they are hidden.
type edge struct {
	mid, start, end crossing
	whole           bool    // start and end were found
	spacing         float64 // s: the widest step between points from start to end
}

func (e *edge) duration() float64 {
	if !e.whole {
		return math.NaN()
	}
	return e.end.t - e.start.t
}

// findEdges finds the transitions between the levels, through points that lie by so much of half the height from the
// middle as crossings have them, times inner.
func findEdges(t, v, w []float64, low, high, inner float64) []edge {
	height := high - low
	var edges []edge
	for _, c := range crossings(t, v, w, low+height/2, inner*height/2) {
		e := edge{mid: c}
		first, last := c.at[0], c.at[len(c.at)-1]
		up := 1.0
		from, to := low+height/10, high-height/10
		if !c.rising {
			up, from, to = -1, to, from
		}
		// Walk outwards to the first points beyond the 10 % and 90 % levels.
		for first > 0 && up*(v[first]-from) > 0 {
			first--
		}
		for last+1 < len(v) && up*(v[last]-to) < 0 {
			last++
		}
		var ok1, ok2 bool
		for i := first; i < last && !ok1; i++ {
			if up*(v[i]-from) <= 0 && up*(v[i+1]-from) > 0 {
				e.start, ok1 = cross(t, v, w, i, i+1, from, height/2)
			}
		}
		for i := last; i > first && !ok2; i-- {
			if up*(v[i]-to) >= 0 && up*(v[i-1]-to) < 0 {
				e.end, ok2 = cross(t, v, w, i-1, i, to, height/2)
			}
		}
		e.whole = ok1 && ok2 && e.end.t > e.start.t
		for i := first; i < last; i++ {
			e.spacing = math.Max(e.spacing, t[i+1]-t[i])
		}
		edges = append(edges, e)
	}
	return edges
}

// middles gives the 50 % instants.
func middles(edges []edge) []crossing {
	mids := make([]crossing, len(edges))
	for i := range edges {
		mids[i] = edges[i].mid
	}
	return mids
}

// A timing is a mean duration, or a ratio of two, over the screen.
type timing struct {
	quantity, label, unit string
	value                 float64
	parts                 []part
	count                 int // single ones in the mean
}

// A part is an instant that enters a timing with the given derivative.
type part struct {
	c     *crossing
	level float64 // of the crossing, 0 at the low state, 1 at the high
	share float64
}

// timings gives the durations as results, and how to make them once more.
func (b *bistate) timings(ctx context.Context, p *points, z *noise, edges []edge, dof float64, lister func([]edge, float64) []timing) ([]Result, model) {
	list := lister(edges, medianStep(p.t))
	remake := func(moved *calibrate.Record) []float64 {
		t, v := p.of(moved)
		again := lister(findEdges(t, v, p.w, dot(b.toLow, v), dot(b.toHigh, v), b.inner), medianStep(t))
		out := make([]float64, len(list))
		for q := range out {
			out[q] = math.NaN()
			if len(again) == len(list) && again[q].count == list[q].count {
				out[q] = again[q].value
			}
		}
		return out
	}
	moves := effectMoves(ctx, p.rec, remake)
	mids := middles(edges)
	n, periodic := countPeriods(mids, medianStep(p.t))
	more := n.excess(p, z, mids)
	var results []Result
	for q, x := range list {
		influence := make([]float64, len(p.t))
		// From pulse to pulse an edge may lie alike between its points, so that its error of place does not
		// average; only the errors of unlike edges are independent.
		var alike [2][3]float64
		for _, a := range x.parts {
			for k, i := range a.c.at {
				influence[i] += a.share * a.c.influence[k]
			}
			for i := range influence {
				influence[i] += a.share * a.c.perLevel * ((1-a.level)*b.toLow[i] + a.level*b.toHigh[i])
			}
			way := 0
			if a.c.rising {
				way = 1
			}
			alike[way][int(math.Round(2*a.level))] += math.Abs(a.share) * math.Max(a.c.place, a.c.stroke)
		}
		place := 0.0
		for _, way := range alike {
			for _, u := range way {
				place = math.Hypot(place, u)
			}
		}
		steep := x.quantity == "transition_duration" && x.value < resolvedSteps*meanSpacing(edges)
		if steep {
			place = math.Max(place, meanSpacing(edges)/math.Sqrt(3))
		}
		noise := math.Sqrt(z.variance(influence))
		budget := []Term{noiseTerm(noise, dof)}
		if place > 0 {
			budget = append(budget, Term{Source: sourcePlace, Value: math.NaN(), Unit: x.unit, Distribution: "rectangular",
				Standard: place, Sensitivity: 1, U: place, DOF: math.Inf(1)})
		}
		if periodic && more > 0 {
			shares := map[*crossing]float64{}
			for _, a := range x.parts {
				shares[a.c] += a.share
			}
			sum := 0.0
			for _, s := range shares {
				sum = math.Hypot(sum, s)
			}
			budget = append(budget, scatterTerm(more*sum, float64(n.spare), x.unit))
		}
		r := newResult(x.quantity, "mid-reference", x.label, x.value, x.unit, append(budget, effectTerms(p.rec, moves, q)...))
		if x.quantity == "transition_duration" {
			r.Method = "10-90"
		}
		if steep {
			r.Notes = append(r.Notes, remark.Of(KindSteep, remark.Number("most_s", x.value+2*place)))
		}
		results = append(results, r)
	}
	return results, model{count: len(results), of: func(t *trial) []float64 { return remake(t.rec) }}
}

// resolvedSteps is the number of point spacings below which a transition is the picture's own: with fewer than
// three points between 10 % and 90 % its shape is not seen; nothing changes from 1.5 to 12
// (TestIntervalsOfSteepStatesHoldTheTruth notices 0.75).
const resolvedSteps = 3.0

func meanSpacing(edges []edge) float64 {
	s := 0.0
	for _, e := range edges {
		s += e.spacing / float64(len(edges))
	}
	return s
}

// listTimings makes what the edges between points of the given spacing allow: pulse durations, the duty factor,
// transition durations.
func listTimings(edges []edge, spacing float64) []timing {
	period, periodic := countPeriods(middles(edges), spacing)
	var list []timing
	if len(edges) == 1 {
		e := &edges[0]
		list = append(list, timing{quantity: "step_time", label: "50 % crossing of the step, from the left rim", unit: "s", value: e.mid.t, count: 1,
			parts: []part{{&e.mid, 0.5, 1}}})
	}
	pulses := func(rising bool) (timing, bool) {
		x := timing{quantity: "pulse_duration", label: stateLabels[0], unit: "s"}
		if rising {
			x.label = stateLabels[1]
		}
		var one []float64
		for i := 1; i < len(edges); i++ {
			a, b := &edges[i-1].mid, &edges[i].mid
			if a.rising != rising || b.rising == rising || periodic && b.t-a.t > period.period {
				continue // the other state, or an edge between them is hidden
			}
			one = append(one, b.t-a.t)
			x.parts = append(x.parts, part{b, 0.5, 1}, part{a, 0.5, -1})
		}
		return x.mean(one)
	}
	for _, rising := range []bool{true, false} {
		x, ok := pulses(rising)
		if !ok {
			continue
		}
		list = append(list, x)
		if rising && periodic {
			list = append(list, dutyOf(x, edges, period, stateLabels[1]))
		}
	}
	for _, rising := range []bool{true, false} {
		x := timing{quantity: "transition_duration", label: "falling, from 90 % to 10 %", unit: "s"}
		first, last := 0.9, 0.1
		if rising {
			x.label = "rising, from 10 % to 90 %"
			first, last = last, first
		}
		var one []float64
		for i := range edges {
			if e := &edges[i]; e.whole && e.mid.rising == rising {
				one = append(one, e.duration())
				x.parts = append(x.parts, part{&e.end, last, 1}, part{&e.start, first, -1})
			}
		}
		if x, ok := x.mean(one); ok {
			list = append(list, x)
		}
	}
	return list
}

// stateLabels name the low and the high state of a result.
var stateLabels = [2]string{"low state", "high state"}

// dutyOf makes the duty factor of pulses of the duration x, whose edges have the period given.
func dutyOf(x timing, edges []edge, period count, label string) timing {
	duty := timing{quantity: "duty_factor", label: label, unit: "1", value: x.value / period.period, count: x.count}
	for _, a := range x.parts {
		duty.parts = append(duty.parts, part{a.c, a.level, a.share / period.period})
	}
	for i := range edges {
		duty.parts = append(duty.parts, part{&edges[i].mid, 0.5, -duty.value / period.period * period.share[i]})
	}
	return duty
}

// mean makes x the mean of the single values; false if there are none.
func (x timing) mean(one []float64) (timing, bool) {
	n := float64(len(one))
	if n == 0 {
		return x, false
	}
	for _, d := range one {
		x.value += d / n
	}
	x.count = len(one)
	for i := range x.parts {
		x.parts[i].share /= n
	}
	return x, true
}
