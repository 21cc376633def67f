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

// candidateOf finds the best frame of a grown lattice; ok is false if there is none.
func candidateOf(ph *photo.Photo, fine light, g grown, want geom.Frame) (c candidate, ok bool) {
	c.survey = surveyOf(&g, closeUpOf(ph, fine, &g.h, g.part))
	fs := c.survey.frames(want)
	if len(fs) == 0 || fs[0].score <= 0 {
		return c, false
	}
	c.frame, c.margin = fs[0], math.Inf(1)
	if len(fs) > 1 {
		c.margin = fs[0].score - fs[1].score
	}
	stopped := 0.25 + min(max(c.frame.stopped, 0), 4)
	c.quality = c.survey.quality(c.frame) * math.Sqrt(c.frame.score) * stopped * stopped
	return c, c.quality > 0
}

// homography gives the map from boxes with the origin at the frame's centre.
func (c *candidate) homography() geom.Homography {
	m := c.frame.mid()
	return shift(c.survey.g.h, m.X, m.Y)
}

// search gives the candidates, the best first.
func search(ph *photo.Photo, fineLight, coarseLight light, want geom.Frame, stage func(string, image.Image)) []candidate {
	fine, coarse := evidenceOf(fineLight), evidenceOf(coarseLight)
	seeds := append(seedsOf(&fine, keepFine), seedsOf(&coarse, keepCoarse)...)
	if stage != nil {
		stage("evidence", drawEvidence(&fine))
		stage("seeds", drawSeeds(ph, seeds))
	}
	var done []grown
	var out []candidate
	for _, sd := range seeds {
		g, ok := grow(&fine, &coarse, sd)
		if !ok || slices.ContainsFunc(done, func(d grown) bool { return d.covers(&g) }) {
			continue
		}
		done = append(done, g)
		if c, ok := candidateOf(ph, fineLight, g, want); ok {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b candidate) int {
		if a.quality > b.quality {
			return -1
		} else if a.quality < b.quality {
			return 1
		}
		return 0
	})
	if stage != nil && len(out) > 0 {
		stage("lattice", drawLattice(ph, &out[0]))
		stage("frame", drawFrame(ph, &out[0]))
	}
	return out
}

// covers reports whether g is the same lattice as d and no larger.
func (d *grown) covers(g *grown) bool {
	if d.part.cols()*d.part.rows() < g.part.cols()*g.part.rows() {
		return false
	}
	m := g.part.mid()
	return sameLattice(d.h, shift(g.h, math.Floor(m.X), math.Floor(m.Y)), 0.05, 20)
}
