package graticule

// Corners and counts that a person gave.

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

const (
	mostBoxes = 40    // across or up: more are no display's
	handClick = 0.004 // of the frame's diagonal: standard deviation of a corner set by hand, a finger on a phone's screen
	// Corners may be off by handReach of the photo's width each way; farther off is another frame.
	handReach = 0.03
	// cutOff is how far outside the photo a corner may lie, in widths and heights of it: of a frame of
	// which the photo shows less than half, nothing is measured.
	cutOff    = 0.5
	handSlack = 1.15 // of handReach: the lens and the last fit move corners too
	// handWorth is what corners off by what is usual then, 1/√3 of it, cost a frame: with fewer pieces'
	// worth a box too far is taken for small displays, with more a hand counts more than a rim
	// (TestCornersByHandAreRefined).
	handWorth = 6.0
)

// nudges are the shifts in boxes, either way, at which a grid given by hand is tried: corners may be
// off by 3 % of the frame's width, which is more than a line is searched beside its place.
var nudges = []float64{0, -0.22, 0.22}

// check says what is wrong with the options, nil if nothing is.
func (o *Options) check(ph *photo.Photo) error {
	for _, n := range []struct {
		field string
		count int
	}{{"columns", o.Frame.Cols}, {"rows", o.Frame.Rows}} {
		if n.count < 0 || n.count > mostBoxes || n.count == 1 {
			return &OptionsError{"boxes", fmt.Sprintf("%d %s of boxes: no display has that many", n.count, n.field),
				"count the boxes between the outermost lines, across and down, as in 10x8"}
		}
	}
	if !(o.CornerSigma >= 0) || math.IsInf(o.CornerSigma, 0) {
		return &OptionsError{"corner_uncertainty", fmt.Sprintf("corners good to %g pixels", o.CornerSigma), "give how far off a corner may be, in pixels, as a standard uncertainty: 3"}
	}
	if o.Corners == nil {
		return nil
	}
	const order = "give the four outermost corners of the graticule in pixels of the photo: top-left, top-right, bottom-right, bottom-left"
	w, h := float64(ph.W), float64(ph.H)
	for i, c := range o.Corners {
		if !(c.X >= -cutOff*w && c.Y >= -cutOff*h && c.X <= (1+cutOff)*w && c.Y <= (1+cutOff)*h) {
			return &OptionsError{"corners", fmt.Sprintf("corner %d at (%g, %g) is far outside the photo of %d × %d pixels", i+1, c.X, c.Y, ph.W, ph.H), order}
		}
	}
	m, err := geom.HomographyOf(geom.Frame{Cols: 2, Rows: 2}.Corners(), *o.Corners)
	if err != nil {
		return &OptionsError{"corners", "the four corners do not make a frame: two coincide, three lie on a line, or they are crossed", order}
	}
	if m[0]*m[4]-m[1]*m[3] > 0 { // box y is up, pixel y down: a frame seen from the front turns over
		return &OptionsError{"corners", "the four corners run anticlockwise: the grid would be mirrored", order}
	}
	return nil
}

// byHand gives the graticule from the corners in o, refined on the photo where lines or marks are seen
// there.
func byHand(ph *photo.Photo, o *Options) (*Graticule, error) {
	fine, coarse := lights(ph)
	g, v, err := ruledByHand(ph, fine, coarse, o)
	if err != nil || g != nil && v.clear() {
		return g, err
	}
	if m := markedByHand(ph, fine, o); m != nil && (g == nil || m.over(&v)) {
		return m.Graticule, nil
	}
	if g != nil {
		return g, nil
	}
	if o.Frame.Cols == 0 || o.Frame.Rows == 0 {
		return nil, &NotFoundError{"no lines were seen between the corners given, so the boxes cannot be counted", "give the count of boxes too, as in 10x8"}
	}
	return asGiven(ph, o)
}

// ruledByHand refines on ruled lines; nil if none are seen. Lattices come from the search, which needs no
// corners, and from the corners, where the search finds none; the corners tell which of their lines are
// the rims.
func ruledByHand(ph *photo.Photo, fineLight, coarseLight light, o *Options) (*Graticule, verdict, error) {
	for _, c := range search(ph, fineLight, coarseLight, o.Frame, func() light { return outshone(ph, fineLight) }, o.Stage) {
		if c.placed(o, ph) {
			if g, v := accepted(ph, fineLight, &c, o); g != nil {
				return g, v, nil
			}
		}
	}
	fine, coarse := evidenceOf(fineLight), evidenceOf(coarseLight)
	var best candidate
	for _, z := range sizesFor(o.Frame) {
		f := geom.Frame{Cols: z.cols, Rows: z.rows}
		h, err := geom.HomographyOf(f.Corners(), *o.Corners)
		if err != nil {
			return nil, verdict{}, &OptionsError{"corners", "the four corners do not make a frame", "give them clockwise from the top-left"}
		}
		for _, dx := range nudges {
			for _, dy := range nudges {
				if c, ok := settle(ph, fineLight, &fine, &coarse, shift(h, dx, dy), z); ok && c.quality > best.quality {
					best = c
				}
			}
		}
	}
	if best.survey == nil {
		return nil, verdict{}, nil
	}
	g, v := accepted(ph, fineLight, &best, o)
	return g, v, nil
}

// placed takes the best frame of c's lattice whose corners are near those given; false if there is none.
func (c *candidate) placed(o *Options, ph *photo.Photo) bool {
	reach := handReach * float64(ph.W)
	best := math.Inf(-1)
	for _, f := range c.survey.frames(o.Frame) {
		if f.score <= 0 {
			continue
		}
		other := *c
		other.frame = f
		h := other.homography()
		worst, sum := 0.0, 0.0
		for i, b := range f.boxes().Corners() {
			p := h.Pixel(b)
			dx, dy := (p.X-o.Corners[i].X)/reach, (p.Y-o.Corners[i].Y)/reach
			worst = max(worst, math.Abs(dx), math.Abs(dy))
			sum += (dx*dx + dy*dy) / 8
		}
		if score := f.score - handWorth*3*sum; worst < handSlack && score > best {
			best, c.frame = score, f
		}
	}
	return best > math.Inf(-1)
}

// accepted is the graticule of a candidate if it lies where the corners are; nil if it does not.
func accepted(ph *photo.Photo, l light, c *candidate, o *Options) (*Graticule, verdict) {
	g, v, ok := finish(ph, l, c)
	if !ok || v.share < leastShare || v.rms > mostRMS || v.bend > mostBend || !o.near(g, ph) {
		return nil, v
	}
	o.showPieces(ph, g, &v)
	v.margin, v.rival = math.Inf(1), 0
	v.cut = v.cut && (o.Frame.Cols == 0 || o.Frame.Rows == 0) // a person who counted knows where the frame ends
	g.Doubts = remark.Texts(v.doubts(g.Frame))
	o.signed(g)
	return g, v
}

// near reports whether g's corners are those given, as near as a hand may be off.
func (o *Options) near(g *Graticule, ph *photo.Photo) bool {
	for i, b := range g.Frame.Corners() {
		p := g.Pixel(b)
		if !(math.Max(math.Abs(p.X-o.Corners[i].X), math.Abs(p.Y-o.Corners[i].Y)) < handSlack*handReach*float64(ph.W)) {
			return false
		}
	}
	return true
}

// signed says on g that it is by hand, and doubts a count that the person did not give.
func (o *Options) signed(g *Graticule) {
	g.ByHand = true
	if o.Frame.Cols == 0 || o.Frame.Rows == 0 {
		g.Doubts = append(g.Doubts, remark.Text(fmt.Sprintf("the count of %d × %d boxes was read off the photo: check it", g.Frame.Cols, g.Frame.Rows)))
	}
}

// settle fits the lattice that starts at h, box -> photo from the frame's centre, to what is seen
// inside the frame.
func settle(ph *photo.Photo, l light, fine, coarse *evidence, h geom.Homography, z size) (c candidate, ok bool) {
	cols := z.cols
	if z.centred {
		cols--
	}
	x := extent{0, cols, 0, z.rows}
	g := grown{h: shift(h, -float64(cols)/2, -float64(z.rows)/2), part: x, ev: fine}
	if a, u := boxSize(h, geom.Box{}); math.Sqrt(a*u)*fine.scale > coarseBox {
		g.ev = coarse
	}
	if g.sign = g.polarity(); g.sign == 0 {
		return c, false
	}
	for _, step := range []struct {
		reach int
		ridge float64
	}{{reachFirst, 0.3}, {reachFirst, 0.1}, {reachGrow, 0}, {reachFinal, 0}} {
		if !g.refit(step.reach, step.ridge) {
			return c, false
		}
	}
	c.survey = surveyOf(&g, closeUpOf(ph, l, &g.h, x, tickBox))
	c.frame = frame{extent: x, size: z}
	c.frame.score = c.survey.sum(x)
	c.quality, c.there = c.survey.quality(c.frame)
	c.quality *= math.Sqrt(max(c.frame.score, 0))
	return c, c.quality > 0
}

// asGiven takes the corners as they are, with the uncertainty of a hand.
func asGiven(ph *photo.Photo, o *Options) (*Graticule, error) {
	h, err := geom.HomographyOf(o.Frame.Corners(), *o.Corners)
	if err != nil {
		return nil, &OptionsError{"corners", "the four corners do not make a frame", "give them clockwise from the top-left"}
	}
	c := o.Corners
	sigma := o.CornerSigma
	if sigma == 0 {
		sigma = handClick * math.Hypot(c[2].X-c[0].X, c[2].Y-c[0].Y)
	}
	cov := mat.NewSymDense(parameters, nil)
	// Each corner coordinate is an independent error; the lens is not known either.
	for i := range 8 {
		up, down := *o.Corners, *o.Corners
		move := func(q *[4]geom.Pixel, d float64) {
			if i%2 == 0 {
				q[i/2].X += d
			} else {
				q[i/2].Y += d
			}
		}
		move(&up, sigma/2)
		move(&down, -sigma/2)
		a, errA := geom.HomographyOf(o.Frame.Corners(), up)
		b, errB := geom.HomographyOf(o.Frame.Corners(), down)
		if errA != nil || errB != nil {
			return nil, &OptionsError{"corners", "the corners are too close to each other or to one line", "give the outermost corners of the graticule"}
		}
		var d [8]float64
		for k := range d {
			d[k] = a[k] - b[k]
		}
		for r := range d {
			for s := r; s < 8; s++ {
				cov.SetSym(r, s, cov.At(r, s)+d[r]*d[s])
			}
		}
	}
	cov.SetSym(8, 8, lensSigma*lensSigma)
	return &Graticule{
		H:      h,
		Lens:   geom.Radial{Centre: geom.Pixel{X: float64(ph.W) / 2, Y: float64(ph.H) / 2}, Scale: math.Hypot(float64(ph.W), float64(ph.H)) / 2},
		Face:   geom.Face{Half: geom.Box{X: float64(o.Frame.Cols) / 2, Y: float64(o.Frame.Rows) / 2}},
		Frame:  o.Frame,
		Cov:    cov,
		RMS:    math.NaN(),
		ByHand: true,
		Doubts: []remark.Remark{remark.Text(fmt.Sprintf("no grid lines were seen near the corners given: they are taken as they are, each good to %.1f pixels", sigma))},
	}, nil
}
