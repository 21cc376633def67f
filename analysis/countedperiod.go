package analysis

// The period by counting: a straight line through the instants of one direction (crossings.go) against their number.
// Rising and falling crossings share the period but not the start, so a misplaced middle line does not stretch it. The
// number of a crossing is counted in whole periods, so that a gap that hides some does not spoil the count.

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// sourcePlace names the term of the spacing of the points on an edge.
const sourcePlace = "spacing of the points on an edge"

// A count is a period by counted crossings.
type count struct {
	period  float64
	share   []float64 // of each crossing: ∂period/∂t
	scatter float64   // s: standard deviation of a crossing about its place in the count
	spare   int       // crossings beyond the fitted numbers
	cycles  float64   // counted between the first and the last crossing of one direction
}

// repeat is the least time from a crossing to the next of the same direction, both seen without a gap, as others
// may be hidden between them; without such a pair the median of all; 0 if there is none.
func repeat(c []crossing, spacing float64) float64 {
	const seen = 3 // point spacings: no gap (TestWhichCrossingsAreSeen)
	var all []float64
	least := math.Inf(1)
	for i := range c {
		for k := i + 1; k < len(c); k++ {
			if c[k].rising == c[i].rising {
				all = append(all, c[k].t-c[i].t)
				if math.Max(c[i].gap, c[k].gap) <= seen*spacing {
					least = math.Min(least, c[k].t-c[i].t)
				}
				break
			}
		}
	}
	switch {
	case !math.IsInf(least, 1):
		return least
	case len(all) > 0:
		return median(all)
	}
	return 0
}

// countPeriods fits a period to the crossings of points of the given spacing; false without two of one direction.
func countPeriods(c []crossing, spacing float64) (count, bool) {
	var ways [2][]int
	for i, x := range c {
		k := 0
		if x.rising {
			k = 1
		}
		ways[k] = append(ways[k], i)
	}
	one := repeat(c, spacing)
	if one == 0 {
		return count{}, false
	}
	r := count{share: make([]float64, len(c))}
	sum, used := 0.0, 0
	number := make([]float64, len(c))
	for _, way := range ways {
		if len(way) == 0 {
			continue
		}
		used++
		mean := 0.0
		for i, k := range way {
			if i > 0 {
				before := way[i-1]
				number[k] = number[before] + math.Max(1, math.Round((c[k].t-c[before].t)/one))
			}
			mean += number[k] / float64(len(way))
		}
		r.cycles = math.Max(r.cycles, number[way[len(way)-1]])
		for _, k := range way {
			number[k] -= mean
			sum += number[k] * number[k]
		}
	}
	for i := range c {
		r.share[i] = number[i] / sum
		r.period += r.share[i] * c[i].t
	}
	r.spare = len(c) - used - 1
	if r.spare > 0 {
		s := 0.0
		for _, way := range ways {
			mean := 0.0
			for _, k := range way {
				mean += (c[k].t - r.period*number[k]) / float64(len(way))
			}
			for _, k := range way {
				d := c[k].t - r.period*number[k] - mean
				s += d * d
			}
		}
		r.scatter = math.Sqrt(s / float64(r.spare))
	}
	return r, r.period > 0
}

// fewestOfCount is the share of the crossings between the first and the last, as the count has them, that must be among
// those found where the trace is seen: a count in half of the true period finds half of them
// (TestACountThatTheTraceContradicts).
const fewestOfCount = 0.67

// contradicted says that the trace is seen to pass through places of the count without crossing there.
func (n *count) contradicted(t []float64, c []crossing) bool {
	missed, last := 0, [2]int{-1, -1}
	for i := range c {
		way := 0
		if c[i].rising {
			way = 1
		}
		if before := last[way]; before >= 0 {
			apart := c[i].t - c[before].t
			periods := math.Round(apart / n.period)
			for k := 1.0; k < periods; k++ {
				after, _ := slices.BinarySearch(t, c[before].t+k*apart/periods)
				if after > 0 && after < len(t) && t[after]-t[after-1] <= hiding*n.period {
					missed++
				}
			}
		}
		last[way] = i
	}
	return float64(len(c)) < fewestOfCount*float64(len(c)+missed)
}

// A counted period, as results and with what a comparison needs: the influence of each point on it, the
// uncertainty from the spacing on the edges, and the moves by effects.
type counted struct {
	results   []Result // period, frequency
	influence []float64
	place     float64
	more      float64 // s: from crossings that scatter more than that
	uneven    float64 // how far crossings lie from their places in the count, in periods
	against   bool    // the trace is seen to contradict the count
	moves     [][]float64
	again     func(moved *calibrate.Record) []float64 // period, frequency
	eye       *Result                                 // the period as a person counts boxes; nil without boxes
}

// addTo puts the results into f, whose replay is of the same points.
func (c *counted) addTo(f *Findings) {
	f.again.models = append(f.again.models, model{first: len(f.Results), count: len(c.results), of: func(t *trial) []float64 { return c.again(t.rec) }})
	f.Results = append(f.Results, c.results...)
}

// regular tells whether the spread of a counted period is so small that it is one, its crossings are even and nothing
// contradicts it.
func (c *counted) regular() bool {
	const most = 0.1 // of the period (TestWhichCountIsAPeriod)
	return !c.against && c.uneven <= mostUneven && c.results[0].Value.U < most*c.results[0].Value.X
}

// each gives the crossings as they are, each widened.
func each(widen func(*crossing)) func([]crossing) []crossing {
	return func(c []crossing) []crossing {
		for i := range c {
			widen(&c[i])
		}
		return c
	}
}

// countedPeriod counts crossings of the level about which the trace swings by half on each side, as pick leaves them
// (nil: all); false if not two of one direction are seen.
func countedPeriod(ctx context.Context, p *points, z *noise, off []float64, level, half float64, method string, pick func([]crossing) []crossing) (counted, bool) {
	if pick == nil {
		pick = func(c []crossing) []crossing { return c }
	}
	c := pick(crossings(p.t, p.v, p.w, level, half))
	n, ok := countPeriods(c, medianStep(p.t))
	if !ok {
		return counted{}, false
	}
	r := counted{influence: make([]float64, len(p.t))}
	for i, x := range c {
		for k, j := range x.at {
			r.influence[j] += n.share[i] * x.influence[k]
		}
		r.place = math.Hypot(r.place, n.share[i]*x.place)
	}
	variance, dof := z.variance(r.influence), math.Max(1, z.effective()-4)
	if off != nil {
		variance = math.Max(variance, modulated(r.influence, off))
	}
	r.more, r.uneven = n.excess(p, z, c)*norm(n.share), n.scatter/n.period
	r.against = n.contradicted(p.t, c)
	if r.more == 0 && r.place*r.place < littlePlace*variance {
		variance, dof = n.pooled(variance, dof)
	}
	noise := math.Sqrt(variance)
	r.again = func(moved *calibrate.Record) []float64 {
		t, v := p.of(moved)
		// The level is taken from the trace, and moves with it (TestUnknownGroundLeavesThePeriod).
		with := straightThrough(p.v, v, p.w, 0, len(v)-1)
		again, ok := countPeriods(pick(crossings(t, v, p.w, with.vm+with.slope*(level-with.tm), half*with.slope)), medianStep(t))
		if !ok || len(again.share) != len(c) {
			return []float64{math.NaN(), math.NaN()}
		}
		return []float64{again.period, 1 / again.period}
	}
	r.moves = effectMoves(ctx, p.rec, r.again)
	result := func(q int, quantity, in string, value, slope float64) {
		budget := []Term{noiseTerm(slope*noise, dof)}
		if r.place > 0 {
			budget = append(budget, Term{Source: sourcePlace, Value: math.NaN(), Unit: "s", Distribution: "rectangular",
				Standard: r.place, Sensitivity: slope, U: slope * r.place, DOF: math.Inf(1)})
		}
		if r.more > 0 {
			budget = append(budget, scatterTerm(slope*r.more, float64(n.spare), in))
		}
		label := fmt.Sprintf("counted over %g %s (%d crossings)", n.cycles, plural(n.cycles, "cycle"), len(c))
		r.results = append(r.results, newResult(quantity, method, label, value, in, append(budget, effectTerms(p.rec, r.moves, q)...)))
	}
	result(0, "period", "s", n.period, 1)
	result(1, "frequency", "Hz", 1/n.period, 1/(n.period*n.period))
	r.eye = n.byEye(p, c, effectTerms(p.rec, r.moves, 0))
	return r, true
}

// coarsePixels is the number of pixels that the coarsest displays have to a box (common practice, no source;
// TestAJumpLiesInItsColumn).
const coarsePixels = 25

// column is the width in s of a column of pixels of the coarsest displays; 0 of a table, which has none.
func (p *points) column() float64 { return p.rec.TimePerBox / coarsePixels }

// inColumns widens the place of a crossing of a trace that swings by half on each side to what columns of pixels show,
// by the formula for the spacing of points: a curve that passes through many columns is known by their heights, each of
// which is off by the column's width at most, which is in the noise of the points (TestColumnsAreNotCountedTwice).
func (p *points) inColumns(half float64) func(c *crossing) {
	return func(c *crossing) {
		step := math.Min(1, p.column()/math.Abs(c.perLevel)/half)
		c.place = math.Max(c.place, p.column()/math.Sqrt(12)*step*step)
	}
}

// byEye gives the period as it is read off the screen: the boxes between the first and the last crossing of one
// direction, to half a minor tick at each end (common practice, no source), over the cycles between them. Of the
// effects only the time base moves what is counted in boxes.
func (n *count) byEye(p *points, c []crossing, effects []Term) *Result {
	const tick = 0.1 // box (TestAPeriodReadByEye)
	box := p.rec.TimePerBox
	if !(box > 0) || n.cycles < 1 {
		return nil
	}
	span := 0.0
	for i := range c {
		for k := range c[:i] {
			if c[k].rising == c[i].rising && math.Round((c[i].t-c[k].t)/n.period) == n.cycles {
				span = c[i].t - c[k].t
			}
		}
	}
	boxes := math.Round(span/box/tick) * tick
	if !(boxes > 0) {
		return nil
	}
	ends := inputTerm("reading of the two ends by eye", unit.Value{X: boxes, U: math.Sqrt2 * tick / math.Sqrt(3), Unit: "box"}, "normal", box/n.cycles)
	budget := []Term{ends}
	for _, t := range effects {
		if t.Source == "time base" {
			budget = append(budget, t)
		}
	}
	r := newResult("period", "boxes", fmt.Sprintf("counted boxes: %.1f for %g %s", boxes, n.cycles, plural(n.cycles, "cycle")), boxes*box/n.cycles, "s", budget)
	return &r
}

// excess is the standard deviation of a crossing about its place in the count that the noise and the spacing of the
// points do not explain, s; 0 if chance explains it (χ² below its 95th percentile). Steps of the display along time
// make it, and a source that is not steady.
func (n *count) excess(p *points, z *noise, c []crossing) float64 {
	if n.spare < 1 {
		return 0
	}
	expected := 0.0
	for _, x := range c {
		own := make([]float64, len(p.t))
		for k, j := range x.at {
			own[j] = x.influence[k]
		}
		expected += (z.variance(own) + x.place*x.place) / float64(len(c))
	}
	spare := float64(n.spare)
	if s := n.scatter * n.scatter; spare*s > expected*(distuv.ChiSquared{K: spare}).Quantile(coverage) {
		return math.Sqrt(s - expected)
	}
	return 0
}

// littlePlace is the share of the noise variance below which the spacing of the points has no say in it;
// nothing changes from 0.025 to 0.4 (TestPullsOfStates).
const littlePlace = 0.1

// trusted are the degrees of freedom of what the points say of a count's noise: it is good to about a third, whose
// degrees of freedom are ½·(1/3)⁻² (JCGM 100:2008, G.4.2; TestHowNoiseAndScatterArePooled).
const trusted = 4.5

// pooled gives the noise variance of a period from that which the points' noise makes and from how the crossings
// scatter about their places, each by its degrees of freedom. The steps of a display alternate along a slope, which the
// correlation of points does not tell and the scatter does.
func (n *count) pooled(variance, dof float64) (both, free float64) {
	spare := float64(n.spare)
	if spare < 1 {
		return variance, dof
	}
	own := n.scatter * n.scatter * dot(n.share, n.share)
	return (trusted*variance + spare*own) / (trusted + spare), math.Min(dof, trusted+spare)
}

// scatterTerm is the term of instants that scatter more than their points explain, u in the unit given.
func scatterTerm(u, dof float64, in string) Term {
	return Term{Source: "scatter of the crossings", Value: math.NaN(), Unit: in, Distribution: "t",
		Standard: u, Sensitivity: 1, U: u, DOF: dof}
}

// compare adds to f whether the period of the fitted curve, result 0 with its influence and moves, agrees with
// the counted one, result at. Both are read from the same points and the same scales, so what they share comes off
// (JCGM 100:2008, 5.2.2).
func (c *counted) compare(f *Findings, z *noise, influence []float64, moves [][]float64, at int) {
	a, b := f.Results[0], f.Results[at]
	between := make([]float64, len(influence))
	for i, x := range influence {
		between[i] = c.influence[i] - x
	}
	u := math.Hypot(math.Hypot(math.Sqrt(math.Max(z.variance(between), modulated(between, f.Fits[0].Off))), c.place), c.more)
	for i := range moves {
		u = math.Hypot(u, c.moves[i][0]-moves[i][0])
	}
	u = math.Max(u, immaterial*math.Max(a.Value.U, b.Value.U))
	d := b.Value.X - a.Value.X
	if !(u > 0) || math.IsInf(u, 1) {
		return
	}
	r := compared(KindCurveAndCount, d, u, "s", []int{0, at})
	if !r.Agree {
		r.Causes = []remark.Remark{remark.Of(KindCauseNoSine), remark.Of(KindCauseBadStretch)}
	}
	f.Comparisons = append(f.Comparisons, r)
	if c.eye != nil {
		c.compareEye(f)
	}
}

// compareEye adds whether the counted boxes agree with the fitted curve; all they share is the time base, which is
// small beside a tick.
func (c *counted) compareEye(f *Findings) {
	a, b := f.Results[0].Value, c.eye.Value
	gap, u := b.X-a.X, math.Hypot(a.U, b.U)
	r := compared(KindCurveAndBoxes, gap, u, "s", []int{0, len(f.Results)})
	if !r.Agree {
		r.Causes = []remark.Remark{remark.Of(KindCauseNoSine), remark.Of(KindCauseBadStretch)}
	}
	f.Results = append(f.Results, *c.eye)
	f.Comparisons = append(f.Comparisons, r)
}

// plural gives the word with an s unless n is 1.
func plural(n float64, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}
