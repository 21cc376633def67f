package check_test

import (
	"math"
	"slices"
	"testing"

	"quadrille/cmd/internal/wire"
)

// steep is a display whose trace rises by 5 boxes a box at the left rim, and is level after that.
func steep(t *testing.T) *wire.Document {
	d := *slow(t)
	tr := wire.Trace{Name: "a", Colour: "#ffee00", Chosen: true}
	for x := -4.995; x < 5; x += 0.01 {
		tr.X, tr.Y = append(tr.X, x), append(tr.Y, min(5*(x+5)-2, 3))
	}
	d.Traces, d.Fits, d.Results, d.Signal = []wire.Trace{tr}, nil, nil, ""
	return &d
}

// axisAt is a line over the drawings of drawnFrom, level or upright, so many boxes above or right of the screen's
// corner.
func axisAt(level bool, boxes float64) wire.Axis {
	at := wire.Number(2 + 2*boxes)
	if level {
		return wire.Axis{Level: true, From: wire.Point{-11, at - 10}, To: wire.Point{11, at - 10}}
	}
	return wire.Axis{From: wire.Point{at - 12, -9}, To: wire.Point{at - 12, 9}}
}

// The level at the start is that of the first tenth of a box, or of the first tenth right of an axis at the rim: what a
// letter or the axis itself does to the first places does not change it, nor is it that of the curve farther on.
func TestTheStartIsTheFirstTenthOfABox(t *testing.T) {
	display := steep(t)
	tr, rim := &display.Traces[0], -float64(display.Graticule.Columns)/2
	at := func(x float64) float64 { // the trace, x in boxes from the left rim
		return tr.Y[slices.IndexFunc(tr.X, func(v float64) bool { return v-rim >= x })]
	}
	for name, c := range map[string]struct {
		paper       *wire.Paper
		ink, middle float64 // boxes from the left rim: how far the first places are spoilt, and where the level is
	}{
		"letter": {nil, 0.03, 0.05},
		"axis":   {&wire.Paper{Axes: []wire.Axis{axisAt(false, 0)}}, 0.09, 0.15},
	} {
		drawn := drawnFrom(display, nil)
		curve := wire.Trace{Name: "a", Colour: "#404448", Chosen: true}
		for x := 0.005; x < 9.9; x += 0.01 {
			y := at(x)
			if x < c.ink {
				y++
			}
			curve.X, curve.Y = append(curve.X, 2+2*x-12), append(curve.Y, 2+2*(y+4)-10)
		}
		drawn.Traces, drawn.Paper = []wire.Trace{curve}, c.paper
		s := of(t, drawn, display, where).Start
		shown, by := float64(s.Display), float64(s.Drawing-s.Display)
		if math.Abs(shown-at(c.middle)) > 0.08 || math.Abs(by) > 0.3 {
			t.Errorf("%s: the start is %.2f, where the trace is at %.2f; the drawing's is %.2f higher", name, shown, at(c.middle), by)
		}
	}
}

// A level line within half a box of ground is the ground line, drawn wrongly where it is farther off than a ruler is.
// One along a line of the paper is on that line.
func TestTheGroundLineIsTheLineNearGround(t *testing.T) {
	display := fast(t) // ground 1 box above the lowest line
	for _, c := range []struct {
		off, is     float64 // box
		drawn, told bool
	}{{0.05, 0, true, false}, {-0.1, -0.1, true, true}, {0.4, 0.4, true, true}, {0.7, 0, false, false}} {
		drawn := drawnFrom(display, nil)
		drawn.Paper = &wire.Paper{Axes: []wire.Axis{axisAt(true, 0), axisAt(true, 1+c.off), axisAt(false, 0)}}
		g := of(t, drawn, display, where).Ground
		if g.Drawing.Known() != c.drawn || g.Difference.Told != c.told || c.drawn && math.Abs(float64(g.Difference.Value)-c.is) > 0.01 {
			t.Errorf("a line %.2f box from ground: %+v", c.off, g)
		}
	}
}
