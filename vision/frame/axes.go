package frame

// Axes: on a display of dotted or dashed lines the two lines through the centre are often drawn through.
//
// A drawn line is higher than one of dots, by what dots leave empty, also where blur has run the dots together: its
// height is the light on it less that beside it, in the mean along each piece. A trace that lies on a line is as high
// or higher. So only where two such lines cross is the centre, most pieces of both must be high, and none be much
// higher than a drawn line.

import (
	"math"
	"slices"

	"quadrille/vision/lattice"
	"quadrille/vision/raster"
)

const (
	// axisBeside: box to either side of a line, where the light beside it is taken
	// (TestTheHeightOfALineIsThatOverTheFieldBesideIt)
	axisBeside = 0.16
	// axisFrom: box from the crossing lines, where a piece's light begins
	// (TestTheHeightOfALineIsThatOverTheFieldBesideIt)
	axisFrom = 0.15
	// axisEqual, of the median height of a frame's inner lines: an axis of the same drawing, with ticks, has so much
	// (TestWhatMakesAnAxis)
	axisEqual = 1.3
	// axisDrawn: and one that is surely drawn otherwise; a line has 3 to 6 times as much as its dots
	// (TestWhatMakesAnAxis)
	axisDrawn = 2.0
	axisMost  = 10.0 // and a trace more than that (TestWhatMakesAnAxis)
	// axisPieces, of an axis' pieces may be lower: covered, or crossed by what is bright (TestWhatMakesAnAxis)
	axisPieces = 0.25
	// axisOthers: of the other lines have a third of the median or more; of places between rows of dots, fewer
	// (TestWhatMakesAnAxis)
	axisOthers = 0.7
)

// heightOf gives how much lighter the piece p is than the field to its sides, in log lightness, NaN outside the photo.
func (s *Survey) heightOf(p lattice.Piece) float64 {
	t := &s.lines[p.Of]
	at := &t.height[p.Line-t.k0][p.Cell-t.c0]
	if math.IsInf(*at, 1) {
		*at = s.seeHeight(p)
	}
	return *at
}

func (s *Survey) seeHeight(p lattice.Piece) float64 {
	var row [tickSamples]float32
	sum := 0.0
	g := s.Lattice
	for _, at := range [3]struct{ off, weight float64 }{{0, 1}, {-axisBeside, -0.5}, {axisBeside, -0.5}} {
		if !s.picture.Run(row[:], g.Map.Pixel(p.At(at.off, axisFrom)), g.Map.Pixel(p.At(at.off, 1-axisFrom))) {
			return math.NaN()
		}
		for _, v := range row {
			sum += at.weight * float64(g.Sign*v) / tickSamples
		}
	}
	return sum
}

// axes rates, 0..1, how clearly the two lines through the middle of x stand out from its other inner lines.
func (s *Survey) axes(x lattice.Extent) float64 {
	least := 1.0
	for of := range lattice.Family(2) {
		a, b, lo, hi := x.Lines(of)
		if (a+b)%2 != 0 {
			return 0
		}
		var others []float64
		middle := 0.0
		for k := a + 1; k < b; k++ {
			if h := s.lineHeight(lineSpan{of, k, lo, hi}); 2*k == a+b {
				middle = h.low
			} else {
				others = append(others, h.median)
			}
		}
		usual := raster.Median(others)
		there := 0
		for _, h := range others {
			if h > usual/3 {
				there++
			}
		}
		if !(usual > 0) || middle > axisMost*usual || float64(there) < axisOthers*float64(len(others)) {
			return 0
		}
		least = min(least, max(0, (middle/usual-axisEqual)/(axisDrawn-axisEqual)))
		if least == 0 {
			return 0
		}
	}
	return least
}

// A lineSpan is a line of a family over the cells lo..hi-1.
type lineSpan struct {
	of           lattice.Family
	line, lo, hi int
}

// A lineHeight has the median height of a line's pieces and that which axisPieces of them are lower than; 0 if none is
// seen.
type lineHeight struct{ median, low float64 }

// lineHeight gives the height of a line over a span. Frames share most of their lines, so each is worked out once.
func (s *Survey) lineHeight(l lineSpan) lineHeight {
	if h, ok := s.spans[l]; ok {
		return h
	}
	var out lineHeight
	var h []float64
	for c := l.lo; c < l.hi; c++ {
		if v := s.heightOf(lattice.Piece{Of: l.of, Line: l.line, Cell: c}); !math.IsNaN(v) {
			h = append(h, v)
		}
	}
	if len(h) > 0 {
		slices.Sort(h)
		out.low = h[int(axisPieces*float64(len(h)))]
		out.median = raster.Median(h)
	}
	s.spans[l] = out
	return out
}
