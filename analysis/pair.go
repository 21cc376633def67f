package analysis

// Two traces of one photo. What the laboratory asks of them next:
//
//	two sines of one frequency   phase difference, delay, and ratio of the amplitudes
//	a square wave and a decay    the drive, and whether the decay settles at its levels
//	both with a period           whether it is the same
//
// Causes that move both traces in step, the time base and the fit of the graticule, move a difference by the difference
// of the two moves (JCGM 100:2008, 5.2.2), and so nearly drop out. The volts scales do not: each channel has an
// amplifier of its own.
//
// The phases are those of the two fits at the middles of their records, where an error of the frequency does not reach
// them, taken to one instant with the weighted mean f of the two frequencies:
//
//	Δφ = φb(tb) - φa(ta) - 2πf·(tb - ta),   delay = -Δφ/(2πf)

import (
	"context"
	"fmt"
	"math"
	"slices"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A Subject is a trace with its findings.
type Subject struct {
	Name string // for people: "a"
	*Findings
}

// A Pair is what two traces give together. Its comparisons count their results in one list: those of the first trace,
// those of the second, and then the pair's own.
type Pair struct {
	Results       []Result
	Comparisons   []Comparison
	Notes, Doubts []remark.Remark
}

const (
	// sameWave is the largest |zeta| of two frequencies that count as one: beyond it, chance makes one pair in 370 differ
	// (TestWhichFrequenciesAreOne).
	sameWave = 3.0
	// littleDrift is the share of a cycle by which two sines may drift apart over the screen and still have a phase
	// difference to speak of: 7°. Sure frequencies differ by less than that and yet by many u
	// (TestWhichFrequenciesAreOne).
	littleDrift = 0.02
)

// Between gives what two traces of one photo say of each other; a Pair without results if there is nothing. Once ctx is
// done it ends at once, and what it gives is not whole.
func Between(ctx context.Context, a, b Subject) *Pair {
	p := &Pair{}
	switch {
	case a.sine != nil && b.sine != nil:
		p.sines(ctx, a, b)
	case a.axes.VoltsInBoxes || b.axes.VoltsInBoxes: // their boxes need not be of one size
	case a.drive == drives && b.drive == isDriven:
		p.drive(ctx, a, b, 0, len(a.Results))
	case a.drive == isDriven && b.drive == drives:
		p.drive(ctx, b, a, len(a.Results), 0)
	}
	if a.sine == nil || b.sine == nil {
		p.periods(a, b)
	}
	p.tellUnits(unit.Axes{TimeInBoxes: a.axes.TimeInBoxes})
	return p
}

// tellUnits puts all in the units of the traces; what they give together has no volts in it but where both are in
// volts.
func (p *Pair) tellUnits(in unit.Axes) {
	for i := range p.Results {
		inUnits(&p.Results[i], in)
		stamp(p.Results[i].Doubts, in)
		stamp(p.Results[i].Notes, in)
	}
	stamp(p.Notes, in)
	stamp(p.Doubts, in)
	stampCompared(p.Comparisons, in)
}

// A fittedSine is what a sine's findings keep for a comparison with another.
type fittedSine struct {
	*wave
	points *points
	noise  *noise
	off    []float64 // V
	dof    float64
}

// phase at the middle of the record, of v = m + amplitude·sin(2πf(t - ref) + phase).
func (s *wave) phase() float64 { return math.Atan2(s.a, s.b) }

// A waves is the numbers that two sines give together, and how.
type waves struct {
	a, b    *fittedSine
	weights [2]float64 // of the frequencies
	around  float64    // rad: the phase difference is given within half a turn of it
}

// numbers: phase difference, delay, amplitude ratio, difference of the frequencies.
func (w *waves) numbers(a, b *wave) []float64 {
	f := w.weights[0]*a.f + w.weights[1]*b.f
	turn := 2 * math.Pi
	phase := b.phase() - a.phase() - turn*f*(b.ref-a.ref)
	phase = w.around + math.Remainder(phase-w.around, turn)
	return []float64{phase, -phase / (turn * f), b.amplitude() / a.amplitude(), b.f - a.f}
}

// noiseOf gives the noise variance of each number by the points of one of the two sines, from the derivatives of the
// numbers by its four parameters, and how much of it the points' own noise makes; the rest swings with the sine.
func (w *waves) noiseOf(s *fittedSine, numbers func(*wave) []float64) (all, own []float64) {
	at := *s.wave
	// small is a share of the amplitude, or of a cycle over the record; nothing changes from 2.5e-7 to 4e-6
	// (TestWhichFrequenciesAreOne).
	const small = 1e-6
	steps := []struct {
		k  int // the parameter's place among the influences; the middle line moves no number
		by float64
		of func(*wave) *float64
	}{
		{0, small / at.span, func(c *wave) *float64 { return &c.f }},
		{2, small * at.amplitude(), func(c *wave) *float64 { return &c.a }},
		{3, small * at.amplitude(), func(c *wave) *float64 { return &c.b }},
	}
	var influences [][]float64 // of the points on each number
	for _, step := range steps {
		up, down := at, at
		*step.of(&up) += step.by
		*step.of(&down) -= step.by
		x, y := numbers(&up), numbers(&down)
		if influences == nil {
			influences = make([][]float64, len(x))
		}
		for q := range x {
			d := (x[q] - y[q]) / (2 * step.by)
			if step.k == 0 {
				d /= at.span // the influence is on f·span
			}
			if influences[q] == nil {
				influences[q] = make([]float64, len(s.off))
			}
			for i, v := range s.influence[step.k] {
				influences[q][i] += d * v
			}
		}
	}
	all, own = make([]float64, len(influences)), make([]float64, len(influences))
	for q, influence := range influences {
		own[q] = s.noise.variance(influence)
		all[q] = math.Max(own[q], modulated(influence, s.off))
	}
	return all, own
}

// moves gives how the record of one of the two moves its sine.
func (s *fittedSine) moves(ctx context.Context) []wave {
	var out []wave
	effectMoves(ctx, s.points.rec, func(moved *calibrate.Record) []float64 {
		t, v := s.points.of(moved)
		out = append(out, s.moved(t, v, s.points.w))
		return nil
	})
	for len(out) < 2*len(s.points.rec.Effects) { // ctx is done
		out = append(out, *s.wave)
	}
	return out // up and down of each effect, in turn
}

func (p *Pair) sines(ctx context.Context, a, b Subject) {
	w := &waves{a: a.sine, b: b.sine, weights: [2]float64{0.5, 0.5}}
	variance := func(s *fittedSine) float64 { return s.noise.variance(s.influence[0]) / (s.span * s.span) }
	if fa, fb := variance(a.sine), variance(b.sine); fa > 0 && fb > 0 {
		w.weights = [2]float64{fb / (fa + fb), fa / (fa + fb)}
	}
	x := w.numbers(a.sine.wave, b.sine.wave)
	w.around = x[0]
	noiseA, ownA := w.noiseOf(a.sine, func(s *wave) []float64 { return w.numbers(s, b.sine.wave) })
	noiseB, ownB := w.noiseOf(b.sine, func(s *wave) []float64 { return w.numbers(a.sine.wave, s) })
	budgets := make([][]Term, len(x))
	for q := range x {
		// The degrees of freedom of correlated errors are those that the bandwidth leaves.
		budgets[q] = []Term{ofTrace(noiseTerm(math.Sqrt(noiseA[q]), math.Min(a.sine.dof, 1/bandwidth)), a),
			ofTrace(noiseTerm(math.Sqrt(noiseB[q]), math.Min(b.sine.dof, 1/bandwidth)), b)}
	}
	for _, term := range w.effects(ctx, a, b) {
		for q, u := range term.u {
			t := Term{Source: term.source, Value: math.NaN(), Unit: "1", Distribution: "normal", Standard: 1, Sensitivity: u, U: u, DOF: math.Inf(1), Shared: term.shared}
			budgets[q] = append(budgets[q], t)
		}
	}
	// The two frequencies first: without one frequency there is no phase difference.
	u, _ := combine(budgets[3])
	c := compared(KindTwoFrequencies, x[3], u, "Hz", []int{indexOf(a.Results, "frequency"), len(a.Results) + indexOf(b.Results, "frequency")},
		remark.Word("a", a.Name), remark.Word("b", b.Name))
	drift := math.Abs(x[3]) * math.Max(a.sine.span, b.sine.span)
	if !c.Agree {
		c.Causes = []remark.Remark{remark.Of(KindCauseNotLocked), remark.Of(KindCauseBadStretch, remark.Flag("either", true))}
	}
	p.Comparisons = append(p.Comparisons, c)
	if math.Abs(c.Zeta) > sameWave && drift > littleDrift {
		p.Notes = append(p.Notes, remark.Of(KindNoCommonFrequency, remark.Word("a", a.Name), remark.Word("b", b.Name)))
		return
	}
	phase := newResult("phase_difference", "curve", fmt.Sprintf("of %s against %s", b.Name, a.Name), x[0], "rad", budgets[0])
	delay := newResult("delay", "curve", fmt.Sprintf("of %s behind %s", b.Name, a.Name), x[1], "s", budgets[1])
	ratio := newResult("amplitude_ratio", "curve", fmt.Sprintf("%s over %s", b.Name, a.Name), x[2], "1", budgets[2])
	p.Results = append(p.Results, phase, delay, ratio)
	p.propagateSines(ctx, w, a, b, ownA, ownB)
	if a.axes.VoltsInBoxes != b.axes.VoltsInBoxes {
		p.Results = p.Results[:2] // volts over boxes are no ratio
	} else if a.axes.VoltsInBoxes {
		p.Results[2].Label += ", as drawn, in boxes"
	}
	p.Notes = append(p.Notes, remark.Of(KindPhase, remark.Word("a", a.Name), remark.Word("b", b.Name),
		remark.Number("phase_rad", phase.Value.X), remark.Number("u_phase_rad", phase.Value.U), remark.Number("agreeing", agreeing)))
}

// A jointTerm is what one source does to the numbers of a pair.
type jointTerm struct {
	source string
	shared bool
	u      []float64
}

// effects gives what the effects of both records do: those that move both in step together, the others one by one.
func (w *waves) effects(ctx context.Context, a, b Subject) (terms []jointTerm) {
	add := func(source string, shared bool, up, down []float64) {
		k := 0
		for k < len(terms) && terms[k].source != source {
			k++
		}
		if k == len(terms) {
			terms = append(terms, jointTerm{source, shared, make([]float64, len(up))})
		}
		for q := range up {
			terms[k].u[q] = math.Hypot(terms[k].u[q], (up[q]-down[q])/2)
		}
	}
	movesA, movesB := w.a.moves(ctx), w.b.moves(ctx)
	partners := partners(w.a.points.rec.Effects, w.b.points.rec.Effects)
	for i, e := range w.a.points.rec.Effects {
		upA, downA, upB, downB := &movesA[2*i], &movesA[2*i+1], w.b.wave, w.b.wave
		source := e.Name
		if k := partners[i]; k >= 0 {
			upB, downB = &movesB[2*k], &movesB[2*k+1]
		} else {
			source += " (trace " + a.Name + ")"
		}
		add(source, e.Shared, w.numbers(upA, upB), w.numbers(downA, downB))
	}
	for k, e := range w.b.points.rec.Effects {
		if !slices.Contains(partners, k) {
			add(e.Name+" (trace "+b.Name+")", e.Shared, w.numbers(w.a.wave, &movesB[2*k]), w.numbers(w.a.wave, &movesB[2*k+1]))
		}
	}
	return terms
}

// partners gives for each effect of one record the place of that of the other which moves in step with it; -1 if none
// does.
func partners(a, b []calibrate.Effect) []int {
	out := make([]int, len(a))
	used := make([]bool, len(b))
	for i, e := range a {
		out[i] = -1
		for k, o := range b {
			if e.Joint && o.Joint && e.Name == o.Name && !used[k] {
				out[i], used[k] = k, true
				break
			}
		}
	}
	return out
}

// ofTrace names a term by its trace.
func ofTrace(t Term, s Subject) Term {
	t.Source += " (trace " + s.Name + ")"
	return t
}

// indexOf is the place of the first result for a quantity, -1 if there is none.
func indexOf(list []Result, quantity string) int {
	for i, r := range list {
		if r.Quantity == quantity {
			return i
		}
	}
	return -1
}

// drive compares the levels of a square wave with those that a decay settles at; from and to are where the results of
// each begin in the pair's list.
func (p *Pair) drive(ctx context.Context, square, decay Subject, from, to int) {
	high, low := square.extremes()
	if high < 0 || low < 0 || high == low {
		return
	}
	drive := swingOf("v_drive", fmt.Sprintf("high less low level of trace %s", square.Name), square.Results[high], square.Results[low])
	p.Results = append(p.Results, drive)
	p.propagateDrive(ctx, square, high, low)
	top, bottom := decay.extremes()
	if top < 0 || bottom < 0 || top == bottom || !(drive.Value.U > 0) {
		return
	}
	swing := swingOf("", "", decay.Results[top], decay.Results[bottom])
	gap, u := swing.Value.X-drive.Value.X, math.Hypot(swing.Value.U, drive.Value.U)
	c := compared(KindDriveAndDecay, gap, u, "V", []int{from + high, from + low, to + top, to + bottom},
		remark.Word("a", square.Name), remark.Number("drive_v", drive.Value.X), remark.Number("u_drive_v", drive.Value.U),
		remark.Word("b", decay.Name), remark.Number("swing_v", swing.Value.X), remark.Number("u_swing_v", swing.Value.U))
	if !c.Agree {
		c.Causes = explain(gap, decay.again.settings.bleeding(drive.Value.X, swing.Value.X))
	}
	p.Comparisons = append(p.Comparisons, c)
}

// swingOf is the difference of two levels of one trace. The ground line moves both alike and drops out; the volts scale
// moves them in proportion to their size.
func swingOf(quantity, label string, high, low Result) Result {
	var budget []Term
	for i, r := range []Result{high, low} {
		for _, t := range r.Budget {
			if t.Source == groundTerm {
				continue
			}
			k := 0
			for k < len(budget) && budget[k].Source != t.Source {
				k++
			}
			switch {
			case i == 0 || k == len(budget):
				budget = append(budget, t)
			case t.Shared:
				alike := math.Copysign(1, low.Value.X) * math.Copysign(1, high.Value.X)
				budget[k].Sensitivity = math.Abs(budget[k].Sensitivity - alike*t.Sensitivity)
				budget[k].U = budget[k].Sensitivity * t.Standard
			default:
				budget[k].U, budget[k].DOF = math.Hypot(budget[k].U, t.U), math.Min(budget[k].DOF, t.DOF)
				budget[k].Sensitivity = budget[k].U / budget[k].Standard
			}
		}
	}
	return newResult(quantity, "", label, high.Value.X-low.Value.X, "V", budget)
}

// periods compares the first period of each trace; the time base is one and drops out.
func (p *Pair) periods(a, b Subject) {
	i, k := indexOf(a.Results, "period"), indexOf(b.Results, "period")
	if i < 0 || k < 0 {
		return
	}
	one, two := a.Results[i], b.Results[k]
	gap, u := differenceOf(one, two, func(t Term) bool { return t.Source == sourceTimeBase })
	if !(u > 0) {
		return
	}
	c := compared(KindTwoPeriods, gap, u, "s", []int{i, len(a.Results) + k}, remark.Word("a", a.Name), remark.Word("b", b.Name))
	p.Comparisons = append(p.Comparisons, c)
}

// sourceTimeBase names the effect of the time base.
const sourceTimeBase = "time base"

// differenceOf gives two less one, results for the same quantity in the same way, and its standard uncertainty. A
// source that common tells moves both in the same direction, so that only the difference of what it does is left.
func differenceOf(one, two Result, common func(Term) bool) (gap, u float64) {
	sum := 0.0
	left := map[string]float64{}
	for _, t := range one.Budget {
		if common(t) {
			left[t.Source] -= t.U
		} else {
			sum += t.U * t.U
		}
	}
	for _, t := range two.Budget {
		if common(t) {
			left[t.Source] += t.U
		} else {
			sum += t.U * t.U
		}
	}
	for _, d := range left {
		sum += d * d
	}
	return two.Value.X - one.Value.X, math.Sqrt(sum)
}
