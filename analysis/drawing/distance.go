package drawing

import (
	"math"
	"slices"
)

// A curve is a chain of straight segments from left to right, in boxes, which may have gaps.
type curve []segment

// A segment goes from a to b, a.X <= b.X. first and last say that nothing is joined to it at that end.
type segment struct {
	a, b        Point
	first, last bool
}

const (
	// bin is the width in boxes of the strips in which a curve's places become one, their median: the width of a pencil's
	// line at 10 mm a box. Half and twice of it change no departure by more than 0.03 box
	// (TestDeparturesDoNotDependOnTheStrips).
	bin = 0.05
	// gap is the longest stretch in boxes without places that a curve is joined over: a steep edge is often not seen. A
	// longer one is not drawn (TestWhatIsNotDrawnIsTold).
	gap = 0.35
	// end is how near in boxes the end of a curve is its end: an edge there is drawn or not
	// (TestARightDrawingIsWithinTheTolerance).
	end = 0.1
	// beyond is what no place of a drawing is, in boxes, however large the paper (TestHoldTakesAnyNumbers).
	beyond = 1000.0
)

// curveOf joins the places of a curve.
func curveOf(x, y []float64) curve { return curveIn(x, y, bin) }

// curveIn does so with strips of a width.
func curveIn(x, y []float64, bin float64) curve {
	var places []Point
	var xs, ys []float64
	flush := func() {
		if len(xs) > 0 {
			places = append(places, Point{median(xs), median(ys)})
			xs, ys = xs[:0], ys[:0]
		}
	}
	strip := math.NaN()
	for i := range min(len(x), len(y)) {
		if !(math.Abs(x[i]) < beyond && math.Abs(y[i]) < beyond) {
			continue
		}
		if at := math.Floor(x[i] / bin); at != strip {
			flush()
			strip = at
		}
		xs, ys = append(xs, x[i]), append(ys, y[i])
	}
	flush()
	return chain(places)
}

// chain joins places in order, but over no gap.
func chain(places []Point) curve {
	var c curve
	for i := 1; i < len(places); i++ {
		a, b := places[i-1], places[i]
		if b.X-a.X > gap || b.X < a.X {
			if len(c) > 0 {
				c[len(c)-1].last = true
			}
			continue
		}
		c = append(c, segment{a, b, len(c) == 0 || c[len(c)-1].last, false})
	}
	if len(c) > 0 {
		c[len(c)-1].last = true
	}
	return c
}

func median(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

func (c curve) places() int { return len(c) + 1 }

// left and right are the ends of a curve that is not empty.
func (c curve) left() float64  { return c[0].a.X }
func (c curve) right() float64 { return c[len(c)-1].b.X }

func (c curve) width() float64 {
	if len(c) == 0 {
		return 0
	}
	return c.right() - c.left()
}

// bounds are the lowest and the highest place.
func (c curve) bounds() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, s := range c {
		low, high = min(low, s.a.Y, s.b.Y), max(high, s.a.Y, s.b.Y)
	}
	return low, high
}

func (c curve) height() float64 { low, high := c.bounds(); return high - low }

// middle is half way between the lowest and the highest place.
func (c curve) middle() float64 { low, high := c.bounds(); return (low + high) / 2 }

// mapped moves each end of each segment.
func (c curve) mapped(to func(Point) Point) curve {
	out := make(curve, len(c))
	for i, s := range c {
		out[i] = segment{to(s.a), to(s.b), s.first, s.last}
	}
	return out
}

// nearest gives the place of c that is nearest to p along the squares, and how far that is. loose says that it is an
// end of c and that p does not lie well within: p has no counterpart. Of an empty curve the distance is +Inf.
func (c curve) nearest(p Point) (at Point, d float64, loose bool) { return c.within(p, math.Inf(1)) }

// within is nearest for a place that is less than a distance away; where none is, d is that distance.
func (c curve) within(p Point, most float64) (at Point, d float64, loose bool) {
	d = most
	k, _ := slices.BinarySearchFunc(c, p.X, func(s segment, x float64) int {
		if s.b.X < x {
			return -1
		}
		return 1
	})
	try := func(s *segment) {
		if min(s.a.Y, s.b.Y)-p.Y > d || p.Y-max(s.a.Y, s.b.Y) > d {
			return
		}
		for _, q := range s.crossings(p) {
			if w := math.Abs(q.X-p.X) + math.Abs(q.Y-p.Y); w < d {
				at, d = q, w
				loose = s.first && q == s.a && p.X < q.X+end || s.last && q == s.b && p.X > q.X-end
			}
		}
	}
	for i := k; i < len(c) && c[i].a.X-p.X < d; i++ {
		try(&c[i])
	}
	for i := k - 1; i >= 0 && p.X-c[i].b.X < d; i-- {
		try(&c[i])
	}
	return at, d, loose
}

// crossings are the places of a segment of which one is nearest to p along the squares: the distance is straight
// between the places level with p, upright with p, and the ends.
func (s *segment) crossings(p Point) [4]Point {
	out := [4]Point{s.a, s.b, s.a, s.b}
	dx, dy := s.b.X-s.a.X, s.b.Y-s.a.Y
	if f := (p.X - s.a.X) / dx; f > 0 && f < 1 {
		out[2] = Point{p.X, s.a.Y + f*dy}
	}
	if f := (p.Y - s.a.Y) / dy; f > 0 && f < 1 {
		out[3] = Point{s.a.X + f*dx, p.Y}
	}
	return out
}

// A sample is a place of a curve that stands for a width.
type sample struct {
	Point
	width float64
}

// samples gives places of a curve every so many boxes across, and every five times as many up: edges must tell, but a
// square wave is not all edges.
func (c curve) samples(step float64) []sample {
	var out []sample
	carried := math.Inf(1) // since the last sample, in steps
	for _, s := range c {
		dx, dy := s.b.X-s.a.X, s.b.Y-s.a.Y
		long := math.Max(dx/step, math.Abs(dy)/(5*step))
		if carried += long; carried < 1 && !s.last {
			if len(out) > 0 {
				out[len(out)-1].width += dx
			}
			continue
		}
		carried = 0
		n := max(1, int(min(math.Ceil(long), 1e5))) // beyond the reach of any curve, for sizes that are no numbers
		for i := range n {
			f := (float64(i) + 0.5) / float64(n)
			out = append(out, sample{Point{s.a.X + f*dx, s.a.Y + f*dy}, dx / float64(n)})
		}
	}
	return out
}
