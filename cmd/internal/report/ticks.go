// Ticks at round places: steps of 1, 2 or 5 times a power of ten.

package report

import (
	"math"
	"strconv"
)

// ticks gives round places from lo to hi, about n steps of them, and the digits after the point that
// tell them apart. An empty or unknown range gives none.
func ticks(lo, hi float64, n int) (at []float64, decimals int) {
	if !(hi > lo) || math.IsInf(hi-lo, 0) {
		return nil, 0
	}
	raw := (hi - lo) / float64(n)
	power := math.Floor(math.Log10(raw))
	mantissa := raw / math.Pow(10, power)
	best := 10.0
	for _, m := range []float64{1, 2, 5} {
		if mantissa <= m*1.0001 {
			best = m
			break
		}
	}
	if best == 10 {
		best, power = 1, power+1
	}
	decimals = max(0, -int(power))
	// Count in whole steps, so that no rounding adds up.
	unit := best * math.Pow(10, power)
	slack := 1e-9 * (hi - lo) / unit
	for k := math.Ceil(lo/unit - slack); k*unit <= hi+slack*unit; k++ {
		v, _ := strconv.ParseFloat(strconv.FormatFloat(k*unit, 'f', decimals, 64), 64)
		at = append(at, v+0) // no negative zero
	}
	return at, decimals
}

// span gives the least and greatest finite value of the lists; ok is false if there is none.
func span(lists ...[]float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, l := range lists {
		for _, v := range l {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				lo, hi = min(lo, v), max(hi, v)
			}
		}
	}
	return lo, hi, lo <= hi
}
