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
	// breakOff is how near in boxes to where a drawing breaks off the trace is not asked for: an edge there may be drawn in
	// part. What is drawn there is compared (TestADrawingMayBreakOffInAnEdge).
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

// departures are those of the places of a drawing from a trace, in the order of x; a place without a counterpart is left
// out.
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
	// pencil's grain.
	fewestWaver, leastWaver = 10, 0.01
	// normal is the standard deviation of normal values over the median of their amounts.
	normal = 1.4826
)

// scatter is the median distance from the median.
func scatter(v []float64) float64 {
	m, off := median(v), make([]float64, len(v))
	for i := range v {
		off[i] = math.Abs(v[i] - m)
	}
	return median(off)
}

// wobbleOf is how far a hand wavers, across by the steep parts of a curve and up by the others, by medians: what departs
// in one place is no wobble, nor what lies off as a whole. Where there is little of the one it is taken from the other, for along
// the line a hand is twice as sure as across it (common practice, no source).
func wobbleOf(moves []moved) Point {
	var across, up []float64
	for _, m := range moves {
		switch {
		case m.across == 0:
			up = append(up, m.up)
		case m.up == 0:
			across = append(across, m.across)
		}
	}
	w := Point{math.NaN(), math.NaN()}
	if len(across) >= fewestWaver {
		w.X = max(leastWaver, normal*scatter(across))
	}
	if len(up) >= fewestWaver {
		w.Y = max(leastWaver, normal*scatter(up))
	}
	switch {
	case math.IsNaN(w.X) && math.IsNaN(w.Y):
		return Point{leastWaver, leastWaver}
	case math.IsNaN(w.X):
		w.X = max(leastWaver, w.Y/2)
	case math.IsNaN(w.Y):
		w.Y = w.X
	}
	return w
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
