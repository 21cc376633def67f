package geom

import "math"

// A Face is how a display's face departs from the plane of the homography, as that of a tube does: its
// place b is seen where the plane has Raise(b). The departure is a polynomial without constant and
// linear terms, which are the plane's, up to the third power, which is what a spherical face gives to
// first order in its curvature.
type Face struct {
	// Half is half the frame: u = b.X/Half.X and v = b.Y/Half.Y are -1 to 1 on it. It is 0 only in the
	// zero value, a plane.
	Half Box
	// DX and DY are the coefficients in boxes of u², uv, v², u³, u²v, uv², v³. All 0: a plane.
	DX, DY [FaceTerms]float64
}

// FaceTerms is the count of terms for each axis: three of the second power and four of the third.
// TestTermsOfAFaceAreThoseOfTheSecondAndThirdPower would notice.
const FaceTerms = 7

// Terms gives the values of the terms at b.
func (f *Face) Terms(b Box) [FaceTerms]float64 {
	if f.Half.X == 0 || f.Half.Y == 0 {
		return [FaceTerms]float64{}
	}
	u, v := b.X/f.Half.X, b.Y/f.Half.Y
	return [FaceTerms]float64{u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v}
}

// flat says that nothing departs.
func (f *Face) flat() bool { return f.DX == [FaceTerms]float64{} && f.DY == [FaceTerms]float64{} }

// Raise takes a place of the face to where the plane has it.
func (f *Face) Raise(b Box) Box {
	if f.flat() {
		return b
	}
	dx, dy := f.Departure(b)
	return Box{b.X + dx, b.Y + dy}
}

// Departure gives how far the face departs at b, in boxes.
func (f *Face) Departure(b Box) (dx, dy float64) {
	for i, t := range f.Terms(b) {
		dx += f.DX[i] * t
		dy += f.DY[i] * t
	}
	return dx, dy
}

// Lower is the inverse of Raise, by repeated substitution: exact to 1e-10 box where the departure
// changes by less than a third of a box in a box, far more than any tube's.
func (f *Face) Lower(seen Box) Box {
	if f.flat() {
		return seen
	}
	b := seen
	for range 20 {
		dx, dy := f.Departure(b)
		next := Box{seen.X - dx, seen.Y - dy}
		step := math.Abs(next.X-b.X) + math.Abs(next.Y-b.Y)
		b = next
		if !(step > 1e-10) {
			break
		}
	}
	return b
}
