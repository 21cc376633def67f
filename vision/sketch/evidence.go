package sketch

// How surely each cell is ink, and of which colour.
//
// The ruling that was taken out leaves a noise of its own, most of it in lightness: lines print unevenly. Ink of
// another colour than the ruling stands out from that far better by its colour. So the excess of a cell counts against
// the noise of its neighbourhood in lightness and in two differences of colour, each by itself, and the squares add up.
// Where a stroke passes (passing.go) less is asked of each cell.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

const (
	// inkNoise is how many times the noise a cell departs by that is ink for sure (TestInkIsWhatTheRulingIsNot).
	inkNoise = 3.5
	// passShare is which part of that is asked of a cell where a stroke passes (TestAHardPencilIsReadOnGreyPaper).
	passShare = 0.5
	// halfDark is which part of what is darkest within darkReach squares round a cell it has at least there: a dark
	// stroke must not grow broader (TestADarkStrokeStaysAsBroad).
	halfDark, darkReach = 0.4, 0.05
	// inkLeast is the least absorbance of ink: a hard pencil's stroke has 0.2, print that shines through the sheet 0.05
	// (TestTheBackPageIsNoInk).
	inkLeast = 0.07
	// leastNoise and leastTint are floors of the noise, in absorbance: grain of paper that JPEG has smoothed, and its
	// coarse colours (TestInkIsWhatTheRulingIsNot).
	leastNoise, leastTint = 0.01, 0.025
)

// An evidence says of each cell whether it is ink.
type evidence struct {
	*sheet
	dark *raster.Plane // excess absorbance, mean of the three colours
	// noise is the spread of dark round about, a sample a square.
	noise *raster.Plane
	ink   *raster.Plane // 0: paper, to 1: ink for sure
	// drawing are the cells of ink that hang together over leastPiece squares: no grain, no remains of a ruling, no dots.
	drawing []bool
}

// tints gives two differences of colour of an excess absorbance: blue ink has the first high, red ink the second.
func tints(r, g, b float32) (u, v float32) { return r - b, g - (r+b)/2 }

// evidenceOf weighs the excess absorbances of a sheet, whose ruling is taken out.
func evidenceOf(s *sheet) *evidence {
	e := &evidence{sheet: s, dark: raster.New(s.w, s.h), ink: raster.New(s.w, s.h)}
	r, g, b := s.colour[0].Pix, s.colour[1].Pix, s.colour[2].Pix
	for i := range e.dark.Pix {
		e.dark.Pix[i] = (r[i] + g[i] + b[i]) / 3
	}
	noise := [3]*raster.Plane{
		s.spreadOf(leastNoise, func(i int) float32 { return e.dark.Pix[i] }),
		s.spreadOf(leastTint, func(i int) float32 { u, _ := tints(r[i], g[i], b[i]); return u }),
		s.spreadOf(leastTint, func(i int) float32 { _, v := tints(r[i], g[i], b[i]); return v }),
	}
	e.noise = noise[0]
	passing := e.passing()
	raster.Rows(s.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range s.w {
				k := y*s.w + x
				d, asked := e.dark.Pix[k], float32(1)
				if passing[k] && d > halfDark*e.darkest(x, y) {
					asked = passShare
				}
				if s.outside[k] || d < asked*inkLeast/2 {
					continue
				}
				q := geom.Pixel{X: (float64(x) + 0.5) / float64(s.per), Y: (float64(y) + 0.5) / float64(s.per)}
				nd := max(noise[0].Clamped(q), inkLeast/inkNoise)
				u, v := tints(r[k], g[k], b[k])
				d, u, v = d/nd, u/noise[1].Clamped(q), v/noise[2].Clamped(q)
				// Half the noise's reach is paper, one and a half is ink.
				all := float32(math.Sqrt(float64(d*d+u*u+v*v))) / (asked * inkNoise)
				e.ink.Pix[k] = raster.Clip(all-0.5, 0, 1)
			}
		}
	})
	e.drawing = e.pieces()
	return e
}

// darkest is the darkest round a cell.
func (e *evidence) darkest(x, y int) (most float32) {
	reach := max(1, int(darkReach*float64(e.per)))
	for v := max(y-reach, 0); v <= min(y+reach, e.h-1); v++ {
		for _, d := range e.dark.Row(v)[max(x-reach, 0):min(x+reach+1, e.w)] {
			most = max(most, d)
		}
	}
	return most
}

// leastPiece is how large in squares what hangs together is that is drawn (TestInkIsWhatTheRulingIsNot).
const leastPiece = 0.6

// pieces tells which cells of ink belong to what is drawn.
func (e *evidence) pieces() []bool {
	var spans []raster.Span
	on := make([]bool, e.w)
	for y := range e.h {
		for x := range on {
			on[x] = e.ink.Pix[y*e.w+x] > 0.5
		}
		spans = raster.Spans(spans, y, on)
	}
	list, of := raster.Components(spans, 1)
	out := make([]bool, e.w*e.h)
	least := int(leastPiece * float64(e.per))
	for i, s := range spans {
		if c := list[of[i]]; max(c.Line1-c.Line0, c.To-c.From) >= least {
			for x := s.From; x < s.To; x++ {
				out[s.Line*e.w+x] = true
			}
		}
	}
	return out
}

// spreadOf gives for blocks of a square the standard deviation of a value, from the ranks of one below and one above
// the middle: ink is rarer than a sixth of a square, or the blocks round it tell.
func (s *sheet) spreadOf(least float32, of func(i int) float32) *raster.Plane {
	bw, bh := (s.w+s.per-1)/s.per, (s.h+s.per-1)/s.per
	out := raster.New(bw, bh)
	raster.Rows(bh, func(j0, j1 int) {
		var v []float32
		for j := j0; j < j1; j++ {
			for i := range bw {
				v = v[:0]
				for y := j * s.per; y < min((j+1)*s.per, s.h); y += 2 {
					for x := i*s.per + y/2%2; x < min((i+1)*s.per, s.w); x += 2 {
						if k := y*s.w + x; !s.outside[k] {
							v = append(v, of(k))
						}
					}
				}
				out.Pix[j*bw+i] = max(least, (raster.Rank(v, 0.84)-raster.Rank(v, 0.16))/2)
			}
		}
	})
	return middled(out)
}
