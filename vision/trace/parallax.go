package trace

// Parallax of a tube. A graticule that is engraved or printed on a plate stands in front of the glow, and the camera
// sees the glow at another place of it: at distance D from the plate, a depth d draws the trace together towards the
// spot that the camera stands before, by d/D of its distance from there. A photo does not tell d: it is nothing where the
// graticule is on the inside of the face, and no picture shows which it is. So it is an effect of the whole trace, and the largest of
// all on τ: 0.15 box at 12 boxes is 1.2 %.
//
// Such a graticule tells itself by being darker than the field where the trace is brighter: a panel draws both in
// one way. A graticule with its own lamp is brighter too; a face that is curved still tells a tube, and a flat one is taken for
// possible unless the picture shows a panel (beam.go).

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/raster"
)

const (
	// mostDepth is the limit in boxes of the glow's depth behind the lines: a plate of 1 to 2 mm before a tube whose
	// boxes are 8 to 10 mm (common practice, no source). TestParallaxOfATubeIsInTheEffects holds it.
	mostDepth = 0.15
	// inFront is the share of tubes whose graticule is on such a plate: on the others it is on the inside of the face and has no
	// depth, and no photo tells which. An even chance, no source; with it 95 of 100 intervals hold the truth if a third have a plate
	// (DEVELOPERS.md, the study of tubes), and none is beyond 2.5 u where all have.
	inFront = 0.5
	// cameraFocal is the focal length of a phone's main camera in sides of its longer one: 24 to 28 mm on a film 36 mm
	// wide (common practice, no source). A tenth more or less only changes the effect by so much.
	cameraFocal = 0.72
	// curvedFace is the least distance in boxes of a corner from the plane that makes a face curved: on simulated photos
	// panels have 0.001, and tubes 0.02 to 0.08 (TestACurvedFaceIsATube).
	curvedFace = 0.01
	// inkShare of the cells are taken for lines at either end of the ink's light.
	inkShare = 0.01
	// clearlyLit is how many times as far from the field the brightest lines are than what is darkest at the graticule's phases,
	// where they are surely brighter than it (TestNoTraceIsDarkerThanTheFieldOfLitLines).
	clearlyLit = 2
)

// engraved tells whether the graticule's ink is darker than the field.
func engraved(s *sheet, ink *[3][]float32) bool {
	dark, bright := inkEnds(s, ink)
	return dark > bright
}

// litLines tells whether the lines inside the frame are surely brighter than the field. Then the trace is brighter, too.
func litLines(s *sheet, ink *[3][]float32) bool {
	dark, bright := inkEnds(s, ink)
	return bright > clearlyLit*dark
}

// inkEnds gives how far from the field the darkest and the brightest lines inside the frame are.
func inkEnds(s *sheet, ink *[3][]float32) (dark, bright float32) {
	const stride = 7 // beats with no dotted line
	across, up := int(2*margin*float64(s.across)), int(2*margin*float64(s.up))
	var grey []float32
	for i := across; i < s.nx-across; i++ {
		for j := up + i%stride; j < s.ny-up; j += stride {
			k := i*s.ny + j
			grey = append(grey, ink[0][k]+ink[1][k]+ink[2][k])
		}
	}
	return -quantile(grey, inkShare), quantile(grey, 1-inkShare)
}

// transmission is the share of light that an engraved graticule lets pass, from how much darker than the field its lines
// are; at least 1 − inkMost. Light that the glass before them reflects makes them look paler than they are: see crossed.
func transmission(s *sheet, f *field, ink *[3][]float32) []float32 {
	out := make([]float32, s.nx*s.ny)
	var level []float32
	for k := range f.level[0] {
		level = append(level, f.level[0][k]+f.level[1][k]+f.level[2][k])
	}
	raster.Rows(s.nx, func(a, b int) {
		line := make([]float32, f.nq)
		for i := a; i < b; i++ {
			f.column(line, i, level)
			for j := range s.ny {
				q, t := f.between(j)
				k := i*s.ny + j
				dark := (ink[0][k] + ink[1][k] + ink[2][k]) / max(line[q]+t*(line[q+1]-line[q]), minNoise)
				out[k] = min(max(1+dark, 1-inkMost), 1)
			}
		}
	})
	return out
}

// curved tells whether the graticule was found on a curved face.
func curved(g *graticule.Graticule) bool {
	most := 0.0
	for _, b := range g.Frame.Corners() {
		at := g.Face.Raise(b)
		most = max(most, math.Hypot(at.X-b.X, at.Y-b.Y))
	}
	return most > curvedFace
}

// parallax is the effect of a glow behind the graticule on a trace with these places; w and h are the photo's sides in px.
// ok is false if the homography shows no camera in front of the display.
func parallax(g *graticule.Graticule, w, h int, places []geom.Box) (e Effect, ok bool) {
	eye, distance := camera(g.H, w, h)
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
