package graticule

// Marks: the ticks inside a frame and across its centre axes; crosses at its crossings are in crosses.go.
//
// On a frame whose homography is known, ticks are even along the frame's sides and crosses are even in
// both directions, so that a count of boxes and of ticks a box can be tried by looking where its marks
// must be and halfway between them. One mark's height is the light there less the light halfway to its
// neighbours; clipped at their median absolute value, the heights have a mean near 1 where all marks are
// there and near 0 where none or half of them are. A count whose marks are a part of the
// true ones (each third, each fifth) has a mean near 1 too, but fewer marks: mean times the root of
// the count decides, as it does for noise.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
)

const (
	beyond     = 0.3  // of half a side: how far past the rims a strip is looked at
	stripParts = 26   // straight runs that a bent strip is made of
	stripMost  = 2600 // samples
	stripRows  = 3    // rows that a band is averaged over
	tickLike   = 0.4  // of the median height: a tick like the others has so much, and less than the inverse
	tickWindow = 0.15 // of the distance of ticks, to either side
	marksSeen  = 0.4  // mean clipped height of a strip or a lattice of crosses that is there
	minorSeen  = 0.3  // the same of the ticks that are at no division
	longBonus  = 3.0  // score of longer ticks at all divisions and nowhere else
	innerRuled = 0.6  // share of the pieces of a line that is drawn
)

// bands are the depths inside a rim or beside an axis over which the light is averaged, in ninths of
// the frame's shorter side, about a box: short ticks reach into the first or the first two, longer
// ones farther.
var bands = [4][2]float64{{0.035, 0.065}, {0.085, 0.125}, {0.14, 0.20}, {0.22, 0.30}}

// tickBands is how many of the bands a tick reaches into that is at no division.
const tickBands = 2

// ticksOf are the counts of ticks a box that are tried.
var ticksOf = [4]int{5, 4, 2, 1}

// A rectangle is a frame on the photo, of no known count of boxes: its model's frame is of frame.Cols
// by frame.Rows nominal boxes.
type rectangle struct {
	near  *closeUp
	m     model
	sign  float32
	frame geom.Frame
	rims  [4]float64 // left, right, bottom, top: shares of the pieces seen
	strip [8]strip
}

// A strip lies along a side of the frame, inside, or along an axis, on one side of it; ticks stand
// across it.
type strip struct {
	fam   family // of the ticks
	edge  float64
	side  float64
	light [len(bands)][]float64 // from -1-beyond to 1+beyond of half the side; NaN outside the photo
}

// strips are two at each pair of rims and two at each axis, of the upright ticks first.
var strips = [8]strip{
	{fam: upright, edge: -1, side: 1}, {fam: upright, edge: 1, side: -1}, {fam: upright, edge: 0, side: -1}, {fam: upright, edge: 0, side: 1},
	{fam: level, edge: -1, side: 1}, {fam: level, edge: 1, side: -1}, {fam: level, edge: 0, side: -1}, {fam: level, edge: 0, side: 1},
}

// at gives the photo's pixel of a place in halves of the frame.
func (r *rectangle) at(u, v float64) geom.Pixel {
	return r.m.pixel(geom.Box{X: u * float64(r.frame.Cols) / 2, Y: v * float64(r.frame.Rows) / 2})
}

// size gives the frame's middle width and height in pixels.
func (r *rectangle) size() (w, h float64) {
	a, b := r.at(-1, 0), r.at(1, 0)
	c, d := r.at(0, -1), r.at(0, 1)
	return math.Hypot(b.X-a.X, b.Y-a.Y), math.Hypot(d.X-c.X, d.Y-c.Y)
}

// sample fills the strips.
func (r *rectangle) sample() {
	w, h := r.size()
	box := min(w, h) / 9
	for i := range r.strip {
		s := &r.strip[i]
		*s = strips[i]
		along, across := w, h
		if s.fam == level {
			along, across = h, w
		}
		per := int(min((1+beyond)*along*r.near.scale, stripMost) / stripParts)
		for b, depth := range bands {
			s.light[b] = make([]float64, per*stripParts)
			for row := range stripRows {
				d := depth[0] + (depth[1]-depth[0])*(float64(row)+0.5)/stripRows
				r.run(s, s.edge+s.side*d*box/(across/2), s.light[b], per)
			}
		}
	}
}

// run adds one row of strip s, across at place a, to dst.
func (r *rectangle) run(s *strip, a float64, dst []float64, per int) {
	buf := make([]float32, per)
	place := func(u float64) geom.Pixel {
		if s.fam == upright {
			return r.at(u, a)
		}
		return r.at(a, u)
	}
	const part = 2 * (1 + beyond) / stripParts
	from := place(-1 - beyond)
	for p := range stripParts {
		to := place(-1 - beyond + part*float64(p+1))
		// The samples are at the middles of even steps.
		e := 0.5 / float64(per)
		a := geom.Pixel{X: from.X + e*(to.X-from.X), Y: from.Y + e*(to.Y-from.Y)}
		b := geom.Pixel{X: to.X - e*(to.X-from.X), Y: to.Y - e*(to.Y-from.Y)}
		if r.near.run(buf, a, b) {
			for i, v := range buf {
				dst[p*per+i] += float64(r.sign*v) / stripRows
			}
		} else {
			for i := range buf {
				dst[p*per+i] = math.NaN()
			}
		}
		from = to
	}
}

// A count is a hypothesis: boxes, and ticks a box; no ticks are looked for where that is 0.
type count struct {
	size  size
	ticks int
}

// tickPlaces calls f with each place of a tick in boxes from the frame's centre, along fam's crossing
// direction, from outside boxes past the rims on; division says that a whole box ends there.
func (c count) tickPlaces(fam family, outside int, f func(x float64, division bool)) {
	n := c.size.cols
	lines := 0.0 // a line's place, in boxes from the centre
	if fam == level {
		n = c.size.rows
	}
	if n%2 == 1 && !(fam == upright && c.size.centred) {
		lines = 0.5
	}
	half := float64(n)/2 + float64(outside)
	m := float64(c.ticks)
	for k := math.Ceil((-half-lines)*m - 1e-6); ; k++ {
		x := lines + k/m
		if x > half+1e-6 {
			return
		}
		f(x, math.Mod(math.Abs(k), m) == 0)
	}
}

// A combSight is what was seen of the ticks along one strip.
type combSight struct {
	mean   float64 // of the clipped heights, -1..1
	n      float64
	unit   float64    // the median absolute height, in log lightness
	ends   [2]float64 // mean over the first and the last box inside the rims
	past   [2]float64 // share of the places in the box outside with a tick like the others
	longer float64    // heights at divisions less those between, in units of the first band's
	minor  float64    // mean of those between; of all where each tick is at a division
}

// comb looks along strip s for the ticks of c in one band; if unit is not 0, heights are in that unit.
func (s *strip) comb(c count, band int, unit float64) (out combSight) {
	light := s.light[band]
	boxes := float64(c.size.cols)
	if s.fam == level {
		boxes = float64(c.size.rows)
	}
	perBox := float64(len(light)) / (1 + beyond) / boxes
	pitch := perBox / float64(c.ticks)
	if pitch < 4 {
		return out // they are not to be told from each other
	}
	w := max(tickWindow*pitch, 1)
	most := func(x float64) float64 {
		i, j := int(math.Ceil(x-w)), int(x+w)
		if i < 0 || j >= len(light) {
			return math.NaN()
		}
		m := light[i]
		for _, v := range light[i+1 : j+1] {
			m = max(m, v) // NaN stays
		}
		return m
	}
	type tick struct {
		x, v     float64
		division bool
	}
	var ticks []tick
	var abs []float64
	rim := boxes / 2
	c.tickPlaces(s.fam, 1, func(x float64, division bool) {
		at := float64(len(light))/2 + x*perBox - 0.5
		if d := math.Abs(math.Abs(x) - rim); d < 0.5/float64(c.ticks) || math.Abs(x) < 0.5/float64(c.ticks) {
			return // rims and axes are there whatever the count
		}
		v := most(at) - (most(at-pitch/2)+most(at+pitch/2))/2
		if math.IsNaN(v) {
			return
		}
		ticks = append(ticks, tick{x, v, division})
		if math.Abs(x) < rim {
			abs = append(abs, math.Abs(v))
		}
	})
	if out.unit = unit; unit == 0 {
		out.unit = median(abs)
	}
	if !(out.unit > 0) {
		return out
	}
	var nEnds, nPast, nDiv [2]float64
	var div [2]float64
	for _, t := range ticks {
		v := min(max(t.v/out.unit, -1), 1)
		end := 0
		if t.x > 0 {
			end = 1
		}
		switch d := math.Abs(t.x) - rim; {
		case d > 0:
			if v > tickLike && t.v < out.unit/tickLike {
				out.past[end]++
			}
			nPast[end]++
			continue
		case d > -1.01:
			out.ends[end] += v
			nEnds[end]++
		}
		out.mean += v
		out.n++
		k := 0
		if t.division {
			k = 1
		}
		div[k] += v
		nDiv[k]++
	}
	out.mean /= max(out.n, 1)
	for i := range 2 {
		out.ends[i] /= max(nEnds[i], 1)
		out.past[i] /= max(nPast[i], 1)
	}
	if nDiv[0] > 0 && nDiv[1] > 0 {
		out.longer = div[1]/nDiv[1] - div[0]/nDiv[0]
	}
	if out.minor = out.mean; nDiv[0] > 0 {
		out.minor = div[0] / nDiv[0]
	}
	return out
}

// runsOn reports whether what stands at the ticks of c reaches through all bands deeper than ticks, as the flanks of a wave
// do that lies along an axis. A row of dots lies in one of them at most.
func (s *strip) runsOn(c count, unit float64) bool {
	for band := tickBands; band < len(bands); band++ {
		if s.comb(c, band, unit).minor < minorSeen {
			return false
		}
	}
	return true
}

// A markSight is what was seen of a count's marks on a rectangle.
type markSight struct {
	count
	score   float64
	comb    [8]combSight // of the strips
	band    [8]int       // in which band
	ticks   [2]float64   // of upright and level ticks: mean of the better pair of strips
	strips  [2]float64   // and that of the worse strip of the pair
	crosses float64      // mean clipped height of the crosses, less that halfway between them
	nodes   float64      // how many crosses it is of
	ends    float64      // the least mean over the marks next to a rim
	past    float64      // the largest mean over those where the next would be outside
	longer  float64      // 0..1: ticks at divisions, and only they, are longer
	rival   float64      // score of the next count over this one's
	other   size         // that count
	// otherLonger is longer of that count.
	otherLonger float64
}

// look rates the ticks of c on r, or the crosses if c has no ticks.
func (r *rectangle) look(c count) (s markSight) {
	s.count = c
	s.ends, s.past = -1, math.NaN()
	if c.ticks > 0 {
		var ends, past [2]float64
		for fam := range 2 {
			for pair := range 2 {
				var mean, minor float64
				least, most := 1.0, -1.0
				var e, p [2]float64
				for i := fam*4 + pair*2; i < fam*4+pair*2+2; i++ {
					s.comb[i] = r.strip[i].comb(c, 0, 0)
					if t := r.strip[i].comb(c, 1, 0); t.mean > s.comb[i].mean+0.1 {
						s.comb[i], s.band[i] = t, 1
					}
					t := &s.comb[i]
					if c.ticks > 1 && t.mean > marksSeen && r.strip[i].runsOn(c, t.unit) {
						*t = combSight{}
					}
					mean += t.mean / 2
					least, most = min(least, t.mean), max(most, t.mean)
					minor += t.minor / 2
					for k := range 2 {
						e[k] += t.ends[k] / 2
						p[k] += t.past[k] / 2
					}
				}
				if minor < minorSeen {
					continue // the ticks of fewer a box
				}
				mean = (mean + most) / 2 // a menu or the trace may lie on one strip
				if mean > s.ticks[fam] {
					s.ticks[fam], s.strips[fam] = mean, least
					ends[fam], past[fam] = min(e[0], e[1]), max(p[0], p[1])
				}
			}
		}
		if min(s.ticks[0], s.ticks[1]) > marksSeen {
			n := func(boxes int) float64 { return math.Sqrt(float64(boxes * c.ticks)) }
			s.score = s.ticks[0]*n(c.size.cols) + s.ticks[1]*n(c.size.rows) - c.size.cost/10
			s.told(min(ends[0], ends[1]), max(past[0], past[1]))
			s.longer = r.longer(&s)
			s.score += longBonus * s.longer
		}
	}
	if c.ticks == 0 {
		r.lookCrosses(&s)
	}
	return s
}

// longer tells whether the ticks at the divisions of s reach deeper than the others, in the mean of the
// strips that show ticks and in the band where that is clearest.
func (r *rectangle) longer(s *markSight) float64 {
	most := 0.0
	for band := 1; band < len(bands); band++ {
		sum, n := 0.0, 0.0
		for i := range r.strip {
			if s.comb[i].mean > marksSeen && s.band[i] < band {
				sum += r.strip[i].comb(s.count, band, s.comb[i].unit).longer
				n++
			}
		}
		if n > 0 {
			most = max(most, sum/n)
		}
	}
	return min(most, 1)
}

// told keeps what ticks, and what crosses say of the rims: either may show where the marks end, and that they go on.
func (s *markSight) told(ends, past float64) {
	s.ends = max(s.ends, ends)
	if !(s.past >= past) {
		s.past = past
	}
}

// ruled is the share of the inner pieces of the line at x of fam that are drawn; it goes over n boxes from
// the rim at from.
func (r *rectangle) ruled(fam family, x, from float64, n int) float64 {
	seen := 0.0
	for i := 1; i < n-1; i++ {
		a := from + float64(i)
		k := mark{piece{fam, 0, 0}, rimPiece, x, [][2]float64{{a + alongFrom, a + 1 - alongFrom}}}
		if _, h, _ := k.sight(r.near, &r.m, r.sign, rimNear); h > rimClear {
			seen++
		}
	}
	return seen / float64(max(n-2, 1))
}

// inner is how many of the four sides there are next to which, a box inside, a line is drawn and two boxes inside
// is none: the rim of the display is there, and the frame is a bezel's.
func (r *rectangle) inner(c count) (sides int) {
	f := geom.Frame{Cols: c.size.cols, Rows: c.size.rows}
	for _, s := range [2]float64{-1, 1} {
		x, y := -s*f.Left(), -s*f.Bottom()
		if r.ruled(upright, x-s, f.Bottom(), f.Rows) > innerRuled && r.ruled(upright, x-2*s, f.Bottom(), f.Rows) < innerRuled/2 {
			sides++
		}
		if r.ruled(level, y-s, f.Left(), f.Cols) > innerRuled && r.ruled(level, y-2*s, f.Left(), f.Cols) < innerRuled/2 {
			sides++
		}
	}
	return sides
}

// across is the share of the inner lines of a frame that are drawn from rim to rim: where the only ticks
// are at whole boxes, they may be lines of anything, a tiled wall.
func (r *rectangle) across() float64 {
	f := r.frame
	drawn, n := 0.0, 0.0
	for i := 1; i < f.Cols; i++ {
		drawn += r.ruled(upright, f.Left()+float64(i), f.Bottom(), f.Rows)
		n++
	}
	for i := 1; i < f.Rows; i++ {
		drawn += r.ruled(level, f.Bottom()+float64(i), f.Left(), f.Cols)
		n++
	}
	return drawn / n
}

// count gives the count whose marks are seen best on r; score 0 if none.
func (r *rectangle) count(want geom.Frame) (best markSight) {
	var all []markSight
	for _, z := range markedSizes(want) {
		w, h := r.size()
		if a := w / float64(z.cols) / (h / float64(z.rows)); a > aspectUsual || a < 1/aspectUsual {
			continue
		}
		crossed := r.look(count{z, 0})
		if crossed.score > 0 {
			all = append(all, crossed)
		}
		for _, t := range ticksOf {
			s := r.look(count{z, t})
			if s.score == 0 {
				continue
			}
			if crossed.score > 0 {
				s.crosses, s.nodes = crossed.crosses, crossed.nodes
				s.score += crossed.score
				s.told(crossed.ends, crossed.past)
			}
			all = append(all, s)
		}
	}
	for _, s := range all {
		if s.score > best.score {
			best = s
		}
	}
	for _, s := range all {
		if (s.size.cols != best.size.cols || s.size.rows != best.size.rows || s.size.centred != best.size.centred) && s.score > best.rival*best.score {
			best.rival, best.other, best.otherLonger = s.score/best.score, s.size, s.longer
		}
	}
	return best
}

// markedSizes are the sizes tried: those of ruled graticules and rarer ones, the same on their sides, and
// lines from the rims where the columns are odd.
func markedSizes(want geom.Frame) []size {
	out := sizesFor(want)
	for _, z := range rareSizes {
		if (want.Cols == 0 || want.Cols == z.cols) && (want.Rows == 0 || want.Rows == z.rows) {
			out = append(out, z)
		}
	}
	for _, z := range slices.Concat(sizes, rareSizes) {
		z.cost += 4
		if z.centred {
			z.centred = false
		} else {
			z.cols, z.rows = z.rows, z.cols
		}
		fits := (want.Cols == 0 || want.Cols == z.cols) && (want.Rows == 0 || want.Rows == z.rows)
		for _, k := range out {
			fits = fits && (k.cols != z.cols || k.rows != z.rows || k.centred != z.centred)
		}
		if fits {
			out = append(out, z)
		}
	}
	return out
}
