package sheet

// The display's own pixels, where a near photo shows them: on a lit field dark gaps run between them,
// and on colour displays their red, green and blue stripes stand side by side. A running mean over
// exactly one of them takes that pattern away and widens a stroke the least.
//
// Displays have a whole number of pixels to a box, so the pattern is one line in the spectrum along
// a column: its power at n cycles a box stands out from that at its neighbours n ± 2 to 4. The
// graticule's lines have power at all n alike, and rows near them are left out.

import (
	"math"

	"quadrille/vision/raster"
)

const (
	// FewestPixels and mostPixels bound the pixels a box that are looked for. Finer ones are under
	// two rows of the sheet, and its usual blur hides them (TestWhichPixelsAreSeen).
	FewestPixels, mostPixels = 16, 46
	// standsOutOf is how many times the median power of its neighbours a line of the spectrum must
	// have; on 40 simulated photos without a visible pattern the largest was 5
	// (TestWhichPixelsAreSeen).
	standsOutOf = 12
	// besideLine is how far from the lines rows are used, in boxes (TestWhichPixelsAreSeen).
	besideLine = 0.1
)

// ownPixels gives the display's pixels a box as its lit field shows them, 0 when it does not. s is
// flattened.
func (s *Sheet) ownPixels(f *fold) int {
	var power [mostPixels + 5]float64
	lo := FewestPixels - 4
	rows := make([]int, 0, s.NY)
	for j := f.base; j < s.NY-f.base; j++ {
		if p := (float64(f.py[j]) + 0.5) / float64(s.Up); p > besideLine && p < 1-besideLine {
			rows = append(rows, j)
		}
	}
	turns := make([]complex128, s.Up) // e^{-2πi·k/up}
	for k := range turns {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(s.Up))
		turns[k] = complex(cos, sin)
	}
	for i := s.Across / 4; i < s.NX; i += s.Across / 2 { // half way between lines and at quarters
		col := s.Light[1][i*s.NY : (i+1)*s.NY]
		for n := lo; n < len(power); n++ {
			sum := 0i
			for _, j := range rows {
				sum += complex(float64(col[j]), 0) * turns[n*f.py[j]%s.Up]
			}
			power[n] += real(sum)*real(sum) + imag(sum)*imag(sum)
		}
	}
	best, most := 0, standsOutOf*1.0
	for n := FewestPixels; n <= mostPixels; n++ {
		beside := []float64{power[n-4], power[n-3], power[n-2], power[n+2], power[n+3], power[n+4]}
		if r := power[n] / (raster.Rank(beside, 0.5) + 1e-12); r > most {
			best, most = n, r
		}
	}
	return best
}

// blur takes the pattern of the display's pixels away; when they were not seen, neighbouring cells are
// averaged with the weights 1:2:1 instead.
func (s *Sheet) blur() {
	across, up := 2.0, 2.0 // cells whose running mean is meant
	if s.Own > 0 {
		across, up = float64(s.Across)/float64(s.Own), float64(s.Up)/float64(s.Own)
	}
	raster.Rows(s.NX, func(a, b int) {
		line := make([]float32, s.NY)
		for c := range s.Light {
			for i := a; i < b; i++ {
				runningMean(s.Light[c][i*s.NY:(i+1)*s.NY], line, 1, up)
			}
		}
	})
	raster.Rows(s.NY, func(a, b int) {
		line := make([]float32, s.NX)
		for c := range s.Light {
			for j := a; j < b; j++ {
				runningMean(s.Light[c][j:], line, s.NY, across)
			}
		}
	})
}

// runningMean replaces every stride-th sample of v, len(line) of them, by the mean over width samples
// about it, the outermost two counting by their share; the ends are repeated outwards.
func runningMean(v, line []float32, stride int, width float64) {
	if width <= 1 {
		return
	}
	n := len(line)
	for k := range line {
		line[k] = v[k*stride]
	}
	whole := int((width - 1) / 2) // full samples on each side
	share := float32((width - 1 - 2*float64(whole)) / 2)
	at := func(k int) float32 { return line[min(max(k, 0), n-1)] }
	sum := float32(0)
	for k := -whole; k <= whole; k++ {
		sum += at(k)
	}
	for k := range n {
		v[k*stride] = (sum + share*(at(k-whole-1)+at(k+whole+1))) / float32(width)
		sum += at(k+whole+1) - at(k-whole)
	}
}
