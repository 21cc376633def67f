package stroke

// Parallax of a tube. A graticule that is engraved or printed on a plate stands in front of the glow, and the camera
// sees the glow at another place of it: at distance D from the plate, a depth d draws the trace together towards the
// spot that the camera stands before, by d/D of its distance from there. A photo does not tell d: it is nothing where
// the graticule is on the inside of the face, and no picture shows which it is. So it is an effect of the whole
// trace, and the largest of all on τ: 0.15 box at 12 boxes is 1.2 %.
//
// Such a graticule tells itself by being darker than the field where the trace is brighter: a panel draws both in one
// way. A graticule with its own lamp is brighter too; a face that is curved still tells a tube, and a flat one is
// taken for possible unless the picture shows a panel (beam.go).

import (
	"math"

	"quadrille/vision/geom"
)

const (
	// mostDepth is the limit in boxes of the glow's depth behind the lines: a plate of 1 to 2 mm before a tube whose
	// boxes are 8 to 10 mm (common practice, no source; TestParallaxIsThatOfADepthThatIsNotKnown).
	mostDepth = 0.15
	// inFront is the share of tubes whose graticule is on such a plate: on the others it is on the inside of the face
	// and has no depth, and no photo tells which. An even chance, no source; with it 95 of 100 intervals hold the
	// truth if a third have a plate (DEVELOPERS.md, the study of tubes), and none is beyond 2.5 u where all have
	// (TestParallaxIsThatOfADepthThatIsNotKnown).
	inFront = 0.5
	// cameraFocal is the focal length of a phone's main camera in sides of its longer one: 24 to 28 mm on a film 36 mm
	// wide (common practice, no source). A tenth more or less only changes the effect by so much
	// (TestParallaxIsThatOfADepthThatIsNotKnown).
	cameraFocal = 0.72
)

// Parallax is the effect of a glow behind the graticule on a trace with these places; h takes boxes to the photo,
// whose sides are wide and high px. ok is false if the homography shows no camera in front of the display.
func Parallax(h geom.Homography, wide, high int, places []geom.Box) (e Effect, ok bool) {
	eye, distance := camera(h, wide, high)
	if !(distance > 0) || math.IsInf(distance, 0) {
		return e, false
	}
	e = Effect{Name: "parallax of the tube", Joint: true, DX: make([]float64, len(places)), DY: make([]float64, len(places))}
	k := mostDepth * math.Sqrt(inFront/3) / distance
	for i, b := range places {
		e.DX[i], e.DY[i] = k*(eye.X-b.X), k*(eye.Y-b.Y)
	}
	return e, true
}

// camera gives the place of the display that the camera stands before, and its distance from there in boxes of height,
// for a camera of the usual focal length that looks through the middle of the photo. Of H = K·[a·r1 r2 t] the columns
// without K are the display's axes and its centre as the camera sees them.
func camera(h geom.Homography, w, height int) (eye geom.Box, distance float64) {
	f := cameraFocal * float64(max(w, height))
	cx, cy := float64(w)/2, float64(height)/2
	var col [3][3]float64
	for k := range col {
		col[k] = [3]float64{(h[k] - cx*h[6+k]) / f, (h[3+k] - cy*h[6+k]) / f, h[6+k]}
	}
	dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
	sx, sy := math.Sqrt(dot(col[0], col[0])), math.Sqrt(dot(col[1], col[1]))
	across := [3]float64{
		col[0][1]*col[1][2] - col[0][2]*col[1][1],
		col[0][2]*col[1][0] - col[0][0]*col[1][2],
		col[0][0]*col[1][1] - col[0][1]*col[1][0],
	}
	n := math.Sqrt(dot(across, across))
	eye = geom.Box{X: -dot(col[0], col[2]) / (sx * sx), Y: -dot(col[1], col[2]) / (sy * sy)}
	return eye, math.Abs(dot(across, col[2])) / n / sy
}
