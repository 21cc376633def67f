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
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

const (
	// agreeing is the largest |zeta| of results that agree (ISO 13528, zeta scores: above 2 is a warning; from
	// memory).
	agreeing = 2.0
	// immaterial is the share of u of each result that is taken as its own when it is compared: two methods that
	// read the same points in different ways differ by small things that no budget lists, such as the display's
	// pixels, and a tenth of u is no disagreement (TestComparisonsFailAsOftenAsChanceHasIt).
	immaterial = 0.2
	// methodsApart is the difference, as a share of τ, of two ways that read the same points from which on something
	// else than a decay was read: nine in ten simulated ones differ by less than 1.2 % (TestADecayFollowedByALineIsDoubted).
	methodsApart = 0.05
	// settingApart is the ratio of τ and R·C from which on the setting is suspected: the nearest other step of the usual
	// rows is a factor of 2 away, and an electrolytic part of ±20 % loaded by 1 MΩ stays within 1.5
	// (TestATimePerBoxOfAnotherStepIsDoubted).
	settingApart = 1.6
)

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
			more := fmt.Sprintf("%d of %d pairs apart", differ, len(list))
			all.Short += " (" + more + ")"
			all.Says += " That is no contradiction to " + more + ": in a pair one difference in 22 is above 2 u by chance, and the more pairs are compared the sooner one is; so look at the pair's causes, but do not take it for proven."
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
	return []remark.Remark{remark.Text(fmt.Sprintf("τ from the trace is %.3g times R·C (%s and %s). Parts, loading and leaks do not explain that much:"+
		" check the time per box, and the prefixes of R and C.", tau.X/rc.X, tau, rc))}
}

// methodDoubts tells of ways that read the same points and yet differ by more than any trace of one exponential allows.
func methodDoubts(all []Result, comparisons []Comparison) []remark.Remark {
	for _, c := range comparisons {
		if c.Agree || len(c.Results) != 2 {
			continue
		}
		a, b := all[c.Results[0]], all[c.Results[1]]
		if b.Method != "rc" && math.Abs(b.Value.X-a.Value.X) > methodsApart*math.Min(a.Value.X, b.Value.X) {
			return []remark.Remark{remark.Text(fmt.Sprintf("τ is %s from %s and %s from %s, though both read the same points: they are not those of one exponential."+
				" Look at the drawing of the trace on the photo; the program may have followed something else.",
				a.Value, methodName(a.Method), b.Value, methodName(b.Method)))}
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
	r := Comparison{Title: fmt.Sprintf("τ: %s and %s", methodName(a.Method), methodName(b.Method)), Results: []int{i, j}, Zeta: difference / u}
	r.Agree = math.Abs(r.Zeta) <= agreeing
	by := apart(difference, u, "s")
	r.Short = fmt.Sprintf("%s and %s: %s", methodName(a.Method), methodName(b.Method), by)
	r.Says = fmt.Sprintf("%s from %s and %s from %s", a.Value, methodName(a.Method), b.Value, methodName(b.Method))
	if !r.Agree {
		r.Says += " do not agree: they are " + by + ", with what they share taken off."
		r.Causes = c.mistakes.causes(a, b)
		return r
	}
	r.Says += " agree within their uncertainties: they are " + by + ", with what they share taken off."
	if wide := math.Max(a.Value.U/a.Value.X, b.Value.U/b.Value.X); wide > looseTolerance {
		r.Says += fmt.Sprintf(" That says little, as one of them is known to %s only.", percent(wide))
	} else if a.Method == "curve" && b.Method == "rc" {
		r.Says += fmt.Sprintf(" They share nothing, so their weighted mean %s is better than either.", weightedMeanOf(a.Value, b.Value))
	}
	return r
}

// apart tells a difference with its standard uncertainty, and how many of those it is.
func apart(difference, u float64, in string) string {
	return fmt.Sprintf("%s apart, |zeta| = %.1f", unit.Value{X: math.Abs(difference), U: u, Unit: in}, math.Abs(difference/u))
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
	r := Comparison{Title: "τ: all ways together", Results: taus}
	if !ok {
		r.Zeta = math.NaN()
		r.Says = "The ways to τ share so much that they cannot be tested together; see the pairs."
		r.Short = r.Says
		return r
	}
	p := distuv.ChiSquared{K: float64(n)}.Survival(chi2)
	r.Zeta, r.Agree = equivalentZeta(p), p >= chanceLimit
	r.Short = fmt.Sprintf("all %d ways together: χ² = %.1f for %d degrees of freedom", n+1, chi2, n)
	r.Says = fmt.Sprintf("The %d ways to τ agree together: χ² = %.1f for %d degrees of freedom.", n+1, chi2, n)
	if !r.Agree {
		r.Says = fmt.Sprintf("The %d ways to τ do not have one common value: χ² = %.1f for %d degrees of freedom; the pairs show which one stands apart.", n+1, chi2, n)
	}
	return r
}

// decays tells whether the decays of the record have one τ.
func (c *comparer) decays() Comparison {
	alike := c.table.alike
	r := Comparison{Title: "τ: the decays of this record", Zeta: equivalentZeta(alike.p), Agree: alike.p >= chanceLimit, Results: c.table.alone()}
	n := alike.n
	test := fmt.Sprintf("χ² = %.1f for %d degrees of freedom", alike.chi2, n-1)
	r.Short = fmt.Sprintf("the %d decays of this record: %s", n, test)
	if r.Agree {
		r.Says = fmt.Sprintf("The %d decays have the same τ within their noise (%s), so their average stands for all.", n, test)
		if alike.birge > 1 {
			r.Says = fmt.Sprintf("The %d decays have the same τ within what chance explains (%s, Birge ratio %.1f); they and their average were given wider uncertainties all the same.", n, test, alike.birge)
		}
	} else {
		r.Says = fmt.Sprintf("The %d decays differ in τ by more than their noise (%s, Birge ratio %.1f); they and their average were given wider uncertainties.", n, test, alike.birge)
		r.Causes = []string{"a resistance that differs between charging and discharging", "a drive that is not steady from cycle to cycle", "a stretch of the trace that was read badly"}
	}
	return r
}

// equivalentZeta is the |zeta| that a normal variable exceeds with probability p.
func equivalentZeta(p float64) float64 {
	return distuv.UnitNormal.Quantile(1 - math.Max(p, 1e-15)/2)
}

func methodName(method string) string {
	switch method {
	case "curve":
		return "the fitted curve"
	case "log_line":
		return "the line through ln V"
	case "half_life":
		return "half-lives"
	}
	return "R·C"
}

// percent prints a share.
func percent(x float64) string {
	if 100*x >= 99.5 { // %.2g would print an exponent
		return fmt.Sprintf("%.0f %%", 100*x)
	}
	decimals := 0
	if x > 0 {
		decimals = max(0, 1-int(math.Floor(math.Log10(99.5/95*100*x)))) // 9.95 and 0.995 become 10 and 1.0
	}
	return fmt.Sprintf("%.*f %%", decimals, 100*x)
}
