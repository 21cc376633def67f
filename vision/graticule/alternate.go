package graticule

import "math"

// everySecond is the mean strength of every second line of frame f over that of the lines between them,
// the weaker over the stronger, of the family where that is least: near 1 on a graticule, small where a
// step of half a box was taken for a box. The rims, which many displays draw stronger, are left out.
func (s *survey) everySecond(f frame) float64 {
	least := 1.0
	for fam := range family(2) {
		k0, _, c0, _ := s.ranges(fam)
		a, b, lo, hi := f.left, f.right, f.bottom, f.top
		if fam == level {
			a, b, lo, hi = lo, hi, a, b
		}
		var sum, n [2]float64
		for k := a + 1; k < b; k++ {
			for c := lo; c < hi; c++ {
				if v := s.raw[fam][k-k0][c-c0]; !math.IsNaN(v) {
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
