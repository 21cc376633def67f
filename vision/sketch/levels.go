package sketch

// The heights between which a stroke goes to and fro, which tell two of one pen from each other.
//
// Two square waves that stand on one level, or share an edge, run together for so long that no direction tells which is
// which. But each comes back to its own high and low level, and a sine to its own crests. So where a height that only
// one of two had before comes again behind their meeting, that is the same one. Crests that shrink do not come again.

import (
	"math"
	"slices"
)

const (
	// turnLeast is how far in squares a stroke goes away from a height on both sides to have turned there
	// (TestALevelIsBetweenCorners).
	turnLeast = 0.7
	// capHeight is how far below its crest, in squares, a stroke's height there is told (TestEachWaveKeepsItsLevels).
	capHeight = 0.15
	// A level between corners is flatLeast squares wide at least, and flatDeep squares below it no more than flatWider
	// times as wide: a sine's crest is 1.8 times (TestALevelIsBetweenCorners).
	flatLeast, flatDeep, flatWider = 0.4, 0.5, 1.5
	// levelNear is how near to each other two heights are one, in squares: a hand's wobble is up to 0.05
	// (TestEachWaveKeepsItsLevels).
	levelNear = 0.18
)

// A level is a height at which a stroke turns, in rows.
type level struct {
	y    float64
	flat bool // between corners
}

// keepLevels tells how two strokes go on beyond joint k, if a height that only one of them has had before comes again
// until joint next, and none speaks against it.
func (c *canvas) keepLevels(a, b []place, js []joint, k, next int) {
	aIn, bIn, swapped := joined(a, b, js, -1, k)
	if swapped {
		aIn, bIn = bIn, aIn
	}
	aOut, bOut, _ := joined(a, b, js, k, next)
	was, wasB := c.levelsOf(aIn), c.levelsOf(bIn)
	keep, exchange := 0, 0
	for _, l := range c.levelsOf(aOut) {
		keep += c.only(l, was, wasB)
		exchange += c.only(l, wasB, was)
	}
	for _, l := range c.levelsOf(bOut) {
		keep += c.only(l, wasB, was)
		exchange += c.only(l, was, wasB)
	}
	if keep > 0 != (exchange > 0) {
		js[k].exchange, js[k].clear = exchange > 0, true
	}
}

// only is 1 if a height is one of own, between corners or come to twice, and none of other; else 0.
func (c *canvas) only(l level, own, other []level) int {
	times := 0
	for _, o := range own {
		switch {
		case !c.same(l, o):
		case o.flat:
			times += 2
		default:
			times++
		}
	}
	if times >= 2 && !slices.ContainsFunc(other, func(o level) bool { return c.same(l, o) }) {
		return 1
	}
	return 0
}

func (c *canvas) same(a, b level) bool { return math.Abs(a.y-b.y) < levelNear*float64(c.per) }

// levelsOf gives the heights at which a stroke turns, and those at which it begins and ends if it stays there for a
// while.
func (c *canvas) levelsOf(at []place) (out []level) {
	if len(at) == 0 {
		return nil
	}
	note := func(i int, turned bool) {
		a, b := c.cap(at, i, capHeight)
		wide := at[b].x - at[a].x
		long := float64(wide) >= flatLeast*float64(c.per)
		if !turned && !long {
			return
		}
		sum := 0.0
		for _, p := range at[a : b+1] {
			sum += float64(p.y)
		}
		u, v := c.cap(at, i, flatDeep)
		out = append(out, level{sum / float64(b-a+1), long && float64(at[v].x-at[u].x) <= flatWider*float64(wide)})
	}
	turn := int(turnLeast * float64(c.per))
	high, low, falls := 0, 0, 0 // falls is 1 on the way down, -1 on the way up, 0 before the first turn
	for i, p := range at {
		if falls >= 0 && p.y > at[low].y {
			low = i
		}
		if falls <= 0 && p.y < at[high].y {
			high = i
		}
		switch {
		case falls >= 0 && at[low].y-p.y > turn:
			note(low, falls != 0)
			falls, high = -1, i
		case falls <= 0 && p.y-at[high].y > turn:
			note(high, falls != 0)
			falls, low = 1, i
		}
	}
	switch falls {
	case 1:
		note(low, false)
	case -1:
		note(high, false)
	default:
		note(0, false)
	}
	return out
}

// cap gives the first and the last place round place i that lie within so many squares of its height.
func (c *canvas) cap(at []place, i int, high float64) (a, b int) {
	near := func(k int) bool { return math.Abs(float64(at[k].y-at[i].y)) < high*float64(c.per) }
	a, b = i, i
	for a > 0 && near(a-1) {
		a--
	}
	for b < len(at)-1 && near(b+1) {
		b++
	}
	return a, b
}
