package graticule

// The automatic way from a photo to the best lattice with its best frame.

import (
	"image"
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

// A candidate is one lattice with its best frame.
type candidate struct {
	survey  *survey
	frame   frame
	margin  float64 // score of the frame above the next one of the same lattice
	quality float64 // see quality; times the root of the frame's score
}

const (
	// A candidate this clear ends the search: the crossing lines stop at all its rims, no other
	// place of the frame comes near, and its boxes are of a usual shape. Wrong lattices have reached
	// 2.3 and 23 (TestFindIsNeverSilentlyWrong).
	clearMargin = 12.0
	// sharpened is how many of the best candidates with small boxes are looked at anew on a close-up.
	sharpened = 3
)

// look surveys the lattice g on the picture near, and finds its best frame.
func (c *candidate) look(g *grown, near *closeUp, want geom.Frame) {
	*c = candidate{survey: surveyOf(g, near)}
	fs := c.survey.frames(want)
	if len(fs) == 0 || fs[0].score <= 0 {
		return
	}
	c.frame, c.margin = fs[0], math.Inf(1)
	if len(fs) > 1 {
		c.margin = fs[0].score - fs[1].score
	}
	stopped := 0.25 + min(max(c.frame.stopped, 0), 4)
	c.quality = c.survey.quality(c.frame) * math.Sqrt(c.frame.score) * stopped * stopped
}

// clear reports whether the search can end with c.
func (c *candidate) clear() bool {
	a, u := boxSize(c.survey.g.h, c.frame.mid())
	return c.frame.stopped >= clearStops && c.margin >= clearMargin && a < aspectUsual*u && u < aspectUsual*a
}

// homography gives the map from boxes with the origin at the frame's centre.
func (c *candidate) homography() geom.Homography {
	m := c.frame.mid()
	return shift(c.survey.g.h, m.X, m.Y)
}

// search gives the candidates, the best first. The coarse picture is searched first; the fine one
// too when nothing clear was found there.
func search(ph *photo.Photo, fineLight, coarseLight light, want geom.Frame, stage func(string, image.Image)) []candidate {
	fine, coarse := evidenceOf(fineLight), evidenceOf(coarseLight)
	if stage != nil {
		stage("evidence", drawEvidence(&fine))
	}
	whole := &closeUp{plane: fineLight.log, scale: fineLight.scale}
	var done []grown
	var out []candidate
	var tried []seed
	try := func(seeds []seed) (clear bool) {
		for _, sd := range seeds {
			tried = append(tried, sd)
			g, ok := grow(&fine, &coarse, sd)
			if !ok || slices.ContainsFunc(done, func(d grown) bool { return d.covers(&g) }) {
				continue
			}
			done = append(done, g)
			var c candidate
			c.look(&g, whole, want)
			if c.quality > 0 {
				out = append(out, c)
				if c.clear() {
					return true
				}
			}
		}
		return false
	}
	if !try(seedsOf(&coarse, keepCoarse)) {
		try(seedsOf(&fine, keepFine))
	}
	best := func() {
		slices.SortStableFunc(out, func(a, b candidate) int {
			if a.quality > b.quality {
				return -1
			} else if a.quality < b.quality {
				return 1
			}
			return 0
		})
	}
	best()
	for i := range out[:min(sharpened, len(out))] {
		g := out[i].survey.g
		if near := closeUpOf(ph, fineLight, &g.h, g.part, tickBox); near.plane != fineLight.log {
			out[i].look(g, near, want)
		}
	}
	best()
	if len(out) > 0 {
		for _, g := range out[0].coarser() {
			var c candidate
			if c.look(&g, whole, want); c.quality > 0 {
				out = append(out, c)
			}
		}
		best()
	}
	if stage != nil {
		stage("seeds", drawSeeds(ph, tried))
		if len(out) > 0 {
			stage("lattice", drawLattice(ph, &out[0]))
			stage("frame", drawFrame(ph, &out[0]))
		}
	}
	return out
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

// coarser gives the lattices with every second line of the family that stands too close for square
// boxes: the steep edges of a trace halfway between lines make a lattice of half boxes.
func (c *candidate) coarser() (out []grown) {
	g := c.survey.g
	a, u := boxSize(g.h, c.frame.mid())
	for phase := range 2 {
		n := grown{sign: g.sign, ev: g.ev, h: g.h, part: g.part}
		p := float64(phase)
		switch {
		case a*aspectUsual < u:
			n.h = shift(n.h, p, 0)
			for _, i := range [3]int{0, 3, 6} {
				n.h[i] *= 2
			}
			n.part.left = int(math.Ceil((float64(g.part.left) - p) / 2))
			n.part.right = int(math.Floor((float64(g.part.right) - p) / 2))
		case u*aspectUsual < a:
			n.h = shift(n.h, 0, p)
			for _, i := range [3]int{1, 4, 7} {
				n.h[i] *= 2
			}
			n.part.bottom = int(math.Ceil((float64(g.part.bottom) - p) / 2))
			n.part.top = int(math.Floor((float64(g.part.top) - p) / 2))
		default:
			return nil
		}
		if n.part.cols() >= 3 && n.part.rows() >= 3 && n.refit(reachFinal, 0) {
			out = append(out, n)
		}
	}
	return out
}
