package graticule

// The road from a photo to the graticule of a display on which no lines run across the field: a frame
// with ticks inside its rims, with ticked centre axes, or with small crosses where lines would cross.
//
// As a person reads it: the frame is a rectangle of long lines, and the ticks or crosses are even in its
// perspective. Rectangles come from long lines, each is fitted with a homography and the lens term on
// the photo itself, counts of boxes are tried by looking for their marks, and the last fit is to
// the pieces of the rims and axes and to each mark that was seen.

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	rimLeast   = 0.25 // of the pieces of each rim, or it is no frame
	rimWeak    = 0.5  // of three of them
	fitsTried  = 4    // with counts anew between
	sureMarks  = 9.0  // score above which a frame is preferred to a lattice whose lines are mostly missing
	leastMarks = 6.0  // score: noise and chance alignments reach 5
	clearMarks = 0.6  // mean height of the ticks both ways, or of the crosses, that leaves no doubt
	clearNodes = 16   // crosses, at least
	clearEnds  = 0.3  // mean height of the marks next to each rim
	clearPast  = 0.6  // and of those where the next would be outside, at most
	otherCount = 0.75 // score of another count over that of the best, unless longer ticks tell
	clearLong  = 0.45 // by so much longer
	sharpRim   = 0.5  // of the pieces of each rim
	innerCost  = 0.5  // of the score, for each side with a line like a rim inside it
	unseenCost = 1.5  // and for each rim that is not sharp; a menu may cover one of the right frame
)

// settle fits r's model to the four rims; false if they are not there.
func (r *rectangle) settle() bool {
	marks := rimMarks(r.frame)
	reach := rimReach
	for range 2 {
		obs, _, _, _ := observeMarks(r.near, &r.m, r.sign, marks, [markKinds]float64{rimPiece: reach})
		r.rims = rimShares(obs, r.frame)
		weak := 0
		for _, s := range r.rims {
			if s < rimWeak {
				weak++
			}
			if s < rimLeast {
				return false
			}
		}
		if weak > 1 {
			return false
		}
		trial := r.m
		if _, _, ok := adjust(&trial, obs); ok {
			r.m = trial
		} else if !r.square(obs) {
			return false
		}
		reach = rimNear
	}
	return true
}

// square fits a plane alone to the rims, where they are too few for more.
func (r *rectangle) square(obs []observation) bool {
	seen := make([]sighting, len(obs))
	for i, o := range obs {
		seen[i] = sighting{piece: piece{o.fam, int(math.Round(o.coord)), o.c}, place: o.place}
	}
	h, _, ok := fitLattice(seen, r.m.h, 0)
	if ok {
		r.m.h, r.m.lens.K, r.m.lens.K2, r.m.face = h, 0, 0, geom.Face{Half: r.m.face.Half}
	}
	return ok
}

// rectangleOf starts a rectangle at the corners of q.
func rectangleOf(ph *photo.Photo, near *closeUp, q *quad) (r rectangle, ok bool) {
	r.near, r.sign = near, q.sign
	c := &q.corners
	w := math.Hypot(c[1].X-c[0].X+c[2].X-c[3].X, c[1].Y-c[0].Y+c[2].Y-c[3].Y)
	h := math.Hypot(c[3].X-c[0].X+c[2].X-c[1].X, c[3].Y-c[0].Y+c[2].Y-c[1].Y)
	if r.frame = (geom.Frame{Cols: 10, Rows: 8}); h > w {
		r.frame = geom.Frame{Cols: 8, Rows: 10}
	}
	m, err := geom.HomographyOf(r.frame.Corners(), q.corners)
	if err != nil {
		return r, false
	}
	r.m = *newModel(ph.W, ph.H, m, r.frame)
	return r, r.settle()
}

// closeUpOfQuads shows the part of the photo where the rectangles qs lie.
func closeUpOfQuads(ph *photo.Photo, fine light, qs []quad) *closeUp {
	lo, hi := geom.Pixel{X: math.Inf(1), Y: math.Inf(1)}, geom.Pixel{X: math.Inf(-1), Y: math.Inf(-1)}
	var heights []float64
	for _, q := range qs {
		for _, c := range q.corners {
			lo.X, lo.Y = min(lo.X, c.X), min(lo.Y, c.Y)
			hi.X, hi.Y = max(hi.X, c.X), max(hi.Y, c.Y)
		}
		heights = append(heights, math.Hypot(q.corners[3].X-q.corners[0].X, q.corners[3].Y-q.corners[0].Y))
	}
	box := median(heights) / 10
	h := lattice{box, 0, lo.X, 0, -box, lo.Y, 0, 0, 1}
	return closeUpOf(ph, fine, &h, extent{0, int((hi.X-lo.X)/box) + 1, -int((hi.Y-lo.Y)/box) - 1, 0}, closeBox)
}

// A markedFrame is a rectangle with its count and fit.
type markedFrame struct {
	r    rectangle
	seen markSight
	fit  fit
	// inner is how many sides have a line like a rim's a box inside; see rectangle.inner.
	inner int
}

// markedFrames gives the frames whose marks were seen, the best first.
func markedFrames(ph *photo.Photo, fine light, qs []quad, want geom.Frame) (out []markedFrame) {
	if len(qs) == 0 {
		return nil
	}
	near := closeUpOfQuads(ph, fine, qs)
	var done []rectangle
	settled := false
	for batch := range slices.Chunk(qs, atOnce) {
		rs, there := make([]rectangle, len(batch)), make([]bool, len(batch))
		raster.Rows(len(batch), func(a, b int) {
			for i := a; i < b; i++ {
				rs[i], there[i] = rectangleOf(ph, near, &batch[i])
			}
		})
		var fresh []rectangle
		for i, r := range rs {
			if there[i] && !slices.ContainsFunc(done, func(d rectangle) bool { return d.same(&r) }) {
				done = append(done, r)
				fresh = append(fresh, r)
			}
		}
		ms, marked := make([]markedFrame, len(fresh)), make([]bool, len(fresh))
		raster.Rows(len(fresh), func(a, b int) {
			for i := a; i < b; i++ {
				ms[i], marked[i] = fresh[i].marked(want)
			}
		})
		for i := range ms {
			if marked[i] && !settled {
				out = append(out, ms[i])
				settled = ms[i].seen.score > sureMarks && ms[i].reading(ph).clear
			}
		}
		if settled {
			break
		}
	}
	slices.SortStableFunc(out, func(a, b markedFrame) int { return cmp.Compare(b.worth(), a.worth()) })
	return out
}

// marked counts and fits the marks of r; ok is false if there are too few of them.
func (r *rectangle) marked(want geom.Frame) (m markedFrame, ok bool) {
	m.r = *r
	m.r.sample()
	m.seen = m.r.count(want)
	if m.seen.score < leastMarks {
		// A bright rim before a field as bright as it is, is seen by the dark line beside it.
		other := markedFrame{r: *r}
		other.r.sign = -r.sign
		other.r.sample()
		if other.seen = other.r.count(want); other.seen.score > m.seen.score {
			m = other
		}
	}
	// A fit to the marks mends a rim that was taken from a line beside it; more marks may be seen then,
	// or those of another count.
	for range fitsTried {
		if m.seen.score < leastMarks/2 {
			break
		}
		next := markedFrame{r: m.r}
		var fitted bool
		if next.fit, fitted = next.r.fit(&m.seen); !fitted {
			break
		}
		next.r.sample()
		next.seen = next.r.count(want)
		better := next.seen.score > 1.02*m.seen.score
		if next.seen.count != m.seen.count && !better {
			next.seen = m.seen
		}
		ok = next.seen.count == m.seen.count
		m = next
		if ok && !better {
			break
		}
	}
	if !ok || m.seen.score < leastMarks {
		return m, false
	}
	m.inner = m.r.inner(m.seen.count)
	return m, m.inner <= 2
}

// worth is the score of m's marks, less for rims that are not drawn and for lines like rims inside it.
func (m *markedFrame) worth() float64 {
	w := m.seen.score - innerCost*float64(m.inner)
	for _, share := range m.r.rims {
		if share < sharpRim {
			w -= unseenCost
		}
	}
	return w
}

// same reports whether two rectangles have the same corners and polarity.
func (r *rectangle) same(k *rectangle) bool {
	if r.sign != k.sign || r.frame != k.frame {
		return false
	}
	for _, c := range r.frame.Corners() {
		a, b := r.m.pixel(c), k.m.pixel(c)
		if !(math.Hypot(a.X-b.X, a.Y-b.Y)*r.near.scale < 1) {
			return false
		}
	}
	return true
}

// A reading is a graticule found by its marks.
type reading struct {
	*Graticule
	verdict
	clear bool // nothing speaks against it
	score float64
}

// marked gives the graticule of a display on which no lines run across the field; nil if there is none.
func marked(ph *photo.Photo, fine light, o *Options) *reading {
	e := evidenceOf(fine)
	found := markedFrames(ph, fine, quadsOf(&e, nil, 0), o.Frame)
	if o.Stage != nil {
		o.Stage("marks", drawMarks(ph, found))
	}
	if len(found) == 0 {
		return nil
	}
	return found[0].reading(ph)
}

// markedByHand gives the same where the corners in o are those of a frame of long lines: with its marks, or,
// if the count is given and none are seen, from its rims alone; nil if there is none.
func markedByHand(ph *photo.Photo, fine light, o *Options) *reading {
	e := evidenceOf(fine)
	qs := quadsOf(&e, o.Corners, 1.5*handReach*float64(ph.W))
	for _, sign := range [2]float32{1, -1} {
		qs = append(qs, quad{corners: *o.Corners, sign: sign})
	}
	for _, m := range markedFrames(ph, fine, qs, o.Frame) {
		if d := m.reading(ph); o.near(d.Graticule, ph) {
			o.signed(d.Graticule)
			return d
		}
	}
	if o.Frame.Cols == 0 || o.Frame.Rows == 0 {
		return nil
	}
	var best *reading
	least := math.Inf(1)
	near := closeUpOfQuads(ph, fine, qs)
	for i := range qs {
		r, ok := rectangleOf(ph, near, &qs[i])
		if !ok {
			continue
		}
		m := markedFrame{r: r, seen: markSight{count: count{size: sizesFor(o.Frame)[0]}}}
		if m.fit, ok = m.r.fit(&m.seen); !ok || slices.Min(m.r.rims[:]) < sharpRim {
			continue
		}
		d := m.reading(ph)
		off := 0.0
		for i, b := range d.Frame.Corners() {
			p := d.Pixel(b)
			off += math.Hypot(p.X-o.Corners[i].X, p.Y-o.Corners[i].Y)
		}
		if o.near(d.Graticule, ph) && d.rms < doubtRMS && off < least {
			best, least = d, off
		}
	}
	if best != nil {
		best.Doubts = []remark.Remark{remark.Text("no ticks or crosses were seen in the frame: the boxes are even parts of it, by the count given")}
		o.signed(best.Graticule)
	}
	return best
}

// over reports whether the reading is to be preferred to what was found by ruled lines, of verdict v, and is not
// clear: when it is clear, when those lines are mostly missing, or when some of them may be the trace's.
// It is not where lines surely run across the field: its ticks may be minor lines there.
func (m *reading) over(v *verdict) bool {
	switch {
	case m.clear:
		return !v.surelyRuled()
	case v.share < doubtShare, v.inks && v.margin >= doubtMargin:
		return m.score > sureMarks
	}
	return v.inks
}

// surelyRuled reports whether lines surely run across the field, so that no marks would be preferred to them.
func (v *verdict) surelyRuled() bool {
	return v.margin >= doubtMargin && !v.inks && v.share >= unsureShare
}

// reading gives the frame as Find returns it, with its doubts.
func (m *markedFrame) reading(ph *photo.Photo) *reading {
	s, f := &m.seen, m.r.frame
	a, u := boxSize(m.fit.h, geom.Box{})
	v := verdict{share: float64(m.fit.seen) / float64(max(m.fit.pieces, 1)), rms: m.fit.rms, bend: m.fit.bend, pieces: m.fit.obs, margin: math.Inf(1), aspect: a / u,
		second: 1, stops: [4]float64{1, 1, 1, 1}}
	g := &Graticule{H: m.fit.h, Lens: m.fit.lens, Face: m.fit.face, Frame: f, Centred: s.size.centred, Cov: m.fit.cov, RMS: m.fit.rms, Crossings: m.fit.crossings}
	for _, corner := range f.Corners() {
		p := g.Pixel(corner)
		v.cut = v.cut || p.X < 0 || p.Y < 0 || p.X > float64(ph.W) || p.Y > float64(ph.H)
	}
	say := func(format string, a ...any) { g.Doubts = append(g.Doubts, remark.Text(fmt.Sprintf(format, a...))) }
	crossed := s.crosses >= clearMarks && s.nodes >= clearNodes
	if min(s.ticks[0], s.ticks[1]) < clearMarks && !crossed {
		say("no lines run across the display, and of the ticks or crosses that tell its boxes not all were seen: check that %d × %d boxes are right", f.Cols, f.Rows)
	}
	if !crossed && min(s.strips[0], s.strips[1]) < marksSeen {
		say("ticks were seen along one rim or side of an axis and not along the other: check that all four sides of the frame lie on the display's")
	}
	if s.ends < clearEnds {
		say("the ticks or crosses were not seen up to all four rims: check that the frame lies on the display's")
	}
	if s.past > clearPast || m.inner > 1 {
		say("ticks or crosses seem to go on beyond the frame found, or to end before it: check that %d × %d boxes are right", f.Cols, f.Rows)
	}
	if s.rival > otherCount && !(s.longer > clearLong && s.otherLonger < s.longer/2) {
		say("the ticks fit %d × %d boxes nearly as well as %d × %d: check the count", s.other.cols, s.other.rows, f.Cols, f.Rows)
	}
	if s.count.ticks == 1 && m.r.across() > innerRuled {
		say("lines run across the frame, and perhaps beyond it: check that it ends where the display's does")
	}
	for i, side := range [4]string{"left", "right", "bottom", "top"} {
		if m.r.rims[i] < sharpRim {
			say("the graticule's %s rim was not clearly seen: if a menu or glare covers it, check that the frame ends there", side)
		}
	}
	clear := len(g.Doubts) == 0 && v.share > doubtShare && v.rms < doubtRMS && !v.cut
	g.Doubts = append(g.Doubts, remark.Texts(v.doubts(f))...)
	return &reading{g, v, clear, s.score}
}
