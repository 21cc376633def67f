package sheet

import "slices"

// median reorders v; it is 0 for an empty list.
func median(v []float32) float32 { return Quantile(v, 0.5) }

// Quantile gives the element of rank p·(n-1) by selection (Hoare); it reorders v. It is 0 for an empty list.
func Quantile(v []float32, p float64) float32 {
	if len(v) == 0 {
		return 0
	}
	k := int(p*float64(len(v)-1) + 0.5)
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
		if k <= j {
			hi = j
		} else if k >= i {
			lo = i
		} else {
			break
		}
	}
	return v[k]
}

// Rank gives the element of rank p·(n-1) of v, unordered; 0 for none.
func Rank(v []float64, p float64) float64 {
	if len(v) == 0 {
		return 0
	}
	w := slices.Clone(v)
	slices.Sort(w)
	return w[int(p*float64(len(w)-1)+0.5)]
}
