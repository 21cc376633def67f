package graticule

// Which of several lattices, each with its best frame, is the display's?

import (
	"math"
)

// quality rates frame f of the survey's lattice; it grows with the evidence, and falls for lattices
// with lines that are empty (half steps have every second one empty), that have as much between their
// lines as on them, or that leave the picture. there is the share of the frame's lines that are there,
// of the family with fewer.
func (s *survey) quality(f frame) (q, there float64) {
	total, n, inside, cells := 0.0, 0, 0, 0
	lines := [2][]float64{}
	for fam := range family(2) {
		k0, _, c0, _ := s.ranges(fam)
		a, b, lo, hi := f.left, f.right, f.bottom, f.top
		if fam == level {
			a, b, lo, hi = lo, hi, a, b
		}
		for k := a; k <= b; k++ {
			sum, m := 0.0, 0
			for c := lo; c < hi; c++ {
				cells++
				v := s.raw[fam][k-k0][c-c0]
				if math.IsNaN(v) {
					continue
				}
				inside++
				sum += v
				m++
			}
			total += sum
			n += m
			lines[fam] = append(lines[fam], sum/float64(max(m, 1)))
		}
		half := shift(s.g.h, 0.5, 0)
		if fam == level {
			half = shift(s.g.h, 0, 0.5)
		}
		for k := a; k < b; k++ {
			sum := 0.0
			for c := lo; c < hi; c++ {
				if p, ok := s.g.ev.look(&half, piece{fam, k, c}); ok {
					sum += min(max(p.pieceStrength(s.g.sign), -0.6), 1.2)
				}
			}
			total -= max(sum, 0)
		}
	}
	lq := min(lineQuality(lines[0]), lineQuality(lines[1]))
	sig := max(total/float64(max(n, 1)), 0)
	return sig * math.Sqrt(float64(n)) * math.Pow(lq, 1.5) * float64(inside) / float64(cells), lq
}

// lineQuality is the share of lines that are there, times a factor that falls to 0 when every second
// or third line is empty.
func lineQuality(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	sorted := append([]float64(nil), v...)
	m := median(sorted)
	var upper []float64
	for _, x := range sorted {
		if x >= m {
			upper = append(upper, x)
		}
	}
	ref := median(upper)
	if ref <= 0 {
		return 0
	}
	there := 0
	for _, x := range v {
		if x > 0.35*ref {
			there++
		}
	}
	alt := 1.0
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
		alt = min(alt, min(max(weak/most/0.4, 0), 1))
	}
	return float64(there) / float64(len(v)) * alt
}
