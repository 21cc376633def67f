package analysis

// Results of decays: the numbers of the columns, each with its budget, and how a trial makes them anew.

import (
	"context"
	"math"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A table is the columns with their numbers, and what all of these have in common.
type table struct {
	scheme  *scheme
	columns []column
	numbers []number    // of the record as it is
	moves   [][]float64 // of each number by each effect
	alike   alikeness
	bend    bend
}

// Names of terms beside those of noise and effects.
const (
	sourceKnee      = "place of the knee"
	sourceBeginning = "beginning that was left out"
	sourceLevel     = "level to settle at, as given"
	sourceLogBias   = "bend of the logarithm under noise"
	sourceDiffer    = "differences between the decays"
	sourceBent      = "departure from one exponential"
)

// newTable makes the table from the numbers of the record as it is. What tells nothing, and what an effect moves out of
// what can be read, is taken out of the scheme first.
func newTable(ctx context.Context, s *scheme, base []numbers) *table {
	for i := range base {
		s.forget(i, &base[i], !s.in.tells(base[i].log), !s.in.tells(base[i].halfLife))
	}
	t := &table{scheme: s, columns: s.planColumns(base)}
	logs, halves := make([]bool, len(base)), make([]bool, len(base))
	lost := t.move(ctx, func(i int, log, half bool) { logs[i], halves[i] = logs[i] || log, halves[i] || half })
	if lost {
		for i := range base {
			s.forget(i, &base[i], logs[i], halves[i])
		}
		t.columns = s.planColumns(base)
		t.move(ctx, func(int, bool, bool) {})
	}
	for q := range t.columns {
		t.numbers = append(t.numbers, t.columns[q].number(base))
	}
	alone := t.alone()
	x := make([]float64, len(alone))
	for k, q := range alone {
		x[k] = t.numbers[q].x
	}
	t.alike = alikenessOf(x, func(i, j int) float64 { return t.shared(alone[i], alone[j]) })
	t.bend = findBend(ctx, s.decays)
	return t
}

// move fills in moves. It calls lost for every piece whose log line or half-lives an effect makes unreadable, and
// reports whether there was one.
func (t *table) move(ctx context.Context, lost func(piece int, log, half bool)) (some bool) {
	t.moves = effectMoves(ctx, t.scheme.points.rec, func(moved *calibrate.Record) []float64 {
		all := t.numbersOf(moved)
		for i := range all {
			if log, half := t.scheme.lost(i, &all[i]); log || half {
				lost(i, log, half)
				some = true
			}
		}
		return t.values(all)
	})
	return some
}

// numbersOf gives the numbers of each piece of a record that was moved.
func (t *table) numbersOf(moved *calibrate.Record) []numbers {
	times, volts := t.scheme.points.of(moved)
	return t.scheme.evaluate(times, volts, false)
}

// values gives each column's.
func (t *table) values(all []numbers) []float64 {
	x := make([]float64, len(t.columns))
	for q := range t.columns {
		x[q] = t.columns[q].number(all).x
	}
	return x
}

// alone lists the columns of single decays' τ.
func (t *table) alone() (list []int) {
	for q := range t.columns {
		if t.columns[q].alone {
			list = append(list, q)
		}
	}
	return list
}

// shared is the covariance of two numbers: of the points' noise, and of the effects.
func (t *table) shared(a, b int) float64 {
	c := t.scheme.in.covariance(t.numbers[a], t.numbers[b])
	for _, moves := range t.moves {
		c += moves[a] * moves[b]
	}
	return c
}

// results gives each column as a result, with what to tell beside it.
func (t *table) results() []Result {
	var results []Result
	for q := range t.columns {
		c := &t.columns[q]
		budget := append(t.ownTerms(q), effectTerms(t.scheme.points.rec, t.moves, q)...)
		r := newResult(c.quantity, c.method, c.label, t.numbers[q].x, c.unit, budget)
		r.Role = c.role
		r.Doubts, r.Notes = append(r.Doubts, c.advice.doubts...), append(r.Notes, c.advice.notes...)
		if q == 0 {
			if i, ok := t.scheme.profileTau(&r); ok {
				r.Interval = &i
				r.Notes = append(r.Notes, i.remark())
			}
		}
		if c.quantity == "v_end" {
			r.Doubts = append(r.Doubts, t.scheme.pieces.nearGround(r)...)
		}
		results = append(results, r)
	}
	return results
}

// ownTerms are those of column q that do not come from the record's effects.
func (t *table) ownTerms(q int) []Term {
	c, x, in := &t.columns[q], t.numbers[q], t.scheme.in
	if x.d == nil {
		return nil
	}
	u := math.Sqrt(in.noise.variance(x.d[:in.points]))
	terms := []Term{noiseTerm(u, t.scheme.degrees())}
	ofDecays := c.quantity == "tau" || c.quantity == "half_life"
	if ofDecays && t.alike.birge > 1 { // what parts them is off in each of them too
		more := u * math.Sqrt(t.alike.birge*t.alike.birge-1)
		terms = append(terms, Term{Source: sourceDiffer, Value: math.NaN(), Unit: "s", Distribution: "t", Standard: more, Sensitivity: 1, U: more, DOF: float64(len(in.kneeU) - 1)})
	}
	if limit := t.bend.limit() / t.numbers[0].x * x.x; limit > 0 && ofDecays {
		terms = append(terms, inputTerm(sourceBent, unit.Value{X: math.NaN(), U: limit / math.Sqrt(3), Unit: "s"}, "rectangular", 1))
	}
	if limit := t.scheme.decays.begins / t.numbers[0].x * x.x; limit > 0 && ofDecays {
		terms = append(terms, inputTerm(sourceBeginning, unit.Value{X: math.NaN(), U: limit / math.Sqrt(3), Unit: "s"}, "rectangular", 1))
	}
	knee, size := 0.0, 0.0
	for i, kneeU := range in.kneeU {
		knee = math.Hypot(knee, x.d[in.knee(i)]*kneeU)
		size = math.Max(size, kneeU)
	}
	if knee > 0 {
		terms = append(terms, inputTerm(sourceKnee, unit.Value{X: math.NaN(), U: size, Unit: "s"}, "rectangular", knee/size))
	}
	if by := x.d[in.level()]; in.levelU > 0 && by != 0 {
		terms = append(terms, inputTerm(sourceLevel, unit.Value{X: *t.scheme.pieces.level(), U: in.levelU, Unit: "V"}, "rectangular", by))
	}
	if b := math.Abs(x.d[in.bias()]); b > 0 {
		terms = append(terms, inputTerm(sourceLogBias, unit.Value{X: math.NaN(), U: b, Unit: "s"}, "normal", 1))
	}
	return terms
}

// nearGround doubts a level that is close to ground and yet not at it, or below it by less than a drive of both signs
// would have it.
func (all pieces) nearGround(r Result) []remark.Remark {
	for _, p := range all {
		if p.rises() || !(math.Abs(r.Value.X) > groundDoubt*r.Value.U) {
			continue
		}
		if start := p.fit.at(p.knee); !all.goBothWays() && r.Value.X < 0 && r.Value.X > -belowGround*start {
			return []remark.Remark{remark.Of(KindSettlesBelowGround, remark.Number("level_v", r.Value.X), remark.Number("u_level_v", r.Value.U))}
		} else if math.Abs(r.Value.X) > nearlyGround*math.Abs(start) {
			continue
		}
		return []remark.Remark{remark.Of(KindSettlesOffGround, remark.Number("level_v", r.Value.X), remark.Number("u_level_v", r.Value.U))}
	}
	return nil
}

// nearlyGround, as a share of the starting voltage, is how near to ground a level is probably meant to be ground
// (TestWhatSettlesNearGround).
const nearlyGround = 0.1

// belowGround, as a share of the starting voltage, is how far below ground a level may lie that is probably meant to be
// ground: a drive that goes equally far both ways has 1 (TestADecayBelowGroundIsDoubted).
const belowGround = 0.6

// replay says how to make the results once more, those of the columns and then those of the circuit.
func (t *table) replay(results []Result) *replay {
	s := t.scheme
	r := &replay{points: s.points, noise: &s.noise, dof: s.degrees()}
	r.models = []model{{count: len(t.columns), of: func(one *trial) []float64 { return t.values(t.numbersOf(one.rec)) }}}
	for q := len(t.columns); q < len(results); q++ {
		r.models = append(r.models, circuitModel(q, results[q]))
	}
	return r
}
