package analysis

// Pulses with rounded tops on a flat base, such as half a sine or a pulse that a slow amplifier has rounded: the base
// is a state, the top is the mean of the pulses' peaks, each by a parabola. That it is pulses is told by how well
// they foretell each other.

import (
	"math"
	"slices"
)

const (
	// baseShare is by how much a greater share of the points must lie at the base of pulses with rounded tops than
	// lie as near to a turning point of a sine (TestARectifiedSineIsPulses, TestANoisySineIsNoPulses).
	baseShare = 0.15
	// alikePeaks is how far the peaks of rounded pulses may differ, as a share of their height; nothing changes from 0.1
	// to 0.4.
	alikePeaks = 0.2
	// A top is rounded if less than roundedShare of the time above half of the height is spent above highPart of it,
	// or less than surelyRounded if few points lie between the levels: of half a sine 0.53, of a square wave with
	// edges of half of its duration 0.65 (TestARectifiedSineIsPulses, TestAWaveThatIsHardlySquareIsDoubted).
	highPart, roundedShare, surelyRounded = 0.85, 0.62, 0.56
	// fewestOfTop is the number of points above half of the height that tell whether a top is rounded
	// (TestWhereStatesEndAndPulsesBegin).
	fewestOfTop = 8
	// peakShare is the part of a rounded pulse below its peak that the parabola through the peak is fitted to. Nothing
	// changes from 0.05 to 0.1 (TestARectifiedSineIsPulses notices 0.2).
	peakShare = 0.1
	// The edges of rounded pulses bend all over, each too little to be told: they are read from innerEdge of the
	// usual part, or from as much as innerSigmas standard deviations of a point on each side of the middle
	// (TestARectifiedSineIsPulses).
	innerEdge, innerSigmas = 0.3, 6.0
)

// findRounded gives base and top of pulses whose tops are no level.
func findRounded(p *points) (*bistate, bool) {
	b, ok := stateModes(p)
	if !ok {
		return nil, false
	}
	for _, up := range []bool{len(b.inLow) >= len(b.inHigh), len(b.inLow) < len(b.inHigh)} {
		c := *b
		if c.roundedTop(p, up) {
			return &c, true
		}
	}
	return nil, false
}

// roundedTop makes the base of b that of pulses to one side, and the mean of their peaks the other level; false if the
// points are no such pulses.
func (b *bistate) roundedTop(p *points, up bool) bool {
	most := surelyRounded
	if b.between(p) > mostBetween {
		most = roundedShare
	}
	base, side := b.inLow, 1.0
	level := &b.low
	if !up {
		base, side, level = b.inHigh, -1, &b.high
	}
	if len(base) == 0 {
		return false
	}
	baseLevel, toBase := weightedMean(p, base)
	*level = baseLevel
	reach := 0.0
	for _, i := range base {
		reach = math.Max(reach, math.Abs(p.v[i]-baseLevel))
	}
	far := 0.0 // of the sure points from the base
	for _, i := range p.sure() {
		far = math.Max(far, side*(p.v[i]-baseLevel))
	}
	turning := math.Acos(1-2*math.Min(1, 2*reach/far)) / math.Pi
	if float64(len(base)) < (baseShare+turning)*float64(len(p.t)) {
		return false
	}
	for _, v := range p.v { // nothing stands on the other side of the base
		if -side*(v-baseLevel) > far/4 {
			return false
		}
	}
	if !(far > 2*nearSigmas*p.typical) {
		return false
	}
	low, high := baseLevel, baseLevel+far
	if !up {
		low, high = baseLevel-far, baseLevel
	}
	edges := findEdges(p.t, p.v, p.w, low, high, 1)
	var peaks, flat []float64
	toTop := make([]float64, len(p.t))
	for i := 1; i < len(edges); i++ {
		if edges[i-1].mid.rising != up || edges[i].mid.rising == up {
			continue
		}
		peak, influence, ok := p.peak(edges[i-1].mid.t, edges[i].mid.t, side, far)
		if !ok {
			continue
		}
		peaks = append(peaks, peak)
		half, high := 0.0, 0.0
		for j, t := range p.t {
			if t > edges[i-1].mid.t && t < edges[i].mid.t {
				half++
				if side*(p.v[j]-baseLevel) > highPart*side*(peak-baseLevel) {
					high++
				}
			}
		}
		if half >= fewestOfTop {
			flat = append(flat, high/half)
		}
		for j, x := range influence {
			toTop[j] += x
		}
	}
	if len(flat) == 0 || median(flat) > most || slices.Max(peaks)-slices.Min(peaks) > alikePeaks*far {
		return false
	}
	top := 0.0
	for _, x := range peaks {
		top += x / float64(len(peaks))
	}
	for j := range toTop {
		toTop[j] /= float64(len(peaks))
	}
	if up {
		b.low, b.inLow, b.toLow, b.high, b.inHigh, b.toHigh = baseLevel, base, toBase, top, nil, toTop
	} else {
		b.high, b.inHigh, b.toHigh, b.low, b.inLow, b.toLow = baseLevel, base, toBase, top, nil, toTop
	}
	b.inner = math.Min(1, math.Max(innerEdge, innerSigmas*p.typical/(hysteresis*b.height()/2)))
	return side*(top-baseLevel) > 0
}

// peak gives the height of the peak between two times, by the parabola through the points near it, and the influence of
// each point on it.
func (p *points) peak(from, to, side, height float64) (peak float64, influence map[int]float64, ok bool) {
	best, at := math.Inf(-1), -1
	for i, t := range p.t {
		if t > from && t < to && side*p.v[i] > best && p.sigma[i] <= 3*p.typical {
			best, at = side*p.v[i], i
		}
	}
	if at < 0 {
		return 0, nil, false
	}
	near := func(i int) bool {
		return i >= 0 && i < len(p.t) && p.t[i] > from && p.t[i] < to && side*p.v[i] > best-peakShare*height
	}
	first, last := walkOut(at, -1, 0, near), walkOut(at, 1, len(p.t)-1, near)
	if last-first+1 < leastBow {
		return p.v[at], map[int]float64{at: 1}, true
	}
	l := straightThrough(p.t, p.v, p.w, first, last)
	curved, bent := bowThrough(p.t, p.v, p.w, first, last, l)
	influence = map[int]float64{}
	top := math.NaN()
	if bent {
		top = l.tm + (curved.tilt-l.slope/curved.bend)/2
	}
	if !(side*curved.bend < 0 && top > p.t[first] && top < p.t[last]) {
		for i := first; i <= last; i++ { // a top without a bend: its mean
			influence[i] = p.w[i] * p.w[i] / l.sw
		}
		return l.vm, influence, true
	}
	for i := first; i <= last; i++ {
		influence[i] = curved.influence(top, p.t[i], p.w[i])
	}
	peak, _ = curved.at(top)
	return peak, influence, true
}

// foretell lets each pulse be told by the others: a point beside the base is explained as far as it lies where the
// other pulses, laid over its own by their 50 % crossings, have it. What they are alike counts as one pulse of points
// that nothing explains.
func (s *pulsed) foretell(edges []edge, a *account) {
	p, whole := s.points, s.shape.whole
	width, middles := 0.0, []float64{}
	for _, w := range whole {
		width += (edges[w[1]].mid.t - edges[w[0]].mid.t) / float64(len(whole))
		middles = append(middles, (edges[w[0]].mid.t+edges[w[1]].mid.t)/2)
	}
	if e := &edges[0].mid; e.rising != s.shape.up { // one that began before the record, and one that goes on
		middles = append(middles, e.t-width/2)
	}
	if e := &edges[len(edges)-1].mid; e.rising == s.shape.up {
		middles = append(middles, e.t+width/2)
	}
	if len(middles) < 2 {
		return
	}
	a.silent /= float64(len(middles))
	a.price /= float64(len(middles))
	for i, state := range s.stateOf(len(p.t)) {
		t := p.t[i]
		if state != 0 {
			continue
		}
		own := 0
		for k, middle := range middles {
			if math.Abs(t-middle) < math.Abs(t-middles[own]) {
				own = k
			}
		}
		sum, others := 0.0, 0.0
		for k, middle := range middles {
			if v, ok := p.interpolated(t + middle - middles[own]); ok && k != own {
				sum, others = sum+v, others+1
			}
		}
		off := p.v[i] - sum/others
		if others == 0 || math.Abs(off) > alikePeaks*s.height() {
			a.leave(p, i)
			continue
		}
		a.r[i] = p.w[i] * off / math.Sqrt(1+1/others) // the others' mean has noise too
	}
}

// interpolated gives the voltage at a time between two neighbouring points; false where none are near.
func (p *points) interpolated(t float64) (v float64, ok bool) {
	k, _ := slices.BinarySearch(p.t, t)
	if k == 0 || k == len(p.t) || p.t[k]-p.t[k-1] > besideEnd*medianStep(p.t) {
		return 0, false
	}
	x := (t - p.t[k-1]) / (p.t[k] - p.t[k-1])
	return p.v[k-1] + x*(p.v[k]-p.v[k-1]), true
}
