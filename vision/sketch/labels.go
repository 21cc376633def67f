package sketch

// The figures along an axis are no part of a curve.
//
// Ink is dear to a way that runs along an axis, where all other ink was taken off: it goes down one arm of a figure
// that stands on a tick and up the other. A curve does not come to its axis, turn off at a corner to the side on which
// it has nothing else, and be back within a letter's size. So what is there is barred, and the way is looked for again.

import "math"

const (
	// besideBand is how far from an axis's stroke a way is off it, in squares (TestAFigureOnATickIsNoPartOfACurve).
	besideBand = 0.1
	// labelSize is how wide and how high at most, in squares, what a way goes round is a figure or two
	// (TestAFigureOnATickIsNoPartOfACurve).
	labelSize = 1.3
	// labelFrom is how long in squares a way runs along the axis before or behind a figure, and labelTurn by how many
	// radians at least it turns off it, seen over labelFrom (TestAFigureOnATickIsNoPartOfACurve).
	labelFrom, labelTurn = 0.25, 0.7
	// labelOther is how many times as high the curve is on its own side (TestAFigureOnATickIsNoPartOfACurve).
	labelOther = 2.0
	// labelTries is how often at most figures are barred and the way is looked for again: nothing changes from 1 to 8
	// (TestFiguresAlongAnAxisArePassed).
	labelTries = 4
)

// offLabels gives the best way of ink k that goes round no figure along an axis.
func (c *canvas) offLabels(k int) way {
	for try := 0; ; try++ {
		p := c.withTips(c.fine(c.ground(k).follow(), k), k)
		labels := c.labelsOf(p.at)
		if len(labels) == 0 || try == labelTries {
			return p
		}
		c.barLabels(p.at, labels, k)
	}
}

// labelsOf gives the parts of a way, from and to places of it, that go round figures along an axis.
func (c *canvas) labelsOf(at []place) (out []run) {
	for _, l := range c.level {
		if l.axis {
			out = append(out, c.labelsAlong(l, at)...)
		}
	}
	return out
}

// labelsAlong gives those along one axis.
func (c *canvas) labelsAlong(l line, at []place) (out []run) {
	band := l.half + besideBand*float64(c.per)
	off := func(i int) float64 { // 0 on the axis, else how far from its middle, positive below it
		if d := float64(at[i].y) - l.at(at[i].x); math.Abs(d) > band && at[i].x >= l.from && at[i].x <= l.to {
			return d
		}
		return 0
	}
	above, below := 0.0, 0.0
	for i := range at {
		above, below = max(above, -off(i)), max(below, off(i))
	}
	side := 1.0
	if below > above {
		side, above, below = -1, below, above
	}
	if below == 0 || below > labelSize*float64(c.per) || above < labelOther*below {
		return nil
	}
	for i := 0; i < len(at); {
		if side*off(i) <= 0 {
			i++
			continue
		}
		j := i
		for j < len(at) && side*off(j) > 0 {
			j++
		}
		if float64(at[j-1].x-at[i].x) <= labelSize*float64(c.per) && (c.turnsOff(l, at, i-1, -1) || c.turnsOff(l, at, j, 1)) {
			out = append(out, run{from: i, to: j})
		}
		i = j
	}
	return out
}

// turnsOff reports whether a way that runs along an axis up to place i, seen in one direction, turns off it at a corner
// before, seen in the other one.
func (c *canvas) turnsOff(l line, at []place, i, step int) bool {
	n := int(labelFrom * float64(c.per))
	near := i - step*n
	if i < 0 || i >= len(at) || near < 0 || near >= len(at) {
		return false
	}
	band := l.half + besideBand*float64(c.per)
	along := i
	for along >= 0 && along < len(at) && math.Abs(float64(at[along].y)-l.at(at[along].x)) <= band {
		along += step
	}
	if (at[along-step].x-at[i].x)*step < n {
		return false
	}
	rise := math.Abs(float64(at[near].y) - l.at(at[near].x))
	return math.Atan2(rise, math.Abs(float64(at[near].x-at[i].x))) > labelTurn
}

// barLabels keeps ways of ink k off the figures that parts of a way go round.
func (c *canvas) barLabels(at []place, parts []run, k int) {
	for _, r := range parts {
		x0, x1, y0, y1 := c.w, 0, c.h, 0
		for _, p := range at[r.from:r.to] {
			x0, x1, y0, y1 = min(x0, p.x), max(x1, p.x), min(y0, p.y), max(y1, p.y)
		}
		for x := x0; x <= x1; x++ {
			for y := y0; y <= y1; y++ {
				c.own[k][x*c.h+y] = barred
			}
		}
	}
}
