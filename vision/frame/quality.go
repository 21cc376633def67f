package frame

// How well a lattice with a frame explains the picture.

import (
	"math"

	"quadrille/vision/lattice"
	"quadrille/vision/raster"
)

const (
	// lineThere: of the median of the stronger half of a family's lines: a line that is there
	// (TestWhichLinesAreThere)
	lineThere = 0.35
	// classThere, of the strongest class of every second or third line: the weakest has that much in a true lattice
	// (TestWhichLinesAreThere)
	classThere = 0.40
)

// Quality rates frame f of the survey's lattice; it grows with the evidence, and falls for lattices with lines that are
// empty (half steps have every second one empty), that have as much between their lines as on them, or that leave the
// picture. there is the share of the frame's lines that are there, of the family with fewer.
func (s *Survey) Quality(f *Frame) (q, there float64) {
	total, n, inside, cells := 0.0, 0, 0, 0
	ridges := s.Lattice.Ridges()
	lines := [2][]float64{}
	for of := range lattice.Family(2) {
		t := &s.lines[of]
		a, b, lo, hi := f.Lines(of)
		for k := a; k <= b; k++ {
			sum, m := 0.0, 0
			for c := lo; c < hi; c++ {
				cells++
				v := t.strength[k-t.k0][c-t.c0]
				if math.IsNaN(v) {
					continue
				}
				inside++
				sum += v
				m++
			}
			total += sum
			n += m
			lines[of] = append(lines[of], sum/float64(max(m, 1)))
		}
		half := lattice.Shift(s.Lattice.Map, 0.5, 0)
		if of == lattice.Level {
			half = lattice.Shift(s.Lattice.Map, 0, 0.5)
		}
		for k := a; k < b; k++ {
			sum := 0.0
			for c := lo; c < hi; c++ {
				if p, ok := lattice.ProfileOf(ridges, &half, lattice.Piece{Of: of, Line: k, Cell: c}); ok {
					sum += raster.Clip(p.Narrow(s.Lattice.Sign), pieceLow, pieceHigh)
				}
			}
			total -= max(sum, 0)
		}
	}
	there = min(lineQuality(lines[0]), lineQuality(lines[1]))
	each := max(total/float64(max(n, 1)), 0)
	return each * math.Sqrt(float64(n)) * math.Pow(there, 1.5) * float64(inside) / float64(cells), there
}

// lineQuality is the share of lines that are there, times a factor that falls to 0 when every second or third line is
// empty.
func lineQuality(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	m := raster.Median(append([]float64(nil), v...))
	var upper []float64
	for _, x := range v {
		if x >= m {
			upper = append(upper, x)
		}
	}
	usual := raster.Median(upper)
	if usual <= 0 {
		return 0
	}
	there := 0
	for _, x := range v {
		if x > lineThere*usual {
			there++
		}
	}
	alike := 1.0
	for m := 2; m <= 3; m++ {
		means := make([]float64, m)
		count := make([]float64, m)
		for i, x := range v {
			means[i%m] += x
			count[i%m]++
		}
		most, sum := math.Inf(-1), 0.0
		for i := range means {
			means[i] /= max(count[i], 1)
			sum += means[i]
			most = max(most, means[i])
		}
		weak := (sum - most) / float64(m-1)
		alike = min(alike, raster.Clip(weak/most/classThere, 0, 1))
	}
	return float64(there) / float64(len(v)) * alike
}

// EverySecond is the mean strength of every second line of frame f over that of the lines between them, the weaker over
// the stronger, of the family where that is least: near 1 on a graticule, small where a step of half a box was taken
// for a box. The rims, which many displays draw stronger, are left out.
func (s *Survey) EverySecond(f *Frame) float64 {
	least := 1.0
	for of := range lattice.Family(2) {
		t := &s.lines[of]
		a, b, lo, hi := f.Lines(of)
		var sum, n [2]float64
		for k := a + 1; k < b; k++ {
			for c := lo; c < hi; c++ {
				if v := t.strength[k-t.k0][c-t.c0]; !math.IsNaN(v) {
					sum[(k-a)%2] += v
					n[(k-a)%2]++
				}
			}
		}
		if n[0] == 0 || n[1] == 0 {
			continue
		}
		p, q := sum[0]/n[0], sum[1]/n[1]
		least = min(least, min(p, q)/max(p, q))
	}
	return least
}
