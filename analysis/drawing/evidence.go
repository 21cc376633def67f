package drawing

// Which place of the screen the drawing tells of. A place on the paper and a slip can stand for each other: what is 0.3
// box too high on one place is 0.7 box too low on the next. So every place is asked for the likeliest way in which the
// drawing came about there, without a slip or with one, and the places are compared by how likely that is, as models
// are (Bayes' theorem; the price of a parameter is its prior over its precision, MacKay, Information Theory, Inference,
// and Learning Algorithms (2003), chapter 28). Likelihoods are counted as their negative logarithms, in nats.
//
// Nobody slips by whole squares exactly but by chance: a drawing that fits one place without a slip lies there, and
// where nothing drawn tells otherwise that is assumed, and told. One that needs a slip of the whole on every place may
// lie on any of them.

import (
	"math"
	"slices"
	"sort"
)

// Priors, in boxes and nats. All hold for what people do with a pencil (common practice, no source).
const (
	// handMean is the mean distance in boxes of a right drawing by a steady hand: half the width of a pencil's line.
	handMean = 0.03
	// Alike is over how many boxes the wobble of a hand is alike: so much of a curve tells once.
	Alike = 0.7
	// readTo is the standard deviation in boxes to which a curve is laid as a whole where no slip happens: half of what a
	// person reads a screen to. Twice as much would take slips of 0.2 box for it
	// (TestAPlaceIsDoubtedWhereASlipMayBeAnother).
	readTo = 0.05
	// slipOdds is the price in nats of one slip: one drawing in five has one, it is one of seven kinds, and its size is
	// one of some ten that can be told apart. Sizes have the standard deviation slipSize, in boxes.
	slipOdds, slipSize = 5.0, 0.5
	// aloneCost is the price in nats of a box of the one curve where the other should be and is not, for aloneFirst
	// boxes, for people begin and end a little late or early, and aloneMore that of each more: a small drawing must not
	// fit everywhere. outsideCost is that of a box that is drawn off the screen (TestADrawingOfAnotherTraceIsDoubted).
	aloneCost, aloneFirst, aloneMore, outsideCost = 4.0, 1.5, 6.0, 40.0
	// rarer is the price in nats of each step along the list of usual numbers of squares a box.
	rarer = 0.5
	// strangeCost is the price in nats of a drawn line that is no line of the screen: twice that of a slip, for axes that
	// are drawn tell where the screen lies (TestAFrameThatIsDrawnPlacesTheScreen).
	strangeCost = 10.0
	// nearly is by how many nats another place may be less likely and is told as a rival: one to twenty.
	nearly = 3.0
	// farOff is the distance in boxes from which on the curves are no nearer for being less far: a slip brings them
	// together.
	farOff = 1.0
	// mostAsked is how many places of so many squares a box are weighed, those at which the drawing fits best without a
	// slip, and fewAsked how many if a slip brings it near at none of these: then it has another number of squares.
	mostAsked, fewAsked = 30, 4
	// slack is by how many boxes of the mean distance a size in the search may be off.
	slack = 0.15
)

// A likely is a place with the likeliest way in which the drawing came about there.
type likely struct {
	placed
	slip   Cause // its Kind is "" for none
	misfit float64
	alone  float64 // boxes, of either curve
	nats   float64
	// surprise is nats with what they leave out: comparable between curves that are held against one trace.
	surprise float64
}

// evidence weighs places.
type evidence struct {
	on      *Screen
	truth   curve
	changes []change
	scan    [][]changed // for each change the trace at each step of its search
	least   float64     // box: the least mean distance so far
}

// A changed is the trace with a slip of a size.
type changed struct {
	size float64
	on   shownPart
}

// A shownPart is the part of a curve that is on the screen.
type shownPart struct {
	curve
	samples []sample
}

// shown is the part of a trace that is on the screen.
func (e *evidence) shown(c curve) shownPart {
	c = c.between(-float64(e.on.Cols)/2, float64(e.on.Cols)/2)
	return shownPart{c, strewn(c.samples(coarse))}
}

// strewn puts samples into an order in which the first few are from all parts of a curve, so that a sum over them is
// soon seen to become too large.
func strewn(list []sample) []sample {
	const apart = 7
	out := make([]sample, 0, len(list))
	for first := range apart {
		for i := first; i < len(list); i += apart {
			out = append(out, list[i])
		}
	}
	return out
}

// weigh gives the likeliest place, and those that are nearly as likely, the likeliest first. all is not empty.
func weigh(all []placed, on *Screen, truth curve) (best likely, rivals []likely) {
	e := &evidence{on: on, truth: truth, changes: changesOf(on), least: math.Inf(1)}
	sort.SliceStable(all, func(i, j int) bool { return all[i].cost < all[j].cost })
	as := e.shown(truth)
	var ways []likely
	right := false
	asked := map[float64]int{}
	for _, p := range all {
		if asked[p.SquaresPerBox]++; asked[p.SquaresPerBox] > mostAsked {
			continue
		}
		l := likely{placed: p}
		l.misfit, l.alone = p.misfit(&as, math.Inf(1))
		e.least = min(e.least, l.misfit)
		ways = append(ways, l)
		right = right || l.misfit <= handMean && aloneNats(l.alone) <= slipOdds-nearly && l.strange < 1
	}
	// A slip has its price: where a place fits without one as well as a hand can, no other with one comes near.
	if !right {
		clear(asked)
		fit := map[float64]bool{}
		for _, l := range ways {
			n := l.SquaresPerBox
			if asked[n]++; asked[n] > fewAsked && !fit[n] {
				continue
			}
			found := e.slips(l.placed)
			fit[n] = fit[n] || len(found) > 0
			ways = append(ways, found...)
		}
	}
	for i := range ways {
		ways[i].nats = e.nats(&ways[i])
	}
	sort.SliceStable(ways, func(i, j int) bool { return ways[i].nats < ways[j].nats })
	best = ways[0]
	best.surprise = best.nats + e.pieces()*math.Log(e.wide())
	for _, w := range ways[1:] {
		if w.nats > best.nats+nearly {
			break
		}
		if !w.same(&best) && !anySame(rivals, &w) {
			rivals = append(rivals, w)
		}
	}
	return best, rivals
}

func anySame(list []likely, of *likely) bool {
	for i := range list {
		if list[i].same(of) {
			return true
		}
	}
	return false
}

// same says that two are one place.
func (l *likely) same(as *likely) bool {
	apart := math.Hypot(l.Corner.X-as.Corner.X, l.Corner.Y-as.Corner.Y)
	return l.SquaresPerBox == as.SquaresPerBox && apart <= onLine*l.SquaresPerBox
}

// wide is the mean distance that a hand's wobble makes, as far as it is known, and pieces how many of the trace tell.
func (e *evidence) wide() float64   { return max(handMean, e.least) }
func (e *evidence) pieces() float64 { return max(1, e.truth.width()/Alike) }

// nats is the negative logarithm of how likely a place is with its slip, but for a constant.
func (e *evidence) nats(l *likely) float64 {
	n := e.pieces()*l.misfit/e.wide() + aloneNats(l.alone)
	n += outsideCost*l.outside + strangeCost*l.strange
	if k := slices.Index(usual, l.SquaresPerBox); k >= 0 {
		n += rarer * float64(k)
	}
	moves := l.slip.Moves
	if l.slip.Kind == KindStretch { // half way across
		moves /= 2
	}
	return n + price(moves)
}

// aloneNats is the price of boxes that are alone.
func aloneNats(boxes float64) float64 {
	return aloneCost*min(boxes, aloneFirst) + aloneMore*max(0, boxes-aloneFirst)
}

// price is the negative logarithm of the prior of a slip that moves something by so many boxes.
func price(moves float64) float64 {
	return min(moves*moves/(2*readTo*readTo), slipOdds+moves*moves/(2*slipSize*slipSize))
}

// slips are the ways with one slip in which a place may fit.
func (e *evidence) slips(p placed) (out []likely) {
	if e.scan == nil {
		e.scan = make([][]changed, len(e.changes))
		for k := range e.changes {
			ch := &e.changes[k]
			for i := range ch.steps + 1 {
				size := ch.at(float64(i) / float64(ch.steps))
				e.scan[k] = append(e.scan[k], changed{size, e.shown(ch.apply(e.truth, size))})
			}
		}
	}
	for k := range e.changes {
		ch := &e.changes[k]
		size, least := ch.none, math.Inf(1)
		for i := range e.scan[k] {
			if m := e.loss(&p, &e.scan[k][i].on); m < least {
				size, least = e.scan[k][i].size, m
			}
		}
		if math.IsInf(least, 1) {
			continue
		}
		size = ch.refine(size, func(size float64) float64 {
			on := e.shown(ch.apply(e.truth, size))
			return e.loss(&p, &on)
		})
		on := e.shown(ch.apply(e.truth, size))
		l := likely{placed: p}
		if l.misfit, l.alone = p.misfit(&on, e.least+slack); math.IsInf(l.misfit, 1) {
			continue
		}
		e.least = min(e.least, l.misfit)
		l.slip = ch.cause(size, e.on, e.truth)
		out = append(out, l)
	}
	return out
}

// loss is what the search for a size makes least: the mean distance, and what is alone at its price.
func (e *evidence) loss(p *placed, on *shownPart) float64 {
	m, alone := p.misfit(on, e.least+slack)
	return m + aloneNats(alone)*handMean/e.pieces()
}

// misfit is the mean distance in boxes of the drawing, placed, and a curve, from each to the other where both are, and
// how many boxes of them are alone. Once it is sure that the mean is over a limit, it is +Inf.
func (p *placed) misfit(on *shownPart, limit float64) (mean, alone float64) {
	d := p.offset()
	if len(on.curve) == 0 {
		return math.Inf(1), 0
	}
	there, n := 0.0, 0
	for _, s := range p.paper.samples {
		q := Point{s.X - d.X, s.Y - d.Y}
		_, far, loose := on.within(q, farOff)
		if loose || far >= farOff && on.curve.endsBy(q.X) {
			alone += s.width
			continue
		}
		n++
		if there += far; there > 2*limit*float64(len(p.paper.samples)) {
			return math.Inf(1), 0
		}
	}
	back, m := 0.0, 0
	for _, s := range on.samples {
		q := Point{s.X + d.X, s.Y + d.Y}
		_, far, loose := p.paper.drawn.within(q, farOff)
		if loose || far >= farOff && p.paper.drawn.endsBy(q.X) {
			alone += s.width
			continue
		}
		m++
		if back += far; back > 2*limit*float64(len(on.samples)) {
			return math.Inf(1), 0
		}
	}
	if n == 0 || m == 0 {
		return farOff, alone
	}
	if mean = (there/float64(n) + back/float64(m)) / 2; mean > limit {
		return math.Inf(1), alone
	}
	return mean, alone
}

// endsBy says that at x a curve is not, or ends: what it would have been there is not known.
func (c curve) endsBy(x float64) bool { return c.skips(x-end) || c.skips(x+end) }

// between is a curve without what lies left or right of two places.
func (c curve) between(left, right float64) curve {
	from, to := 0, len(c)
	for from < to && c[from].a.X < left-end {
		from++
	}
	for from < to && c[to-1].b.X > right+end {
		to--
	}
	if from == 0 && to == len(c) || from == to {
		return c[from:to]
	}
	out := append(curve(nil), c[from:to]...)
	out[0].first, out[len(out)-1].last = true, true
	return out
}
