package analysis

// Uncertainty budgets after the GUM (JCGM 100:2008). A result is a function of the record; its budget
// has one term for the noise of the points, one for each named effect that moves all points together,
// and whatever else the method brings in (a meter's accuracy, a knee between two samples).
//
// Effects are carried through by moving the whole record one standard deviation up and down and taking
// half the difference of the two answers (clause 5.1.3, note 2), which needs no derivative and holds
// for any method. Terms are independent, so they add in quadrature (clause 5.1.2); the effective degrees
// of freedom are those of Welch and Satterthwaite (G.4.1, equation G.2b) and the coverage factor is
// Student's t at them for 95 % (G.6.4).

import (
	"context"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// sourceNoise names the term of what is independent from point to point.
const sourceNoise = "noise of the points"

// coverage is the probability that value ± Expanded claims to hold the truth
// (TestCoverageFactorIsThatOfTheGUMTable).
const coverage = 0.95

// noiseTerm is the term of what is independent from point to point, or nearly so: u in the result's
// unit, dof the effective number of points less the number of fitted parameters.
func noiseTerm(u, dof float64) Term {
	return Term{Source: sourceNoise, Value: math.NaN(), Unit: "1", Distribution: "t",
		Standard: 1, Sensitivity: u, U: u, DOF: dof}
}

// inputTerm is the term of an input quantity, such as a resistance read from a meter, to which the
// result has the given sensitivity. The unit of v.U is v.Unit.
func inputTerm(source string, v unit.Value, distribution string, sensitivity float64) Term {
	return Term{Source: source, Value: v.X, Unit: v.Unit, Distribution: distribution,
		Standard: v.U, Sensitivity: sensitivity, U: math.Abs(sensitivity) * v.U, DOF: math.Inf(1)}
}

// effectMoves gives moves[i][q], by how much effect i of rec at one standard deviation moves number q
// of those that f makes of a record. f must use the same points with the same weights on every call, give
// as many numbers, and not keep or change its argument; a number it cannot make is NaN. Once ctx is done the
// effects that are left move nothing.
func effectMoves(ctx context.Context, rec *calibrate.Record, f func(*calibrate.Record) []float64) [][]float64 {
	moved := &calibrate.Record{T: make([]float64, len(rec.T)), V: make([]float64, len(rec.V)), Sigma: rec.Sigma}
	at := func(e calibrate.Effect, k float64) []float64 {
		copy(moved.T, rec.T)
		copy(moved.V, rec.V)
		for j, d := range e.DT {
			moved.T[j] += k * d
		}
		for j, d := range e.DV {
			moved.V[j] += k * d
		}
		return f(moved)
	}
	moves := make([][]float64, len(rec.Effects))
	for i, e := range rec.Effects {
		if i > 0 && ctx.Err() != nil {
			moves[i] = make([]float64, len(moves[0]))
			continue
		}
		up, down := at(e, 1), at(e, -1)
		moves[i] = make([]float64, len(up))
		for q := range up {
			moves[i][q] = (up[q] - down[q]) / 2
		}
	}
	return moves
}

// effectTerms gives the terms of number q, one for each name among the effects of rec, in the order in
// which the names first appear. Moves of one name are independent of each other.
func effectTerms(rec *calibrate.Record, moves [][]float64, q int) []Term {
	var terms []Term
	at := map[string]int{}
	for i, e := range rec.Effects {
		k, seen := at[e.Name]
		if !seen {
			k = len(terms)
			at[e.Name] = k
			t := Term{Source: e.Name, Value: math.NaN(), Distribution: "normal", DOF: math.Inf(1), Shared: e.Shared}
			if e.Shared {
				t.Distribution = "rectangular" // an instrument's accuracy is stated as a limit
			}
			t.Standard, t.Unit = effectSize(rec, e)
			terms = append(terms, t)
		} else {
			terms[k].Standard, terms[k].Unit = 1, "1"
		}
		terms[k].U = math.Hypot(terms[k].U, moves[i][q])
	}
	for k := range terms {
		terms[k].Sensitivity = terms[k].U / terms[k].Standard
	}
	return terms
}

// effectSize says how large an effect is in words that a reader can use: in volts or seconds if it moves
// all points by the same amount, as a ratio if it stretches one axis, else 1 standard deviation.
func effectSize(rec *calibrate.Record, e calibrate.Effect) (standard float64, in string) {
	ones := make([]float64, len(rec.T))
	for j, v := range rec.V {
		if ones[j] = 1; math.IsNaN(v) {
			ones[j] = math.NaN() // a hidden point does not move
		}
	}
	for _, way := range []struct {
		moves, rests, x []float64
		unit            string
	}{
		{e.DV, e.DT, ones, "V"},
		{e.DT, e.DV, ones, "s"},
		{e.DV, e.DT, rec.V, "1"},
		{e.DT, e.DV, rec.T, "1"},
	} {
		if k, ok := proportion(way.moves, way.x); ok && isStill(way.rests) {
			return k, way.unit
		}
	}
	return 1, "1"
}

// proportion gives |k| if moves = k·x at every j with k not 0, NaN in x left aside.
func proportion(moves, x []float64) (k float64, ok bool) {
	if len(moves) != len(x) {
		return 0, false
	}
	far := 0.0
	for j, xj := range x {
		if math.Abs(xj) > far {
			far, k = math.Abs(xj), moves[j]/xj
		}
	}
	for j, xj := range x {
		if math.Abs(moves[j]-k*xj) > sameMove*math.Abs(k)*far {
			return 0, false
		}
	}
	return math.Abs(k), k != 0 && !math.IsInf(k, 0) && !math.IsNaN(k)
}

// sameMove is how far, relative to the largest, a move may be off proportion and still be told as one
// number: rounding only. Nothing changes from 4e-11 to 3e-8 (TestBudgetTellsTheSizeOfAnEffect).
const sameMove = 1e-9

func isStill(moves []float64) bool {
	for _, d := range moves {
		if d != 0 {
			return false
		}
	}
	return true
}

// combine gives the combined standard uncertainty of a budget of independent terms and its effective
// degrees of freedom, +Inf if no term has a finite number.
func combine(budget []Term) (u, dof float64) {
	for _, t := range budget {
		u = math.Hypot(u, t.U)
	}
	if !(u > 0) || math.IsInf(u, 0) {
		return u, math.Inf(1)
	}
	sum := 0.0
	for _, t := range budget {
		sum += math.Pow(t.U/u, 4) / t.DOF
	}
	return u, 1 / sum
}

// endless degrees of freedom give the normal distribution's factor to 4e-6; far beyond, the quantile of the
// t-distribution is lost in rounding. Nothing changes from 4e4 to 3e7 (TestCoverageFactorAtManyDegreesOfFreedom).
const endless = 1e6

// coverageFactor is Student's t for 95 % at dof degrees of freedom, which need not be whole.
func coverageFactor(dof float64) float64 {
	p := (1 + coverage) / 2
	if dof > endless {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile(p)
}

// newResult makes the result x, in SI unit in, with its combined and expanded uncertainty. One whose budget
// is empty or not finite keeps its value, has U = NaN and says so.
func newResult(quantity, method, label string, x float64, in string, budget []Term) Result {
	r := Result{Quantity: quantity, Method: method, Label: label, Budget: budget}
	u, dof := combine(budget)
	r.Value = unit.Value{X: x, U: u, Unit: in}
	if !(u > 0) || math.IsInf(u, 0) || math.IsNaN(x) || !(dof > 0) {
		r.Value.U, r.Expanded, r.K, r.DOF = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		r.Doubts = append(r.Doubts, whyNot(x, dof, budget))
		return r
	}
	for k := range budget {
		if budget[k].U < roundingShare*u {
			budget[k].U, budget[k].Sensitivity = 0, 0
		}
	}
	r.DOF = dof
	r.K = coverageFactor(dof)
	r.Expanded = r.K * u
	if r.K > wideCoverage {
		r.Notes = append(r.Notes, remark.Of(KindFewDegrees, remark.Number("dof", dof), remark.Number("k", r.K)))
	}
	return r
}

// whyNot says why a budget gives no uncertainty.
func whyNot(x, dof float64, budget []Term) remark.Remark {
	if math.IsNaN(x) {
		return remark.Of(KindUncertaintyUnknown, remark.Word("why", "value"))
	}
	for _, t := range budget {
		if math.IsNaN(t.U) || math.IsInf(t.U, 0) {
			return remark.Of(KindUncertaintyUnknown, remark.Word("why", "source"), remark.Word("source", t.Source))
		}
	}
	if !(dof > 0) {
		return remark.Of(KindUncertaintyUnknown, remark.Word("why", "freedom"))
	}
	return remark.Of(KindUncertaintyUnknown, remark.Word("why", "inputs"))
}

// roundingShare of u is a contribution that is 0 but for rounding (TestWhatIsRounding).
const roundingShare = 1e-9

// wideCoverage is the coverage factor above which a reader is told that the degrees of freedom are few:
// t = 3.18 is that of 3 degrees (TestBudgetSaysWhenDegreesOfFreedomAreFew).
const wideCoverage = 3.2
