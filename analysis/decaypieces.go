package analysis

// From stretches to decays that can be fitted: which of them fall or rise enough to tell τ, which points
// belong to each, what lies before it, and where its knee is.
//
// Points next to a knee or an edge are rounded by the stroke's width and by blur. A curve is therefore
// fitted to a stretch's inside first; then its ends walk outwards for as long as the points stay on the curve.

import (
	"context"
	"fmt"
	"math"
)

// A piece is one decay of the record. Indices are into the record's points.
type piece struct {
	label   string
	use     []int    // points fitted, rising
	fixedC  *float64 // V, the level that was given for it to settle at, nil if there is none
	fixedU  float64  // V, standard uncertainty that it was given with
	loose   float64  // V, the standard deviation that the curve is held to it with; 0 is exactly
	fit     exponential
	level   []int   // points of the flat stretch just before the knee; nil if there is none
	before  int     // piece that runs into the knee, or -1
	knee    float64 // s, first estimate
	kneeU   float64 // s, standard uncertainty of a knee that lies between points on an edge; else 0
	meets   float64 // s, where the curve meets what was before it; NaN if it does not
	sharp   bool    // the knee is where two curves meet
	dropped int     // points far off the curve, left out
	broken  bool    // a flat stretch follows without a bend
}

func (p *piece) rises() bool { return p.fit.a < 0 }

// begins tells whether the record shows what came before the knee.
func (p *piece) begins() bool { return p.level != nil || p.sharp || p.kneeU > 0 }

// A pieces is the decays of one record, in the order of time.
type pieces []*piece

const (
	// decayShare of the largest drop is the least that makes a stretch a decay: below it lies what is left
	// of one at the rim. Nothing changes from 0.01 to 0.6 (TestFindsTheDecaysOfASquareDrive notices 1.2).
	decayShare = 0.3
	// levelShare of the largest drop is the most that a flat stretch may change; nothing changes from 0.02 to 0.2
	// (TestFindsTheDecaysOfASquareDrive).
	levelShare = 0.05
	// spareReadings is the least number of points that a decay has beside its parameters: four are enough for one
	// (TestTheKneeOfFewReadingsIsFound).
	spareReadings = 1
	// onCurve, in standard deviations, is how far a point may lie off the curve and still belong to it at the
	// ends; two in a row must be outside (TestKneeRoundedByBlurDoesNotBiasTau).
	onCurve = 3.0
	// endShare of a stretch is left out at each end at first, but at its start no more than startShare of a τ: more
	// than blur rounds, which is 0.1 boxes of decays some boxes long. The ends walk out again: nothing changes from
	// 0.05 to 0.4 (TestFindsTheDecaysOfASquareDrive).
	endShare   = 0.1
	startShare = 0.3 // nothing changes from 0.1 to 1 (TestFindsTheDecaysOfASquareDrive)
	// clearance is the number of points left out next to one that does not belong, and half of those between it and
	// the cut are left out as well: blur leaves them off the curve by less than the noise, but all to one side;
	// nothing changes from 1 to 4 (TestFindsTheDecaysOfASquareDrive, TestKneeRoundedByBlurDoesNotBiasTau).
	clearance = 2
	// farOff, in standard deviations, is a point that is not of the trace; at most farOffShare of them may be
	// left out, more are a misfit and stay (TestWhichPointsAreLeftOut).
	farOff      = 6.0
	farOffShare = 0.03 // (TestWhichPointsAreLeftOut)
)

// isEdge tells a stretch too short for a decay or a level: no more than three points beside a bin, which has margin
// points, at each end.
func (s stretch) isEdge(margin int) bool { return s.hi-s.lo <= 2*margin+3 }

// findPieces gives the decays among the points. Where goal is not nil, those that go towards it settle at that level,
// in V, which is known to goalU.
func findPieces(ctx context.Context, p *points, goal *float64, goalU float64) pieces {
	n := len(p.t)
	if n < sparse {
		return sparsePieces(ctx, p, goal, goalU)
	}
	all, tau := findStretches(p.t, p.v, p.sigma)
	margin := (n + cutBins - 1) / cutBins
	largest := 0.0
	for _, s := range all {
		if !s.isEdge(margin) {
			largest = math.Max(largest, s.drop())
		}
	}
	var found pieces
	at := map[int]int{} // stretch to piece
	for k, s := range all {
		if s.isEdge(margin) || s.drop() < decayShare*largest {
			continue
		}
		low, high := 0, n
		if k > 0 {
			low = max(0, s.lo-2*margin-clearance)
		}
		if k < len(all)-1 {
			high = min(n, s.hi+2*margin+clearance)
		}
		one := fitWithin(p, goal, s, low, high, tau)
		if one == nil {
			continue
		}
		at[k] = len(found)
		found = append(found, one)
		one.lookBefore(p, all, k, at, margin, levelShare*largest)
		if k+1 < len(all) && all[k+1].drop() < levelShare*largest && !all[k+1].isEdge(margin) {
			one.broken = true
		}
	}
	found.weighLevel(ctx, p, goalU)
	found.findKnees(p)
	for range kneeRounds {
		if !found.cutAtKnees(p) {
			break
		}
		found.findKnees(p)
	}
	return found.named()
}

// lookBefore finds what runs into the knee of q, the decay of stretch k.
func (q *piece) lookBefore(p *points, all []stretch, k int, at map[int]int, margin int, flat float64) {
	q.before = -1
	for b := k - 1; b >= 0; b-- {
		s := all[b]
		if before, ok := at[b]; ok {
			q.before = before
			return
		}
		if s.isEdge(margin) {
			continue
		}
		if s.drop() <= flat {
			q.level = levelWithin(p, s.lo+margin, s.hi-margin)
			return
		}
		// A short stretch that goes the way of the decay is a bend into it, and what came before lies before that.
		if (s.end > s.start) != q.rises() || p.t[s.hi-1]-p.t[s.lo] > q.fit.tau {
			return
		}
	}
}

// levelWithin gives the points from lo to hi without those at the ends that do not belong to their level.
func levelWithin(p *points, lo, hi int) []int {
	share := int(endShare * float64(hi-lo))
	in, out := lo+share, hi-share
	level := median(p.v[in:out])
	off := make([]float64, 0, out-in)
	for j := in; j < out; j++ {
		off = append(off, math.Abs(p.v[j]-level)/p.sigma[j])
	}
	s := typical(off)
	belongs := func(j int) bool { return math.Abs(p.v[j]-level) <= onCurve*s*p.sigma[j] }
	first, last := walkOut(in, -1, lo, belongs), walkOut(out-1, 1, hi-1, belongs)
	if first > lo {
		first = min(in, first+clearance+(first-lo)/2)
	}
	if last < hi-1 {
		last = max(out-1, last-clearance-(hi-1-last)/2)
	}
	return span(first, last+1)
}

// fitWithin fits the points of stretch s, without its ends first, and lets the ends walk out to low and high at
// most. tau is about that of the stretch, in s; 0 takes all points from the start. It gives nil if there is no decay
// to fit.
func fitWithin(p *points, goal *float64, s stretch, low, high int, tau float64) *piece {
	in, out := s.lo, s.hi
	if n := s.hi - s.lo; n >= fewForCorrelation && tau > 0 {
		margin := (len(p.t) + cutBins - 1) / cutBins
		share := max(margin, int(endShare*float64(n)))
		in += margin
		for in < s.lo+share && p.t[in] < p.t[s.lo]+startShare*tau {
			in++
		}
		out -= share
	}
	q := &piece{use: span(in, out), before: -1}
	if !q.refit(p) { // which points belong does not depend on a level that was given; unless it must
		if q.settle(p, goal); !q.refit(p) {
			return nil
		}
	}
	spread := typical(q.off(p))
	// Compared with the spread of a new point about a curve that is itself uncertain there; without the second
	// part the points that a noisy curve misses would be left out, and the curve left as it is.
	worse := q.correlationFactor(p)
	belongs := func(j int) bool {
		return math.Abs(p.v[j]-q.fit.at(p.t[j])) <= onCurve*spread*math.Hypot(p.sigma[j], worse*q.fit.uncertainty(p.t[j]))
	}
	first := walkOut(in, -1, low, belongs)
	if first > low || low > 0 {
		first = min(in, first+clearance+max(0, first-s.lo)/2)
	}
	last := walkOut(out-1, 1, high-1, belongs)
	if last < high-1 || high < len(p.t) {
		last = max(out-1, last-clearance-max(0, s.hi-1-last)/2)
	}
	q.use = span(first, last+1)
	if q.refit(p) {
		q.leaveOut(p)
	}
	q.settle(p, goal)
	if !q.refit(p) {
		return nil
	}
	return q
}

// walkOut gives the last place, from j in steps towards limit, before two in a row do not belong.
func walkOut(j, step, limit int, belongs func(j int) bool) int {
	for j != limit && (belongs(j+step) || j+step != limit && belongs(j+2*step)) {
		j += step
	}
	return j
}

// leaveOut takes points out of q that lie far off its curve, if they are few, and fits again.
func (q *piece) leaveOut(p *points) {
	off := q.off(p)
	s := typical(off)
	var kept []int
	for i, j := range q.use {
		if off[i] <= farOff*s {
			kept = append(kept, j)
		}
	}
	gone := len(q.use) - len(kept)
	if gone == 0 || float64(gone) > farOffShare*float64(len(q.use)) {
		return
	}
	whole, fit := q.use, q.fit
	q.use, q.dropped = kept, gone
	if !q.refit(p) {
		q.use, q.fit, q.dropped = whole, fit, 0
	}
}

// correlationFactor is by how much correlation of neighbouring points widens what the fit of q says of itself, if it
// falls off as in a first-order autoregression.
func (q *piece) correlationFactor(p *points) float64 {
	var products, squares, last float64
	for i, j := range q.use {
		r := (p.v[j] - q.fit.at(p.t[j])) / p.sigma[j]
		if i > 0 {
			products += r * last
		}
		squares += r * r
		last = r
	}
	rho := products / squares
	if !(rho > 0) {
		return 1
	}
	rho = math.Min(rho, mostCorrelated)
	return math.Sqrt((1 + rho) / (1 - rho))
}

// mostCorrelated is the largest correlation of neighbours that correlationFactor goes by: a factor of 6
// (TestHowMuchCorrelationWidensAFit).
const mostCorrelated = 0.95

// off is how far each point of q lies off its curve, in its standard deviations.
func (q *piece) off(p *points) []float64 {
	off := make([]float64, len(q.use))
	for i, j := range q.use {
		off[i] = math.Abs(p.v[j]-q.fit.at(p.t[j])) / p.sigma[j]
	}
	return off
}

// typical is the standard deviation of normal variables of these sizes, whatever a few strange ones are; at least 1.
func typical(off []float64) float64 { return math.Max(1, median(off)/0.6745) }

// refit fits the curve of q to the points that it uses: from the curve that it has, which was of nearly the same
// points, or by a search over all τ.
func (q *piece) refit(p *points) bool {
	if len(q.use) == 0 {
		return false
	}
	t, v, w := p.gather(q.use, p.t, p.v)
	fit, ok := exponential{}, false
	if q.fit.tau > 0 && (q.fixedC != nil && q.loose == 0) == q.fit.fixedC {
		fit, ok = fitTowards(t, v, w, t[0], q.fixedC, q.loose, q.fit.tau)
	}
	if !ok {
		fit, ok = fitTowards(t, v, w, t[0], q.fixedC, q.loose, 0)
	}
	q.fit = fit
	return ok && len(t) >= fit.parameters()+spareReadings
}

// gather copies the points at places use of t and v, and their weights.
func (p *points) gather(use []int, allT, allV []float64) (t, v, w []float64) {
	buffer := make([]float64, 3*len(use))
	t, v, w = buffer[:len(use)], buffer[len(use):2*len(use)], buffer[2*len(use):]
	for i, j := range use {
		t[i], v[i], w[i] = allT[j], allV[j], p.w[j]
	}
	return t, v, w
}

// settle decides whether the level that q settles at is fitted: a level asked for holds for the decays that
// go towards it and not for those that come from it.
func (q *piece) settle(p *points, goal *float64) {
	if goal == nil || len(q.use) < 2 {
		return
	}
	few := max(1, len(q.use)/10)
	start, end := meanOf(p.v, q.use[:few]), meanOf(p.v, q.use[len(q.use)-few:])
	left := (end - *goal) / (start - *goal)
	if left > -towards && left < 1 {
		q.fixedC = goal
	}
}

// towards is how far beyond the given level, as a share of the distance to it, the end of a decay may lie
// and still be one that settles there (TestWhatSettlesAtAGivenLevel).
const towards = 0.3

func meanOf(v []float64, use []int) float64 {
	s := 0.0
	for _, j := range use {
		s += v[j]
	}
	return s / float64(len(use))
}

// named numbers the pieces, falls and rises apart.
func (all pieces) named() pieces {
	falls, rises := 0, 0
	for _, p := range all {
		if p.rises() {
			rises++
			p.label = fmt.Sprintf("rise %d", rises)
		} else {
			falls++
			p.label = fmt.Sprintf("fall %d", falls)
		}
	}
	return all
}

func span(lo, hi int) []int {
	s := make([]int, max(0, hi-lo))
	for i := range s {
		s[i] = lo + i
	}
	return s
}

// ways lists whether decays fall (false), rise (true) or both.
func (all pieces) ways() []bool {
	if all.goBothWays() {
		return []bool{false, true}
	}
	return []bool{all[0].rises()}
}

func (all pieces) goBothWays() bool {
	for _, q := range all {
		if q.rises() != all[0].rises() {
			return true
		}
	}
	return false
}

// anyBegins tells whether the record shows the knee of any decay that goes this way.
func (all pieces) anyBegins(rises bool) bool {
	for _, q := range all {
		if q.rises() == rises && q.begins() {
			return true
		}
	}
	return false
}

// halfPeriod is the least time from one knee to the next of the other way, s; +Inf if there is none.
func (all pieces) halfPeriod() float64 {
	half := math.Inf(1)
	for i := 1; i < len(all); i++ {
		if a, b := all[i-1], all[i]; a.rises() != b.rises() {
			half = math.Min(half, b.knee-a.knee)
		}
	}
	return half
}

// seen is the length in τ of the decay that is seen longest; +Inf if the level that one settles at was given.
func (all pieces) seen(p *points) float64 {
	long := 0.0
	for _, q := range all {
		if q.fixedC != nil {
			return math.Inf(1)
		}
		long = math.Max(long, (p.t[q.use[len(q.use)-1]]-p.t[q.use[0]])/q.fit.tau)
	}
	return long
}
