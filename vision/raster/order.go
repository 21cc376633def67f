package raster

// Order statistics by selection (C. A. R. Hoare, Algorithm 65: Find, Communications of the ACM 4 (1961) 321).
// Gonum's stat.Quantile, with which the tests compare, wants a sorted list of float64: for the short lists
// here, of which a reading has thousands, that takes four to five times as long (BenchmarkMedian).

import "math"

// A Real is what can be ordered here. Lists must not hold NaN.
type Real interface{ ~float32 | ~float64 }

// Median gives the middle of v, of an even number the mean of the two in the middle; 0 for none. It reorders v.
func Median[F Real](v []F) F {
	n := len(v)
	if n == 0 {
		return 0
	}
	m := choose(v, n/2)
	if n%2 == 1 {
		return m
	}
	below := v[0]
	for _, x := range v[:n/2] {
		if x > below { // the built-in max is a slow call in WebAssembly
			below = x
		}
	}
	return (below + m) / 2
}

// Rank gives the element of v whose rank, counted from 0, is nearest to p·(n-1), of two as near the upper;
// 0 for none. p is in 0..1. It reorders v.
func Rank[F Real](v []F, p float64) F {
	if len(v) == 0 {
		return 0
	}
	return choose(v, int(p*float64(len(v)-1)+0.5))
}

// choose gives the element of rank k; those before it are no greater then, those behind it no smaller.
func choose[F Real](v []F, k int) F {
	lo, hi := 0, len(v)-1
	for lo < hi {
		x := v[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for v[i] < x {
				i++
			}
			for v[j] > x {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return v[k]
		}
	}
	return v[k]
}

// Spread is the standard deviation of v about 0 as the median absolute value tells it: 1.48 times that, for a normal
// distribution; 0 for none.
func Spread(v []float64) float64 {
	s := make([]float64, len(v))
	for i, x := range v {
		s[i] = math.Abs(x)
	}
	return 1.4826 * Median(s)
}
