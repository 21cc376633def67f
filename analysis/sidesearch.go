package analysis

// Where a waveform of straight sides has its corners. For a trial period the points are laid over each other in
// foldBins bins, and the best zigzag through their means is sought over all places and shares of the rising side
// (epoch folding, as for the light of pulsars: D. A. Leahy and others, Astrophys. J. 266 (1983) 160). The periods
// tried are those of the highest lines of the spectrum and, below three cycles, a grid. The best few are fitted to
// the points.

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

const (
	// foldBins is the number of bins of a period: a corner is found to half of one, well inside the valley of the fit.
	// Nothing changes from 20 to 100 (TestPullsOfATriangle).
	foldBins = 32
	// longestFold and shortestSlow are periods in spans of the record between which a grid in steps of foldStep is
	// tried; faster ones the spectrum tells (TestPullsOfATriangle has them from 0.7 to 40).
	longestFold, shortestSlow, foldStep = 1.9, 0.3, 1.05
	// sideFits of the trial folds are fitted, the best first; nothing changes from 2 to 8.
	sideFits = 4
)

// A fold is a trial: a period, a zigzag through the folded points, and what that leaves.
type fold struct {
	period, start, up, low, height float64 // s, s, share, V, V
	square                         float64 // sum of whitened squares
}

// folds gives the best zigzag of each trial period, the best first, whose rising share is one of ups.
func (p *points) folds(ups []float64) []fold {
	span := p.t[len(p.t)-1] - p.t[0]
	shapes := make([]zigzagShape, len(ups))
	for i, up := range ups {
		shapes[i] = shapeOf(up)
	}
	var list []fold
	for period := longestFold * span; period > shortestSlow*span; period /= foldStep {
		list = append(list, p.foldAt(period, shapes))
	}
	for _, f := range spectrumLines(p) {
		for k := -2.0; k <= 2; k++ { // a line is told to an eighth of a cycle on the screen
			if cycles := f*span + k/16; cycles > 1/shortestSlow {
				list = append(list, p.foldAt(span/cycles, shapes))
			}
		}
	}
	list = slices.DeleteFunc(list, func(f fold) bool { return !(f.height > 0) })
	sort.SliceStable(list, func(i, j int) bool { return cmp.Less(list[i].square, list[j].square) })
	return list
}

// A zigzagShape is a zigzag at the bins of a period, twice over: 0 at the low corner at bin 0, 1 at the high one.
type zigzagShape struct {
	up float64 // the rising share
	z  [2 * foldBins]float64
}

func shapeOf(up float64) zigzagShape {
	shape := zigzagShape{up: up}
	for k := range foldBins {
		if x := (float64(k) + 0.5) / foldBins; x < up {
			shape.z[k] = x / up
		} else {
			shape.z[k] = (1 - x) / (1 - up)
		}
		shape.z[k+foldBins] = shape.z[k]
	}
	return shape
}

// foldAt folds the points at a period and finds the best zigzag; its height is 0 if there is none.
func (p *points) foldAt(period float64, shapes []zigzagShape) fold {
	var w, wv, wvv [foldBins]float64
	for i, t := range p.t {
		x := (t - p.t[0]) / period
		k := int(foldBins * (x - math.Floor(x)))
		k = min(k, foldBins-1)
		w2 := p.w[i] * p.w[i]
		w[k] += w2
		wv[k] += w2 * p.v[i]
		wvv[k] += w2 * p.v[i] * p.v[i]
	}
	var whole, s, sv float64
	for k := range foldBins {
		whole += wvv[k]
		s += w[k]
		sv += wv[k]
	}
	best := fold{period: period, square: math.Inf(1)}
	for n := range shapes {
		shape := &shapes[n]
		for first := 0; first < foldBins; first += 2 {
			// Two places at once: each sum waits for its last, those of the other place do not.
			here, next := shape.z[foldBins-first:][:foldBins], shape.z[foldBins-first-1:][:foldBins]
			var sz, szz, szv, nextZ, nextZZ, nextZV float64
			for k, z := range here {
				wz := w[k] * z
				sz += wz
				szz += wz * z
				szv += wv[k] * z
				z = next[k]
				wz = w[k] * z
				nextZ += wz
				nextZZ += wz * z
				nextZV += wv[k] * z
			}
			for i, sum := range [2][3]float64{{sz, szz, szv}, {nextZ, nextZZ, nextZV}} {
				sz, szz, szv := sum[0], sum[1], sum[2]
				det := s*szz - sz*sz
				if !(det > 0) {
					continue
				}
				height := (s*szv - sz*sv) / det
				low := (sv - height*sz) / s
				square := whole - low*sv - height*szv
				if height > 0 && square < best.square {
					best = fold{period, p.t[0] + float64(first+i)/foldBins*period, shape.up, low, height, square}
				}
			}
		}
	}
	return best
}

// zigzag gives the sides that leave least, of those whose rising and falling sides both last for fastestSide of the
// period at least; nil if none with two corners on the screen fits. They are sought once for all kinds.
func (p *points) zigzag() *sides {
	if p.sought == nil {
		p.sought = &sought{p.findZigzag()}
	}
	return p.sought.zigzag
}

// A sought is what was found of sides that more than one kind asks for.
type sought struct{ zigzag *sides } // nil: none

func (p *points) findZigzag() *sides {
	const least, most = fastestSide, 1 - fastestSide
	var ups []float64
	for up := least; up <= most+1e-9; up += (most - least) / 8 {
		ups = append(ups, up)
	}
	var best *sides
	for _, f := range p.distinct(p.folds(ups)) {
		s := p.zigzagFrom(f.period, f.start, f.up, f.low, f.height)
		if s == nil || best != nil && s.rms >= best.rms {
			continue
		}
		if low, high := s.corners(); len(low) > 0 && len(high) > 0 && s.shareUp() >= least && s.shareUp() <= most {
			best = s
		}
	}
	return best
}

// distinct gives the first few folds whose cycles on the screen differ by a fifth at least.
func (p *points) distinct(list []fold) (few []fold) {
	span := p.t[len(p.t)-1] - p.t[0]
	for _, f := range list {
		if !slices.ContainsFunc(few, func(g fold) bool { return math.Abs(span/f.period-span/g.period) < 0.2 }) {
			few = append(few, f)
		}
		if len(few) == sideFits {
			break
		}
	}
	return few
}
