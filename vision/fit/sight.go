package fit

// Where a box-long piece of a line lies on the photo.
//
// Rows across the line are sampled at the photo's own resolution, the second difference along each
// row tells where the light has a ridge, and the mean over the rows, each over its own strength so
// that a trace that crosses does not rule, has its peak on the line.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	refineReach = 0.10 // box: farther off is a neighbour's tick or a helper line (TestALineIsSeenWhereItLies)
	leastBox    = 8    // samples: smaller boxes show no line (TestSmallBoxesShowNoLine)
	// MostRows is how many rows across a piece there are at most, about one a sample: thin dots are missed between fewer
	// (TestThinDotsAreSeen).
	MostRows  = 80
	fewRows   = 40 // the same as long as the photo will be looked at again (TestThinDotsAreSeen)
	leastRows = 8  // rows (TestSmallBoxesShowNoLine)
	// ridgeWidth, box: half the width of the second difference, or 1.5 samples if that is more
	// (TestALineIsSeenWhereItLies)
	ridgeWidth = 0.025
	ridgeSteps = 2 // steps of the profile to that width (TestALineIsSeenWhereItLies)
	// peakNoise, of the median absolute deviation of the profile: lower peaks are not taken (TestNoiseIsNoLine)
	peakNoise = 3.3
	// ridgeBlur, of that width, Gaussian before the difference: the display's own pixels, 1/25 box, must not count
	// (TestALineIsSeenWhereItLies)
	ridgeBlur = 0.75
)

// Observe looks at every piece of line inside the photo, of the upright lines at xs and the level ones at ys; inside is
// how many there are. rows is how many rows across a piece are looked at, at most.
func Observe(near *scene.Picture, m *Model, xs, ys []float64, sign float32, rows int) (obs []Observation, inside int) {
	look := func(fam lattice.Family, k, last, c int, line, from float64) {
		at := func(off, t float64) geom.Box {
			if fam == lattice.Upright {
				return geom.Box{X: line + off, Y: from + t}
			}
			return geom.Box{X: from + t, Y: line + off}
		}
		place, found, in := sightLine(near, m, at, sign, rows)
		if in {
			inside++
		}
		if found {
			obs = append(obs, Observation{lattice.Piece{Of: fam, Line: k, Cell: c}, line, place, 1, k == 0 || k == last})
		}
	}
	for k, x := range xs {
		for c := range len(ys) - 1 {
			look(lattice.Upright, k, len(xs)-1, c, x, ys[c])
		}
	}
	for k, y := range ys {
		for c := range len(xs) - 1 {
			look(lattice.Level, k, len(ys)-1, c, y, xs[c])
		}
	}
	return obs, inside
}

// sightLine looks across one piece, whose places are at(offset, along), and gives where the
// ridge crosses its middle; in says whether the piece is on the photo.
func sightLine(near *scene.Picture, m *Model, at func(off, t float64) geom.Box, sign float32, most int) (place geom.Pixel, found, in bool) {
	a, b := m.Pixel(at(-0.5, 0.5)), m.Pixel(at(0.5, 0.5))
	px := math.Hypot(b.X-a.X, b.Y-a.Y) * near.Scale // samples of a box, across the line
	c, d := m.Pixel(at(0, 0)), m.Pixel(at(0, 1))
	count := min(int((1-2*lattice.AlongFrom)*math.Hypot(d.X-c.X, d.Y-c.Y)*near.Scale), most)
	if px < leastBox || count < leastRows {
		return place, false, false
	}
	const (
		wide = len(ridgeKernel) / 2 // TestALineIsSeenWhereItLies
		// flank: beside the reach, so that the noise is seen (nothing changes from 3 to 12, TestALineIsSeenWhereItLies,
		// TestNoiseIsNoLine)
		flank = 3 * ridgeSteps
	)
	step := max(ridgeWidth, 1.5/px) / ridgeSteps
	half := int(refineReach/step) + flank + wide
	n := 2*half + 1
	row := make([]float32, n)
	ridge := make([]float32, n*count)
	rows := 0
	for r := range count {
		t := lattice.AlongFrom + (1-2*lattice.AlongFrom)*(float64(r)+0.5)/float64(count)
		if !near.Run(row, m.Pixel(at(-float64(half)*step, t)), m.Pixel(at(float64(half)*step, t))) {
			continue
		}
		dst := ridge[rows*n+wide:][:n-2*wide]
		i := 0
		for ; i+4 <= len(dst); i += 4 { // four at once: none waits for another's sum
			var a, b, c, d float32
			near := row[i:][:len(ridgeKernel)+3]
			for k, w := range ridgeKernel {
				a += w * near[k]
				b += w * near[k+1]
				c += w * near[k+2]
				d += w * near[k+3]
			}
			dst[i], dst[i+1], dst[i+2], dst[i+3] = sign*a, sign*b, sign*c, sign*d
		}
		for ; i < len(dst); i++ {
			var v float32
			for k, w := range ridgeKernel {
				v += w * row[i+k]
			}
			dst[i] = sign * v
		}
		rows++
	}
	if 2*rows < count {
		return place, false, false
	}
	power := make([]float64, rows)
	all := 0.0
	for r := range rows {
		square := 0.0
		for _, v := range ridge[r*n+wide : (r+1)*n-wide] {
			square += float64(v * v)
		}
		power[r] = math.Sqrt(square / float64(n-2*wide))
		all += power[r] / float64(rows)
	}
	mean := make([]float64, n)
	for r := range rows {
		w := float32(1 / (power[r] + all + scene.NoiseFloor))
		sum := mean[wide : n-wide]
		for i, v := range ridge[r*n+wide:][:len(sum)] {
			sum[i] += float64(w * v)
		}
	}
	best := -1
	lo, hi := half-int(refineReach/step), half+int(refineReach/step)
	for i := lo; i <= hi; i++ {
		if best < 0 || mean[i] > mean[best] {
			best = i
		}
	}
	if best <= lo || best >= hi {
		return place, false, true
	}
	inner := append([]float64(nil), mean[wide:n-wide]...)
	mid := raster.Median(inner)
	for i := range inner {
		inner[i] = math.Abs(inner[i] - mid)
	}
	if mean[best]-mid < peakNoise*raster.Median(inner) {
		return place, false, true
	}
	lo3, mid3, hi3 := mean[best-1], mean[best], mean[best+1]
	part := 0.0
	if den := lo3 - 2*mid3 + hi3; den < 0 {
		part = 0.5 * (lo3 - hi3) / den
	}
	// The rows are even in pixels, not in boxes: under perspective their middle is not the line.
	reach := float64(half) * step
	a, b = m.Pixel(at(-reach, 0.5)), m.Pixel(at(reach, 0.5))
	f := (float64(best) + part) / float64(n-1)
	return geom.Pixel{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}, true, true
}

// ridgeKernel is the negative second difference of a Gaussian, in steps of the profile.
var ridgeKernel = func() (k [15]float32) {
	const sigma = ridgeBlur * ridgeSteps
	at := func(x float64) float64 { return math.Exp(-x * x / (2 * sigma * sigma)) }
	sum := 0.0
	for i := range k {
		sum += at(float64(i - len(k)/2))
	}
	for i := range k {
		x := float64(i - len(k)/2)
		k[i] = float32((2*at(x) - at(x-ridgeSteps) - at(x+ridgeSteps)) / sum)
	}
	mean := float32(0)
	for _, v := range k {
		mean += v / float32(len(k))
	}
	for i := range k {
		k[i] -= mean // even light gives exactly nothing
	}
	return k
}()
