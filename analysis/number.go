package analysis

// A number carries its influences: the derivative of its value by each input of a decay, which are the points,
// then the knees that lie on an edge between points, then the bias of the log line, then the level given (see inputs).
// nil stands for a number that no input moves, or when influences are not asked for.
type number struct {
	x float64
	d []float64
}

// A share is a number and the derivative of something by it.
type share struct {
	by float64
	of number
}

// blend is the number x that depends on others by the given shares.
func blend(x float64, shares ...share) number {
	out := number{x: x}
	for _, s := range shares {
		if s.of.d == nil {
			continue
		}
		if out.d == nil {
			out.d = make([]float64, len(s.of.d))
		}
		for j, dj := range s.of.d {
			out.d[j] += s.by * dj
		}
	}
	return out
}

// average is Σ w·x/Σ w.
func average(numbers []number, weights []float64) number {
	total, x := 0.0, 0.0
	for _, w := range weights {
		total += w
	}
	shares := make([]share, len(numbers))
	for i, n := range numbers {
		w := weights[i] / total
		x += w * n.x
		shares[i] = share{w, n}
	}
	return blend(x, shares...)
}
