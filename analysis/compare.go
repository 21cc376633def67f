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
)

// compare fills in the comparisons of f, whose results are those of d.out and after them the one of the parts.
func (d *decay) compare(f *Findings) {
	var taus []int
	for i, r := range f.Results {
		if r.Quantity == "tau" && !(i < len(d.out) && d.isAlone(d.out[i])) && r.Value.U > 0 {
			taus = append(taus, i)
		}
	}
	for k, i := range taus {
		for _, j := range taus[:k] {
			f.Comparisons = append(f.Comparisons, d.comparePair(f.Results, j, i))
		}
	}
	if len(taus) > 2 {
		f.Comparisons = append(f.Comparisons, d.compareAll(f.Results, taus))
	}
	if d.alike != nil {
		f.Comparisons = append(f.Comparisons, d.compareDecays(f.Results))
	}
}

// sharedVariance is the covariance of results i and j; that of a result with itself is u² and what is immaterial.
func (d *decay) sharedVariance(all []Result, i, j int) float64 {
	if i == j {
		return all[i].Value.U * all[i].Value.U * (1 + immaterial*immaterial)
	}
	if i >= len(d.out) || j >= len(d.out) {
		return 0
	}
	c := d.shared(d.out[i], d.out[j])
	// What sets the decays apart, or bends them, does so for every method: they use the same decays.
	for _, source := range []string{sourceDiffer, sourceBent} {
		c += math.Sqrt(termOf(all[i], source) * termOf(all[j], source))
	}
	return c
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

func (d *decay) comparePair(all []Result, i, j int) Comparison {
	a, b := all[i], all[j]
	variance := d.sharedVariance(all, i, i) + d.sharedVariance(all, j, j) - 2*d.sharedVariance(all, i, j)
	u := math.Sqrt(variance)
	difference := b.Value.X - a.Value.X
	c := Comparison{Title: fmt.Sprintf("τ: %s and %s", methodName(a.Method), methodName(b.Method)), Results: []int{i, j}, Zeta: difference / u}
	c.Agree = math.Abs(c.Zeta) <= agreeing
	k := coverageFactor(math.Min(a.DOF, b.DOF))
	c.Says = fmt.Sprintf("%s from %s and %s from %s", unit.Value.String(a.Value), methodName(a.Method), unit.Value.String(b.Value), methodName(b.Method))
	apart := fmt.Sprintf("the difference is %s, with what they share taken off (zeta = %.1f)", unit.Value{X: difference, U: u, Unit: "s"}.PlusMinus(k*u), c.Zeta)
	if c.Agree {
		c.Says += " agree within their uncertainties: " + apart + "."
		if wide := math.Max(a.Value.U/a.Value.X, b.Value.U/b.Value.X); wide > looseTolerance {
			c.Says += fmt.Sprintf(" That says little, as one of them is known to %s only.", percent(wide))
		}
	} else {
		c.Says += " do not agree: " + apart + ". " + usualCauses(a.Method, b.Method, difference)
	}
	return c
}

// compareAll tests all results of τ for one common value.
func (d *decay) compareAll(all []Result, taus []int) Comparison {
	n := len(taus) - 1
	covariance := func(i, j int) float64 { return d.sharedVariance(all, taus[i], taus[j]) }
	x := make([]float64, n+1)
	for k, i := range taus {
		x[k] = all[i].Value.X
	}
	chi2, ok := chiSquare(x, covariance)
	c := Comparison{Title: "τ: all ways together", Results: taus}
	if !ok {
		c.Zeta = math.NaN()
		c.Says = "The ways to τ share so much that they cannot be tested together; see the pairs."
		return c
	}
	p := distuv.ChiSquared{K: float64(n)}.Survival(chi2)
	c.Zeta, c.Agree = equivalentZeta(p), p >= chanceLimit
	c.Says = fmt.Sprintf("The %d ways to τ agree together: χ² = %.1f for %d degrees of freedom.", n+1, chi2, n)
	if !c.Agree {
		c.Says = fmt.Sprintf("The %d ways to τ do not have one common value: χ² = %.1f for %d degrees of freedom; the pairs show which one stands apart.", n+1, chi2, n)
	}
	return c
}

// compareDecays tells whether the decays of the record have one τ.
func (d *decay) compareDecays(all []Result) Comparison {
	c := Comparison{Title: "τ: the decays of this record", Zeta: equivalentZeta(d.alike.p), Agree: d.alike.p >= chanceLimit}
	for i, o := range d.out {
		if d.isAlone(o) {
			c.Results = append(c.Results, i)
		}
	}
	n := len(c.Results)
	test := fmt.Sprintf("χ² = %.1f for %d degrees of freedom", d.alike.chi2, n-1)
	if c.Agree {
		c.Says = fmt.Sprintf("The %d decays have the same τ within their noise (%s), so their average stands for all.", n, test)
	} else {
		c.Says = fmt.Sprintf("The %d decays differ in τ by more than their noise (%s, Birge ratio %.1f); the average was given a wider uncertainty. Look for a different resistance in charging and discharging, a drive that has not settled, or a badly read stretch.", n, test, d.birge)
	}
	return c
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

// usualCauses of a disagreement between two methods, b being larger than a by the difference.
func usualCauses(a, b string, difference float64) string {
	if b == "rc" {
		if difference > 0 {
			return "R·C is the larger: usual causes are a load in parallel that was left out (an input of 1 MΩ, a leaking capacitor), a capacitor below its marking, or a decay that had not settled."
		}
		return "R·C is the smaller: usual causes are a resistance in series that was left out (a generator's 50 Ω), a capacitor above its marking, or a ground line set too low."
	}
	if a == "log_line" || b == "log_line" {
		return "Both used the same points, so one exponential does not describe them: usual causes are V∞ misplaced, which bends ln V at the tail, a decay that had not settled, or a leaking capacitor."
	}
	return "Usual causes are a knee or V∞ misplaced, or a trace that is not one exponential."
}

// percent prints a share.
func percent(x float64) string { return fmt.Sprintf("%.2g %%", 100*x) }
