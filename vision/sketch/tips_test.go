package sketch

import (
	"slices"
	"testing"
)

// A needle is ink that stands on a wave's crest.
type needle struct {
	apart float64 // square, between the flanks of the crest at the way's turn
	high  float64 // square, the needle above it
	broad int     // cells, the needle; the stroke has eight
	flank float64 // square, how far the crest falls to both sides
	foot  float64 // square, the way before the crest
}

// cut is a crest whose two flanks are one cell beside each other from its turn at row 300 on downward, with the way
// that saves the needle on it.
func (n needle) cut(per int) (*canvas, way) {
	c := emptyCanvas(800, 600, per)
	turn, half := 300, int(n.apart*float64(per)/2)
	at := func(x, y int) place { return place{400 + x, y} }
	var p way
	low := turn + int(n.flank*float64(per))
	for x := -half - int(n.foot*float64(per)); x < -half; x++ {
		p.at = append(p.at, at(x, low))
	}
	for y := low; y > turn; y-- {
		p.at = append(p.at, at(-half, y))
	}
	for x := -half; x <= half; x++ {
		p.at = append(p.at, at(x, turn))
	}
	for y := turn + 1; y <= low; y++ {
		p.at = append(p.at, at(half, y))
	}
	for x := half + 1; x < half+int(n.foot*float64(per)); x++ {
		p.at = append(p.at, at(x, low))
	}
	for _, q := range p.at {
		c.fill(q.x-4, q.y-4, q.x+4, q.y+4)
	}
	c.fill(396-half, turn-4, 404+half, turn) // the flanks run together above the turn
	for y := turn - int(n.high*float64(per)); y < turn; y++ {
		c.fill(400-n.broad/2, y, 400-n.broad/2+n.broad, y+1)
	}
	return c, p
}

// What stands on a crest, ends within two squares and is no dust is the curve's, and its tip is reached.
func TestANeedleOnACrestIsItsTip(t *testing.T) {
	const per = 60
	usual := needle{apart: 0.2, high: 1.5, broad: 8, flank: 1, foot: 2}
	for name, x := range map[string]struct {
		change  func(n *needle)
		reached bool
	}{
		"a tip":                            {func(*needle) {}, true},
		"another stroke":                   {func(n *needle) { n.high = 3 }, false},
		"a low one":                        {func(n *needle) { n.high = 0.15 }, true},
		"the stroke's own breadth":         {func(n *needle) { n.high = 0.08 }, false},
		"a thinner one":                    {func(n *needle) { n.broad = 6 }, true},
		"what is left of a ruling":         {func(n *needle) { n.broad = 3 }, false},
		"on a low crest":                   {func(n *needle) { n.flank = 0.3 }, true},
		"on a bump":                        {func(n *needle) { n.flank = 0.14 }, false},
		"on a crest as broad as a mark":    {func(n *needle) { n.apart = 0.45 }, true},
		"on a level as broad as a square":  {func(n *needle) { n.apart = 0.75 }, false},
		"half a square from the way's end": {func(n *needle) { n.flank, n.foot = 0.3, 0.4 }, true},
	} {
		n := usual
		x.change(&n)
		c, p := n.cut(per)
		top := 300
		for _, q := range c.withTips(p, 0).at {
			top = min(top, q.y)
		}
		if want := 300 - int(n.high*per); x.reached != (top < want+4) || !x.reached && top < 300 {
			t.Errorf("%s: up to row %d, its tip is row %d", name, top, want)
		}
	}
}

// A way leaves the flanks of a crest a tenth of a square below its turn, and nothing below that is moved.
func TestATipIsJoinedNearTheTurn(t *testing.T) {
	const per = 60
	c, p := needle{apart: 0.45, high: 0.15, broad: 8, flank: 1, foot: 2}.cut(per)
	got := c.withTips(p, 0).at
	for _, x := range []struct {
		below int // cells
		stays bool
	}{{8, true}, {4, false}} {
		if slices.Contains(got, place{387, 300 + x.below}) != x.stays {
			t.Errorf("%d cells below the turn the flank stays: %v", x.below, !x.stays)
		}
	}
}
