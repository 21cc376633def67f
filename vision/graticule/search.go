package graticule

// The automatic way from a photo to the best lattice with its best frame.

import (
	"image"
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

// A candidate is one lattice with its best frame.
type candidate struct {
	survey  *survey
	frame   frame
	margin  float64 // score of the frame above the next one of the same lattice
	quality float64 // see quality; times the root of the frame's score, less where lines lie off the lattice
	there   float64 // share of the frame's lines that are there
	inks    bool    // the two families differ in colour, see oneInk
}

const (
	// A candidate this clear ends the search: the crossing lines stop at all its rims, no other
	// place of the frame comes near, and its boxes are of a usual shape. Wrong lattices have reached
	// 2.3 and 23 (TestFindIsNeverSilentlyWrong).
	clearMargin = 12.0
	clearWorth  = 1.5 // what being clear adds to the quality
	clearThere  = 0.5 // of its lines; where fewer are there, rows of dots may have been taken for lines
	inksWorth   = 0.6 // of the quality of a lattice whose families differ in colour
	// narrowWorth is the same where boxes are narrowBox and less as wide as high, on a display that is wider than high: the
	// real ones that were seen have 0.8 to 1.9, and half of 1 where the edges of a wave lie halfway between lines.
	narrowWorth, narrowBox = 0.5, 0.7
	clearCost              = 2.0 // of the size: rarer ones may be part of a larger frame
	// sharpened is how many of the best candidates with small boxes are looked at anew on a close-up.
	sharpened = 3
	// atOnce is how many seeds are grown before the search asks whether it can end.
	atOnce = 4
	// dotsBetween is how strong the lines at minor divisions must be, of those of a lattice, for
	// a display that has a dot at every crossing of its minor divisions.
	dotsBetween = 0.5
	dotsRMS     = 0.03  // box, of a lattice of dots; one that takes dots here and there for lines has more
	dotsFit     = 0.004 // box, of one that is right throughout
	mostDots    = 8     // steps of dots to a step of a lattice that took some for lines
	dotThere    = 0.6   // of the median row of dots: a row of dots that is there
	leastDots   = 0.1   // rms of the evidence, strength of such lines
)

// look surveys the lattice g on the picture near, and finds its best frame; colours are seen in l.
func (c *candidate) look(g *grown, near *closeUp, l light, want geom.Frame) {
	*c = candidate{survey: surveyOf(g, near)}
	c.place(want)
	if c.quality > 0 && !oneInk(l.colour, &g.h, c.frame, g.sign) {
		c.inks = true
		c.quality *= inksWorth
	}
}

// place finds the best frame of c's survey.
func (c *candidate) place(want geom.Frame) {
	fs := c.survey.frames(want)
	if len(fs) == 0 {
		return
	}
	best, margin := foremost(fs)
	if fs[best].score <= 0 {
		return
	}
	c.frame, c.margin = fs[best], margin
	stopped := 0.25 + min(max(c.frame.stopped, 0), 4)
	c.quality, c.there = c.survey.quality(c.frame)
	off := c.survey.g.rms / mostRMS
	across, up := boxSize(c.survey.g.h, c.frame.mid())
	if c.frame.size.cols < c.frame.size.rows { // on its side
		across, up = up, across
	}
	if across < narrowBox*up {
		c.quality *= narrowWorth
	}
	c.quality *= math.Sqrt(c.frame.score) * stopped * stopped / (1 + off*off)
}

// settled reports whether c's frame is beyond question for its lattice.
func (c *candidate) settled() bool {
	return !c.inks && c.frame.stopped >= clearStops && c.margin >= clearMargin && c.there >= clearThere
}

// clear reports whether the search can end with c.
func (c *candidate) clear() bool {
	a, u := boxSize(c.survey.g.h, c.frame.mid())
	return c.settled() && c.frame.size.cost <= clearCost && a < aspectUsual*u && u < aspectUsual*a
}

// homography gives the map from boxes with the origin at the frame's centre.
func (c *candidate) homography() geom.Homography {
	m := c.frame.mid()
	return shift(c.survey.g.h, m.X, m.Y)
}

// search gives the candidates, the best first. The coarse picture is searched first; the fine one
// too when nothing clear was found there, and then that of again, unless it is nil.
func search(ph *photo.Photo, fineLight, coarseLight light, want geom.Frame, again func() light, stage func(string, image.Image)) []candidate {
	fine, coarse := evidenceOf(fineLight), evidenceOf(coarseLight)
	if stage != nil {
		stage("evidence", drawEvidence(&fine))
	}
	whole := &closeUp{plane: fineLight.log, scale: fineLight.scale}
	var done []grown
	var out []candidate
	var tried []seed
	try := func(seeds []seed) (clear bool) {
		fine, coarse := fine, coarse // which lattices keep
		tried = append(tried, seeds...)
		for batch := range slices.Chunk(seeds, atOnce) {
			gs := make([]grown, len(batch))
			ok := make([]bool, len(batch))
			raster.Rows(len(batch), func(a, b int) {
				for i := a; i < b; i++ {
					gs[i], ok[i] = grow(&fine, &coarse, batch[i])
				}
			})
			var fresh []grown
			for i, g := range gs {
				if ok[i] && !slices.ContainsFunc(done, func(d grown) bool { return d.covers(&g) }) {
					done = append(done, g)
					fresh = append(fresh, g)
				}
			}
			cs := lookAll(fresh, whole, fineLight, want)
			out = append(out, cs...)
			if slices.ContainsFunc(cs, func(c candidate) bool { return c.clear() }) {
				return true
			}
		}
		return false
	}
	clear := try(seedsOf(&coarse, keepCoarse)) || try(seedsOf(&fine, keepFine))
	dots := majors(done, &fine)
	settled := slices.ContainsFunc(out, func(c candidate) bool { return c.settled() })
	coloured := slices.ContainsFunc(out, func(c candidate) bool { return c.inks })
	if again != nil && !clear && !settled && (dots == nil || coloured) {
		dim := again()
		fine, coarse = evidenceOf(dim), evidenceOf(light{scale: coarseLight.scale, log: halve(dim.log)})
		if stage != nil {
			stage("dimmed", drawEvidence(&fine))
		}
		if !try(seedsOf(&coarse, keepCoarse)) {
			try(seedsOf(&fine, keepFine))
		}
	}
	worth := func(c *candidate) float64 {
		if c.clear() {
			return clearWorth * c.quality
		}
		return c.quality
	}
	best := func() {
		slices.SortStableFunc(out, func(a, b candidate) int {
			if p, q := worth(&a), worth(&b); p > q {
				return -1
			} else if p < q {
				return 1
			}
			return 0
		})
	}
	best()
	for i := range out[:min(sharpened, len(out))] {
		g := out[i].survey.g
		if near := closeUpOf(ph, fineLight, &g.h, g.part, tickBox); near.plane != fineLight.log {
			out[i].look(g, near, fineLight, want)
		}
	}
	best()
	if len(out) > 0 && !out[0].clear() {
		out = append(out, lookAll(out[0].squarer(), whole, fineLight, want)...)
		// No frame has a size that is half of another's: a settled frame of every second line says that the
		// others are minor divisions.
		if c, ok := bestFrame(lookAll(out[0].halved(), whole, fineLight, want)); ok && c.settled() && !out[0].settled() {
			c.quality = max(c.quality, out[0].quality)
			out[0] = c
		}
	}
	if c, ok := bestFrame(lookDots(dots, whole, want)); ok {
		out = append(out, c)
	}
	best()
	if stage != nil {
		stage("seeds", drawSeeds(ph, tried))
		if len(out) > 0 {
			stage("lattice", drawLattice(ph, &out[0]))
			stage("frame", drawFrame(ph, &out[0]))
		}
	}
	return out
}

// lookAll gives the candidates of the lattices gs that come to anything.
func lookAll(gs []grown, near *closeUp, l light, want geom.Frame) []candidate {
	cs := make([]candidate, len(gs))
	raster.Rows(len(gs), func(a, b int) {
		for i := a; i < b; i++ {
			cs[i].look(&gs[i], near, l, want)
		}
	})
	return slices.DeleteFunc(cs, func(c candidate) bool { return !(c.quality > 0) })
}

// covers reports whether g is the same lattice as d and no larger.
func (d *grown) covers(g *grown) bool {
	return d.part.cols()*d.part.rows() >= g.part.cols()*g.part.rows() && agree(d.h, g.h, g.part)
}

// agree reports whether the lattice b is a with another origin: at the corners and the middle of its
// part x the lines of both fall together to a fifth of a box.
func agree(a, b lattice, x extent) bool {
	var shift geom.Box
	for i, p := range [5]geom.Box{
		{X: float64(x.left), Y: float64(x.bottom)}, {X: float64(x.right), Y: float64(x.bottom)},
		{X: float64(x.left), Y: float64(x.top)}, {X: float64(x.right), Y: float64(x.top)},
		{X: math.Round(x.mid().X), Y: math.Round(x.mid().Y)},
	} {
		q := a.Box(b.Pixel(p))
		if i == 0 {
			shift = geom.Box{X: math.Round(q.X - p.X), Y: math.Round(q.Y - p.Y)}
		}
		if !(math.Abs(q.X-p.X-shift.X) < 0.2 && math.Abs(q.Y-p.Y-shift.Y) < 0.2) {
			return false
		}
	}
	return true
}

// squarer gives the lattices with every second line of the family that stands too close for square boxes (the steep
// edges of a trace halfway between lines make a lattice of half boxes), and with lines halfway between those of
// the other family, which a sparse graticule may have lost.
func (c *candidate) squarer() (out []grown) {
	g := c.survey.g
	a, u := boxSize(g.h, c.frame.mid())
	if max(a, u) < aspectUsual*min(a, u) {
		return nil
	}
	dense, wide := upright, level
	if u < a {
		dense, wide = level, upright
	}
	for phase := range 2 {
		n := g.alternate(dense, phase)
		if n.part.cols() >= 3 && n.part.rows() >= 3 && n.refit(reachFinal, 0) {
			out = append(out, n)
		}
	}
	n := g.between(wide)
	if n.refit(reachFinal, 0) && n.spread() {
		out = append(out, n)
	}
	return out
}

// alternate is the lattice with every second line of fam, from line number phase on.
func (g *grown) alternate(fam family, phase int) grown {
	n := grown{sign: g.sign, ev: g.ev, h: g.h, part: g.part}
	p := float64(phase)
	first := func(k int) int { return int(math.Ceil((float64(k) - p) / 2)) }
	last := func(k int) int { return int(math.Floor((float64(k) - p) / 2)) }
	if fam == upright {
		n.h = times(shift(n.h, p, 0), 2, 1)
		n.part.left, n.part.right = first(g.part.left), last(g.part.right)
	} else {
		n.h = times(shift(n.h, 0, p), 1, 2)
		n.part.bottom, n.part.top = first(g.part.bottom), last(g.part.top)
	}
	return n
}

// between is the lattice with a line more halfway between those of fam.
func (g *grown) between(fam family) grown {
	n := grown{sign: g.sign, ev: g.ev, h: g.h, part: g.part}
	if fam == upright {
		n.h = times(n.h, 0.5, 1)
		n.part.left, n.part.right = 2*g.part.left, 2*g.part.right
	} else {
		n.h = times(n.h, 1, 0.5)
		n.part.bottom, n.part.top = 2*g.part.bottom, 2*g.part.top
	}
	return n
}

// halved gives the lattices of every second line both ways, grown anew: lines may be ruled at two minor
// divisions to a box.
func (c *candidate) halved() (out []grown) {
	g := c.survey.g
	for phase := range 4 {
		x, y := phase%2, phase/2
		n := grown{sign: g.sign, ev: g.ev, h: times(shift(g.h, float64(x), float64(y)), 2, 2)}
		half := func(k, phase int) int { return int(math.Round(float64(k-phase) / 2)) }
		n.part = extent{half(g.part.left, x), half(g.part.right, x), half(g.part.bottom, y), half(g.part.top, y)}
		if n.part.cols() >= 3 && n.part.rows() >= 3 && n.spread() {
			out = append(out, n)
		}
	}
	return out
}

// lookDots is lookAll for the places that the origin of one lattice of dots may have. A division's dots
// are as strong as those between: all are measured in one unit, and they are there or not.
func lookDots(gs []grown, near *closeUp, want geom.Frame) []candidate {
	cs := make([]candidate, len(gs))
	raster.Rows(len(gs), func(a, b int) {
		for i := a; i < b; i++ {
			cs[i].survey = surveyOf(&gs[i], near)
		}
	})
	for fam := range 2 {
		var bases []float64
		for _, c := range cs {
			bases = append(bases, c.survey.base[fam])
		}
		unit := median(bases)
		for _, c := range cs {
			c.survey.base[fam] = unit
		}
	}
	raster.Rows(len(gs), func(a, b int) {
		for i := a; i < b; i++ {
			cs[i].survey.measure(dotThere)
			cs[i].place(want)
		}
	})
	return slices.DeleteFunc(cs, func(c candidate) bool { return !(c.quality > 0) })
}

// bestFrame gives the candidate with the best frame. They are one lattice with its origin at different
// places: its margin is that above the others as well.
func bestFrame(cs []candidate) (best candidate, ok bool) {
	for _, c := range cs {
		switch d := c.frame.score - best.frame.score; {
		case !ok:
			best, ok = c, true
		case d > 0:
			c.margin = min(c.margin, d)
			best = c
		default:
			best.margin = min(best.margin, -d)
		}
	}
	return best, ok
}

// majors gives the lattices that the divisions may have on a display with a dot at every crossing of
// its minor divisions, five to a box, where nothing but the rims and the ticks tells the lines from
// the rest: 25 places of the origin. What was grown on such a display has each third or each seventh
// row of dots for lines. It is nil when there are no such dots.
func majors(done []grown, fine *evidence) (out []grown) {
	var base grown
	most := 0.0
	for _, d := range done {
		if d.rms > dotsRMS {
			continue
		}
		d.ev, d.seen = fine, nil
		if !d.toDots(upright) || !d.toDots(level) {
			continue
		}
		d.h = times(d.h, ticksPerBox, ticksPerBox)
		in := func(k int) int { return int(math.Round(float64(k) / ticksPerBox)) }
		d.part = extent{in(d.part.left), in(d.part.right), in(d.part.bottom), in(d.part.top)}
		// The largest, but one that slipped a dot somewhere has a larger spread.
		if worth := float64(d.part.cols()*d.part.rows()) / (1 + d.rms*d.rms/(dotsFit*dotsFit)); worth > most && d.part.cols() >= 2 && d.part.rows() >= 2 {
			base, most = d, worth
		}
	}
	if base.ev == nil {
		return nil
	}
	base.dotted = true
	if wide := base; wide.spread() {
		base = wide
	}
	for px := range ticksPerBox {
		for py := range ticksPerBox {
			n := base
			n.seen = nil
			n.h = shift(base.h, float64(px)/ticksPerBox, float64(py)/ticksPerBox)
			out = append(out, n)
		}
	}
	return out
}

// toDots divides the steps between the lines of fam by the most for which all lines of the finer lattice
// are there, each about as strong as those of the coarse one. It reports whether there were any.
func (g *grown) toDots(fam family) bool {
	for m := mostDots; m > 1; m-- {
		d := *g
		lo, hi := &d.part.left, &d.part.right
		if fam == upright {
			d.h = times(d.h, 1/float64(m), 1)
		} else {
			d.h = times(d.h, 1, 1/float64(m))
			lo, hi = &d.part.bottom, &d.part.top
		}
		*lo, *hi = m**lo, m**hi
		// strength of the lines that lie c steps after those of the coarse lattice
		strength := func(c int) float64 {
			var s []float64
			for k := *lo + c; k <= *hi; k += m {
				s = append(s, d.lineStrength(fam, k, d.part))
			}
			return median(s)
		}
		s := strength(0)
		there := s > leastDots
		for c := 1; c < m && there; c++ {
			there = strength(c) > dotsBetween*s
		}
		if there {
			*g = d
			return true
		}
	}
	return false
}
