package marks

// Strips: the light along the sides of a frame and along its axes, where ticks stand.
//
// On a frame whose homography is known, ticks are even along the frame's sides, so that a count of boxes and of ticks a
// box can be tried by looking where its ticks must be and halfway between them. One tick's height is the light there
// less the light halfway to its neighbours; clipped at their median absolute value, the heights have a mean near 1
// where all ticks are there and near 0 where none or half of them are.

import (
	"math"

	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	beyond = 0.3 // of half a side: how far past the rims a strip is looked at (TestMarksThatGoOnAreTold)
	// stripParts: straight runs that a bent strip is made of
	// (nothing changes from 13 to 52, TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	stripParts = 26
	// stripMost, samples (nothing changes from 1300 to 5200,
	// TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	stripMost = 2600
	// stripRows: rows that a band is averaged over (nothing changes from 2 to 6,
	// TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	stripRows = 3
	// tickLike, of the median height: a tick like the others has so much, and less than the inverse
	// (TestMarksThatGoOnAreTold)
	tickLike   = 0.4
	tickWindow = 0.15 // of the distance of ticks, to either side (TestHowManyTicksMustBeThere)
)

// bands are the depths inside a rim or beside an axis over which the light is averaged, in ninths of
// the frame's shorter side, about a box: short ticks reach into the first or the first two, longer
// ones farther (TestTheCountIsTheOneWhoseTicksAreAllThere).
var bands = [4][2]float64{{0.035, 0.065}, {0.085, 0.125}, {0.14, 0.20}, {0.22, 0.30}}

// tickBands is how many of the bands a tick reaches into that is at no division (TestWhatReachesDeepIsNoTick).
const tickBands = 2

// ticksOf are the counts of ticks a box that are tried (TestTheCountIsTheOneWhoseTicksAreAllThere).
var ticksOf = [4]int{5, 4, 2, 1}

// A rectangle is a frame on the photo, of no known count of boxes: its model's frame is of frame.Cols
// by frame.Rows nominal boxes.
type rectangle struct {
	near  *scene.Picture
	m     fit.Model
	sign  float32
	frame geom.Frame
	rims  [4]float64 // left, right, bottom, top: shares of the pieces seen
	strip [8]strip
	combs map[combKey]combSight // what was seen so far, in each strip's own unit
}

// A strip lies along a side of the frame, inside, or along an axis, on one side of it; ticks stand
// across it.
type strip struct {
	fam   lattice.Family // of the ticks
	edge  float64
	side  float64
	light [len(bands)][]float64 // from -1-beyond to 1+beyond of half the side; NaN outside the photo
}

// strips are two at each pair of rims and two at each axis, of the upright ticks first.
var strips = [8]strip{
	{fam: lattice.Upright, edge: -1, side: 1}, {fam: lattice.Upright, edge: 1, side: -1}, {fam: lattice.Upright, edge: 0, side: -1}, {fam: lattice.Upright, edge: 0, side: 1},
	{fam: lattice.Level, edge: -1, side: 1}, {fam: lattice.Level, edge: 1, side: -1}, {fam: lattice.Level, edge: 0, side: -1}, {fam: lattice.Level, edge: 0, side: 1},
}

// at gives the photo's pixel of a place in halves of the frame.
func (r *rectangle) at(u, v float64) geom.Pixel {
	return r.m.Pixel(geom.Box{X: u * float64(r.frame.Cols) / 2, Y: v * float64(r.frame.Rows) / 2})
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
	r.combs = map[combKey]combSight{}
	for i := range r.strip {
		s := &r.strip[i]
		*s = strips[i]
		along, across := w, h
		if s.fam == lattice.Level {
			along, across = h, w
		}
		per := int(min((1+beyond)*along*r.near.Scale, stripMost) / stripParts)
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
		if s.fam == lattice.Upright {
			return r.at(u, a)
		}
		return r.at(a, u)
	}
	const part = 2 * (1 + beyond) / stripParts // TestTheCountIsTheOneWhoseTicksAreAllThere
	from := place(-1 - beyond)
	for p := range stripParts {
		to := place(-1 - beyond + part*float64(p+1))
		// The samples are at the middles of even steps.
		e := 0.5 / float64(per)
		a := geom.Pixel{X: from.X + e*(to.X-from.X), Y: from.Y + e*(to.Y-from.Y)}
		b := geom.Pixel{X: to.X - e*(to.X-from.X), Y: to.Y - e*(to.Y-from.Y)}
		if r.near.Run(buf, a, b) {
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
	Size  frame.Size
	ticks int
}

// tickPlaces calls f with each place of a tick in boxes from the frame's centre, along fam's crossing
// direction, from outside boxes past the rims on; division says that a whole box ends there.
func (c count) tickPlaces(fam lattice.Family, outside int, f func(x float64, division bool)) {
	n := c.Size.Cols
	lines := 0.0 // a line's place, in boxes from the centre
	if fam == lattice.Level {
		n = c.Size.Rows
	}
	if n%2 == 1 && !(fam == lattice.Upright && c.Size.Centred) {
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

// A combKey names what comb is asked for: counts that have as many boxes along a strip share what is seen there.
type combKey struct {
	strip, boxes, ticks, band int
	centred                   bool
}

// combOf gives what is seen of the ticks of c on strip i in one band, in the strip's own unit.
func (r *rectangle) combOf(i int, c count, band int) combSight {
	key := combKey{i, c.Size.Cols, c.ticks, band, c.Size.Centred}
	if r.strip[i].fam == lattice.Level {
		key.boxes, key.centred = c.Size.Rows, false
	}
	out, ok := r.combs[key]
	if !ok {
		out = r.strip[i].ticksAt(c, band, 0)
		r.combs[key] = out
	}
	return out
}

// ticksAt looks along strip s for the ticks of c in one band; if unit is not 0, heights are in that unit.
func (s *strip) ticksAt(c count, band int, unit float64) (out combSight) {
	light := s.light[band]
	boxes := float64(c.Size.Cols)
	if s.fam == lattice.Level {
		boxes = float64(c.Size.Rows)
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
			if v > m || v != v { // NaN stays
				m = v
			}
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
		out.unit = raster.Median(abs)
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

// runsOn reports whether what stands at the ticks of c reaches through all bands deeper than ticks, as the flanks of a
// wave do that lies along an axis. A row of dots lies in one of them at most.
func (s *strip) runsOn(c count, unit float64) bool {
	for band := tickBands; band < len(bands); band++ {
		if s.ticksAt(c, band, unit).minor < minorSeen {
			return false
		}
	}
	return true
}
