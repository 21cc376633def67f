package check

// Where the drawing begins and where its ground line lies, beside the display's.

import (
	"math"
	"slices"

	"quadrille/analysis/drawing"
	"quadrille/cmd/internal/wire"
)

const (
	// startWidth is the width in boxes over which a level at the start is the median
	// (TestTheStartIsTheFirstTenthOfABox).
	startWidth = 0.1
	// ruled is the standard deviation in boxes of a line drawn with a ruler (common practice, no source;
	// TestTheGroundLineIsTheLineNearGround).
	ruled = 0.03
	// clearOfAxis is how far in boxes from an upright axis a curve is first seen beside it
	// (testdata/measured/drawing.md; TestTheStartIsTheFirstTenthOfABox).
	clearOfAxis = 0.1
	// nearGround is how far in boxes a drawn line may be from ground to be the ground line
	// (TestTheGroundLineIsTheLineNearGround).
	nearGround = 0.5
)

// levels fills in where the drawing begins and its ground line.
func (c *Check) levels(held *drawing.Held, on *drawing.Screen, tr *wire.Trace) {
	none := wire.Number(math.NaN())
	unknown := Difference{none, none, false}
	c.Start = Level{Display: none, Drawing: none, UDrawing: none, Difference: unknown}
	c.Ground = Level{Display: wire.Number(on.Ground), Drawing: none, UDrawing: none, Difference: unknown}
	after := math.Inf(-1)
	for _, l := range held.Upright {
		if l.Is == drawing.LeftRim {
			after = clearOfAxis - float64(on.Cols)/2
		}
	}
	at, level, _ := firstLevel(held.X, held.Y, after)
	_, shown, seen := firstLevel(on.X, on.Y, at)
	_, next, _ := firstLevel(on.X, on.Y, at+startWidth)
	if !math.IsNaN(level + shown) {
		c.Start.Drawing, c.Start.Display = wire.Number(level), wire.Number(shown)
		// On a slope a place that is off along x is off in height.
		slope := (next - shown) / startWidth
		if math.IsNaN(slope) {
			slope = 0
		}
		// The wobble is seen together with how the screen was laid.
		u := math.Hypot(max(held.Wobble.Y, laid), slope*max(held.Wobble.X, laid))
		c.Start.UDrawing = wire.Number(u)
		read := 0.0
		if len(tr.Sigma) == len(on.Y) && seen >= 0 && tr.Sigma[seen] > 0 {
			read = tr.Sigma[seen]
		}
		c.Start.Difference = differenceOf(level-shown, math.Hypot(u, read))
	}
	named := 0
	for _, l := range held.Level {
		if l.Is != "" {
			named++
		}
	}
	for _, l := range held.Level {
		box := (l.At-held.Corner.Y)/held.SquaresPerBox - float64(on.Rows)/2
		if l.Is == drawing.Ground || math.Abs(box-on.Ground) < nearGround && !c.Ground.Drawing.Known() {
			u := math.Hypot(ruled, laid)
			rests := held.From == drawing.FromAxes && l.Is != "" && named == 1
			c.Ground = Level{c.Ground.Display, wire.Number(box), wire.Number(u), differenceOf(box-on.Ground, u), rests}
		}
	}
	if c.Ground.Rests {
		c.Ground.UDrawing, c.Ground.Difference = none, unknown
	}
}

// firstLevel is the median height of the first places from x = after on, over startWidth, where they begin, and the
// first one's index; NaN and -1 without.
func firstLevel(x, y []float64, after float64) (at, level float64, first int) {
	at, first = math.NaN(), -1
	var near []float64
	for i := range x {
		if math.IsNaN(x[i]+y[i]) || x[i] < after {
			continue
		}
		if first < 0 {
			at, first = x[i], i
		}
		if x[i] > at+startWidth {
			break
		}
		near = append(near, y[i])
	}
	if first < 0 {
		return at, math.NaN(), first
	}
	slices.Sort(near)
	return at, near[len(near)/2], first
}
