package marks

// Crosses at the crossings of a frame on which no lines run across the field. The light at a crossing and
// on the arms of its cross less that on a ring around it is the cross's height; heights are
// clipped at their median absolute value, and their mean is compared with that at places where a
// display with crosses has none.

import (
	"math"

	"quadrille/vision/fit"
	"quadrille/vision/raster"
)

const (
	crossArm  = 0.05 // box: inside the arms of a cross (TestTheHeightOfACross)
	crossRing = 0.19 // box: outside (TestTheHeightOfACross)
)

// betweenCrosses are the places beside crossings, in boxes, where a display with crosses has none. Of
// a grid of dots each third or fourth dot of a line may be at a crossing of another count; then there are
// dots at these (TestTheCountIsTheOneWhoseTicksAreAllThere).
var betweenCrosses = [...][2]float64{{0.5, 0}, {0, 0.5}, {0.5, 0.5}, {1. / 3, 0}, {0, 1. / 3}, {0.25, 0}, {0, 0.25}, {0.2, 0}, {0, 0.2}}

// lookCrosses adds to s what is seen of crosses at the crossings that no rim and no axis goes through.
func (r *rectangle) lookCrosses(s *markSight) {
	xs, ys := fit.Rulings(s.Size.Boxes(), s.Size.Centred)
	right, top := float64(s.Size.Cols)/2, float64(s.Size.Rows)/2
	inner := func(v []float64, rim float64) (out []float64) {
		for _, x := range v {
			if math.Abs(x) > 0.25 && rim-math.Abs(x) > 0.25 {
				out = append(out, x)
			}
		}
		return out
	}
	xs, ys = inner(xs, right), inner(ys, top)
	if len(xs) < 2 || len(ys) < 2 {
		return
	}
	type node struct{ x, y, v float64 }
	var nodes []node
	var abs []float64
	for _, x := range xs {
		for _, y := range ys {
			if v := r.spot(s.counted(), x, y); !math.IsNaN(v) {
				nodes = append(nodes, node{x, y, v})
				abs = append(abs, math.Abs(v))
			}
		}
	}
	unit := raster.Median(abs)
	if !(unit > 0) {
		return
	}
	clipped := func(v float64) float64 { return min(max(v/unit, -1), 1) }
	mean := 0.0
	var side, n [4]float64
	for _, o := range nodes {
		v := clipped(o.v)
		mean += v / float64(len(nodes))
		for i, on := range [4]bool{o.x == xs[0], o.x == xs[len(xs)-1], o.y == ys[0], o.y == ys[len(ys)-1]} {
			if on {
				side[i] += v
				n[i]++
			}
		}
	}
	if mean < marksSeen {
		return
	}
	between := 0.0
	for _, h := range betweenCrosses {
		sum, k := 0.0, 0.0
		for _, o := range nodes {
			if v := r.spot(s.counted(), o.x-math.Copysign(h[0], o.x), o.y-math.Copysign(h[1], o.y)); !math.IsNaN(v) && math.Abs(o.x) > 0.6+h[0]/2 && math.Abs(o.y) > 0.6+h[1]/2 {
				sum += clipped(v)
				k++
			}
		}
		between = max(between, sum/max(k, 1))
	}
	s.Crosses, s.Nodes = mean-between, float64(len(nodes))
	if s.Crosses < marksSeen {
		return
	}
	s.Score = s.Crosses*math.Sqrt(s.Nodes) - s.Size.Cost/10
	ends, past := math.Inf(1), math.Inf(-1)
	for i := range side {
		ends = min(ends, side[i]/max(n[i], 1))
	}
	for _, x := range [2]float64{xs[0] - 1, xs[len(xs)-1] + 1} {
		// Of half boxes at the rims; the lines of others would be the rims.
		if past = max(past, r.likeSpots(s.counted(), x+math.Copysign(1, x), 0, xs, ys, unit)); right-math.Abs(x) < -0.25 {
			past = max(past, r.likeSpots(s.counted(), x, 0, xs, ys, unit))
		}
	}
	for _, y := range [2]float64{ys[0] - 2, ys[len(ys)-1] + 2} {
		past = max(past, r.likeSpots(s.counted(), 0, y, xs, ys, unit))
	}
	s.told(ends, past)
}

// spot is the light at the crossing (x, y) of c and on four short arms, less that on a ring around it;
// NaN where the photo ends.
func (r *rectangle) spot(c count, x, y float64) float64 {
	u, v := 2/float64(c.Size.Cols), 2/float64(c.Size.Rows)
	light := func(dx, dy float64) float64 {
		l, ok := r.near.At(r.at((x+dx)*u, (y+dy)*v))
		if !ok {
			return math.NaN()
		}
		return float64(r.sign * l)
	}
	const a, b = crossArm, crossRing
	d := b / math.Sqrt2
	in := light(0, 0) + light(a, 0) + light(-a, 0) + light(0, a) + light(0, -a)
	out := light(b, 0) + light(-b, 0) + light(0, b) + light(0, -b) + light(d, d) + light(d, -d) + light(-d, d) + light(-d, -d)
	return in/5 - out/8
}

// likeSpots is the share of the crossings of column x, or of row y if x is 0, with a spot like the others.
func (r *rectangle) likeSpots(c count, x, y float64, xs, ys []float64, unit float64) float64 {
	sum, n := 0.0, 0.0
	add := func(x, y float64) {
		if v := r.spot(c, x, y); !math.IsNaN(v) {
			if v > tickLike*unit && v < unit/tickLike {
				sum++
			}
			n++
		}
	}
	if x != 0 {
		for _, y := range ys {
			add(x, y)
		}
	} else {
		for _, x := range xs {
			add(x, y)
		}
	}
	return sum / max(n, 1)
}
