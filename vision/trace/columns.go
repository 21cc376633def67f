package trace

// What the display's columns do to a slope. A column is drawn from its lowest to its highest sample, and further, so that it
// touches its neighbour: instruments differ in whether it goes on to the one before, to the one after or half of the way
// to both. Where the trace rises by many rows a column, the middle of the stroke is that of the column in the one case and half a
// column early or late in the others; where it rises by less than a row nothing is added, and the stroke lies where the sample
// does. So all that is steep may be off against all that is flat, by the same in every cycle, which scatter does not show:
// simulated time constants of six columns were 8 % too long.

import "math"

// columns is the effect of where instruments join columns, of so many elements of the display to a box: up to half a column each
// way, a rectangular distribution, for what is steep, by the share that joining adds to the stroke.
func (c *centred) columns(elements float64) (e Effect, ok bool) {
	e = Effect{Name: "columns of the display", Joint: true, DX: make([]float64, len(c.y)), DY: make([]float64, len(c.y))}
	across := max(c.across, 1/(math.Sqrt(12)*elements))
	for i, rise := range c.rise { // box a box, so about rows a column
		if share := 1 - 1/rise; share > 0 && !math.IsNaN(c.y[i]) {
			e.DX[i], ok = across*share, true
		}
	}
	return e, ok && !c.smooth
}
