package scene

import (
	"image"
	"math"
	"sync"

	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	// searchSide is the long side in pixels of the fine picture: thinner lines than its samples are lost on a smaller
	// one, a larger one costs time (TestASmallPhotoIsSearchedEnlarged; graticule.BenchmarkFind).
	searchSide = 1280
	// enlargeBelow is the long side in pixels under which a photo is enlarged twice before the search, so that the
	// fixed widths of the ridges fit its lines too (TestASmallPhotoIsSearchedEnlarged).
	enlargeBelow = 960
)

// A View is one way to look at the photo.
type View int

const (
	// Photographed is the lightness as it is.
	Photographed View = iota
	// Limited is the weakest of the three colours, limited to a few times what its neighbourhood departs by, so that a
	// trace or words do not outshine the lines.
	Limited
	// Colourless is the lightness with what is far more colourful than its surroundings filled in from around it.
	Colourless
	views
)

// A Level is the size of a picture.
type Level int

const (
	// Fine is searchSide long or a little more.
	Fine Level = iota
	// Coarse is half as long.
	Coarse
	levels
)

// A Scene is one photo and the pictures of it that were asked for; of the fine ones of the views that are not
// Photographed the last. It may be used by several goroutines at once.
type Scene struct {
	Photo *photo.Photo

	mu       sync.Mutex
	pictures [views][levels]*Picture
	ridges   [views][levels]*Ridges
	colours  *Colours
	kept     *Kept
	asked    bool     // whether kept was made
	closer   *closeUp // the last one
}

// Of gives the scene of a photo. Nothing is computed yet.
func Of(ph *photo.Photo) *Scene {
	return &Scene{Photo: ph}
}

// Picture gives the log lightness of the whole photo in a view, at a level; nil where a photo has no such view: see
// Kept for Colourless.
func (s *Scene) Picture(v View, l Level) *Picture {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.picture(v, l)
}

// Ridges gives the ridges of Picture(v, l); nil where that is nil.
func (s *Scene) Ridges(v View, l Level) *Ridges {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ridges[v][l] == nil {
		if p := s.picture(v, l); p != nil {
			s.drop(v)
			s.ridges[v][l] = RidgesOf(p)
		}
	}
	return s.ridges[v][l]
}

// Kept tells what Colourless has left of the photo; nil where there is hardly anything colourful, or too much.
func (s *Scene) Kept() *Kept {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.asked {
		s.picture(Colourless, Fine)
	}
	return s.kept
}

// Colours gives the photo in linear light at half the size of the fine picture.
func (s *Scene) Colours() *Colours {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.colours == nil {
		s.keepColours(s.light())
	}
	return s.colours
}

// picture makes what Picture gives; s.mu is held.
func (s *Scene) picture(v View, l Level) *Picture {
	if s.pictures[v][l] != nil {
		return s.pictures[v][l]
	}
	if v == Colourless && s.asked && s.kept == nil {
		return nil // there is none
	}
	made := &s.pictures[v]
	// A small photo is searched enlarged, and its coarse picture is the photo itself.
	small := max(s.Photo.W, s.Photo.H) < s.reduction()*enlargeBelow
	whole := s.whole(v)
	switch {
	case whole == nil:
	case small:
		made[Fine] = &Picture{Plane: whole.Plane.Double(), Scale: 2 * whole.Scale}
		made[Coarse] = whole
	default:
		if made[Fine] == nil {
			made[Fine] = whole
		}
		if made[Coarse] != nil {
			break // the fine one is made again
		}
		made[Coarse] = &Picture{Plane: whole.Plane.Halve(), Scale: whole.Scale / 2}
	}
	return made[l]
}

// whole makes the picture of a view at the size of the reduced light.
func (s *Scene) whole(v View) *Picture {
	p := &Picture{Scale: 1 / float64(s.reduction())}
	light := s.light()
	switch v {
	case Limited:
		p.Plane = limited(logLight(light), weakest(light))
	case Colourless:
		s.asked = true
		if p.Plane, s.kept = colourless(light, p.Scale); p.Plane == nil {
			return nil
		}
	default:
		p.Plane = logLight(light)
		s.keepColours(light)
	}
	return p
}

// light gives the photo in linear light, reduced for the search. It is as large as three pictures and is not kept: the
// photo as it is and its colours are made of it in one go, and most photos need no other view.
func (s *Scene) light() [3]*raster.Plane { return s.Photo.Reduced(s.reduction()) }

// keepColours makes what Colours gives.
func (s *Scene) keepColours(light [3]*raster.Plane) {
	s.colours = &Colours{scale: 0.5 / float64(s.reduction())}
	for c, p := range light {
		s.colours.plane[c] = p.Halve()
	}
}

// Rest forgets all pictures but that of the photo as it is, which the next question looks at first. What else it asks
// for is made anew, and is the same.
func (s *Scene) Rest() {
	s.mu.Lock()
	defer s.mu.Unlock()
	whole := s.pictures[Photographed][Fine]
	s.pictures, s.ridges = [views][levels]*Picture{}, [views][levels]*Ridges{}
	s.pictures[Photographed][Fine] = whole
	s.colours, s.closer = nil, nil
	if s.kept != nil {
		s.kept, s.asked = nil, false
	}
}

// drop forgets the fine ridges of the views other than v, and the fine pictures of the others but Photographed, and of
// Colourless, which is asked for by turns with it. Each is wanted for a while, and made again in the rare case that it
// is asked for later.
func (s *Scene) drop(v View) {
	for other := range views {
		if other == v {
			continue
		}
		s.ridges[other][Fine] = nil
		if other != Photographed && (v != Photographed || other == Limited) {
			s.pictures[other][Fine] = nil
		}
	}
}

// reduction is by how much the photo is reduced for the search.
func (s *Scene) reduction() int {
	return max(1, int(math.Round(float64(max(s.Photo.W, s.Photo.H))/searchSide)))
}

// A part is a part of the photo, reduced by k.
type part struct {
	r image.Rectangle
	k int
}

// A closeUp is the picture of a part.
type closeUp struct {
	part
	picture *Picture
}
