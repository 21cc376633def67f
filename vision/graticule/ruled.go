package graticule

// The ways by ruled lines: seeds of one picture, grown, surveyed and placed; the foremost is fitted to the photo.

import (
	"slices"
	"sort"

	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	// keepFine: seeds kept from a fine picture (nothing changes from 4 to 16, TestFindIsNeverSilentlyWrong,
	// TestHardPhotosKeepTheirLattices)
	keepFine = 8
	// keepCoarse: and from a coarse one, where wide boxes are seen better (nothing changes from 8 to 32,
	// TestFindIsNeverSilentlyWrong, TestHardPhotosKeepTheirLattices)
	keepCoarse = 16
	// atOnce is how many seeds are grown before it is asked whether that is enough
	// (nothing changes from 2 to 8, TestFindIsNeverSilentlyWrong, TestHardPhotosKeepTheirLattices).
	atOnce = 4
	// sharpened is how many of the best candidates with small boxes are looked at anew on a close-up, if their quality is
	// sharpWorth of the best one's (TestWhichCandidatesAreLookedAtOnACloseUp).
	sharpened, sharpWorth = 3, 0.2
	// tickBox and fineBox are the sizes in samples of a box from which the searched picture serves as it is: for seeing
	// ticks, of which a box has five, and for the last fit (TestSmallBoxesAreLookedAtOnACloseUp).
	tickBox, fineBox = 36, 56
	// A lattice of less promise than leastPromise, or than promiseShare of the best one of its view, is not surveyed. Of a
	// thousand grown on 12 pictures without a display and 6 of the hardest with one, those with less came to a quality of
	// 8 at most, where true ones had 40 to 3,000 and a promise of 80 and more (TestWhichLatticesAreSurveyed,
	// TestHardPhotosKeepTheirLattices).
	leastPromise, promiseShare = 25.0, 0.15
	// tries is how many candidates are fitted before the photo is given up (TestHowManyCandidatesAreTried).
	tries = 4
	// leastHalved is how many lines both ways a lattice has at least of which every second may be a division
	// (nothing changes from 6 to 24, TestMinorLinesAreNoBoxes).
	leastHalved = 12
)

// byLines is the way by the seeds of one picture.
func byLines(v scene.View, l scene.Level) func(s *search) *hypothesis {
	return func(s *search) *hypothesis {
		i, at := poolOf(v), rung{view: v, level: l}
		p := &s.pools[i]
		if _, searched := p.after[at]; !searched {
			s.grow(p, at)
			s.improve(p)
			p.prune()
			p.after[at] = slices.Clone(p.candidates)
		}
		s.shown[i] = p.after[at]
		return s.foremost(i)
	}
}

// poolOf is the pool in which the candidates of a view stand: the qualities of those of the colourless picture are
// lower.
func poolOf(v scene.View) int {
	if v == scene.Colourless {
		return 1
	}
	return 0
}

// grow adds to p what the seeds of one picture give.
func (s *search) grow(p *pool, at rung) {
	keep := keepFine
	if at.level == scene.Coarse {
		keep = keepCoarse
	}
	ridges := s.scene.Ridges(at.view, at.level)
	if s.o.Stage != nil {
		s.o.Stage(stageOf[at.view], drawRidges(ridges))
	}
	from, whole := lattice.SourceOf(s.scene, at.view), s.scene.Picture(at.view, scene.Fine)
	seeds := lattice.Seeds(ridges, keep, at.level == scene.Fine)
	p.seeds = append(p.seeds, seeds...)
	most := 0.0
	for _, g := range p.grown[at.view] {
		most = max(most, g.Promise())
	}
	for batch := range slices.Chunk(seeds, atOnce) {
		if s.ctx.Err() != nil {
			return
		}
		gs, known := make([]lattice.Grown, len(batch)), p.grown[at.view]
		ok := make([]bool, len(batch))
		raster.Rows(len(batch), func(a, b int) {
			for i := a; i < b; i++ {
				gs[i], ok[i] = lattice.Grow(from, batch[i], known)
			}
		})
		var fresh []*lattice.Grown
		for i := range gs {
			g := &gs[i]
			if ok[i] && !slices.ContainsFunc(p.grown[at.view], func(d *lattice.Grown) bool { return d.Covers(g) }) {
				p.grown[at.view] = append(p.grown[at.view], g)
				if promise := g.Promise(); promising(promise, most) {
					most = max(most, promise)
					fresh = append(fresh, g)
				}
			}
		}
		cs := frame.Candidates(fresh, whole, s.scene.Colours(), s.want)
		p.add(cs, at.view)
		if slices.ContainsFunc(cs, (*frame.Candidate).Clear) {
			break
		}
	}
	p.order()
}

// promising reports whether a lattice of that promise is worth surveying where the best one found has most.
func promising(promise, most float64) bool { return promise >= max(leastPromise, promiseShare*most) }

// add takes the candidates of a view into the pool.
func (p *pool) add(cs []*frame.Candidate, v scene.View) {
	p.candidates = append(p.candidates, cs...)
	for _, c := range cs {
		p.view[c] = v
	}
}

// prune drops the candidates that cannot come to the fore any more, with all that was seen of them.
func (p *pool) prune() {
	const kept = 12 // TestHowManyCandidatesAreTried
	for _, c := range p.candidates[min(kept, len(p.candidates)):] {
		delete(p.view, c)
	}
	p.candidates = slices.Clip(p.candidates[:min(kept, len(p.candidates))])
}

// order puts the foremost candidate first.
func (p *pool) order() {
	sort.SliceStable(p.candidates, func(i, j int) bool { return p.candidates[i].Worth() > p.candidates[j].Worth() })
}

// improve looks at the foremost candidates more closely, and at lattices that go with the best of them.
func (s *search) improve(p *pool) {
	if len(p.candidates) == 0 {
		return
	}
	least := sharpWorth * p.candidates[0].Quality
	for i, c := range p.candidates[:min(sharpened, len(p.candidates))] {
		g := c.Survey.Lattice
		if p.closer[g] || c.Quality < least {
			continue
		}
		p.closer[g] = true
		near := s.closer(c, tickBox)
		if near == s.scene.Picture(scene.Photographed, scene.Fine) {
			continue
		}
		if n, ok := frame.CandidateOf(g, near, s.scene.Colours(), s.want); ok {
			n.Survey.Leave(s.scene.Picture(scene.Photographed, scene.Fine)) // a close-up is large
			p.candidates[i] = n
			p.view[n] = p.view[c] // which may be one that was searched before
			delete(p.view, c)
		}
	}
	p.order()
	best := p.candidates[0]
	if best.Clear() || p.varied[best.Survey.Lattice] || s.ctx.Err() != nil {
		return
	}
	p.varied[best.Survey.Lattice] = true
	v := p.view[best]
	whole := s.scene.Picture(v, scene.Fine)
	p.add(frame.Candidates(best.Squarer(), whole, s.scene.Colours(), s.want), v)
	// No frame has a size that is half of another's: a settled frame of every second line says that the others are minor
	// divisions.
	if x := best.Survey.Lattice.Part; x.Cols() >= leastHalved && x.Rows() >= leastHalved && !best.Settled() {
		halved := frame.BestFrame(frame.Candidates(best.Survey.Lattice.Halved(), whole, s.scene.Colours(), s.want))
		if halved != nil && halved.Settled() {
			halved.Quality = max(halved.Quality, best.Quality)
			p.candidates[0] = halved
			p.view[halved] = v
		}
	}
	p.order()
}

// closer is the picture on which a candidate is looked at, a box of which has so many samples or more where the photo
// has them.
func (s *search) closer(c *frame.Candidate, enough float64) *scene.Picture {
	x := c.Survey.Lattice.Part
	corners := x.Wider().Corners()
	h := &c.Survey.Lattice.Map
	places := make([]geom.Pixel, len(corners))
	for i, b := range corners {
		places[i] = h.Pixel(b)
	}
	across, up := lattice.BoxSize(*h, x.Mid())
	return s.scene.Closer(scene.Photographed, places, min(across, up), enough)
}

// foremost fits the candidates of a pool, the best first, until one is a graticule; nil if there is none.
func (s *search) foremost(pool int) *hypothesis {
	p, list := &s.pools[pool], s.shown[pool]
	if s.o.Corners != nil {
		return s.nearCorners(p, list)
	}
	for i, c := range list[:min(tries, len(list))] {
		if s.ctx.Err() != nil {
			return nil
		}
		h := s.finish(p, c)
		if h == nil {
			s.refuse(&NotFoundError{"no graticule found: the lines of the best candidate vanish on a closer look",
				"photograph the display straight on and sharp, without glare; or give the frame's corners and count of boxes by hand"})
			continue
		}
		if reason, hint := h.refusal(); reason != "" {
			s.refuse(&NotFoundError{reason, hint})
			continue
		}
		h.rival = 0
		for _, r := range list[i+1:] {
			if g := c.Survey.Lattice; !lattice.Agree(g.Map, r.Survey.Lattice.Map, r.Survey.Lattice.Part) {
				h.rival = r.Quality / c.Quality
				break
			}
		}
		h.Doubts = h.remarks(h.Frame)
		h.standing = h.verdict.stand(h.quality, h.view)
		s.showCandidate(p, c)
		return h
	}
	return nil
}

func (s *search) refuse(e *NotFoundError) {
	if s.refused == nil {
		s.refused = e
	}
}

// dots is the way by displays that have a dot at every crossing of their minor divisions.
func (s *search) dots() *hypothesis {
	p := &s.pools[0]
	at := rung{view: scene.Photographed, dots: true}
	if _, searched := p.after[at]; !searched {
		gs := lattice.Divisions(p.grown[scene.Photographed], lattice.SourceOf(s.scene, scene.Photographed))
		best := frame.BestFrame(frame.CandidatesOfDots(gs, s.scene.Picture(scene.Photographed, scene.Fine), s.want))
		p.after[at] = nil
		if best != nil {
			p.add([]*frame.Candidate{best}, scene.Photographed)
			p.order()
			p.after[at] = slices.Clone(p.candidates)
		}
	}
	if p.after[at] == nil {
		return nil
	}
	s.shown[0] = p.after[at]
	return s.foremost(0)
}

// stageOf names the pictures of ridges.
var stageOf = map[scene.View]string{scene.Photographed: "evidence", scene.Limited: "dimmed", scene.Colourless: "colourless"}
