package analysis

// Peak-to-peak as instruments count it: from the highest thing drawn to the lowest. The display draws each column from
// its lowest to its highest sample and as thick as its stroke, so that the height is that from the top of the highest
// stroke to the bottom of the lowest, less the thickness of one thin stroke. Noise and steps are in it; a fitted curve
// leaves them out, and the points of a trace, which are the middles of strokes, show half of them.
//
// How sure an end is:
//   - the highest of n points lies above the trace by what their errors make of it, s·√(2 ln n) for independent normal ones
//     (E. J. Gumbel, Statistics of Extremes (1958), from memory);
//   - blur and the display's pixels take off an end about what the trace falls within one column;
//   - the end of a tall stroke lies half a drawn stroke beyond the sample, and a drawn stroke is thinner than a blurred one;
//     where it stands beyond the level next to it, it may overshoot as much or only be brighter;
//   - a band of noise may fade towards its ends, where the trace seldom is, and be seen thinner than it is counted: each end
//     may lie as far out as the band is thicker than a stroke.

import (
	"math"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

const (
	// thinStroke is the rank of the strokes' heights that is that of a flat one: of a fast wave only crests have it
	// (TestHowThickAFlatStrokeIs).
	thinStroke = 0.02
	// The sharpness of an end is its own, or that of the strokes within nearEnd of the height from it, of which a share
	// sharpRank is blunter. What a blurred stroke rises above its neighbours was blurTakes times as much when it was
	// drawn, at most: noise of one column's width loses about half (TestOutermostStrokesCountNoise, TestHowSharpAnEndIs).
	sharpRank, nearEnd, blurTakes = 0.8, 0.25, 2
	// surelyDrawn is the rank of the points' uncertainties that is the picture's own: on slopes they are wider
	// (TestHowThickAFlatStrokeIs).
	surelyDrawn = 0.02
	// tallStrokes is how many times a flat stroke's height makes one that holds more than one sample
	// (TestWhereATallStrokeEnds).
	tallStrokes = 1.5
	// drawnShare is how much of the seen thickness of a thin stroke may be blur; the rest was drawn
	// (TestWhereATallStrokeEnds).
	drawnShare = 0.5
	// A stroke as thick as usualBoxes, three of a usual display's pixels, is one; a thicker one may be so by blur, glow or
	// noise, and only as much as lies between is known of what was drawn. From thickBoxes on it is a band of noise
	// (TestScaleMovesTheOutermostStrokes, TestWhichStrokesAreABand).
	usualBoxes, thickBoxes = 0.06, 0.1
	// besideEnd is how many spacings apart the two neighbours of a point may lie (TestHowSharpAnEndIs).
	besideEnd = 3
	// An end is alone when nothing further than aloneReach points from it comes nearer than aloneShare of the height: a
	// crest, a level and noise have their like elsewhere. On a flat trace a tenth of the height is nothing, so that it
	// must be as many boxes as a stroke is thick, twice (TestALoneStrokeIsDoubted, TestWhichEndIsAlone).
	aloneReach, aloneShare, aloneBoxes = 6, 0.1, 0.12
	// beyondLevels is the excess over the distance of the two levels, as a share of it, that is doubted: 0.16 was met as
	// overshoot on a real photo, 0.24 where words touched the trace (TestWhatStandsFarBeyondTheLevelsIsDoubted).
	beyondLevels = 0.2
	// methodOutermost names it among the ways to v_pp.
	methodOutermost = "outermost"
)

// An outline is the highest and the lowest stroke of a record: their places among the points, and the ends in V.
type outline struct {
	top, bottom int
	high, low   float64
	thin, off   float64    // V, of a flat stroke, and what of it is taken off the height
	u           [3]float64 // V: errors of the points, smear, thickness of the stroke
	alone       float64    // V: by how much the lonelier end lies beyond all others
}

// outline finds them; false without strokes, which a table has none of.
func (p *points) outline() (o outline, ok bool) {
	if len(p.rec.Stroke) != len(p.rec.T) {
		return o, false
	}
	heights := make([]float64, len(p.at))
	for i, j := range p.at {
		heights[i] = p.rec.Stroke[j]
		if !(heights[i] > 0) { // NaN too
			return o, false
		}
	}
	end := func(i int, side float64) float64 { return p.v[i] + side*heights[i]/2 }
	for i := range heights {
		if end(i, 1) > end(o.top, 1) {
			o.top = i
		}
		if end(i, -1) < end(o.bottom, -1) {
			o.bottom = i
		}
	}
	o.high, o.low, o.thin = end(o.top, 1), end(o.bottom, -1), rankOf(heights, thinStroke)
	usual := math.Min(o.thin, usualBoxes*p.rec.VoltsPerBox)
	o.off = (o.thin + usual) / 2
	// Limits of what each end may be off, of rectangular distributions.
	errors := rankOf(p.sigma, surelyDrawn) * math.Sqrt(2*math.Log(math.Max(2, float64(len(p.t)))))
	errors = math.Min(errors, drawnShare*o.thin/2) // a fast wave has no point that is surer than its stroke is tall
	band := 0.0
	if p.isBand(&o) {
		band = o.thin - thickBoxes*p.rec.VoltsPerBox
	}
	step := medianStep(p.rec.T)
	falls, drawn := [2]float64{}, [2]float64{}
	for k, i := range []int{o.top, o.bottom} {
		side := float64(1 - 2*k)
		var near []float64
		for m := 1; m+1 < len(heights); m++ {
			if p.t[m+1]-p.t[m-1] > besideEnd*step {
				continue // its neighbours are hidden
			}
			fall := besideFall(side*(end(m, side)-end(m-1, side)), side*(end(m, side)-end(m+1, side)), nearEnd*(o.high-o.low))
			if m == i {
				falls[k] = fall
			}
			if side*(end(i, side)-end(m, side)) < nearEnd*(o.high-o.low) {
				near = append(near, fall)
			}
		}
		if len(near) > 0 {
			falls[k] = math.Max(falls[k], rankOf(near, sharpRank))
		}
		if heights[i] > tallStrokes*o.thin {
			drawn[k] = drawnShare * o.thin / 2
		}
		if heights[i] > nearEnd*(o.high-o.low) { // an edge; where it stands beyond the level beside it, it overshoots or is brighter
			flat := math.Inf(-1)
			for m := range heights {
				if heights[m] <= tallStrokes*o.thin {
					flat = math.Max(flat, side*end(m, side))
				}
			}
			if beyond := side*end(i, side) - flat; beyond < nearEnd*(o.high-o.low) {
				drawn[k] = math.Max(drawn[k], beyond)
			}
		}
		drawn[k] = math.Max(drawn[k], band)
		next := math.Inf(-1)
		for m := range heights {
			if m < i-aloneReach || m > i+aloneReach {
				next = math.Max(next, side*end(m, side))
			}
		}
		o.alone = math.Max(o.alone, side*end(i, side)-next)
	}
	third := 1 / math.Sqrt(3)
	o.u = [3]float64{math.Sqrt2 * errors * third, blurTakes * math.Hypot(falls[0], falls[1]) * third, math.Hypot(o.thin-o.off, math.Hypot(drawn[0], drawn[1])) * third}
	return o, true
}

// besideFall is by how much a stroke's end stands out from its neighbours', by so much from the one before and the one
// behind: their geometric mean, for blur takes from a crest what falls to both sides. At the edge of a level one
// neighbour lies far off, as at the other level, or the other one is as high: that is no crest which blur could have
// lowered, and the nearer neighbour tells (TestAnEdgeIsNoBluntCrest).
func besideFall(before, behind, far float64) float64 {
	if before < 0 || behind < 0 || (before > far) != (behind > far) {
		return math.Min(before, behind)
	}
	return math.Sqrt(before * behind)
}

// isBand says that even the thin strokes are thicker than one, by more than the trace moves from point to point.
func (p *points) isBand(o *outline) bool {
	var moves []float64
	for i := 1; i < len(p.v); i++ {
		moves = append(moves, math.Abs(p.v[i]-p.v[i-1]))
	}
	return len(moves) > 0 && o.thin-median(moves) > thickBoxes*p.rec.VoltsPerBox
}

// rankOf gives the element of rank q·(n-1) of x, which is not empty.
func rankOf(x []float64, q float64) float64 {
	s := slices.Sorted(slices.Values(x))
	return s[int(q*float64(len(s)-1)+0.5)]
}

// addOutermost adds the height of the outline, and tells where another way leaves out a part of it.
func (f *Findings) addOutermost(p *points) {
	o, ok := p.outline()
	if !ok || len(p.t) < 2 {
		return
	}
	height := o.high - o.low - o.off
	if !(height > 0) {
		return
	}
	moves := make([][]float64, len(p.rec.Effects))
	for i, e := range p.rec.Effects {
		move := func(j int) float64 {
			if len(e.DV) == 0 {
				return 0
			}
			return e.DV[p.at[j]]
		}
		moves[i] = []float64{move(o.top) - move(o.bottom)}
		if k, isScale := proportion(e.DV, p.rec.V); isScale {
			moves[i][0] = k * height // the ends of a stroke move by more than its middle
		}
	}
	limit := func(source string, u float64) Term {
		return inputTerm(source, unit.Value{X: math.NaN(), U: u, Unit: "V"}, "rectangular", 1)
	}
	own := []Term{limit("errors of the outermost points", o.u[0]), limit(sourceSmear, o.u[1]), limit("thickness of the stroke", o.u[2])}
	r := newResult("v_pp", methodOutermost, "of the outermost strokes, noise and steps counted",
		height, "V", append(own, effectTerms(p.rec, moves, 0)...))
	if p.isBand(&o) {
		r.Notes = append(r.Notes, remark.Of(KindBandOfNoise))
	}
	alone := f.Signal != SignalNoise && o.alone > math.Max(aloneShare*height, aloneBoxes*p.rec.VoltsPerBox)
	if alone {
		r.Doubts = append(r.Doubts, remark.Of(KindLoneStroke, remark.Number("beyond_v", o.alone)))

	}
	for _, other := range f.Results {
		if over := height - other.Value.X; other.Quantity == "v_pp" && other.Method == "histogram" && !alone && over > beyondLevels*other.Value.X {
			r.Doubts = append(r.Doubts, remark.Of(KindBeyondLevels, remark.Number("beyond_v", over)))

		}
	}
	f.Results = append(f.Results, r)
	for _, other := range f.Results {
		if other.Quantity != "v_pp" || other.Method == methodOutermost || alone {
			continue
		}
		if d := height - other.Value.X; d > math.Max(agreeing*apartBy(p, r, other), math.Max(r.Value.U, other.Value.U)) {
			f.Notes = append(f.Notes, remark.Of(KindDrawnHigher, remark.Number("drawn_v", r.Value.X), remark.Number("u_drawn_v", r.Value.U),
				remark.Number("other_v", other.Value.X), remark.Number("u_other_v", other.Value.U), remark.Word("method", other.Method)))

		}
	}
}

// apartBy is the standard uncertainty of the difference of two heights of one record. Effects move both in step.
func apartBy(p *points, a, b Result) float64 {
	u := 0.0
	terms := map[string]float64{}
	for _, t := range a.Budget {
		terms[t.Source] += t.U
	}
	joint := map[string]bool{}
	for _, e := range p.rec.Effects {
		joint[e.Name] = true
	}
	for _, t := range b.Budget {
		if joint[t.Source] {
			terms[t.Source] -= t.U
			continue
		}
		u = math.Hypot(u, t.U)
	}
	for _, d := range terms {
		u = math.Hypot(u, d)
	}
	return u
}
