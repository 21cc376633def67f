package analysis

// Readings that a person took off the screen, laid beside the photo's trace: each against the trace at its time, and
// the results of both for the same quantity. What both share is taken off: the volts scale and the time base, which are
// the instrument's (JCGM 100:2008, 5.2.2).
//
// Common causes (where ground was taken to be, the fit of the grid) move all differences alike, so that a reading is
// odd by its distance from the median of all, in its own uncertainty; chance finds one odd in 4.55 % of tables, however
// long (Bonferroni's bound).

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A LaidReading is one reading beside the trace. Trace and what follows is NaN where the trace is hidden or does not
// reach.
type LaidReading struct {
	T, V, U              float64 // s from the left rim, V, V: U is the reading's own, NaN if nothing is known of it
	Trace                float64 // V: of the trace at that time
	Difference, DU, Zeta float64 // V, V, 1: reading less trace, with what both share taken off
	// Apart is how far Difference is off the median of all, in the reading's own u, and Odd whether that is more than
	// chance does; NaN and false where too few readings meet the trace.
	Apart float64
	Odd   bool
	own   float64 // V: what is independent in DU
}

// Beside is what readings say of a trace. Its comparisons count their results in one list: those of the trace, those of
// the readings, and then its own.
type Beside struct {
	Pair
	Readings []LaidReading
}

const (
	// fewestLaid is the least number of readings whose scatter tells how well they were read
	// (TestOddReadingsAreThoseBeyondChance).
	fewestLaid = 4
	// leastReach is the share of the readings that must meet the trace for a shift of their times to be looked at
	// (TestShiftOfReadingsIsFound).
	leastReach = 0.7
	// wellOff is the mean square of zeta, each cut off at cutZeta, above which readings do not fit as they stand; a shift
	// is told if it brings that to a share betterShift (TestAShiftIsToldWhereItExplainsTheReadings).
	wellOff, cutZeta, betterShift = 4.0, 5.0, 0.25
)

// LayBeside lays the record of a table, whose times count from the photo's left rim, beside a trace. The findings of
// the table may be nil.
func LayBeside(trace Subject, table *calibrate.Record, found *Findings) *Beside {
	b := &Beside{}
	rec := trace.again.points.rec
	b.Readings = layReadings(rec, table, 0)
	if len(table.Sigma) == 0 {
		b.scatterAsSigma()
	}
	b.flagOdd()
	b.meanDifference(trace, rec, table, found)
	if found != nil {
		b.compareResults(trace, found)
	}
	return b
}

// readAt gives the value, the slope and the standard deviation of a record at time t by the line between the visible
// points on both sides, and their places and the weight of the second; ok is false beyond the ends and in a gap wider
// than gap, which is gapSpacings steps.
func readAt(rec *calibrate.Record, gap, t float64) (v, slope, sigma float64, i, k int, w float64, ok bool) {
	k, _ = slices.BinarySearch(rec.T, t)
	for i = k - 1; i >= 0 && math.IsNaN(rec.V[i]); i-- {
	}
	for k < len(rec.T) && math.IsNaN(rec.V[k]) {
		k++
	}
	// A point stands for all of its step: at the rim that is half of one beyond the first and the last.
	half := gap / gapSpacings / 2 * (1 + 1e-9)
	switch {
	case i < 0 && k < len(rec.T) && rec.T[k]-t <= half:
		i = k
	case k == len(rec.T) && i >= 0 && t-rec.T[i] <= half:
		k = i
	}
	if i < 0 || k == len(rec.T) {
		return 0, 0, 0, i, k, 0, false
	}
	if rec.T[k]-rec.T[i] > gap {
		return 0, 0, 0, i, k, 0, false
	}
	if k > i {
		w = (t - rec.T[i]) / (rec.T[k] - rec.T[i])
		slope = (rec.V[k] - rec.V[i]) / (rec.T[k] - rec.T[i])
	}
	v = (1-w)*rec.V[i] + w*rec.V[k]
	// Neighbours err alike: no less than the mean of both.
	sigma = (1-w)*rec.Sigma[i] + w*rec.Sigma[k]
	return v, slope, sigma, i, k, w, true
}

// layReadings holds each reading, its time moved by shift, against rec.
func layReadings(rec, table *calibrate.Record, shift float64) []LaidReading {
	var out []LaidReading
	gap := gapSpacings * medianStep(rec.T)
	for j, v := range table.V {
		if math.IsNaN(v) {
			continue
		}
		none := math.NaN()
		r := LaidReading{T: table.T[j] + shift, V: v, U: none, Trace: none, Difference: none, DU: none, Zeta: none, Apart: none}
		if j < len(table.Sigma) {
			r.U = table.Sigma[j]
		}
		seen, slope, sigma, i, k, w, ok := readAt(rec, gap, r.T)
		if !ok || math.IsInf(r.U, 1) {
			out = append(out, r)
			continue
		}
		r.Trace, r.Difference = seen, v-seen
		r.own = sigma
		if !math.IsNaN(r.U) {
			r.own = math.Hypot(sigma, r.U)
		}
		sum := r.own * r.own
		for _, e := range rec.Effects {
			move := (1-w)*(e.DV[i]-slope*e.DT[i]) + w*(e.DV[k]-slope*e.DT[k])
			if e.Shared {
				// The instrument's: it moves the reading in the same way, which was taken at the same voltage and time.
				move *= r.Difference / math.Max(math.Abs(seen), math.Abs(r.Difference))
			}
			sum += move * move
		}
		for _, e := range table.Effects {
			if !e.Shared {
				sum += e.DV[j] * e.DV[j]
			}
		}
		r.DU = math.Sqrt(sum)
		r.Zeta = r.Difference / r.DU
		out = append(out, r)
	}
	return out
}

// met gives the places of the readings that meet the trace.
func (b *Beside) met() (list []int) {
	for i, r := range b.Readings {
		if !math.IsNaN(r.Difference) {
			list = append(list, i)
		}
	}
	return list
}

// scatterAsSigma takes how well readings were read from their scatter about the trace, where nothing was said of it.
func (b *Beside) scatterAsSigma() {
	met := b.met()
	if len(met) < fewestLaid {
		for _, i := range met {
			b.Readings[i].DU, b.Readings[i].Zeta = math.NaN(), math.NaN()
		}
		b.Notes = append(b.Notes, remark.Of(KindReadingsWithoutU))
		return
	}
	d := b.differences()
	middle := median(d)
	for i := range d {
		d[i] = math.Abs(d[i] - middle)
	}
	const madToSD = 1.4826 // of a normal distribution (TestScatterOfReadingsIsThatOfANormalDistribution)
	scatter := madToSD * median(d)
	written := make([]float64, len(b.Readings))
	for i, r := range b.Readings {
		written[i] = r.V
	}
	step := writtenTo(written)
	spread := math.Max(scatter, rounding(step)) // readings written alike scatter less than they are rounded
	for _, i := range met {
		r := &b.Readings[i]
		r.DU = math.Sqrt(math.Max(r.DU*r.DU-r.own*r.own, 0) + math.Max(r.own*r.own, spread*spread))
		r.own = math.Max(r.own, spread)
		r.Zeta = r.Difference / r.DU
	}
	r := remark.Of(KindReadingsUFromScatter, remark.Number("scatter_v", scatter))
	if spread > scatter {
		r.Values = append(r.Values, remark.Number("step_v", step), remark.Number("u_v", spread))
	}
	b.Notes = append(b.Notes, r)
}

func (b *Beside) differences() (d []float64) {
	for _, i := range b.met() {
		d = append(d, b.Readings[i].Difference)
	}
	return d
}

// flagOdd marks readings that stand apart from the others.
func (b *Beside) flagOdd() {
	met := b.met()
	if len(met) < fewestLaid {
		return
	}
	middle := median(b.differences())
	limit := distuv.UnitNormal.Quantile(1 - chanceLimit/2/float64(len(met)))
	odd := 0
	for _, i := range met {
		r := &b.Readings[i]
		r.Apart = (r.Difference - middle) / r.own
		if r.Odd = math.Abs(r.Difference-middle) > limit*r.own; r.Odd {
			odd++
		}
	}
	if odd > 0 {
		b.Notes = append(b.Notes, remark.Of(KindReadingsOdd, remark.Count("odd", odd), remark.Count("readings", len(met)), remark.Number("limit", limit)))

	}
}

// meanDifference adds the mean of the differences as a result, and whether it is zero.
func (b *Beside) meanDifference(trace Subject, rec, table *calibrate.Record, found *Findings) {
	var use []int
	for _, i := range b.met() {
		if r := b.Readings[i]; !r.Odd && r.own > 0 && !math.IsNaN(r.DU) {
			use = append(use, i)
		}
	}
	if len(use) == 0 {
		return
	}
	weights, mean, common := 0.0, 0.0, 0.0
	for _, i := range use {
		r := b.Readings[i]
		w := 1 / (r.own * r.own)
		weights += w
		mean += w * r.Difference
		common += w * math.Sqrt(math.Max(r.DU*r.DU-r.own*r.own, 0))
	}
	mean, common = mean/weights, common/weights
	budget := []Term{noiseTerm(1/math.Sqrt(weights), math.Inf(1))}
	budget[0].Source = "noise of readings and points"
	if common > 0 {
		budget = append(budget, inputTerm("ground line, zero and grid", unit.Value{X: math.NaN(), U: common, Unit: "V"}, "normal", 1))
	}
	r := newResult("mean_difference", "readings", fmt.Sprintf("readings less trace, mean of %d", len(use)), mean, "V", budget)
	b.Results = append(b.Results, r)
	own := len(trace.Results)
	if found != nil {
		own += len(found.Results)
	}
	c := compared(KindReadingsInTheMean, mean, r.Value.U, "V", []int{own})
	if !c.Agree {
		if box := rec.VoltsPerBox; box > 0 {
			c.Causes = append(c.Causes, remark.Of(KindCauseGroundApart, remark.Number("gap_box", math.Abs(mean)/box)))
		}
		c.Causes = append(c.Causes, remark.Of(KindCauseOtherZero))
	}
	b.Comparisons = append(b.Comparisons, c)
}

// compareResults compares the results of trace and readings for one quantity in one way.
func (b *Beside) compareResults(trace Subject, found *Findings) {
	for i, one := range trace.Results {
		for k, two := range found.Results {
			if one.Quantity != two.Quantity || one.Method != two.Method || one.Label != two.Label || !isRead(one) {
				continue
			}
			gap, u := differenceOf(one, two, func(t Term) bool { return t.Shared })
			if !(u > 0) || math.IsInf(u, 1) {
				continue
			}
			c := compared(KindPhotoAndReadings, gap, u, one.Value.Unit, []int{i, len(trace.Results) + k},
				remark.Word("quantity", one.Quantity), remark.Word("method", one.Method), remark.Word("label", one.Label),
				remark.Number("photo", one.Value.X), remark.Number("u_photo", one.Value.U), remark.Number("readings", two.Value.X), remark.Number("u_readings", two.Value.U))
			if !c.Agree {
				c.Causes = []remark.Remark{remark.Of(KindCauseOffReading), remark.Of(KindCauseOtherPart)}
			}
			b.Comparisons = append(b.Comparisons, c)
			break
		}
	}
}

// isRead tells results that are read off a signal, each once: a frequency is its period again, a half-life its τ.
func isRead(r Result) bool {
	switch r.Quantity {
	case "tau":
		return r.Method != "rc" && r.Label == ""
	case "v_start", "v_end", "time_at_level", "v_pp", "v_mean", "v_high", "v_low", "pulse_duration":
		return r.Method != "extremes" && r.Method != methodOutermost // noise makes those
	case "period":
		return r.Method == "curve"
	}
	return false
}

// ShiftOfReadings looks for the time that must be added to those of a table for its readings to lie on the trace; ok is
// false if they fit as they stand, or if no shift makes them fit much better. Once ctx is done it looks no further.
func ShiftOfReadings(ctx context.Context, trace Subject, table *calibrate.Record) (shift float64, ok bool) {
	rec := trace.again.points.rec
	table = thinned(table)
	typical := median(finiteOf(rec.Sigma))
	if span := slices.Max(finiteOf(rec.V)) - slices.Min(finiteOf(rec.V)); len(table.Sigma) == 0 {
		typical = math.Max(typical, resolutionByEye*span)
	}
	cost := func(shift float64) float64 {
		sum, n := 0.0, 0
		laid := layReadings(rec, table, shift)
		for _, r := range laid {
			if !math.IsNaN(r.Difference) {
				z := r.Difference / math.Max(r.DU, typical)
				sum, n = sum+math.Min(z*z, cutZeta*cutZeta), n+1
			}
		}
		if float64(n) < leastReach*float64(len(laid)) || n == 0 {
			return cutZeta * cutZeta
		}
		return sum / float64(n)
	}
	if len(table.T) == 0 {
		return 0, false
	}
	asItIs := cost(0)
	if asItIs < wellOff {
		return 0, false
	}
	best, least := 0.0, asItIs
	shifts, step := shiftsToTry(rec.T, table)
	for _, t := range shifts { // the smallest of equal ones is found first
		if ctx.Err() != nil {
			break
		}
		if c := cost(t); c < 0.98*least {
			best, least = t, c
		}
	}
	for fine := step / 2; fine > step/64; fine /= 2 {
		for _, t := range []float64{best - fine, best + fine} {
			if c := cost(t); c < least {
				best, least = t, c
			}
		}
	}
	return best, least < betterShift*asItIs
}

// enoughReadings tell where a table lies on a trace; of more, some evenly over the table do
// (TestTheSearchForAShiftIsBounded).
const enoughReadings = 200

// thinned gives enough readings of a table to look for its shift.
func thinned(table *calibrate.Record) *calibrate.Record {
	var seen []int
	for j, v := range table.V {
		if !math.IsNaN(v) {
			seen = append(seen, j)
		}
	}
	if len(seen) <= enoughReadings {
		return table
	}
	few := &calibrate.Record{GroundBox: table.GroundBox}
	for _, e := range table.Effects {
		few.Effects = append(few.Effects, calibrate.Effect{Name: e.Name, Shared: e.Shared})
	}
	for k := range enoughReadings {
		j := seen[k*(len(seen)-1)/(enoughReadings-1)]
		few.T, few.V = append(few.T, table.T[j]), append(few.V, table.V[j])
		if len(table.Sigma) > 0 {
			few.Sigma = append(few.Sigma, table.Sigma[j])
		}
		for i, e := range table.Effects {
			few.Effects[i].DT, few.Effects[i].DV = append(few.Effects[i].DT, e.DT[j]), append(few.Effects[i].DV, e.DV[j])
		}
	}
	return few
}

// shiftsToTry gives the shifts, the smallest first, and their step in s, at which so many of a table's readings can
// meet a trace of times t as must: at all of them the reading in the middle lies on it, so that they are no more than
// the trace has points.
func shiftsToTry(t []float64, table *calibrate.Record) (list []float64, step float64) {
	var times []float64
	for j, v := range table.V {
		if !math.IsNaN(v) {
			times = append(times, table.T[j])
		}
	}
	first, last := t[0], t[len(t)-1]
	step = math.Max(medianStep(t), (last-first)/float64(len(t)))
	must := max(1, int(math.Ceil(leastReach*float64(len(times)))))
	low, high := math.Inf(1), math.Inf(-1)
	for i := 0; i+must <= len(times); i++ {
		if from, to := first-times[i], last-times[i+must-1]; from <= to {
			low, high = math.Min(low, from), math.Max(high, to)
		}
	}
	if !(low <= high) || !(step > 0) {
		return nil, step
	}
	from := math.Ceil(low/step) * step
	for k := range int((high-from)/step) + 1 {
		list = append(list, from+float64(k)*step)
	}
	sort.Slice(list, func(i, j int) bool {
		a, b := list[i], list[j]
		return cmp.Or(cmp.Compare(math.Abs(a), math.Abs(b)), cmp.Compare(b, a)) < 0
	})
	return list, step
}

// resolutionByEye is what a reading by eye is good to at least, as a share of the height, if nothing was said of it: a
// tenth of a box of about six (common practice, no source; TestAShiftIsToldWhereItExplainsTheReadings).
const resolutionByEye = 0.02

func finiteOf(x []float64) (out []float64) {
	for _, v := range x {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			out = append(out, v)
		}
	}
	return out
}
