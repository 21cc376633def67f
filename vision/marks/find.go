package marks

// From rectangles of long lines to frames whose marks were seen.

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	rimLeast = 0.25 // of the pieces of each rim, or it is no frame (TestWhichRimsMakeAFrame)
	rimWeak  = 0.5  // of three of them (TestWhichRimsMakeAFrame)
	// fitsTried: with counts anew between (nothing changes from 2 to 8,
	// TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	fitsTried  = 4
	leastMarks = 6.0 // score: noise and chance alignments reach 5 (TestTwoTicksABoxAreEnough)
	innerCost  = 0.5 // of the score, for each side with a line like a rim inside it (TestWhatAFoundFrameIsWorth)
	innerMost  = 2   // sides; with more the frame is a bezel's (TestLinesInsideAFrameMakeItABezel)
	// unseenCost, of the score, for each rim that is not sharp; a menu may cover one of the right frame
	// (TestWhatAFoundFrameIsWorth)
	unseenCost = 1.5
	// SureMarks is the score above which a frame is preferred to a lattice whose lines are mostly missing
	// (TestWhatIsDoubtedOfMarks).
	SureMarks = 9.0
	// SharpRim is the share of a rim's pieces that are seen of a rim that is drawn (TestWhatAFoundFrameIsWorth).
	SharpRim = 0.5
	// InnerRuled is the share of the pieces of a line that is drawn.
	InnerRuled = innerRuled
	// atOnce is how many rectangles are tried before it is asked whether more are needed
	// (nothing changes from 2 to 8, TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks).
	atOnce = 4
	// boxOfPiece is the size in samples from which the searched picture serves, see scene.Closer
	// (TestSmallRectanglesAreSeenOnACloseUp).
	boxOfPiece = 64
	// rectangleBoxes is how many boxes a rectangle is taken to have across its height before they are counted
	// (TestSmallRectanglesAreSeenOnACloseUp).
	rectangleBoxes = 10
)

// A Found is a frame with the marks that were seen on it.
type Found struct {
	Frame geom.Frame
	Fit   fit.Fit
	Sight Sight
	Ticks int        // a box; 0 where only crosses were seen
	Rims  [4]float64 // left, right, bottom, top: shares of the pieces seen
	// Inner is how many of the four sides have a line like a rim's a box inside and none two boxes inside: the frame may
	// be a bezel's.
	Inner int
	// Across is the share of the inner lines that are drawn from rim to rim, where the only ticks are at whole boxes; 0
	// otherwise.
	Across float64
}

// Worth orders what was found: the score of the marks, less for rims that are not drawn and for lines like rims inside
// the frame.
func (f *Found) Worth() float64 {
	w := f.Sight.Score - innerCost*float64(f.Inner)
	for _, share := range f.Rims {
		if share < SharpRim {
			w -= unseenCost
		}
	}
	return w
}

// Options steers a search by marks.
type Options struct {
	View scene.View
	Want geom.Frame // count of boxes as a person knows it, zero where it is not known
	// Enough ends the search at a frame that it accepts; nil takes the best of all.
	Enough func(*Found) bool
}

// Find gives the frames whose marks were seen, the best first; nil when there are none, or ctx is done.
func Find(ctx context.Context, s *scene.Scene, o Options) []Found {
	return search(ctx, s, quadsOf(s.Ridges(o.View, scene.Fine), nil, 0), o)
}

// Near gives the frames whose marks were seen and whose corners are within reach pixels of those given, and those of
// which only the rims were seen. The latter have a Sight with the count of o.Want and no score.
func Near(ctx context.Context, s *scene.Scene, corners [4]geom.Pixel, reach float64, o Options) (marked, rims []Found) {
	qs := quadsOf(s.Ridges(o.View, scene.Fine), &corners, reach)
	for _, sign := range [2]float32{1, -1} {
		qs = append(qs, quad{corners: corners, sign: sign})
	}
	marked = search(ctx, s, qs, o)
	if o.Want.Cols == 0 || o.Want.Rows == 0 || ctx.Err() != nil {
		return marked, nil
	}
	near := closerTo(s, o.View, qs)
	for i := range qs {
		r, ok := rectangleOf(s, near, &qs[i])
		if !ok {
			continue
		}
		m := tried{r: r, seen: markSight{Sight: Sight{Size: frame.Sizes(o.Want)[0]}}}
		if m.fit, ok = m.r.fitMarks(&m.seen); ok && slices.Min(m.r.rims[:]) >= SharpRim {
			rims = append(rims, m.found())
		}
	}
	return marked, rims
}

// A tried is a rectangle with its count and fit.
type tried struct {
	r    rectangle
	seen markSight
	fit  fit.Fit
}

func (m *tried) found() Found {
	f := Found{Frame: m.r.frame, Fit: m.fit, Sight: m.seen.Sight, Ticks: m.seen.ticks, Rims: m.r.rims}
	if f.Sight.Score > 0 {
		f.Inner = m.r.inner(m.seen.counted())
	}
	if m.seen.ticks == 1 {
		f.Across = m.r.across()
	}
	return f
}

// search tries the rectangles qs in turn.
func search(ctx context.Context, s *scene.Scene, qs []quad, o Options) (out []Found) {
	if len(qs) == 0 {
		return nil
	}
	near := closerTo(s, o.View, qs)
	var done []rectangle
	for batch := range slices.Chunk(qs, atOnce) {
		if ctx.Err() != nil {
			return nil
		}
		rs, there := make([]rectangle, len(batch)), make([]bool, len(batch))
		raster.Rows(len(batch), func(a, b int) {
			for i := a; i < b; i++ {
				rs[i], there[i] = rectangleOf(s, near, &batch[i])
			}
		})
		var fresh []rectangle
		for i, r := range rs {
			if there[i] && !slices.ContainsFunc(done, func(d rectangle) bool { return d.same(&r) }) {
				done = append(done, r)
				fresh = append(fresh, r)
			}
		}
		fs, marked := make([]Found, len(fresh)), make([]bool, len(fresh))
		raster.Rows(len(fresh), func(a, b int) {
			for i := a; i < b; i++ {
				fs[i], marked[i] = fresh[i].countedAndFitted(o.Want)
			}
		})
		enough := false
		for i := range fs {
			if marked[i] && !enough {
				out = append(out, fs[i])
				enough = o.Enough != nil && o.Enough(&fs[i])
			}
		}
		if enough {
			break
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return cmp.Less(out[j].Worth(), out[i].Worth()) })
	return out
}

// closerTo shows the part of the photo where the rectangles qs lie.
func closerTo(s *scene.Scene, v scene.View, qs []quad) *scene.Picture {
	lo, hi := geom.Pixel{X: math.Inf(1), Y: math.Inf(1)}, geom.Pixel{X: math.Inf(-1), Y: math.Inf(-1)}
	var heights []float64
	for _, q := range qs {
		for _, c := range q.corners {
			lo.X, lo.Y = min(lo.X, c.X), min(lo.Y, c.Y)
			hi.X, hi.Y = max(hi.X, c.X), max(hi.Y, c.Y)
		}
		heights = append(heights, math.Hypot(q.corners[3].X-q.corners[0].X, q.corners[3].Y-q.corners[0].Y))
	}
	box := raster.Median(heights) / rectangleBoxes
	past := 1.5 * box // marks are looked for beyond the rims too
	lo.X, lo.Y, hi.X, hi.Y = lo.X-past, lo.Y-past, hi.X+past, hi.Y+past
	return s.Closer(v, []geom.Pixel{lo, hi}, box, boxOfPiece)
}

// rectangleOf starts a rectangle at the corners of q.
func rectangleOf(s *scene.Scene, near *scene.Picture, q *quad) (r rectangle, ok bool) {
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
	r.m = *fit.New(s.Photo.W, s.Photo.H, m, r.frame)
	return r, r.toRims()
}

// toRims fits r's model to the four rims; false if they are not there.
func (r *rectangle) toRims() bool {
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
		if fit.Approach(&trial, obs) {
			r.m = trial
		} else if !r.toPlane(obs) {
			return false
		}
		reach = rimNear
	}
	return true
}

// toPlane fits a plane alone to the rims, where they are too few for more.
func (r *rectangle) toPlane(obs []fit.Observation) bool {
	seen := make([]lattice.Sighting, len(obs))
	for i, o := range obs {
		seen[i] = lattice.Sighting{Piece: lattice.Piece{Of: o.Of, Line: int(math.Round(o.At)), Cell: o.Cell}, Place: o.Place}
	}
	h, _, ok := lattice.Fit(seen, r.m.H, 0)
	if ok {
		r.m.H, r.m.Lens.K, r.m.Lens.K2, r.m.Face = h, 0, 0, geom.Face{Half: r.m.Face.Half}
	}
	return ok
}

// countedAndFitted counts and fits the marks of r; ok is false if there are too few of them.
func (r *rectangle) countedAndFitted(want geom.Frame) (f Found, ok bool) {
	m := tried{r: *r}
	m.r.sample()
	m.seen = m.r.count(want)
	if m.seen.Score < leastMarks {
		// A bright rim before a field as bright as it is, is seen by the dark line beside it.
		other := tried{r: *r}
		other.r.sign = -r.sign
		other.r.sample()
		if other.seen = other.r.count(want); other.seen.Score > m.seen.Score {
			m = other
		}
	}
	// A fit to the marks mends a rim that was taken from a line beside it; more marks may be seen then,
	// or those of another count.
	for range fitsTried {
		if m.seen.Score < leastMarks/2 {
			break
		}
		next := tried{r: m.r}
		var fitted bool
		if next.fit, fitted = next.r.fitMarks(&m.seen); !fitted {
			break
		}
		next.r.sample()
		next.seen = next.r.count(want)
		better := next.seen.Score > 1.02*m.seen.Score
		if next.seen.counted() != m.seen.counted() && !better {
			next.seen = m.seen
		}
		ok = next.seen.counted() == m.seen.counted()
		m = next
		if ok && !better {
			break
		}
	}
	if !ok || m.seen.Score < leastMarks {
		return f, false
	}
	f = m.found()
	return f, f.Inner <= innerMost
}

// same reports whether two rectangles have the same corners and polarity.
func (r *rectangle) same(k *rectangle) bool {
	if r.sign != k.sign || r.frame != k.frame {
		return false
	}
	for _, c := range r.frame.Corners() {
		a, b := r.m.Pixel(c), k.m.Pixel(c)
		if !(math.Hypot(a.X-b.X, a.Y-b.Y)*r.near.Scale < 1) {
			return false
		}
	}
	return true
}
