package sketch

// The tips of narrow peaks.
//
// A way saves its last turn below a tip: the two flanks of a sharp peak run together there, and across is as good as
// over. Where a way turns back, the ink above it that ends within a short while is the peak's, and the way goes up to
// its end. Ink that goes on is another's.

import (
	"math"
	"slices"
)

const (
	// tipReach is over how many squares of a way to both sides of a turn its flanks are told, and tipFlank how many
	// squares both must fall or rise there (TestANeedleOnACrestIsItsTip).
	tipReach, tipFlank = 0.5, 0.2
	// tipMost is how high at most a tip is above the way, and tipHalf how far to both sides it is looked for, in
	// squares (TestANeedleOnACrestIsItsTip).
	tipMost, tipHalf = 2.0, 0.3
	// tipLeast is how high at least, in squares: a stroke's own half breadth is no tip (TestANeedleOnACrestIsItsTip).
	tipLeast = 0.1
	// tipJoin is how far from the way's turn, in squares along y, it leaves its flanks (TestATipIsJoinedNearTheTurn).
	tipJoin = 0.1
	// tipBroad is how broad at least what goes on is, in shares of the stroke: what is left of a ruling is narrow
	// (TestANeedleOnACrestIsItsTip).
	tipBroad = 0.5
)

// withTips gives a way that goes up to the tips of its peaks and down to those of its troughs.
func (c *canvas) withTips(p way, k int) way {
	reach, flank, join := int(tipReach*float64(c.per)), int(tipFlank*float64(c.per)), int(tipJoin*float64(c.per))
	broad := int(math.Ceil(tipBroad * c.breadth(&p)))
	for i := reach; i+reach < len(p.at); i++ {
		for _, up := range [2]int{-1, 1} {
			y, a, b := p.at[i].y*up, p.at[i-reach:i], p.at[i+1:i+1+reach]
			if y-p.at[i-reach].y*up < flank || y-p.at[i+reach].y*up < flank {
				continue
			}
			higher := func(q place) bool { return q.y*up > y }
			if slices.ContainsFunc(a, higher) || slices.ContainsFunc(b, higher) {
				continue
			}
			tip, ok := c.tipOver(p.at[i], up, k, broad)
			if !ok {
				continue
			}
			from, to := i, i
			for from > i-reach && y-p.at[from].y*up < join {
				from--
			}
			for to < i+reach && y-p.at[to].y*up < join {
				to++
			}
			tip.x = min(max(tip.x, p.at[from].x), p.at[to].x)
			over := slices.Concat(straightTo(p.at[from], tip), straightTo(tip, p.at[to]))
			p.at = slices.Concat(p.at[:from], over, p.at[to:])
			i = from + len(over) + reach
			break
		}
	}
	return p
}

// tipOver gives the end of the ink of pen k, at least so many cells broad, that hangs on a place, upward (-1) or
// downward (1); false where there is none or it goes on.
func (c *canvas) tipOver(from place, up, k, broad int) (tip place, ok bool) {
	half, most, least := int(tipHalf*float64(c.per)), int(tipMost*float64(c.per)), int(tipLeast*float64(c.per))
	lo, hi := max(from.x-half, 0), min(from.x+half, c.w-1)
	on := func(x, y int) bool {
		// Where two flanks run together the ink is darker, and its colour may look like another's.
		i := x*c.h + y
		return c.ink.Pix[y*c.w+x] > isInk && c.own[k][i] > 0 && !c.axis[i]
	}
	row := make([]bool, hi-lo+1)
	for x := lo; x <= hi; x++ {
		row[x-lo] = on(x, from.y)
	}
	tip = from
	for n := 1; ; n++ {
		y := from.y + n*up
		if n > most || y < 0 || y >= c.h {
			return tip, false
		}
		next := hanging(row, func(i int) bool { return on(lo+i, y) })
		sum, wide := 0, 0
		for i, v := range next {
			if v {
				sum += lo + i
				wide++
			}
		}
		if wide < broad {
			return tip, n-1 >= least
		}
		if next[0] || next[len(next)-1] {
			return tip, false
		}
		tip = place{int(math.Round(float64(sum) / float64(wide))), y}
		row = next
	}
}

// hanging gives the cells of a row of ink that hang on those of the row before.
func hanging(before []bool, on func(i int) bool) []bool {
	out := make([]bool, len(before))
	for i := range out {
		out[i] = (before[i] || i > 0 && before[i-1] || i+1 < len(out) && before[i+1]) && on(i)
	}
	for i := 1; i < len(out); i++ { // along the row from there
		out[i] = out[i] || out[i-1] && on(i)
	}
	for i := len(out) - 2; i >= 0; i-- {
		out[i] = out[i] || out[i+1] && on(i)
	}
	return out
}

// straightTo gives the places from a to b, without b.
func straightTo(a, b place) (out []place) {
	n := max(b.x-a.x, a.x-b.x, b.y-a.y, a.y-b.y)
	for i := range n {
		f := float64(i) / float64(n)
		out = append(out, place{a.x + int(math.Round(f*float64(b.x-a.x))), a.y + int(math.Round(f*float64(b.y-a.y)))})
	}
	return out
}
