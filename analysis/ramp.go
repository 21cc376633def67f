package analysis

// A ramp, or sawtooth: long straight sides of one direction with a faster return between them, or a single slope; where
// its sides are even it is a triangle (triangle.go). Where the points show the return it is a side like the other
// (sides.go); where it is as steep as the picture can draw, the long sides are fitted alone, and the corners lie
// anywhere in the gap between two of them.

import (
	"context"
	"math"
	"slices"

	"quadrille/calibrate/remark"
)

// A ramp is a record taken as one.
type ramp struct{ *sides }

const (
	// toothInside is the share of a period at each end of a long side that is left out before it is known where the
	// side ends: two bins of the search, and the return (TestPullsOfARamp).
	toothInside = 0.12
	// toothOff and toothOffShare are how far off its line, in standard deviations of those inside and in heights, a
	// point may lie and still belong to a long side (TestPullsOfARamp).
	toothOff, toothOffShare = 4.0, 0.12
	// longestGap is the share of a period that may lie between two long sides if they are some points apart only;
	// nothing changes from 0.23 to 0.9.
	longestGap = 0.45
	// returnSteps is the number of point spacings from which on a return is fitted as a side: less, and blur has made
	// what is seen of it (TestPullsOfARamp).
	returnSteps = 8.0
	// longestReturn is the share of a period that the gap may take if no side can be fitted in it, as its points are
	// unsure (TestTriangleEndsWhereARampBegins).
	longestReturn = 0.25
	// slopeBoxes and slopeScatter are the least change along a single slope, in boxes and in standard deviations of the
	// points: less is a level that drifts (TestOneCornerAndOneSlope).
	slopeBoxes, slopeScatter = 0.5, 10.0
)

// fitRamp fits a ramp.
func fitRamp(_ context.Context, p *points, _ *Settings) (signal, error) {
	none := &NotFoundError{"no ramp could be fitted to the trace",
		"Show a straight slope, better some of them, or choose another kind of signal."}
	if len(p.t) < fewestSinePoints {
		return nil, none
	}
	best := p.likelier(p.sawtooth(), p.oneSlope())
	for _, s := range []*sides{p.zigzag(), p.oneCorner()} {
		if s != nil && !s.even() {
			best = p.likelier(best, s)
		}
	}
	if best == nil || !(best.spread() > 0) {
		return nil, none
	}
	return &ramp{best}, nil
}

func (r *ramp) account() *account {
	if s := r.spread(); !(s > slopeScatter*r.rms*r.points.typical) || !r.periodic() && s < slopeBoxes*r.points.rec.VoltsPerBox {
		return nil
	}
	a := r.sides.account()
	if r.hardlyLeans() {
		a.doubts = append(a.doubts, remark.Of(KindCouldAlsoBe, remark.Word("signal", SignalTriangle)))
	}
	return a
}

func (r *ramp) findings(ctx context.Context) (*Findings, error) {
	f := r.sides.findings(ctx, "ramp")
	switch {
	case len(r.free) == 2:
		f.Notes = append(f.Notes, remark.Of(KindOneSlope))
	case !r.periodic():
		f.Notes = append(f.Notes, remark.Of(KindOneCorner))
	}
	return f, nil
}

// sawtooth gives the best ramp with a return on the screen; nil if none fits.
func (p *points) sawtooth() *sides {
	step := medianStep(p.t)
	var best *sides
	for _, f := range p.distinct(p.folds([]float64{0.03, 0.08, 0.92, 0.97})) {
		s := p.teeth(f)
		if s == nil {
			continue
		}
		if s.gap > returnSteps*step {
			share := s.gap / s.x[sidePeriod]
			if s.longRises() {
				share = 1 - share
			}
			low := s.x[sideLevel]
			z := p.zigzagFrom(s.x[sidePeriod], s.x[sideStart]+s.gap/2, share, low, s.height())
			if z != nil && z.rms < math.Sqrt2*s.rms {
				s = z
			} else if s.gap > longestReturn*s.x[sidePeriod] {
				continue
			}
		}
		if s.even() {
			continue
		}
		best = p.likelier(best, s)
	}
	return best
}

// teeth fits the long sides of a ramp from a fold; nil if they are not those of one, or no return is on the screen.
func (p *points) teeth(f fold) *sides {
	s := p.noSides()
	rises := f.up > 0.5
	long := sideDown
	if rises {
		long = sideUp
	}
	s.free = []int{sideLevel, sidePeriod, long}
	s.x[sideLevel], s.x[sideStart], s.x[sidePeriod] = f.low, f.start, f.period
	s.x[sideUp], s.x[sideDown] = f.height/f.period, -f.height/f.period
	// The number of whole periods is counted from the tooth in the middle, which tells the level best.
	s.x[sideStart] += s.x[sidePeriod] * math.Round(((p.t[0]+p.t[len(p.t)-1])/2-s.x[sideStart])/s.x[sidePeriod])
	var first, last []int // of each tooth from n0 on, once they are known
	var n0 float64
	assign := func() (changed, ok bool) {
		s.used = 0
		for i, t := range p.t {
			x := (t - s.x[sideStart]) / s.x[sidePeriod]
			n := math.Floor(x)
			use := x-n > toothInside && x-n < 1-toothInside
			if len(first) > 0 {
				tooth := int(n - n0)
				use = tooth >= 0 && tooth < len(first) && i > first[tooth] && i < last[tooth]
			}
			if !rises {
				n++
			}
			changed = s.put(i, rises, n, use) || changed
		}
		return changed, s.countable() && s.x[long] != 0 && rises == (s.x[long] > 0)
	}
	if !s.settled(assign) {
		return nil
	}
	for range 2 {
		var gaps []float64
		n0, first, last, gaps = s.toothEnds()
		if len(gaps) == 0 {
			return nil
		}
		s.gap = median(gaps)
		if s.gap > longestGap*s.x[sidePeriod] {
			return nil
		}
		if !s.settled(assign) {
			return nil
		}
	}
	return s
}

// toothEnds walks from the middle of each long side to its ends, gives the number of the first one, the first and the
// last point of each, and the time between two of them. It moves start to the middle of the gap.
func (s *sides) toothEnds() (n0 float64, first, last []int, gaps []float64) {
	p := s.points
	var inside []float64
	for i, t := range p.t {
		if s.w[i] > 0 {
			inside = append(inside, math.Abs(p.v[i]-s.at(i, t)))
		}
	}
	height := math.Abs(s.x[s.free[2]]) * s.x[sidePeriod]
	s.reach = math.Min(toothOffShare*height, math.Max(toothOff*median(inside)/0.6745, resolution*height))
	n0 = math.Floor((p.t[0] - s.x[sideStart]) / s.x[sidePeriod])
	var middles []float64
	for n := n0; ; n++ {
		begins := s.x[sideStart] + n*s.x[sidePeriod]
		if begins > p.t[len(p.t)-1] {
			break
		}
		turn := n
		if s.free[2] == sideDown {
			turn++
		}
		belongs := func(i int) bool {
			line := s.x[sideLevel] + s.x[s.free[2]]*(p.t[i]-s.x[sideStart]-turn*s.x[sidePeriod])
			return math.Abs(p.v[i]-line) <= s.reach
		}
		seen := (math.Max(begins, p.t[0]) + math.Min(begins+s.x[sidePeriod], p.t[len(p.t)-1])) / 2
		middle, _ := slices.BinarySearch(p.t, seen)
		low, _ := slices.BinarySearch(p.t, begins-s.x[sidePeriod]/4)
		high, _ := slices.BinarySearch(p.t, begins+1.25*s.x[sidePeriod])
		if middle <= low || middle >= high-1 || !belongs(middle) && !belongs(middle+1) {
			first, last = append(first, middle), append(last, middle) // of this one nothing is seen
			continue
		}
		from, to := walkOut(middle, -1, low, belongs), walkOut(middle, 1, high-1, belongs)
		if k := len(last); k > 0 && last[k-1] > first[k-1] {
			gap := p.t[from] - p.t[last[k-1]]
			gaps = append(gaps, gap)
			middles = append(middles, (p.t[from]+p.t[last[k-1]])/2-n*s.x[sidePeriod])
		}
		first, last = append(first, from), append(last, to)
	}
	if len(gaps) > 0 {
		start := median(middles)
		s.x[sideLevel] += s.x[s.free[2]] * (start - s.x[sideStart])
		s.x[sideStart] = start
	}
	return n0, first, last, gaps
}
