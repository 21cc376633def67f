package drawing

// What the departures have in common: the one change of the trace, or the few, that brings it onto the drawing. Each
// has one size, found by a search over its range, and is taken only if it makes the mean distance much smaller. Changes
// that explain a drawing equally well cannot be told apart by anybody, such as a decay without a knee that is drawn too
// late and one that is drawn from too high a start; of those the first in the list is told.

import (
	"math"
	"slices"

	"quadrille/calibrate/remark"
)

// The kinds of cause, each with what its remark's values mean.
const (
	KindUp      remark.Kind = "drawing.shifted_up"    // up_box: everything is drawn so much too high
	KindRight   remark.Kind = "drawing.shifted_right" // right_box: everything is drawn so much too far to the right, too late
	KindStart   remark.Kind = "drawing.start"         // up_box: a decay begins so much too high, and settles where it should
	KindEnd     remark.Kind = "drawing.end"           // up_box: a decay settles so much too high, and begins where it should
	KindTau     remark.Kind = "drawing.tau"           // factor: its time constant is so many times the right one; half_box and half_drawn_box, from the screen's left rim: where it is half way
	KindStretch remark.Kind = "drawing.stretched"     // factor: it is drawn so many times too long, from the left rim on
	KindHeight  remark.Kind = "drawing.height"        // factor: it swings so many times too far about its middle
)

// A Cause is one change of the trace towards the drawing. Size is in boxes for KindUp, KindRight, KindStart and
// KindEnd, and a factor for the others; Moves is the farthest that it moves a place of the trace, in boxes.
type Cause struct {
	remark.Remark
	Size, Moves float64
}

const (
	// worthCause is the share that is left of the mean distance if a cause is to be told, and leastCause by how many boxes
	// it must become smaller (TestCausesAreToldByKindSignAndSize, TestALocalSlipHasNoCause).
	worthCause, leastCause = 0.7, 0.015
	// asGood is the share by which another cause must fit better to be told in place of one that is before it in the list.
	asGood, asGoodBox = 0.12, 0.003
	// leastMoves is how far in boxes something must be moved by a cause that is told: the width of a pencil's line
	// (TestSmallSlipsAreTold).
	leastMoves = 0.06
	// mostCauses is how many are told: more of them would explain any drawing.
	mostCauses = 3
	// rough is the step in boxes of the places at which causes are searched for.
	rough = 0.1
)

// A change moves a place of the trace by a size.
type change struct {
	kind      remark.Kind
	none      float64 // the size that changes nothing
	low, high float64
	steps     int // of the first search, even on a scale of logarithms where none is 1
	move      func(p Point, size float64) Point
	cut       func(c curve, size float64) curve // nil for a change that moves all places of a curve and does no more
}

func (ch *change) apply(c curve, size float64) curve {
	if ch.cut != nil {
		return ch.cut(c, size)
	}
	return c.mapped(func(p Point) Point { return ch.move(p, size) })
}

// causes finds those that move something by more than leastMoves, the trace as they change it, and the mean
// distance in boxes that is left.
func causes(drawn curve, on *Screen, truth curve) (told []Cause, changed curve, left float64) {
	changes := changesOf(on)
	drawnSamples, truthSamples := strewn(drawn.samples(rough)), truth.samples(rough)
	if len(drawnSamples) == 0 || len(truthSamples) == 0 {
		return nil, truth, most
	}
	off := make([]float64, len(truthSamples)) // as it is; 0 where nothing is drawn
	for i, p := range truthSamples {
		if _, d, loose := drawn.within(p.Point, most); !loose && !drawn.skips(p.X) {
			off[i] = d
		}
	}
	limit := math.Inf(1) // a cost over it is +Inf
	cost := func(list []int, sizes []float64) float64 {
		c := truth
		for i, k := range list {
			c = changes[k].apply(c, sizes[i])
		}
		// What a change moves to where nothing is drawn stays as far off as it was: it must not explain what the drawing
		// leaves out by moving it away (TestWhatTheDrawingPassesByIsTold).
		away := 0.0
		for j, p := range truthSamples {
			q := p.Point
			for i, k := range list {
				q = changes[k].move(q, sizes[i])
			}
			if off[j] > 0 && drawn.skips(q.X) {
				away += off[j]
			}
		}
		return meeting(drawnSamples, drawn, c, limit) + away/float64(len(drawnSamples)+len(truthSamples))
	}
	var list []int
	var sizes []float64
	now := cost(nil, nil)
	for len(list) < mostCauses && now > leastCause {
		type try struct {
			kind  int
			sizes []float64
			cost  float64
		}
		var tries []try
		limit = now // nothing that makes it worse is worth a try
		for k, ch := range changes {
			if slices.Contains(list, k) {
				continue
			}
			with := append(slices.Clone(list), k)
			at := append(slices.Clone(sizes), ch.none)
			at[len(at)-1] = ch.search(func(v float64) float64 {
				at[len(at)-1] = v
				return cost(with, at)
			})
			// Those before it give way to it.
			for range 2 {
				for i := range with {
					of := slices.Clone(at)
					at[i] = changes[with[i]].refine(at[i], func(v float64) float64 {
						of[i] = v
						return cost(with, of)
					})
				}
			}
			tries = append(tries, try{k, at, cost(with, at)})
			if c := tries[len(tries)-1].cost + slack; c < limit {
				limit = c
			}
		}
		best := -1
		for i, t := range tries {
			if best < 0 || t.cost < tries[best].cost*(1-asGood)-asGoodBox {
				best = i
			}
		}
		if best < 0 || tries[best].cost > worthCause*now || tries[best].cost > now-leastCause {
			break
		}
		list, sizes, now = append(list, tries[best].kind), tries[best].sizes, tries[best].cost
	}
	changed = truth
	for i, k := range list {
		c := changes[k].cause(sizes[i], on, truth)
		if c.Kind != KindUp && c.Kind != KindRight {
			c.Moves = departs(changes[k].apply(truth, sizes[i]), truth)
		}
		if c.Moves > leastMoves {
			at := len(told)
			for at > 0 && told[at-1].Moves < c.Moves { // the one that moves most comes first
				at--
			}
			told = append(told, c)
			copy(told[at+1:], told[at:])
			told[at] = c
			changed = changes[k].apply(changed, sizes[i])
		}
	}
	return told, changed, now
}

// departs is how far a trace with a slip departs from the trace, in boxes.
func departs(c, truth curve) float64 {
	_, most := over(departures(c, truth), 0)
	return most.Size
}

// meeting is the mean distance in boxes of two curves where both are, both ways; once it is sure that it is over a
// limit, that is +Inf.
func meeting(drawnSamples []sample, drawn, c curve, limit float64) float64 {
	samples := strewn(c.samples(rough))
	enough := limit * float64(len(drawnSamples)+len(samples))
	sum, n := 0.0, 0
	for _, p := range drawnSamples {
		if _, d, loose := c.within(p.Point, most); !loose {
			if sum, n = sum+d, n+1; sum > enough {
				return math.Inf(1)
			}
		}
	}
	for _, p := range samples {
		if _, d, loose := drawn.within(p.Point, most); !loose && !drawn.skips(p.X) {
			if sum, n = sum+d, n+1; sum > enough {
				return math.Inf(1)
			}
		}
	}
	if n < len(drawnSamples)/2 {
		return most
	}
	return sum / float64(n)
}

// search finds the size of least cost, first in steps over the whole range.
func (ch *change) search(cost func(float64) float64) float64 {
	best, least := ch.none, cost(ch.none)
	for i := range ch.steps + 1 {
		v := ch.at(float64(i) / float64(ch.steps))
		if c := cost(v); c < least {
			best, least = v, c
		}
	}
	return ch.refine(best, cost)
}

// at is the size at a share of the range.
func (ch *change) at(share float64) float64 {
	if ch.none == 1 {
		return ch.low * math.Pow(ch.high/ch.low, share)
	}
	return ch.low + share*(ch.high-ch.low)
}

// share is the inverse of at.
func (ch *change) share(size float64) float64 {
	if ch.none == 1 {
		return math.Log(size/ch.low) / math.Log(ch.high/ch.low)
	}
	return (size - ch.low) / (ch.high - ch.low)
}

// refine finds the least cost near a size by golden sections, within a step of the search on each side.
func (ch *change) refine(size float64, cost func(float64) float64) float64 {
	golden := (math.Sqrt(5) - 1) / 2
	f := ch.share(size)
	a, b := f-1/float64(ch.steps), f+1/float64(ch.steps)
	x, y := b-golden*(b-a), a+golden*(b-a)
	cx, cy := cost(ch.at(x)), cost(ch.at(y))
	for range 8 {
		if cx < cy {
			b, y, cy = y, x, cx
			x = b - golden*(b-a)
			cx = cost(ch.at(x))
		} else {
			a, x, cx = x, y, cy
			y = a + golden*(b-a)
			cy = cost(ch.at(y))
		}
	}
	return ch.at((a + b) / 2)
}

// changesOf lists what a drawing of a trace may be changed by, the likelier first where two do the same.
func changesOf(on *Screen) []change {
	left := -float64(on.Cols) / 2
	all := []change{{kind: KindUp, low: -1.5, high: 1.5, steps: 30, move: func(p Point, v float64) Point { return Point{p.X, p.Y + v} }}}
	right := change{kind: KindRight, low: -1.5, high: 1.5, steps: 30, move: func(p Point, v float64) Point { return Point{p.X + v, p.Y} }}
	if d := on.Decays; len(d) > 0 {
		// Of several decays each begins where the one before it ended: they share one swing.
		if one := d[0]; len(d) == 1 {
			all = append(all, change{kind: KindStart, low: -2, high: 2, steps: 40, move: func(p Point, v float64) Point {
				return Point{p.X, one.End + (1+v/(one.Start-one.End))*(p.Y-one.End)}
			}}, change{kind: KindEnd, low: -2, high: 2, steps: 40, move: func(p Point, v float64) Point {
				if p.X < one.From {
					return p
				}
				return Point{p.X, one.Start + (1-v/(one.Start-one.End))*(p.Y-one.Start)}
			}})
		}
		all = append(all, right, change{kind: KindTau, none: 1, low: 1 / 2.5, high: 2.5, steps: 30,
			move: func(p Point, v float64) Point {
				k := len(d) - 1
				for k >= 0 && p.X < d[k].From {
					k--
				}
				if k < 0 {
					return p
				}
				return Point{d[k].From + v*(p.X-d[k].From), p.Y}
			},
			cut: func(c curve, v float64) curve { return slowed(c, d, v) }})
	} else {
		all = append(all, right)
	}
	all = append(all, change{kind: KindStretch, none: 1, low: 1 / 1.4, high: 1.4, steps: 30,
		move: func(p Point, v float64) Point { return Point{left + v*(p.X-left), p.Y} }})
	if !math.IsNaN(on.Middle) {
		all = append(all, change{kind: KindHeight, none: 1, low: 0.4, high: 2.5, steps: 30,
			move: func(p Point, v float64) Point { return Point{p.X, on.Middle + v*(p.Y-on.Middle)} }})
	}
	return all
}

// slowed makes the time constant of each decay so many times what it is: each is drawn out from where it begins, and
// cut off where it ends. A faster one goes on level.
func slowed(c curve, decays []Decay, by float64) curve {
	var places []Point
	put := func(p Point) {
		if n := len(places); n == 0 || p.X >= places[n-1].X {
			places = append(places, p)
		}
	}
	k := -1 // the decay that is drawn out
	level := func(to float64) {
		if n := len(places); n > 0 && places[n-1].X < to {
			for x := places[n-1].X + gap; x < to; x += gap {
				put(Point{x, places[n-1].Y})
			}
			put(Point{to, places[n-1].Y})
		}
	}
	for i := range c {
		ends := []Point{c[i].b}
		if c[i].first {
			ends = []Point{c[i].a, c[i].b}
		}
		for _, p := range ends {
			if k+1 < len(decays) && p.X >= decays[k+1].From {
				if k >= 0 && by < 1 {
					level(decays[k+1].From)
				}
				k++
			}
			if k < 0 {
				put(p)
				continue
			}
			if x := decays[k].From + by*(p.X-decays[k].From); k+1 == len(decays) || x < decays[k+1].From {
				put(Point{x, p.Y})
			}
		}
	}
	if by < 1 && len(c) > 0 {
		level(c.right())
	}
	return chain(spread(places, by))
}

// spread puts places between those that a factor has drawn so far apart that they would be a gap.
func spread(places []Point, by float64) []Point {
	if by <= 1 {
		return places
	}
	out := places[:0:0]
	for i, p := range places {
		if i > 0 {
			q := places[i-1]
			if w := p.X - q.X; w > gap && w <= by*gap {
				n := math.Ceil(w / gap)
				for j := 1.0; j < n; j++ {
					out = append(out, Point{q.X + j/n*w, q.Y + j/n*(p.Y-q.Y)})
				}
			}
		}
		out = append(out, p)
	}
	return out
}

// cause puts a size into words' values, and says how far it moves the trace.
func (ch *change) cause(size float64, on *Screen, truth curve) Cause {
	c := Cause{Size: size}
	switch ch.kind {
	case KindUp:
		c.Remark, c.Moves = remark.Of(KindUp, remark.Number("up_box", size)), math.Abs(size)
	case KindStart:
		c.Remark, c.Moves = remark.Of(KindStart, remark.Number("up_box", size)), math.Abs(size)
	case KindEnd:
		c.Remark, c.Moves = remark.Of(KindEnd, remark.Number("up_box", size)), math.Abs(size)
	case KindRight:
		c.Remark, c.Moves = remark.Of(KindRight, remark.Number("right_box", size)), math.Abs(size)
	case KindTau:
		half := halfWay(truth, on.Decays[0])
		left := -float64(on.Cols) / 2
		c.Remark = remark.Of(KindTau, remark.Number("factor", size), remark.Number("half_box", half-left),
			remark.Number("half_drawn_box", on.Decays[0].From+size*(half-on.Decays[0].From)-left))
		// The farthest that a decay and one that is slower by a factor lie apart, as a share of its swing: at ln f/(1 - 1/f)
		// time constants.
		if size != 1 {
			t := math.Log(size) / (1 - 1/size)
			c.Moves = math.Abs(on.Decays[0].Start-on.Decays[0].End) * math.Abs(math.Exp(-t/size)-math.Exp(-t))
		}
	case KindStretch:
		c.Remark = remark.Of(KindStretch, remark.Number("factor", size))
		c.Moves = math.Abs(size-1) * (truth.right() + float64(on.Cols)/2)
	case KindHeight:
		c.Remark = remark.Of(KindHeight, remark.Number("factor", size))
		far := 0.0
		for _, s := range truth {
			far = max(far, math.Abs(s.b.Y-on.Middle))
		}
		c.Moves = math.Abs(size-1) * far
	}
	return c
}

// halfWay is the x at which a decay is half way from its start to its end; NaN if the trace does not get there.
func halfWay(truth curve, d Decay) float64 {
	half := (d.Start + d.End) / 2
	for _, s := range truth {
		if s.b.X < d.From || s.a.Y == s.b.Y || (s.a.Y-half)*(s.b.Y-half) > 0 {
			continue
		}
		return s.a.X + (half-s.a.Y)/(s.b.Y-s.a.Y)*(s.b.X-s.a.X)
	}
	return math.NaN()
}
