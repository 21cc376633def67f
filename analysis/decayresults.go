package analysis

// Results of a decay: numbers of the pieces brought together, each with its budget.

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// An output is a result in the making.
type output struct {
	quantity, method, label, unit string
	number                        number
	moves                         []float64 // by each effect
	doubts, notes                 []remark.Remark
}

// A pooling is how a quantity is averaged over the pieces that have it.
type pooling struct {
	members []int
	weights []float64
}

// Names of terms beside those of noise and effects.
const (
	sourceKnee    = "place of the knee"
	sourceLogBias = "bend of the logarithm under noise"
	sourceDiffer  = "differences between the decays"
	sourceBent    = "departure from one exponential"
)

// plan decides what every method uses, once.
func (d *decay) plan() {
	d.plans = make([]plan, len(d.pieces))
	for i, p := range d.pieces {
		d.plans[i] = plan{log: d.logPoints(p), half: d.planHalves(p)}
	}
	d.planLevels()
}

// results makes all numbers with their budgets, and keeps the outputs for comparisons.
func (d *decay) results(ctx context.Context) []Result {
	d.base = d.evaluate(d.t, d.v, true)
	for i := range d.base {
		d.forget(i, !d.tells(d.base[i].log), !d.tells(d.base[i].halfLife))
	}
	d.pools, d.out = map[string]*pooling{}, nil
	d.out = d.outputs(d.base)
	moves, lost := d.moves(ctx)
	if len(lost) > 0 { // an effect moves something out of what can be read
		for i, n := range lost {
			d.forget(i, math.IsNaN(n.log.x), math.IsNaN(n.halfLife.x))
		}
		d.pools, d.out = map[string]*pooling{}, nil
		d.out = d.outputs(d.base)
		moves, _ = d.moves(ctx)
	}
	for q := range d.out {
		d.out[q].moves = make([]float64, len(moves))
		for i := range moves {
			d.out[q].moves[i] = moves[i][q]
		}
	}
	d.checkAlike()
	d.bend = d.findBend()
	var results []Result
	for q, o := range d.out {
		budget := append(d.ownTerms(o), effectTerms(d.rec, moves, q)...)
		r := newResult(o.quantity, o.method, o.label, o.number.x, o.unit, budget)
		r.Doubts, r.Notes = append(r.Doubts, o.doubts...), append(r.Notes, o.notes...)
		if q == 0 && o.quantity == "tau" {
			if i, ok := d.profileTau(&r); ok {
				r.Interval = &i
				r.Notes = append(r.Notes, remark.Text(i.says(o.unit)))
			}
		}
		if o.quantity == "v_end" {
			r.Doubts = append(r.Doubts, d.nearGround(r)...)
		}
		results = append(results, r)
	}
	if tau, budget := tauRC(d.settings); budget != nil {
		r := newResult("tau", "rc", "", tau, "s", budget)
		r.Notes, r.Doubts = rcRemarks(d.settings, r)
		results = append(results, r)
	}
	if r, ok := partFromTau(d.settings, results); ok {
		results = append(results, r)
	}
	if r, ok := loopResistance(d.settings); ok {
		results = append(results, r)
	}
	return results
}

// replay says how to make the results once more.
func (d *decay) replay(results []Result) *replay {
	r := &replay{points: d.points, noise: &d.noise, dof: d.degrees()}
	r.models = []model{{count: len(d.out), of: func(t *trial) []float64 { return d.again(t.rec) }}}
	for q := len(d.out); q < len(results); q++ {
		m := model{first: q, count: 1, of: func(t *trial) []float64 {
			tau, _ := tauRC(t.settings)
			return []float64{tau}
		}}
		switch results[q].Quantity {
		case "tau":
		case "loop_resistance":
			m.of = func(t *trial) []float64 {
				r, _ := loopResistance(t.settings)
				return []float64{r.Value.X}
			}
		default:
			m.derived = true
			m.of = func(t *trial) []float64 {
				_, _, x, _, _ := partOf(t.settings, t.x[0]) // the first output is τ of the curve
				return []float64{x}
			}
		}
		r.models = append(r.models, m)
	}
	return r
}

// again makes the outputs of a record that was moved.
func (d *decay) again(moved *calibrate.Record) []float64 {
	t, v := d.points.of(moved)
	out := d.outputs(d.evaluate(t, v, false))
	x := make([]float64, len(out))
	for q := range out {
		x[q] = out[q].number.x
	}
	return x
}

// unread is a number that a method cannot make.
var unread = number{x: math.NaN()}

// tells whether a time is known well enough to be averaged: above zero, and not lost in the noise.
func (d *decay) tells(n number) bool {
	return n.x > 0 && math.Sqrt(d.variance(n)) <= hopeless*n.x
}

// forget takes the log line, the half-lives or both of a piece out of the plan.
func (d *decay) forget(i int, log, half bool) {
	n, p := &d.base[i], &d.plans[i]
	if log {
		p.log, n.log = nil, unread
	}
	if half {
		p.half.windows, n.halfLife, n.halves = nil, unread, nil
	}
}

// moves of every output by every effect, and numbers of the pieces whose log line or half-lives an effect makes
// unreadable.
func (d *decay) moves(ctx context.Context) (moves [][]float64, lost map[int]numbers) {
	lost = map[int]numbers{}
	moves = effectMoves(ctx, d.rec, func(moved *calibrate.Record) []float64 {
		t, v := d.points.of(moved)
		all := d.evaluate(t, v, false)
		for i, n := range all {
			if d.plans[i].log != nil && math.IsNaN(n.log.x) || len(d.plans[i].half.windows) > 0 && math.IsNaN(n.halfLife.x) {
				before := lost[i] // NaN of an earlier effect stays
				n.log.x += before.log.x
				n.halfLife.x += before.halfLife.x
				lost[i] = n
			}
		}
		out := d.outputs(all)
		x := make([]float64, len(out))
		for q := range out {
			x[q] = out[q].number.x
		}
		return x
	})
	return moves, lost
}

// outputs lists the results that depend on the record, in the order in which they are told; the same ones on
// every call. The first call, with influences, fixes the weights of averages.
func (d *decay) outputs(all []numbers) []output {
	var out []output
	add := func(quantity, method, label, in string, of func(n *numbers) number, takes func(p *piece) bool) {
		if n, ok := d.pooled(all, quantity+method+label, in == "s", of, takes); ok {
			out = append(out, output{quantity: quantity, method: method, label: label, unit: in, number: n})
		}
	}
	every := func(*piece) bool { return true }
	add("tau", "curve", "", "s", func(n *numbers) number { return n.tau }, every)
	add("tau", "log_line", "", "s", func(n *numbers) number { return n.log }, every)
	add("tau", "half_life", "", "s", func(n *numbers) number { return blend(n.halfLife.x/math.Ln2, share{1 / math.Ln2, n.halfLife}) }, every)
	add("half_life", "half_life", "", "s", func(n *numbers) number { return n.halfLife }, every)
	for _, rises := range d.ways() {
		way := map[bool]string{false: "falls", true: "rises"}[rises]
		begin, settle := "where the "+way+" begin", "level that the "+way+" settle at"
		goes := func(p *piece) bool { return p.rises() == rises }
		start := func(n *numbers) number { return n.start }
		add("v_start", "level", "level before the "+way, "V", start, func(p *piece) bool { return goes(p) && p.level != nil })
		add("v_start", "curve", begin, "V", start, func(p *piece) bool { return goes(p) && p.level == nil && (p.begins() || !d.anyBegins(rises)) })
		add("v_end", "curve", settle, "V", func(n *numbers) number { return n.settles }, func(p *piece) bool { return goes(p) && p.fixedC == nil })
	}
	for k := range d.settings.Levels {
		add("time_at_level", "reading", d.levelLabels[k], "s", func(n *numbers) number { return n.levels[k] }, every)
	}
	if len(d.pieces) == 1 {
		for k, n := range all[0].halves {
			o := output{quantity: "time_at_level", method: "reading", unit: "s", number: n}
			if d.out == nil {
				o.label = halfLabel(k+1, all[0].halfVolts[0], all[0].halfVolts[k+1])
			}
			out = append(out, o)
		}
	}
	for i, p := range d.pieces {
		if len(d.pieces) > 1 {
			out = append(out, output{quantity: "tau", method: "curve", label: p.label + " alone", unit: "s", number: all[i].tau})
		}
	}
	d.explain(out)
	return out
}

// explain adds the doubts that go with single results.
func (d *decay) explain(out []output) {
	for i := range out {
		for _, rises := range d.ways() {
			if o := &out[i]; o.quantity == "v_start" && o.method == "curve" && !d.anyBegins(rises) {
				says := "The knee is not in the record: this is the voltage at its first point used, which the decay may have passed through long after it began."
				if len(d.settings.Levels) > 0 { // times are counted from there
					o.doubts = append(o.doubts, remark.Text(says+" The times at levels count from that point."))
				} else {
					o.notes = append(o.notes, remark.Text(says))
				}
				break
			}
		}
	}
}

// nearGround doubts a level that is close to ground and yet not at it, or below it by less than a drive of both signs
// would have it.
func (d *decay) nearGround(r Result) []remark.Remark {
	for _, p := range d.pieces {
		if p.rises() || !(math.Abs(r.Value.X) > groundDoubt*r.Value.U) {
			continue
		}
		if start := p.fit.at(p.knee); !d.goBothWays() && r.Value.X < 0 && r.Value.X > -belowGround*start {
			return []remark.Remark{remark.Text(fmt.Sprintf("The decay begins above ground and settles at %s, below it. No discharge does: the ground line may be misplaced, or the mark of another trace was taken for it.", r.Value))}
		} else if math.Abs(r.Value.X) > nearlyGround*math.Abs(start) {
			continue
		}
		return []remark.Remark{remark.Text(fmt.Sprintf("A capacitor that discharges fully settles at ground, and this is %s away from it: the ground line may be misplaced, a leak or an offset may hold the voltage, or the decay is not one exponential.", r.Value))}
	}
	return nil
}

// nearlyGround, as a share of the starting voltage, is how near to ground a level is probably meant to be ground.
const nearlyGround = 0.1

// belowGround, as a share of the starting voltage, is how far below ground a level may lie that is probably meant to be
// ground: a drive that goes equally far both ways has 1.
const belowGround = 0.6

// halfLabel names the time of n half-lives.
func halfLabel(n int, from, to float64) string {
	lives := "half-lives"
	if n == 1 {
		lives = "half-life"
	}
	return fmt.Sprintf("%d %s, from %s to %s", n, lives, unit.Engineering(from, 3, "V"), unit.Engineering(to, 3, "V"))
}

// ways lists whether decays fall (false), rise (true) or both.
func (d *decay) ways() []bool {
	ways := []bool{d.pieces[0].rises()}
	if d.goBothWays() {
		ways = []bool{false, true}
	}
	return ways
}

func (d *decay) goBothWays() bool {
	for _, p := range d.pieces {
		if p.rises() != d.pieces[0].rises() {
			return true
		}
	}
	return false
}

// anyBegins tells whether the record shows the knee of any decay that goes this way.
func (d *decay) anyBegins(rises bool) bool {
	for _, p := range d.pieces {
		if p.rises() == rises && p.begins() {
			return true
		}
	}
	return false
}

// pooled averages a quantity over the pieces that take part and have it, with weights from the noise of each,
// both fixed on the first call for a name. u of a time constant grows with its value, so weights 1/u² would favour
// the decays that noise made short; proportional takes that out. ok is false if no piece has the quantity.
func (d *decay) pooled(all []numbers, name string, proportional bool, of func(n *numbers) number, takes func(p *piece) bool) (n number, ok bool) {
	plan := d.pools[name]
	if plan == nil {
		plan = &pooling{}
		d.pools[name] = plan
		for i := range all {
			if x := of(&all[i]); takes(d.pieces[i]) && !math.IsNaN(x.x) {
				plan.members = append(plan.members, i)
				w := 1 / d.variance(x)
				if x.x > 0 && proportional {
					w *= x.x * x.x
				}
				plan.weights = append(plan.weights, w)
			}
		}
		for _, w := range plan.weights {
			if !(w > 0) || math.IsInf(w, 0) { // a value given, not measured
				plan.weights = ones(len(plan.members))
				break
			}
		}
	}
	numbers := make([]number, len(plan.members))
	for k, i := range plan.members {
		numbers[k] = of(&all[i])
	}
	return average(numbers, plan.weights), len(numbers) > 0
}

func ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}

// Inputs of a decay beside its points, in the order of a number's influences: the knees, then the bias of the log line.

func (d *decay) inputs() int { return len(d.t) + len(d.pieces) + 1 }

func (d *decay) kneeInput(piece int) int { return len(d.t) + piece }

func (d *decay) biasInput() int { return len(d.t) + len(d.pieces) }

// covariance of two numbers from the noise of the points, the knees and the bend.
func (d *decay) covariance(a, b number) float64 {
	if a.d == nil || b.d == nil {
		return 0
	}
	c := d.noise.covariance(a.d[:len(d.t)], b.d[:len(d.t)])
	for i, p := range d.pieces {
		k := d.kneeInput(i)
		c += a.d[k] * b.d[k] * p.kneeU * p.kneeU
	}
	return c + a.d[d.biasInput()]*b.d[d.biasInput()]
}

func (d *decay) variance(a number) float64 {
	if a.d == nil {
		return 0
	}
	n := len(d.t)
	return d.covariance(a, a) - d.noise.covariance(a.d[:n], a.d[:n]) + d.noise.variance(a.d[:n])
}

// ownTerms are those of an output that do not come from the record's effects.
func (d *decay) ownTerms(o output) []Term {
	if o.number.d == nil {
		return nil
	}
	n := len(d.t)
	u := math.Sqrt(d.noise.variance(o.number.d[:n]))
	terms := []Term{noiseTerm(u, d.degrees())}
	ofDecays := o.quantity == "tau" || o.quantity == "half_life"
	if ofDecays && d.birge > 1 { // what parts them is off in each of them too
		more := u * math.Sqrt(d.birge*d.birge-1)
		terms = append(terms, Term{Source: sourceDiffer, Value: math.NaN(), Unit: "s", Distribution: "t", Standard: more, Sensitivity: 1, U: more, DOF: float64(len(d.pieces) - 1)})
	}
	if limit := d.bend.limit() / d.out[0].number.x * o.number.x; limit > 0 && ofDecays {
		terms = append(terms, inputTerm(sourceBent, unit.Value{X: math.NaN(), U: limit / math.Sqrt(3), Unit: "s"}, "rectangular", 1))
	}
	knee, size := 0.0, 0.0
	for i, p := range d.pieces {
		knee = math.Hypot(knee, o.number.d[d.kneeInput(i)]*p.kneeU)
		size = math.Max(size, p.kneeU)
	}
	if knee > 0 {
		terms = append(terms, inputTerm(sourceKnee, unit.Value{X: math.NaN(), U: size, Unit: "s"}, "rectangular", knee/size))
	}
	if b := math.Abs(o.number.d[d.biasInput()]); b > 0 {
		terms = append(terms, inputTerm(sourceLogBias, unit.Value{X: math.NaN(), U: b, Unit: "s"}, "normal", 1))
	}
	return terms
}

// degrees of freedom of the noise: the points' worth less the parameters fitted.
func (d *decay) degrees() float64 {
	p := 0
	for _, q := range d.pieces {
		p += q.fit.parameters()
	}
	return math.Max(1, d.noise.effective()-float64(p))
}

func (d *decay) isAlone(o output) bool {
	return len(d.pieces) > 1 && o.quantity == "tau" && o.label != ""
}

// checkAlike tests whether the decays of one record have one τ: χ² of their own values about the average, with
// the covariance of noise and effects, on n - 1 degrees of freedom; of ln τ, since u grows with τ. If they differ more than one in five
// by chance, the noise of each and of the average is widened by the Birge ratio √(χ²/(n-1)) (Birge, Phys. Rev. 40 (1932) 207);
// the reader is told from chanceLimit on.
func (d *decay) checkAlike() {
	d.birge = 1
	alone := d.singles()
	if len(alone) < 2 {
		return
	}
	x := make([]float64, len(alone))
	for i, o := range alone {
		x[i] = math.Log(o.number.x)
	}
	chi2, ok := chiSquare(x, func(i, j int) float64 {
		return d.shared(alone[i], alone[j]) / (alone[i].number.x * alone[j].number.x)
	})
	if !ok {
		return
	}
	dof := float64(len(alone) - 1)
	d.alike = &homogeneity{chi2: chi2, p: distuv.ChiSquared{K: dof}.Survival(chi2)}
	if d.alike.p < widening {
		d.birge = math.Max(1, math.Sqrt(chi2/dof))
	}
}

// singles are the τ of single decays.
func (d *decay) singles() (alone []output) {
	for _, o := range d.out {
		if d.isAlone(o) {
			alone = append(alone, o)
		}
	}
	return alone
}

// chanceLimit is the probability below which a difference is not put down to chance: that of |zeta| > 2.
const chanceLimit = 0.0455

// widening is the probability of a χ² below which the average is widened. On simulated photos of driven decays 12 % lie below
// chanceLimit: the display's pixels make edges differ that look alike. Widened from there on, U holds 92 % of them, from here on
// 93 %, and of decays that differ by noise alone 95 to 96 % (TestPullsHoldForAnUnsettledDrive).
const widening = 0.2

type homogeneity struct{ chi2, p float64 }

// chiSquare of values about their best common value, with their covariances: that of the differences from the
// first. ok is false if the differences have no proper covariance.
func chiSquare(x []float64, covariance func(i, j int) float64) (chi2 float64, ok bool) {
	n := len(x) - 1
	difference := mat.NewVecDense(n, nil)
	m := mat.NewSymDense(n, nil)
	for i := range n {
		difference.SetVec(i, x[i+1]-x[0])
		for j := i; j < n; j++ {
			m.SetSym(i, j, covariance(i+1, j+1)-covariance(i+1, 0)-covariance(0, j+1)+covariance(0, 0))
		}
	}
	var chol mat.Cholesky
	var solved mat.VecDense
	if !chol.Factorize(m) || chol.SolveVecTo(&solved, difference) != nil {
		return 0, false
	}
	return mat.Dot(difference, &solved), true
}

// shared is the covariance of two outputs: of the points' noise, and of the effects.
func (d *decay) shared(a, b output) float64 {
	c := d.covariance(a.number, b.number)
	for i := range a.moves {
		c += a.moves[i] * b.moves[i]
	}
	return c
}
