package drawing

import (
	"math"
	"slices"
	"sort"
)

const (
	// fine is the step in boxes of the places at which departures are taken.
	fine = 0.05
	// steady is the width in boxes over which a departure is the median of those around it: one place that is off, where a
	// letter touches the curve, is none (TestOneBadPlaceIsNoDeparture).
	steady = 0.3
	// leastMissing is the shortest part of the trace in boxes whose lack is told: a person begins and ends a curve to some
	// tenths of a box (common practice, no source; TestWhatIsNotDrawnIsTold).
	leastMissing = 0.4
	// breakOff is how near in boxes to where a drawing breaks off the trace is not asked for: an edge there may be
	// drawn in part. What is drawn there is compared (TestADrawingMayBreakOffInAnEdge).
	breakOff = 0.2
	// apartBox is how far apart in boxes two stretches that depart are two: a hand crosses the line in between
	// (TestEachStretchThatDepartsIsToldOnce).
	apartBox = 0.6
)

// A moved place of the trace, by so much that it lies on the drawing.
type moved struct {
	at         Point
	across, up float64
	width      float64
}

func (m moved) size() float64 { return math.Abs(m.across) + math.Abs(m.up) }

// departures are those of the places of a drawing from a trace, in the order of x; a place without a counterpart is
// left out.
func departures(drawn, truth curve) []moved {
	var out []moved
	for _, p := range drawn.samples(fine) {
		if at, d, loose := truth.nearest(p.Point); !loose && !math.IsInf(d, 1) {
			out = append(out, moved{at, p.X - at.X, p.Y - at.Y, p.width})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].at.X < out[j].at.X })
	return out
}

const (
	// fewestWaver is from how many places on a hand's wobble is known, and leastWaver the least that it is, in boxes: a
	// tenth of a pencil's line.
	fewestWaver, leastWaver = 10, 0.005
	// row is the length of curve in boxes whose places are one for the wobble, their mean: much less than what wavers
	// together, and enough to take away a pencil's grain (TestTheWobbleIsTold).
	row = 0.2
	// farWaver is from how many standard deviations on a place counts as one so far off (TestTheWobbleIsTold).
	farWaver = 2.5
	// usualRatio is how far a hand wavers along x for so much up (TestTheWobbleIsTold), and ratioSpread the standard
	// deviation of its logarithm: nothing changes from 0.25 to 1.
	usualRatio, ratioSpread = 0.5, 0.5
	// fewestAlike is from how many rows on the length over which they are alike is asked for, mostAlike up to how many
	// rows apart; tentLength is the sum over all distances for a hand that is drawn through knots, as a share of their
	// distance (TestHowFarAHandWaversTogether).
	fewestAlike, mostAlike, tentLength = 20, 12, 1.35
	// normal is the standard deviation of normal values over the median of their amounts.
	normal = 1.4826
)

// wobbleOf is how far a hand wavers across and up, about a trace. On a slope the one and the other are seen together:
// as up + slope × across in height, and along x as that over the slope. So the two are those that make what was seen
// the likeliest, normal but for what is far off: that departs in one place, and is no wobble. Places count by the
// length of the curve that they stand for. A curve of one slope does not tell the two apart: for that there is a prior,
// for along the line a hand is about twice as sure as across it (common practice, no source).
func wobbleOf(moves []moved, about curve) Point {
	type seen struct{ off, across, up, weight float64 } // off has the variance (across·X)² + (up·Y)²
	var list []seen
	var now seen // the mean of places in a row
	total, long := 0.0, 0.0
	flush := func() {
		if long > 0 {
			list = append(list, seen{now.off / long, now.across / long, now.up / long, long})
		}
		total, now, long = total+long, seen{}, 0
	}
	for _, m := range moves {
		slope := math.Abs(about.slopeAt(m.at.X))
		w := m.width * max(1, slope)
		steep := m.across != 0 && m.up == 0
		if !steep && m.across != 0 || w == 0 { // round a corner
			continue
		}
		if steep != (now.up < now.across) {
			flush()
		}
		if steep {
			now.off, now.across, now.up = now.off+w*m.across, now.across+w, now.up+w/max(slope, 1)
		} else {
			now.off, now.across, now.up = now.off+w*m.up, now.across+w*min(slope, 1), now.up+w
		}
		if long += w; long >= row {
			flush()
		}
	}
	flush()
	if len(list) < fewestWaver || total == 0 {
		return Point{leastWaver, leastWaver}
	}
	best, least := Point{}, math.Inf(1)
	pieces := max(1, total/Alike)
	for k := -6; k <= 6; k++ {
		ratio := usualRatio * math.Pow(1.3, float64(k))
		of := func(s seen) float64 { return math.Hypot(s.across*ratio, s.up) }
		z := make([]float64, len(list))
		for i, s := range list {
			z[i] = math.Abs(s.off) / of(s)
		}
		far := farWaver * normal * median(z)
		sum, logs := 0.0, 0.0
		for i, s := range list {
			v := min(z[i], far)
			sum += s.weight * v * v
			logs += s.weight * math.Log(of(s))
		}
		y := math.Sqrt(sum / total)
		prior := math.Log(ratio/usualRatio) / ratioSpread
		nats := pieces*(math.Log(max(y, leastWaver))+logs/total) + prior*prior/2
		if nats < least {
			best, least = Point{max(leastWaver, ratio*y), max(leastWaver, y)}, nats
		}
	}
	return best
}

// alikeOf is over how many boxes a hand wavers together, from how alike the departures in height are where a curve is
// flat: its sum over all distances up to the first at which they are not (after the initial positive sequence of Geyer,
// Statist. Sci. 7 (1992) 473, from memory). Ten boxes tell that to a third, so that it is drawn half way to Alike.
func alikeOf(moves []moved) float64 {
	sums, counts := map[int]float64{}, map[int]float64{}
	first, last := math.MaxInt, math.MinInt
	for _, m := range moves {
		if m.across == 0 && m.width > 0 {
			k := int(math.Floor(m.at.X / row))
			sums[k], counts[k] = sums[k]+m.width*m.up, counts[k]+m.width
			first, last = min(first, k), max(last, k)
		}
	}
	if len(sums) < fewestAlike {
		return Alike
	}
	together := func(lag int) float64 {
		sum, n := 0.0, 0.0
		for k := first; k+lag <= last; k++ {
			if counts[k] > 0 && counts[k+lag] > 0 {
				sum, n = sum+sums[k]/counts[k]*sums[k+lag]/counts[k+lag], n+1
			}
		}
		return sum / max(n, 1)
	}
	all, length := together(0), 1.0
	for lag := 1; lag <= mostAlike; lag++ {
		v := together(lag) / all
		if !(v > 0) {
			break
		}
		length += 2 * v
	}
	return math.Sqrt(Alike * max(Alike/2, min(length*row/tentLength, 3*Alike)))
}

// slopeAt is the slope of a curve about x, over the width of a few strips; 0 where it is not drawn.
func (c curve) slopeAt(x float64) float64 {
	const about = 0.1 // box
	k, _ := slices.BinarySearchFunc(c, x, func(s segment, x float64) int {
		if s.b.X < x {
			return -1
		}
		return 1
	})
	if k == len(c) {
		return 0
	}
	from, to := k, k
	for from > 0 && !c[from].first && c[from].a.X > x-about {
		from--
	}
	for to+1 < len(c) && !c[to].last && c[to].b.X < x+about {
		to++
	}
	dx := c[to].b.X - c[from].a.X
	if dx <= 0 {
		return 0
	}
	return (c[to].b.Y - c[from].a.Y) / dx
}

// leftOut are the places of a trace and how far the drawing is from them, where there is one, in the order of x.
func leftOut(drawn, truth curve) []moved {
	var out []moved
	for _, p := range truth.samples(fine) {
		if at, d, loose := drawn.nearest(p.Point); !loose && !math.IsInf(d, 1) && !drawn.skips(p.X-breakOff) && !drawn.skips(p.X+breakOff) {
			out = append(out, moved{p.Point, at.X - p.X, at.Y - p.Y, p.width})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].at.X < out[j].at.X })
	return out
}

// skips says that a curve is not drawn at x.
func (c curve) skips(x float64) bool {
	k, _ := slices.BinarySearchFunc(c, x, func(s segment, x float64) int {
		if s.b.X < x {
			return -1
		}
		return 1
	})
	return k == len(c) || c[k].a.X > x
}

// depart fills in where and how far the drawing departs, and what is not drawn.
func (h *Held) depart(drawn, truth curve) {
	all := departures(drawn, truth)
	sum, width := 0.0, 0.0
	for _, m := range all {
		sum += m.width * m.size() * m.size()
		width += m.width
	}
	h.RMS = math.Sqrt(sum / width)
	h.Over, h.Largest = over(all, h.Tolerance)
	h.cover(drawn, truth)
}

// over gives the largest departure, and the largest of each stretch that departs by more than a tolerance, the largest
// first.
func over(all []moved, tolerance float64) (list []Departure, largest Departure) {
	for _, m := range steadied(all) {
		d := Departure{m.at.X, m.at.Y, m.across, m.up, m.size(), m.at.X, m.at.X}
		if d.Size > largest.Size {
			largest = d
		}
		if d.Size <= tolerance {
			continue
		}
		if n := len(list); n == 0 || d.X-list[n-1].To > apartBox {
			list = append(list, d)
			continue
		}
		run := &list[len(list)-1]
		from := run.From
		if d.Size > run.Size {
			*run = d
		}
		run.From, run.To = from, d.X
	}
	for i := range list { // few: insertion
		for k := i; k > 0 && list[k-1].Size < list[k].Size; k-- {
			list[k-1], list[k] = list[k], list[k-1]
		}
	}
	if len(list) > 0 {
		largest = list[0]
	}
	return list, largest
}

// steadied replaces the sizes by their running medians: each place gives way to the one around it whose size is the
// median.
func steadied(all []moved) []moved {
	out := make([]moved, len(all))
	from, to := 0, 0
	var near []int
	for i, m := range all {
		for ; all[from].at.X < m.at.X-steady/2; from++ {
		}
		for ; to < len(all) && all[to].at.X <= m.at.X+steady/2; to++ {
		}
		near = near[:0]
		for k := from; k < to; k++ {
			near = append(near, k)
		}
		sort.Slice(near, func(i, j int) bool { return all[near[i]].size() < all[near[j]].size() })
		out[i] = all[near[(len(near)-1)/2]]
	}
	return out
}

// cover tells what of the trace is drawn.
func (h *Held) cover(drawn, truth curve) {
	seen, has := 0.0, 0.0
	for _, s := range truth {
		if w := s.b.X - s.a.X; !drawn.skips((s.a.X + s.b.X) / 2) {
			seen, has = seen+w, has+w
		} else {
			seen += w
			h.Missing = joined(h.Missing, Span{s.a.X, s.b.X})
		}
	}
	if seen > 0 {
		h.Coverage = has / seen
	}
	h.Missing = slices.DeleteFunc(h.Missing, func(s Span) bool { return s.To-s.From < leastMissing })
}

// joined adds a span to a list, to its last one if that touches it.
func joined(list []Span, s Span) []Span {
	if n := len(list); n > 0 && s.From-list[n-1].To < bin {
		list[n-1].To = s.To
		return list
	}
	return append(list, s)
}
