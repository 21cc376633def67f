package stroke

// Lonely samples. Beside an edge that crosses lines of the graticule in the trace's own ink, a tick or a piece of a
// line may pass for the trace in a column or two where the trace itself is not seen. Such a piece hangs together with
// nothing: absent columns are on both sides of it, and beyond them the trace is elsewhere, or nowhere. Several ticks
// of one line are such pieces at one height.

import (
	"math"

	"quadrille/vision/sheet"
)

const (
	// lonelyWidth is the greatest width of such a piece in boxes: half a tick and the blur beside it (TestWhatIsLonely).
	lonelyWidth = 0.05
	// fewLonely is the share of the samples up to which lonely ones are dropped: a trace of dots that are not joined
	// has many (TestWhatIsLonely).
	fewLonely = 0.02
)

// dropLonely makes absent what hangs together with nothing.
func (c *Centres) dropLonely(s *sheet.Sheet) {
	var pieces [][2]int // first and last column
	for i, y := range c.Y {
		if math.IsNaN(y) {
			continue
		}
		if n := len(pieces); n > 0 && pieces[n-1][1] == i-1 {
			pieces[n-1][1] = i
		} else {
			pieces = append(pieces, [2]int{i, i})
		}
	}
	most := int(lonelyWidth*float64(s.Across) + 0.5)
	narrow := func(k int) bool { return pieces[k][1]-pieces[k][0] < most }
	jump := func(k int) float64 { // from piece k-1 to piece k
		if k == 0 || k == len(pieces) {
			return math.Inf(1)
		}
		return math.Abs(c.Y[pieces[k][0]] - c.Y[pieces[k-1][1]])
	}
	var lonely []int
	for k := 0; k < len(pieces); k++ {
		first := k
		for k+1 < len(pieces) && narrow(k) && narrow(k+1) && jump(k+1) <= aJump {
			k++
		}
		if narrow(first) && narrow(k) && jump(first) > aJump && jump(k+1) > aJump {
			for _, p := range pieces[first : k+1] {
				for i := p[0]; i <= p[1]; i++ {
					lonely = append(lonely, i)
				}
			}
		}
	}
	if float64(len(lonely)) > fewLonely*float64(len(finite(c.Y))) {
		return
	}
	for _, i := range lonely {
		c.Y[i], c.Sigma[i], c.Thick[i] = math.NaN(), math.NaN(), math.NaN()
	}
}
