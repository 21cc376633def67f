package analysis

// A triangle wave: sides that rise and fall by turns, straight and about as long as each other. What rises for a share
// of the period that differs from one half by more than evenSides is a ramp (ramp.go): no standard parts the two, and
// this is what a person sees lean. One corner between two slopes is taken for a part of either, by the same share.
//
// Terms are those of common practice, no source: the peak-to-peak voltage is that from corner to corner, where the
// straight sides meet; its root mean square about the middle is the peak over √3.

import (
	"context"
	"math"

	"quadrille/calibrate/remark"
)

const (
	// evenSides is how far the rising side's share of the period may lie from one half in a triangle (common practice,
	// no source: the sides of a generator's triangle are even to a few hundredths, and a ramp is used for its one fast
	// side; TestTriangleEndsWhereARampBegins).
	evenSides = 0.1
	// unsureSides is within how many of its standard uncertainties the share may lie beside that limit for the other
	// name to be told too (TestAShareNearTheLimitIsTold).
	unsureSides = 2.0
	// fastestSide is the least share of the period that both sides last where both are sought from the first; nothing
	// changes from 0.08 to 0.2 (ramp.go finds what returns faster).
	fastestSide = 0.16
)

// A triangle is a record taken as one.
type triangle struct{ *sides }

// fitTriangle fits a triangle.
func fitTriangle(_ context.Context, p *points, _ *Settings) (signal, error) {
	none := &NotFoundError{"no straight sides that meet in corners could be fitted to the trace",
		"Show at least one corner with a side on each hand, or choose another kind of signal."}
	if len(p.t) < fewestSinePoints {
		return nil, none
	}
	corner := p.oneCorner()
	if corner != nil && math.Abs(corner.shareUp()-0.5) > 0.5-fastestSide {
		corner = nil
	}
	best := p.likelier(p.zigzag(), corner)
	if best == nil {
		return nil, none
	}
	return &triangle{best}, nil
}

// likelier gives the sides that explain the points better by the criterion of recognise.go; either may be nil.
func (p *points) likelier(a, b *sides) *sides {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	list := []*candidate{{account: a.account()}, {account: b.account()}}
	height := p.height()
	scoreAll(list, p, height, p.floor(height))
	if list[1].score < list[0].score {
		return b
	}
	return a
}

func (t *triangle) account() *account {
	if !(t.spread() > flatSides*t.rms*t.points.typical) || !t.even() {
		return nil
	}
	a := t.sides.account()
	if t.periodic() {
		a.drawn = t.points.leftBySteps(1 / t.x[sidePeriod])
	}
	if t.hardlyLeans() {
		a.doubts = append(a.doubts, remark.Of(KindCouldAlsoBe, remark.Word("signal", SignalRamp)))
	}
	return a
}

// even says that the sides are those of a triangle.
func (s *sides) even() bool {
	return len(s.free) > 2 && s.gap == 0 && math.Abs(s.shareUp()-0.5) <= evenSides
}

// hardlyLeans says that the share of the rising side is too unsure to tell a triangle from a ramp.
func (s *sides) hardlyLeans() bool {
	if len(s.free) == 2 || s.gap > 0 {
		return false
	}
	r, influence := s.residuals(), s.influenceOn((*sides).shareUp)
	u := 0.0
	for i, x := range influence {
		if s.w[i] == 0 {
			r[i] = 0
			continue
		}
		u = math.Hypot(u, x/s.w[i])
	}
	u *= math.Max(s.rms, 1) * math.Sqrt(integratedCorrelation(r, 1))
	return math.Abs(math.Abs(s.shareUp()-0.5)-evenSides) < unsureSides*u
}

// flatSides is the least height of sides in standard deviations of the points about them: a chance zigzag through
// noise is some two high (TestNoiseIsALevel).
const flatSides = 4.0

// cornerRounds is how far a corner may be rounded, in what its sides fall away from each other over a point spacing:
// a mean over three points takes a third off the very corner and nothing beside it. Nothing changes from 0.25 to 0.5
// (TestKindsAreNotConfused notices 0.15).
const cornerRounds = 0.25

// account tells what the sides leave.
func (s *sides) account() *account {
	p := s.points
	// The period is the best of about as many as there are points.
	a := &account{numbers: float64(len(s.free)), r: s.residuals(), high: s.spread()}
	if s.periodic() {
		a.numbers += math.Log(float64(len(p.t)))
	}
	if s.gap == 0 && s.periodic() { // blur may round the corners
		rounds := cornerRounds * (s.x[sideUp] - s.x[sideDown]) * medianStep(p.t)
		for i, r := range a.r {
			if s.w[i] == 0 {
				a.r[i] = math.Copysign(math.Max(0, math.Abs(r)-p.w[i]*rounds), r)
			}
		}
	}
	if s.gap > 0 { // beside its long sides a ramp says nothing of the points
		for i, t := range p.t {
			if s.w[i] == 0 && math.Abs(p.v[i]-s.at(i, t)) > s.reach {
				a.leave(p, i)
			}
		}
	}
	return a
}

// periodic says that the sides have a period.
func (s *sides) periodic() bool { return s.x[sidePeriod] > 0 }

// spread is the voltage over which the sides run on the screen, at most from corner to corner.
func (s *sides) spread() float64 {
	if s.periodic() {
		return s.height()
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, t := range s.points.t {
		low, high = math.Min(low, s.at(i, t)), math.Max(high, s.at(i, t))
	}
	return high - low
}

func (t *triangle) findings(ctx context.Context) (*Findings, error) {
	f := t.sides.findings(ctx, "triangle")
	if !t.periodic() {
		f.Notes = append(f.Notes, remark.Of(KindOneCorner))
	}
	return f, nil
}
