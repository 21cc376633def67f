package analysis

// The passages of a middle line: the instants at which the trace crosses it, each by a straight line, or where the
// trace clearly bends a parabola (bow.go), through the points around it. A crossing counts when the trace has passed
// from clearly below to clearly above, so that noise on the line does not count (hysteresis).
//
// With few points on an edge its place is known no better than their spacing: over a step a of the height h between two
// points dt apart, the instant is uncertain by dt/√12·min(1, 2a/h)²: whole for a jump, also one that blur spreads over
// two steps, and nothing for a smooth slope. Such errors beat with the period, and yet over periods of all lengths they
// are as large as those of independent ones (TestPullsOfAPeriodOnColumnsOfPixels).

import (
	"math"
	"slices"
)

// A crossing is one passage of the level.
type crossing struct {
	t         float64 // s
	rising    bool
	place     float64 // s: standard uncertainty from the spacing of the points and the display's pixels
	stroke    float64 // s: the same from how the display draws a jump, alike for all edges of one direction
	at        []int   // the points used, places among the points
	influence []float64
	perLevel  float64 // ∂t/∂level, s/V
	gap       float64 // s: step between the points on both sides of t
}

// hysteresis is the share of half the height that the trace must pass on each side of the line
// (TestABendOnTheEdgeLeavesThePeriod).
const hysteresis = 0.4

// crossings finds the passages of level by a trace that swings about it by half on each side.
func crossings(t, v, w []float64, level, half float64) []crossing {
	var found []crossing
	side, last := 0, 0 // the side the trace was clearly on, and the last point there
	for i, x := range v {
		now := 0
		if x > level+hysteresis*half {
			now = 1
		} else if x < level-hysteresis*half {
			now = -1
		}
		if now == 0 {
			continue
		}
		if side != 0 && now != side {
			if c, ok := cross(t, v, w, last, i, level, half); ok {
				found = append(found, c)
			}
		}
		side, last = now, i
	}
	// Across a gap that could hide a turn, what looks like one crossing may be three.
	if whole := repeat(found, medianStep(t)); whole > 0 {
		found = slices.DeleteFunc(found, func(c crossing) bool { return c.gap > hiding*whole })
	}
	return found
}

// hiding is the least gap, in periods, in which a turn may be hidden. Nothing changes from 0.02 to 1.2
// (TestGapsDoNotSpoilASine notices 0.01).
const hiding = 0.15

// upright is the share of the slope from end to end below which the points between them are no slope: a display
// draws a jump as an upright stroke, blur spreads its middle over several points, and each of them says
// only where the middle of the stroke is (TestWhichEdgeIsASlope).
const upright = 0.5

// cross places the passage between the points first and last, which lie on opposite sides.
func cross(t, v, w []float64, first, last int, level, half float64) (crossing, bool) {
	c := crossing{rising: v[last] > v[first]}
	a, b := first, last
	l := straightThrough(t, v, w, a, b)
	jump := false
	if last-first > 3 {
		// Enough points on the slope: leave out those on the bends.
		inner := straightThrough(t, v, w, first+1, last-1)
		if jump = !(inner.slope/l.slope > upright); !jump {
			a, b, l = first+1, last-1, inner
		}
	}
	sw, tm, vm, stt, slope := l.sw, l.tm, l.vm, l.stt, l.slope
	if !(slope > 0) && c.rising || !(slope < 0) && !c.rising {
		return c, false
	}
	c.t = tm + (level-vm)/slope
	curved, bent := bow{}, false
	if !jump {
		if curved, bent = bowThrough(t, v, w, a, b, l); bent {
			var at float64
			if at, bent = curved.passes(level, c.t); bent {
				c.t = at
				_, slope = curved.at(at)
			}
		}
	}
	if c.t < t[first] || c.t > t[last] {
		return c, false
	}
	c.perLevel = 1 / slope
	for i := a; i <= b; i++ {
		c.at = append(c.at, i)
		if bent {
			c.influence = append(c.influence, -curved.influence(c.t, t[i], w[i])/slope)
			continue
		}
		w2 := w[i] * w[i]
		c.influence = append(c.influence, -(w2/sw+(c.t-tm)*w2*(t[i]-tm)/stt)/slope)
	}
	for i := first; i < last; i++ {
		if t[i] <= c.t && c.t <= t[i+1] {
			c.gap = t[i+1] - t[i]
			step := math.Min(1, math.Abs(v[i+1]-v[i])/half)
			if jump {
				step = 1
			}
			c.place = math.Max(c.place, (t[i+1]-t[i])/math.Sqrt(12)*step*step)
		}
	}
	return c, true
}

// A straight is the weighted straight line v = vm + slope·(t - tm) through some points: sw the sum of the squared
// weights, stt that of the weighted squared times from tm.
type straight struct{ sw, tm, vm, stt, slope float64 }

func straightThrough(t, v, w []float64, first, last int) straight {
	var l straight
	for i := first; i <= last; i++ {
		w2 := w[i] * w[i]
		l.sw += w2
		l.tm += w2 * t[i]
		l.vm += w2 * v[i]
	}
	l.tm, l.vm = l.tm/l.sw, l.vm/l.sw
	stv := 0.0
	for i := first; i <= last; i++ {
		w2 := w[i] * w[i]
		l.stt += w2 * (t[i] - l.tm) * (t[i] - l.tm)
		stv += w2 * (t[i] - l.tm) * (v[i] - l.vm)
	}
	l.slope = stv / l.stt
	return l
}
