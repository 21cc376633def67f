package analysis

// A triangle wave: sides that rise and fall by turns, straight and as long as a sixth of the period each at least; a
// faster return makes a ramp (ramp.go). One corner between two slopes is taken for a part of one.
//
// Terms are those of common practice, no source: the peak-to-peak voltage is that from corner to corner, where the
// straight sides meet; its root mean square about the middle is the peak over √3.

import (
	"context"
	"math"

	"quadrille/calibrate/remark"
)

// fastestSide is the least share of the period that a side of a triangle lasts: what returns faster is a ramp to
// those who use it (common practice, no source; TestTriangleEndsWhereARampBegins).
const fastestSide = 0.16

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
	if corner != nil {
		if steep := -corner.x[sideUp] / corner.x[sideDown]; !(steep > fastestSide && steep < 1/fastestSide) {
			corner = nil
		}
	}
	best := p.likelier(p.zigzag(fastestSide, 1-fastestSide), corner)
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
	if !(t.spread() > flatSides*t.rms*t.points.typical) {
		return nil
	}
	return t.sides.account()
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
	a := &account{numbers: float64(len(s.free)), r: s.residuals()}
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
