package trace

import (
	"math"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
	"quadrille/vision/stroke"
)

// Kinds of doubts about a trace.
const (
	// KindLeavesTop and KindLeavesBottom say that the trace leaves the screen there.
	KindLeavesTop    remark.Kind = "trace.leaves_top"
	KindLeavesBottom remark.Kind = "trace.leaves_bottom"
	// KindOnRim says that the trace lies along the rim of the screen.
	KindOnRim remark.Kind = "trace.on_rim"
	// KindLikeWords says that what was followed looks like a line of words, and that nothing else was found in its
	// colour.
	KindLikeWords remark.Kind = "trace.like_words"
	// KindChangesStroke says that the trace jumps and goes on with another thickness, x_from_left_box boxes from the
	// left rim.
	KindChangesStroke remark.Kind = "trace.changes_stroke"
	// KindCrestsOnly says that only the crests of a fast wave were seen, KindMostlyHidden that less than half of the
	// trace was.
	KindCrestsOnly   remark.Kind = "trace.crests_only"
	KindMostlyHidden remark.Kind = "trace.mostly_hidden"
	// KindFastWave says that the trace is a thick band or a wave drawn in upright strokes; KindThickBand notes that it is
	// a thick band.
	KindFastWave  remark.Kind = "trace.fast_wave"
	KindThickBand remark.Kind = "trace.thick_band"
	// KindMeetsAnother says that another trace of the same colour comes near.
	KindMeetsAnother remark.Kind = "trace.meets_another"
	// KindMarkWithoutTrace says that a mark at the rim, at mark_box, belongs to no trace that was found: one that is
	// displayed may be missing.
	KindMarkWithoutTrace remark.Kind = "trace.mark_without_trace"
	// KindLeftOver says that a curve is drawn from from_left_box to to_left_box boxes from the left rim, between the
	// heights low_box and high_box, that no trace and nothing else explains: a trace is missing, or a part of one.
	KindLeftOver remark.Kind = "trace.left_over"
	// KindCutAbove and KindCutBelow say that the trace runs along the highest or lowest line for length_box boxes,
	// and that its ground is not there.
	KindCutAbove remark.Kind = "trace.cut_above"
	KindCutBelow remark.Kind = "trace.cut_below"
)

const (
	// nearRim is how near the upper or lower rim, in boxes, a trace that ends there has left the
	// screen (TestWhatLeavesTheScreen, TestWhatMayBeCutAtTheRim).
	nearRim = 0.12
	// gapWidth is the width in boxes of a gap in which a trace may be off the screen (TestWhatLeavesTheScreen).
	gapWidth = 0.1
	// goingWidth is the width in boxes over which a trace that leaves the screen goes towards the rim by goingRise
	// boxes (TestWhatLeavesTheScreen).
	goingWidth, goingRise = 0.4, 0.08
	// manyHidden is the coverage below which a reader is warned (TestHowMuchOfATraceIsHidden).
	manyHidden = 0.5
	// bandHeight is the thickness, in boxes, of a trace that is a band of noise rather than a line
	// (TestHowThickABandIs).
	bandHeight = 0.25
	// A jump of jumpHeight boxes within jumpGap boxes of width that no stroke joins parts two curves when their
	// strokes over besideJump boxes differ by a factor of path.OtherStroke: a cable across the screen is thicker
	// (TestWhichJumpChangesTheStroke).
	jumpHeight, jumpGap, besideJump = 0.5, 0.3, 0.6
	// fewJumps is how many jumps no stroke joins a trace may have for one of them to be odd
	// (TestWhichJumpChangesTheStroke).
	fewJumps = 3
	// sameWay is how near to both heights of a jump, as a share of it, the trace must pass elsewhere to go the same way
	// (TestWhatGoesTheSameWay).
	sameWay = 0.15
	// cutLength is the length in boxes from which on it is told that a trace runs along a line where its ground is
	// not; a crest of several cycles that touches the line is shorter (TestWhatMayBeCutAtTheRim).
	cutLength = 0.5
	// enoughLevel is how many samples tell a stroke's thickness (TestWhichJumpChangesTheStroke).
	enoughLevel = 5
)

// doubts lists what a person should look at.
func (t *Trace) doubts(s *sheet.Sheet, c *path.Candidate) (out []remark.Remark) {
	top, bottom := false, false
	high, low := -t.Frame.Bottom()-nearRim, t.Frame.Bottom()+nearRim
	for i, y := range t.Y {
		if !t.ends(i) {
			continue
		}
		top = top || y+t.Thick[i]/2 > high && t.goesTo(i, 1)
		bottom = bottom || y-t.Thick[i]/2 < low && t.goesTo(i, -1)
	}
	doubt := func(k remark.Kind) { out = append(out, remark.Of(k)) }
	if top {
		doubt(KindLeavesTop)
	}
	if bottom {
		doubt(KindLeavesBottom)
	}
	if c.Path.LiesOnTheRim(s) {
		doubt(KindOnRim)
	}
	if c.Words {
		doubt(KindLikeWords)
	}
	if x, ok := t.changes(); ok {
		out = append(out, remark.Of(KindChangesStroke, remark.Number("x_from_left_box", x-t.Frame.Left())))
	}
	if c.Crests {
		doubt(KindCrestsOnly)
	} else if t.Coverage < manyHidden {
		doubt(KindMostlyHidden)
	}
	if t.isBand() && t.isFast() {
		doubt(KindFastWave)
	}
	if c.Meets {
		doubt(KindMeetsAnother)
	}
	return out
}

// leftOver doubts that all traces were found.
func leftOver(s *sheet.Sheet, l *path.LeftOver) remark.Remark {
	left := s.Frame.Left()
	return remark.Of(KindLeftOver, remark.Number("from_left_box", s.X(l.From)-left), remark.Number("to_left_box", s.X(l.To)-left),
		remark.Number("low_box", s.Y(float64(l.Lo))), remark.Number("high_box", s.Y(float64(l.Hi))))
}

// notes lists what is worth knowing: the middle of a band of noise is as good as it says, but its height is not the
// signal's.
func (t *Trace) notes() (out []remark.Remark) {
	if t.isBand() && !t.isFast() {
		out = append(out, remark.Of(KindThickBand))
	}
	return out
}

// isBand reports whether the trace is a band rather than a line, isFast whether it goes up and down many times.
func (t *Trace) isBand() bool { return raster.Rank(finite(t.Thick), 0.25) > bandHeight }

func (t *Trace) isFast() bool {
	y := finite(t.Y)
	return path.Passes(y, raster.Rank(slices.Clone(y), 0.1), raster.Rank(slices.Clone(y), 0.9)) >= path.FastWave
}

// ends reports whether sample i is the last before or the first after a gap of gapWidth inside the frame.
func (t *Trace) ends(i int) bool {
	if math.IsNaN(t.Y[i]) {
		return false
	}
	for _, side := range []int{-1, 1} {
		k := i + side
		for k >= 0 && k < len(t.Y) && math.IsNaN(t.Y[k]) {
			k += side
		}
		if last := min(max(k, 0), len(t.Y)-1); k != i+side && math.Abs(t.X[last]-t.X[i]) > gapWidth {
			return true
		}
	}
	return false
}

// goesTo reports whether the trace was on its way up (side 1) or down (-1) where it ends at sample i: over goingWidth
// boxes by goingRise, half of it over the last half, or in one stroke. A trace that comes to rest at the rim does not
// leave the screen.
func (t *Trace) goesTo(i, side int) bool {
	usual := raster.Rank(finite(t.Thick), 0.25)
	if t.Thick[i] > path.OtherStroke*usual {
		return true
	}
	for _, step := range []int{-1, 1} {
		var last []float64
		for k := i; k >= 0 && k < len(t.Y) && math.Abs(t.X[k]-t.X[i]) < goingWidth; k += step {
			if !math.IsNaN(t.Y[k]) {
				last = append(last, t.Y[k])
			}
		}
		if len(last) < enoughLevel {
			continue
		}
		n := len(last)
		near, half, far := middle(last[:2]), middle(last[n/2:n/2+2]), middle(last[n-2:])
		if (near-far)*float64(side) > goingRise && (near-half)*float64(side) > goingRise/2 {
			return true
		}
	}
	return false
}

// changes gives the x of the first jump at which the trace's stroke changes, in boxes. A wave that jumps time and
// again, or that goes the same way elsewhere in strokes, may be drawn thicker on one level than on the other.
func (t *Trace) changes() (x float64, ok bool) {
	before, jumps := -1, 0
	for i, y := range t.Y {
		if math.IsNaN(y) {
			continue
		}
		k := before
		before = i
		if k < 0 || t.X[i]-t.X[k] > jumpGap || math.Abs(y-t.Y[k])-(t.Thick[i]+t.Thick[k])/2 < jumpHeight {
			continue
		}
		jumps++
		a, b := t.strokeNear(k, -1), t.strokeNear(i, 1)
		if max(a, b) > path.OtherStroke*min(a, b) && !ok && !t.goesElsewhere(k, i) { // false for NaN
			x, ok = t.X[i], true
		}
	}
	return x, ok && jumps <= fewJumps
}

// goesElsewhere reports whether the trace passes from the height of sample from to that of sample to elsewhere as
// well, without an undrawn jump.
func (t *Trace) goesElsewhere(from, to int) bool {
	rise := t.Y[to] - t.Y[from]
	begun, before := false, -1
	for i, y := range t.Y {
		if math.IsNaN(y) || i >= from && i <= to {
			continue
		}
		k := before
		before = i
		if k < 0 || t.X[i]-t.X[k] > jumpGap || k < from && i > to || math.Abs(y-t.Y[k])-(t.Thick[i]+t.Thick[k])/2 >= jumpHeight {
			begun = false
		}
		way := (y - t.Y[from]) / rise // 0 at the one height, 1 at the other
		if way <= sameWay {
			begun = true
		} else if begun && way >= 1-sameWay {
			return true
		}
	}
	return false
}

// strokeNear is the thickness of the samples up to besideJump boxes from i on one side, as it would be if the trace
// were level there, NaN if they are few.
func (t *Trace) strokeNear(i, side int) float64 {
	var v []float64
	for k := i; k >= path.SlopeColumns && k+path.SlopeColumns < len(t.Y) && math.Abs(t.X[k]-t.X[i]) < besideJump; k += side {
		slope := (t.Y[k+path.SlopeColumns] - t.Y[k-path.SlopeColumns]) / (t.X[k+path.SlopeColumns] - t.X[k-path.SlopeColumns])
		if level := t.Thick[k] / math.Hypot(1, slope); !math.IsNaN(level) {
			v = append(v, level)
		}
	}
	if len(v) < enoughLevel {
		return math.NaN()
	}
	return raster.Rank(v, 0.25)
}

// mayBeCut tells where the trace runs along the highest or lowest line although its mark shows that its ground is
// elsewhere: by edges, which have no corner that tells, such a level may have come from further out. It is not ok if
// that is nowhere.
func (t *Trace) mayBeCut() (cut remark.Remark, ok bool) {
	if math.IsNaN(t.GroundMark) {
		return cut, false
	}
	for _, side := range []float64{1, -1} {
		rim := -t.Frame.Bottom() * side
		if math.Abs(t.GroundMark-rim) < nearRim {
			continue
		}
		n := 0
		for i, y := range t.Y {
			if t.Thick[i] < bandHeight && side*(y-rim)+t.Thick[i]/2 > -stroke.CutNear { // false for NaN
				n++
			}
		}
		length := float64(n) * (t.X[1] - t.X[0])
		if length < cutLength {
			continue
		}
		if side < 0 {
			return remark.Of(KindCutBelow, remark.Number("length_box", length)), true
		}
		return remark.Of(KindCutAbove, remark.Number("length_box", length)), true
	}
	return cut, false
}
