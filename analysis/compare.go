package analysis

// Whether independent ways to one quantity agree. The difference of two results has
//
//	u²(d) = u1² + u2² - 2·cov(1, 2)
//
// (JCGM 100:2008, 5.2.2). The covariance has all that the two share: effects on the whole record, which are known
// move by move, and the noise of the points that both were read from, known by each point's influence on both. With
// zeta = d/u(d), |zeta| ≤ 2 counts as agreement. More than two are tested together by χ² with the same
// covariances.

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

const (
	// agreeing is the largest |zeta| of results that agree (ISO 13528, zeta scores: above 2 is a warning; from
	// memory; TestZetaIsThatOfTheStandard).
	agreeing = 2.0
	// immaterial is the share of u of each result that is taken as its own when it is compared: two methods that
	// read the same points in different ways differ by small things that no budget lists, such as the display's
	// pixels, and a tenth of u is no disagreement (TestComparisonsFailAsOftenAsChanceHasIt).
	immaterial = 0.2
	// methodsApart is the difference, as a share of τ, of two ways that read the same points from which on something else
	// than a decay was read: nine in ten simulated ones differ by less than 1.2 % (TestADecayFollowedByALineIsDoubted).
	methodsApart = 0.05
	// settingApart is the ratio of τ and R·C from which on the setting is suspected: the nearest other step of the usual
	// rows is a factor of 2 away, and an electrolytic part of ±20 % loaded by 1 MΩ stays within 1.5
	// (TestATimePerBoxOfAnotherStepIsDoubted).
	settingApart = 1.6
)

// AgreeingAll is the |zeta| that the widest of n comparisons, of things that agree, passes by chance as seldom as a
// single one passes 2: in 1 of 22 cases. It is Šidák's limit, which holds however the comparisons hang together (J. Am.
// Stat. Assoc. 62 (1967) 626, from memory; on tests of many at once: NIST/SEMATECH e-Handbook, 7.4.7). 2 for one, 3.0
// for 16.
func AgreeingAll(n int) float64 {
	return math.Sqrt2 * math.Erfinv(math.Pow(math.Erf(agreeing/math.Sqrt2), 1/float64(max(n, 1))))
}

// A comparer compares the ways to τ of a record: results are those of the table and after them those of the circuit.
type comparer struct {
	table    *table
	mistakes *mistakes
	results  []Result
}

// comparisons gives every pair of ways to τ, all together, and the decays of the record.
func (c *comparer) comparisons() (list []Comparison) {
	var taus []int
	for i, r := range c.results {
		single := i < len(c.table.columns) && c.table.columns[i].alone
		if r.Quantity == "tau" && !single && r.Value.U > 0 {
			taus = append(taus, i)
		}
	}
	for k, i := range taus {
		for _, j := range taus[:k] {
			list = append(list, c.pair(j, i))
		}
	}
	if len(taus) > 2 {
		all, differ := c.together(taus), 0
		for _, pair := range list {
			if !pair.Agree {
				differ++
			}
		}
		if all.Agree && differ > 0 {
			all.What.Values = append(all.What.Values, remark.Count("differ", differ), remark.Count("pairs", len(list)))
		}
		list = append(list, all)
	}
	if c.table.alike.n > 0 {
		list = append(list, c.decays())
	}
	return list
}

// settingDoubts tells of a τ so far from R·C that a setting was not the display's, or a prefix is wrong.
func settingDoubts(all []Result) []remark.Remark {
	var tau, rc unit.Value
	for _, r := range all {
		switch {
		case r.Quantity == "tau" && r.Method == "curve" && tau.X == 0:
			tau = r.Value
		case r.Quantity == "tau" && r.Method == "rc":
			rc = r.Value
		}
	}
	if !(tau.X > 0 && rc.X > 0) {
		return nil
	}
	if !beyondParts(tau.X, rc.X) || math.Abs(tau.X-rc.X) < agreeing*math.Hypot(tau.U, rc.U) {
		return nil
	}
	return []remark.Remark{remark.Of(KindTauFarFromRC, remark.Number("ratio", tau.X/rc.X),
		remark.Number("tau_s", tau.X), remark.Number("u_tau_s", tau.U), remark.Number("rc_s", rc.X), remark.Number("u_rc_s", rc.U))}
}

// methodDoubts tells of ways that read the same points and yet differ by more than any trace of one exponential allows.
func methodDoubts(all []Result, comparisons []Comparison) []remark.Remark {
	for _, c := range comparisons {
		if c.Agree || len(c.Results) != 2 {
			continue
		}
		a, b := all[c.Results[0]], all[c.Results[1]]
		if b.Method != "rc" && math.Abs(b.Value.X-a.Value.X) > methodsApart*math.Min(a.Value.X, b.Value.X) {
			return []remark.Remark{remark.Of(KindWaysDiffer, remark.Word("one", a.Method), remark.Number("one_s", a.Value.X), remark.Number("u_one_s", a.Value.U),
				remark.Word("other", b.Method), remark.Number("other_s", b.Value.X), remark.Number("u_other_s", b.Value.U))}
		}
	}
	return nil
}

// sharedVariance is the covariance of results i and j; that of a result with itself is u² and what is immaterial.
func (c *comparer) sharedVariance(i, j int) float64 {
	all, own := c.results, len(c.table.columns)
	if i == j {
		return all[i].Value.U * all[i].Value.U * (1 + immaterial*immaterial)
	}
	if i >= own || j >= own {
		return 0
	}
	sum := c.table.shared(i, j)
	// What sets the decays apart, or bends them, does so for every method: they use the same decays.
	for _, source := range []string{sourceDiffer, sourceBent} {
		sum += math.Sqrt(termOf(all[i], source) * termOf(all[j], source))
	}
	return sum
}

// termOf is the variance that a source contributes to r.
func termOf(r Result, source string) float64 {
	for _, t := range r.Budget {
		if t.Source == source {
			return t.U * t.U
		}
	}
	return 0
}

// pair compares results i and j.
func (c *comparer) pair(i, j int) Comparison {
	a, b := c.results[i], c.results[j]
	variance := c.sharedVariance(i, i) + c.sharedVariance(j, j) - 2*c.sharedVariance(i, j)
	u := math.Sqrt(variance)
	difference := b.Value.X - a.Value.X
	r := compared(KindTwoWays, difference, u, "s", []int{i, j}, remark.Word("one", a.Method), remark.Number("one_s", a.Value.X), remark.Number("u_one_s", a.Value.U),
		remark.Word("other", b.Method), remark.Number("other_s", b.Value.X), remark.Number("u_other_s", b.Value.U))
	if !r.Agree {
		r.Causes = c.mistakes.causes(a, b)
		return r
	}
	if wide := math.Max(a.Value.U/a.Value.X, b.Value.U/b.Value.X); wide > looseTolerance {
		r.What.Values = append(r.What.Values, remark.Number("loose_share", wide))
	} else if a.Method == "curve" && b.Method == "rc" { // they share nothing
		mean := weightedMeanOf(a.Value, b.Value)
		r.What.Values = append(r.What.Values, remark.Number("mean_s", mean.X), remark.Number("u_mean_s", mean.U))
	}
	return r
}

// compared is the comparison of two things that lie a gap apart, with its standard uncertainty u; about says what they
// are.
func compared(k remark.Kind, gap, u float64, in string, results []int, about ...remark.Value) Comparison {
	c := Comparison{Results: results, Zeta: gap / u, Agree: math.Abs(gap/u) <= agreeing}
	c.What = remark.Of(k, append(about, remark.Number("gap", math.Abs(gap)), remark.Number("u_gap", u), remark.Word("unit", in), remark.Flag("agree", c.Agree))...)
	return c
}

// beyondParts says that no part, load or leak of the usual exercise stands behind the ratio of τ and R·C.
func beyondParts(tau, rc float64) bool { return math.Abs(math.Log(tau/rc)) >= math.Log(settingApart) }

// weightedMeanOf gives the mean of two independent values with weights 1/u², the linear one of least variance
// (Gauss and Markov), with its u.
func weightedMeanOf(a, b unit.Value) unit.Value {
	wa, wb := 1/(a.U*a.U), 1/(b.U*b.U)
	return unit.Value{X: (wa*a.X + wb*b.X) / (wa + wb), U: 1 / math.Sqrt(wa+wb), Unit: a.Unit}
}

// together tests all results of τ for one common value.
func (c *comparer) together(taus []int) Comparison {
	n := len(taus) - 1
	covariance := func(i, j int) float64 { return c.sharedVariance(taus[i], taus[j]) }
	x := make([]float64, n+1)
	for k, i := range taus {
		x[k] = c.results[i].Value.X
	}
	chi2, ok := chiSquare(x, covariance)
	if !ok {
		return Comparison{What: remark.Of(KindWaysShare), Results: taus, Zeta: math.NaN()}
	}
	p := distuv.ChiSquared{K: float64(n)}.Survival(chi2)
	r := Comparison{Results: taus, Zeta: equivalentZeta(p), Agree: p >= chanceLimit}
	r.What = remark.Of(KindAllWays, remark.Count("ways", n+1), remark.Number("chi2", chi2), remark.Count("degrees", n), remark.Flag("agree", r.Agree))
	return r
}

// decays tells whether the decays of the record have one τ.
func (c *comparer) decays() Comparison {
	alike := c.table.alike
	r := Comparison{Zeta: equivalentZeta(alike.p), Agree: alike.p >= chanceLimit, Results: c.table.alone()}
	r.What = remark.Of(KindDecaysAlike, remark.Count("decays", alike.n), remark.Number("chi2", alike.chi2), remark.Count("degrees", alike.n-1),
		remark.Number("birge", alike.birge), remark.Flag("agree", r.Agree))
	if !r.Agree {
		r.Causes = []remark.Remark{remark.Of(KindCauseTwoWays), remark.Of(KindCauseUnsteadyDrive), remark.Of(KindCauseBadStretch)}
	}
	return r
}

// equivalentZeta is the |zeta| that a normal variable exceeds with probability p.
func equivalentZeta(p float64) float64 {
	return distuv.UnitNormal.Quantile(1 - math.Max(p, 1e-15)/2)
}
