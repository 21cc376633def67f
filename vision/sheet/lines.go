package sheet

// What the graticule's lines tell of the display. A graticule that is engraved or printed on a plate before a tube is
// darker than the field; one with its own lamp, and that of a panel, is brighter. On panels lines may be rows of
// dots; engraved ones are drawn through. Only tubes have a face that is not flat.

import (
	"math"

	"quadrille/vision/graticule"
	"quadrille/vision/raster"
)

const (
	// dotsOfLines is how much the light of a line varies along it, as (most − least)/(most + least), from which it is
	// a row of dots: lines drawn through have 0.1 (TestWhichLinesAreDotted).
	dotsOfLines = 0.5
	// clearOfLines is how far from crossings and their ticks, in boxes, a line is looked at (TestWhichLinesAreDotted).
	clearOfLines = 0.15
	// curvedFace is the least distance in boxes of a corner from the plane that makes a face curved: on simulated
	// photos panels have 0.001, and tubes 0.02 to 0.08 (TestWhichFaceIsCurved).
	curvedFace = 0.01
	// inkShare of the cells are taken for lines at either end of the ink's light
	// (TestHowDarkAndBrightLinesAre).
	inkShare = 0.01
	// clearlyLit is how many times as far from the field the brightest lines are than what is darkest at the
	// graticule's phases, where they are surely brighter than it (TestWhichLinesAreLit).
	clearlyLit = 2
	// InkMost is the part of a stroke's light that ink may have, or hold back, before the stroke is lost on it
	// (TestHowMuchOfAStrokeEngravedLinesLetPass).
	InkMost = 0.6
)

// Lines says how the graticule's lines look: darker than the field or surely brighter, on a face that is not flat, as
// rows of dots.
type Lines struct{ Engraved, Lit, Curved, Dotted bool }

// judgeLines looks at the graticule's lines. Dotted is also true where there are none.
func (s *Sheet) judgeLines() Lines {
	dark, bright := s.inkEnds()
	return Lines{Engraved: dark > bright, Lit: bright > clearlyLit*dark, Curved: s.curved, Dotted: s.fold.dotted(&s.Ink)}
}

// inkEnds gives how far from the field the darkest and the brightest lines inside the frame are.
func (s *Sheet) inkEnds() (dark, bright float32) {
	const stride = 7 // beats with no dotted line (TestHowDarkAndBrightLinesAre)
	across, up := int(2*Margin*float64(s.Across)), int(2*Margin*float64(s.Up))
	var grey []float32
	for i := across; i < s.NX-across; i++ {
		for j := up + i%stride; j < s.NY-up; j += stride {
			k := i*s.NY + j
			grey = append(grey, s.Ink[0][k]+s.Ink[1][k]+s.Ink[2][k])
		}
	}
	return -raster.Rank(grey, inkShare), raster.Rank(grey, 1-inkShare)
}

// dotted tells whether the lines of the graticule, other than axes and rims, are rows of dots, or nothing is there.
func (f *fold) dotted(ink *[3][]float32) bool {
	s := f.s
	along := make([]float64, s.Across)
	for j := f.base + s.Up/2; j < s.NY-f.base-s.Up/2; j++ {
		if f.py[j] != 0 || abs(float32(j-f.j0)) < float32(s.Up)/2 {
			continue
		}
		for i := f.left + s.Across/2; i < s.NX-f.left-s.Across/2; i++ {
			for c := range ink {
				along[f.px[i]] += float64(ink[c][i*s.NY+j] + ink[c][i*s.NY+j-1])
			}
		}
	}
	var v []float64
	for a, light := range along {
		if x := (float64(a) + 0.5) / float64(s.Across); x > clearOfLines && x < 1-clearOfLines {
			v = append(v, light)
		}
	}
	lo, hi := raster.Rank(v, 0.1), raster.Rank(v, 0.9)
	return math.Abs(hi-lo) > dotsOfLines*(math.Abs(hi)+math.Abs(lo))
}

// Transmission is the share of light that an engraved graticule lets pass in every cell, from how much darker than
// the field its lines are; at least 1 − InkMost. Light that the glass before them reflects makes them look paler than
// they are: the stroke tells more (package stroke).
func (s *Sheet) Transmission() []float32 {
	out := make([]float32, s.NX*s.NY)
	level := newKnots(&s.Grid)
	for k := range level.V {
		level.V[k] = s.Field[0].V[k] + s.Field[1].V[k] + s.Field[2].V[k]
	}
	raster.Rows(s.NX, func(a, b int) {
		field := make([]float32, s.NY)
		for i := a; i < b; i++ {
			level.Column(field, i)
			for j, v := range field {
				k := i*s.NY + j
				dark := (s.Ink[0][k] + s.Ink[1][k] + s.Ink[2][k]) / max(v, minNoise)
				out[k] = min(max(1+dark, 1-InkMost), 1)
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
