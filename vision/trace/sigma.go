package trace

// What the noise of the picture does not tell: the display draws on its own pixels, samples have 8 bits,
// and on an edge the column says little about the height.

import "math"

const (
	// displayPixels is how many pixels of its own a display has to a box: about 50 on the common
	// ones (common practice, no source). A stroke lies on them, so its place has a rectangular error.
	displayPixels = 50
	// edgeShare turns the height of a stroke beyond a thin one's into a standard deviation: a
	// rectangular distribution over the stroke.
	edgeShare = 0.29
)

// widen adds to the noise of every sample the scatter that the path itself shows, the display's pixel
// and the height of steep strokes.
func (c *centred) widen(s *sheet) {
	scatter := c.scatter()
	pixel := 1 / (math.Sqrt(12) * displayPixels)
	floor := math.Hypot(pixel, scatter)
	thin := rank(finite(c.thick), 0.25)
	for i := range c.sigma {
		if math.IsNaN(c.y[i]) {
			continue
		}
		tall := math.Sqrt(max(c.thick[i]*c.thick[i]-thin*thin, 0))
		c.sigma[i] = math.Sqrt(c.sigma[i]*c.sigma[i] + floor*floor + edgeShare*edgeShare*tall*tall)
	}
}

// scatter is the standard deviation of the samples about their own local parabola over seven columns
// (Savitzky, Golay, Anal. Chem. 36 (1964) 1627, table I) beyond what the noise explains, in boxes; steps of
// the instrument's converter show here when the trace moves.
func (c *centred) scatter() float64 {
	var seen, told []float64
	for i := 3; i+3 < len(c.y); i++ {
		y := c.y[i-3 : i+4]
		smooth := (-2*(y[0]+y[6]) + 3*(y[1]+y[5]) + 6*(y[2]+y[4]) + 7*y[3]) / 21
		if d := y[3] - smooth; !math.IsNaN(d) {
			seen = append(seen, math.Abs(d))
			told = append(told, c.sigma[i])
		}
	}
	// The residual of seven points has 1 − 7/21 of a sample's variance.
	s, t := madToSD*rank(seen, 0.5)/math.Sqrt(2.0/3), rank(told, 0.5)
	return math.Sqrt(max(s*s-t*t, 0))
}

func finite(v []float64) []float64 {
	var out []float64
	for _, x := range v {
		if !math.IsNaN(x) {
			out = append(out, x)
		}
	}
	return out
}
