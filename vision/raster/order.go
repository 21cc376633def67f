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

// MedianOf9 gives the middle of nine, which it reorders: by comparisons that are always the same, it takes a fifth of
// the time of Median. Columns of three are put in order; the middle is that of the highest of the lowest, the middle of
// the middle and the lowest of the highest.
func MedianOf9(v *[9]float32) float32 {
	for i := 0; i < 9; i += 3 {
		v[i], v[i+1], v[i+2] = ordered(v[i], v[i+1], v[i+2])
	}
	_, _, low := ordered(v[0], v[3], v[6])
	_, mid, _ := ordered(v[1], v[4], v[7])
	high, _, _ := ordered(v[2], v[5], v[8])
	_, mid, _ = ordered(low, mid, high)
	return mid
}

func ordered(a, b, c float32) (low, mid, high float32) {
	if a > b {
		a, b = b, a
	}
	if b > c {
		b, c = c, b
		if a > b {
			a, b = b, a
		}
	}
	return a, b, c
}

// Rank gives the element of v whose rank, counted from 0, is nearest to p·(n-1), of two as near the upper;
// 0 for none. p is in 0..1. It reorders v.
func Rank[F Real](v []F, p float64) F {
	if len(v) == 0 {
		return 0
	}
	return choose(v, int(p*float64(len(v)-1)+0.5))
}

// choose gives the element of rank k; those before it are no greater then, those behind it no smaller. Each round
// parts the list by one of its elements in a loop without a branch that depends on the values: a processor guesses
// those wrong every other time, which costs more than the swaps (BenchmarkMedian).
func choose[F Real](v []F, k int) F {
	lo, hi := 0, len(v)-1
	for lo < hi {
		middle := lo + (hi-lo)/2
		// The middle of three is seldom near an end of the order.
		if v[middle] < v[lo] {
			v[middle], v[lo] = v[lo], v[middle]
		}
		if v[hi] < v[middle] {
			v[hi], v[middle] = v[middle], v[hi]
			if v[middle] < v[lo] {
				v[middle], v[lo] = v[lo], v[middle]
			}
		}
		if hi-lo < 3 {
			break // these three are in order
		}
		pivot := v[middle]
		v[middle], v[hi] = v[hi], pivot
		m := lo + parted(v[lo:hi], pivot)
		v[m], v[hi] = pivot, v[m]
		switch {
		case k < m:
			hi = m - 1
		case k == m:
			return pivot
		default:
			few := 8*(m-lo) < hi-lo
			lo = m + 1
			if few { // then many may be equal, which the next rounds would take off one by one
				for i := lo; i <= hi; i++ {
					if v[i] == pivot {
						v[i], v[lo] = v[lo], v[i]
						lo++
					}
				}
				if k < lo {
					return pivot
				}
			}
		}
	}
	return v[k]
}

// parted brings what is less than pivot to the front and says how many these are.
func parted[F Real](v []F, pivot F) int {
	m := 0
	for i, x := range v {
		v[i] = v[m]
		v[m] = x
		less := 0
		if x < pivot {
			less = 1
		}
		m += less
	}
	return m
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
