package graticule

// One scale for all hypotheses, whichever way they came.

import (
	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/scene"
)

// A standing says how much speaks for a hypothesis. Of two of equal standing the one of higher quality leads.
type standing int

const (
	// ofAWave: its lines differ in colour, and what is coloured makes up for them: they are the flanks of a trace.
	ofAWave standing = iota
	// coloured: its lines differ in colour, and another frame fits nearly as well.
	coloured
	// markedWeakly: a frame with few marks, or marks that do not tell one count from another.
	markedWeakly
	// thin: fewer of its lines were seen than it takes to be sure of the lattice, they differ in colour, or another frame
	// fits nearly as well.
	thin
	// markedSurely: a frame with many marks, but something to doubt.
	markedSurely
	// likely: its lines are there, but another lattice comes near, or where they end was hardly seen.
	likely
	// markedClearly: nothing speaks against a frame with marks.
	markedClearly
	// settled: the lattice explains the lines that it should see, and no rival was found; only where its frame ends may
	// be doubted, which no other way of searching would tell.
	settled
	// clear: nothing speaks for another lattice or another frame.
	clear
)

const (
	// settledQuality is the least quality of a settled lattice: wrong ones that were otherwise without fault had 6 to 75,
	// true ones 160 and more (TestASettledLatticeEndsTheSearch).
	settledQuality = 150.0
	// settledRival is the quality of the next lattice over that of a settled one, at most
	// (TestASettledLatticeEndsTheSearch).
	settledRival = 0.3
	// settledStops is how clearly the lines must end, in sum of four rims, where not unsureShare of them were seen
	// (TestASettledLatticeEndsTheSearch).
	settledStops = 2.5
)

// A hypothesis is a graticule that one way gave.
type hypothesis struct {
	*Graticule
	verdict
	standing standing
	quality  float64
	// candidate is the lattice with its frame, and view where it was seen; nil of a frame found by marks.
	candidate *frame.Candidate
	view      scene.View
}

// over reports whether h is to be preferred to l, which may be nil.
func (h *hypothesis) over(l *hypothesis) bool {
	switch {
	case l == nil:
		return true
	case h.candidate != nil && l.candidate != nil && h.candidate.SameLattice(l.candidate):
		return h.quality > l.quality // they differ in the frame, which the better picture tells
	case h.standing == l.standing, h.ruledUnsettled() && l.ruledUnsettled():
		return h.quality > l.quality
	}
	return h.standing > l.standing
}

// ruledUnsettled reports whether h is of ruled lines that may be right and are not settled: of two such quality tells
// more than the share of lines seen on the photo, which a wave across them lowers (TestWavesAreNoLines).
func (h *hypothesis) ruledUnsettled() bool {
	return h.candidate != nil && (h.standing == thin || h.standing == likely)
}

// stand says how a hypothesis of ruled lines stands; view is where they were seen.
func (v *verdict) stand(quality float64, view scene.View) standing {
	switch {
	case v.clear():
		return clear
	case v.settled(quality):
		return settled
	case v.wave:
		return ofAWave
	case v.share < doubtShare, v.inks == (v.margin >= doubtMargin):
		return thin
	case v.inks:
		return coloured
	case view == scene.Colourless:
		return thin // what was taken out may have been the rest of the frame
	}
	return likely
}

// settled reports whether nothing but the frame's ends can be doubted.
func (v *verdict) settled(quality float64) bool {
	return !v.inks && !v.alike && quality >= settledQuality && v.rival < settledRival && v.margin >= doubtMargin &&
		(v.share >= unsureShare || v.share >= doubtShare && v.stopped() >= settledStops)
}

// finish fits a candidate to the photo and gathers what there is to say of it; nil if its lines vanish on a closer
// look.
func (s *search) finish(p *pool, c *frame.Candidate) *hypothesis {
	if h, done := p.fitted[c]; done {
		return h.copy()
	}
	p.fitted[c] = nil
	ph, f := s.scene.Photo, c.Frame.Size.Boxes()
	near := s.closer(c, fineBox)
	ft, ok := fit.Lines(near, ph.W, ph.H, c.Homography(), f, c.Frame.Size.Centred, c.Survey.Lattice.Sign)
	if !ok {
		return nil
	}
	across, up := lattice.BoxSize(ft.H, geom.Box{})
	v := verdict{
		share:  float64(ft.Seen) / float64(max(ft.Pieces, 1)),
		rms:    ft.RMS,
		bend:   ft.Bend,
		margin: c.Margin,
		aspect: across / up,
		stops:  c.Frame.Stops,
		known:  c.Frame.Known(),
		inks:   c.TwoInks,
		second: c.Survey.EverySecond(&c.Frame),
		ticked: c.Survey.TicksElsewhere(&c.Frame),
		fit:    &ft,
		sign:   c.Survey.Lattice.Sign,
	}
	if c.Frame.Size.Centred {
		v.rimOff = fit.RimOff(near, &ft.Model, f, v.sign)
	}
	if c.Survey.Lattice.Dotted {
		v.second = 1 // rows of dots are known to be there, divisions or not
		v.dotted = true
		v.alike = c.Frame.CentreTicks[0]+c.Frame.CentreTicks[1] < 1
	}
	g := graticuleOf(&ft, f, c.Frame.Size.Centred)
	v.cut = g.leaves(ph.W, ph.H)
	if v.inks && s.bears(g, &v) {
		v.inks = false
	}
	h := &hypothesis{Graticule: g, verdict: v, quality: c.Quality, candidate: c, view: p.view[c]}
	p.fitted[c] = h
	return h.copy()
}

// copy gives a hypothesis of which what depends on the question may be changed; nil for nil.
func (h *hypothesis) copy() *hypothesis {
	if h == nil {
		return nil
	}
	c, g := *h, *h.Graticule
	c.Graticule = &g
	return &c
}

// graticuleOf is the graticule of a fit.
func graticuleOf(ft *fit.Fit, f geom.Frame, centred bool) *Graticule {
	return &Graticule{H: ft.H, Lens: ft.Lens, Face: ft.Face, Frame: f, Centred: centred, Cov: ft.Cov, RMS: ft.RMS, Crossings: ft.Crossings}
}

// leaves reports whether a corner of g lies outside a photo of w×h pixels.
func (g *Graticule) leaves(w, h int) bool {
	for _, c := range g.Frame.Corners() {
		if p := g.Pixel(c); p.X < 0 || p.Y < 0 || p.X > float64(w) || p.Y > float64(h) {
			return true
		}
	}
	return false
}
