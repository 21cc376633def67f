package scene

// A closer look at the part of the photo where a lattice lies, with boxes of a useful size.

import (
	"image"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// closeBox is the least size in samples of a box on a close-up, where the photo has it: a line is some 1.5 samples wide
// then, and its place is good to a hundredth of a sample. Four times the samples gain nothing
// (TestACloseUpIsAsLargeAsItIsOfUse).
const closeBox = 64

// closeMost is how many samples a close-up has at most: 16 × 12 boxes of twice closeBox have three quarters of that,
// and what is larger is no display's (TestACloseUpIsAsLargeAsItIsOfUse).
const closeMost = 4 << 20

// Closer shows the part of the photo round the places, on which a box is box pixels wide or high, whichever is less.
// The fine picture serves where a box has enough samples on it. The samples of a close-up are means over whole k×k
// pixels, so that thin dots are seen and noise is averaged. One that is there already serves again if it shows the part
// at that size.
func (s *Scene) Closer(v View, places []geom.Pixel, box, enough float64) *Picture {
	s.mu.Lock()
	defer s.mu.Unlock()
	fine := s.picture(v, Fine)
	if fine.Scale >= 1 || box*fine.Scale >= enough {
		return fine
	}
	want := part{k: max(1, int(box/closeBox))}
	w, h := s.Photo.W, s.Photo.H
	for _, p := range places {
		x, y := int(min(max(p.X, 0), float64(w))), int(min(max(p.Y, 0), float64(h)))
		want.r = want.r.Union(image.Rect(x, y, x+1, y+1))
	}
	want.r = want.r.Intersect(image.Rect(0, 0, w, h))
	for want.r.Dx()*want.r.Dy() > closeMost*want.k*want.k {
		want.k++
	}
	if have := s.closer; have != nil && have.k == want.k && want.r.In(have.r) {
		return have.picture
	}
	want.r.Max.X += (want.k - want.r.Dx()%want.k) % want.k
	want.r.Max.Y += (want.k - want.r.Dy()%want.k) % want.k
	if want.r.Max.X > w {
		want.r.Max.X -= want.k
	}
	if want.r.Max.Y > h {
		want.r.Max.Y -= want.k
	}
	s.closer = nil // one of a photo of 12 megapixels may take 40 MB: two are never there at once
	s.closer = &closeUp{want, s.closeUp(want)}
	return s.closer.picture
}

// closeUp makes the log lightness of a part, whose sides are multiples of its k.
func (s *Scene) closeUp(of part) *Picture {
	r, k := of.r, of.k
	out := &Picture{raster.New(r.Dx()/k, r.Dy()/k), geom.Pixel{X: float64(r.Min.X), Y: float64(r.Min.Y)}, 1 / float64(k)}
	// In strips, so that the three colours of the whole part are never in memory at once.
	const strip = 64 // rows of the close-up (of the picture nothing changes from 32 to 128)
	for y0 := 0; y0 < out.Plane.H; y0 += strip {
		y1 := min(y0+strip, out.Plane.H)
		rgb, _ := s.Photo.ReducedRegion(image.Rect(r.Min.X, r.Min.Y+y0*k, r.Max.X, r.Min.Y+y1*k), k)
		copy(out.Plane.Pix[y0*out.Plane.W:], logLight(rgb).Pix)
	}
	return out
}
