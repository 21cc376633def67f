package stroke

// Where strokes end and bend. A stroke is as broad along the trace as it is high: the glow of a beam, or the blur of
// a photo, spreads it by that much beyond its end, where the trace may be elsewhere by then, on an edge too fast to
// be seen; and it rounds corners.
//
// At an end the light falls to half: what is dimmer than that is absent. At a corner the centre of the light lies off
// the curve by w²/2 times its second derivative, for a Gaussian stroke of standard deviation w (the first term of its
// moments); half of the second difference over ±w is that, and is added to the sample's standard deviation where it
// is more than noise.

import (
	"math"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// halfLight is the least light of a column at an end as a share of what the trace has further in
	// (TestWhatIsDimAtAnEnd).
	halfLight = 0.5
	// endsAt is how many columns in a row are absent at an end; fewer are noise, or a line that hides the trace
	// (TestWhatIsDimAtAnEnd).
	endsAt = 2
	// bendNoise is how many standard deviations of a second difference are taken for noise: one sample of 370 has more
	// (TestABendIsMoreThanNoise).
	bendNoise = 3
	// cutReach is how many standard deviations of a stroke away its end still moves its centre: there by 0.018 of one
	// (TestHowFarTheEndOfAStrokeReaches).
	cutReach = 2.5
)

// dropSmear makes absent what lies beyond the ends of pieces that are a few strokes long.
func (c *Centres) dropSmear(s *sheet.Sheet) {
	n, breadth := len(c.Y), c.breadth(s)
	absent := func(i int) bool { return i < 0 || i >= n || math.IsNaN(c.Y[i]) }
	for _, side := range []int{1, -1} { // of the trace, seen from its end
		for k := range n {
			i := k
			if side < 0 {
				i = n - 1 - k
			}
			open := i-side >= 0 && i-side < n // the trace may have gone on, on the screen
			for m := 1; m <= endsAt; m++ {
				open = open && absent(i-m*side)
			}
			if absent(i) || !open {
				continue
			}
			var inside []float64
			for m := breadth; m <= 3*breadth && !absent(i+m*side); m++ {
				inside = append(inside, c.light[i+m*side])
			}
			if len(inside) <= breadth {
				continue
			}
			usual := raster.Rank(inside, 0.5)
			for m := 0; m < breadth && c.light[i+m*side] < halfLight*usual; m++ {
				c.Y[i+m*side], c.Sigma[i+m*side], c.Thick[i+m*side] = math.NaN(), math.NaN(), math.NaN()
			}
		}
	}
}

// breadth is the full width of a stroke at half its light, in columns.
func (c *Centres) breadth(s *sheet.Sheet) int {
	return max(int(2*math.Sqrt(2*math.Ln2)*c.stroke*float64(s.Across)+0.5), 2)
}

// bend is what the breadth of the stroke moves the centre of column i by, in boxes, beyond what noise of the given
// standard deviation does.
func (c *Centres) bend(s *sheet.Sheet, i int, noise float64) float64 {
	m := max(int(c.stroke*float64(s.Across)+0.5), 1)
	if i < m || i+m >= len(c.Y) {
		return 0
	}
	d := math.Abs(c.Y[i+m]-2*c.Y[i]+c.Y[i-m])/2 - bendNoise*math.Sqrt(6)/2*noise
	if !(d > 0) { // or NaN
		return 0
	}
	return d
}

// oneSided is what a stroke that is cut off beside column i moves its centre by, in boxes: of a Gaussian stroke of
// standard deviation w whose end lies z·w away on one side the middle is off by w·φ(z)/Φ(z) across, and on a slope by
// as much more in height.
func (c *Centres) oneSided(s *sheet.Sheet, i int) float64 {
	n, reach := len(c.Y), int(cutReach*c.stroke*float64(s.Across))
	most := 0.0
	for _, side := range []int{1, -1} { // where the trace goes on
		m := 0
		for m <= reach && i-m*side >= 0 && i-m*side < n && !math.IsNaN(c.Y[i-m*side]) {
			m++
		}
		k := i + 2*side
		if m > reach || k < 0 || k >= n || math.IsNaN(c.Y[k]) {
			continue
		}
		z := (float64(m) - 0.5) * s.DX / c.stroke
		across := c.stroke * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / (0.5 * math.Erfc(-z/math.Sqrt2))
		most = max(most, across*math.Abs(c.Y[k]-c.Y[i])/(2*s.DX))
	}
	return most
}
