package analysis

// Waveforms of straight sides, which triangle.go and ramp.go take for what they are. Every point lies on one side, and
// rising and falling sides are alike from period to period:
//
//	v(t) = level + slope·(t - start - n·period),   slope = up or down
//
// where n is counted so that the side passes the low corner's level at start + n·period. With the points given to
// sides this is a fit by Gauss-Newton steps; it is repeated until every point stays on its side. Where a ramp comes
// back faster than the points can show, only its long sides are fitted and the corners lie within the gap between
// them. With one corner on the screen, or none, fewer numbers are fitted and no period is told.
// Points next to a corner are rounded by blur and by the stroke and are left out.

import (
	"math"
	"slices"
	"sort"
)

// The parameters of sides: V, s, s, V/s, V/s.
const (
	sideLevel = iota
	sideStart
	sidePeriod
	sideUp
	sideDown
	sideParameters
)

// A sides is a fitted waveform of straight sides.
type sides struct {
	points  *points
	x       [sideParameters]float64
	free    []int // the parameters that are fitted
	rises   []bool
	n       []float64 // of each point's side
	w       []float64 // 1/V: weights of the points, 0 of those that are not fitted
	used    int       // points that are fitted
	spacing float64   // s, the points' median spacing
	// gap is the time in s within which a fast return lies; 0 if both sides are seen.
	gap float64
	// reach is how far off its line a point may lie and still belong to a long side, V.
	reach float64
	// rms of the whitened residuals of the points used.
	rms              float64
	basis, influence [][]float64 // of the free parameters
}

const (
	// cornerGuard is how near to a corner, in point spacings, points are left out, but no more than cornerShare of a
	// side: blur and the stroke's width round a corner over some columns (TestPullsOfATriangle has it rounded).
	cornerGuard, cornerShare = 2.5, 0.1
	// fewestOnSides is the number of points beside the fitted numbers; nothing changes from 2 to 8.
	fewestOnSides = 4
	// sideRounds bounds how often points are given to sides anew; from a start of the right number of periods five
	// are enough. Nothing changes from 8 to 60 (TestPullsOfATriangle).
	sideRounds = 15
)

// slope of point i's side, V/s.
func (s *sides) slope(i int) float64 {
	if s.rises[i] {
		return s.x[sideUp]
	}
	return s.x[sideDown]
}

// at is the height of point i's side at time t.
func (s *sides) at(i int, t float64) float64 {
	return s.x[sideLevel] + s.slope(i)*(t-s.x[sideStart]-s.n[i]*s.x[sidePeriod])
}

// derivative of at by parameter k.
func (s *sides) derivative(k, i int, t float64) float64 {
	along := 0.0
	switch k {
	case sideLevel:
		return 1
	case sideStart:
		return -s.slope(i)
	case sidePeriod:
		return -s.slope(i) * s.n[i]
	case sideUp, sideDown:
		if s.rises[i] == (k == sideUp) {
			along = t - s.x[sideStart] - s.n[i]*s.x[sidePeriod]
		}
	}
	return along
}

// shareUp is the rising side's share of the period, where the sides meet.
func (s *sides) shareUp() float64 { return s.x[sideDown] / (s.x[sideDown] - s.x[sideUp]) }

// height is the voltage from corner to corner.
func (s *sides) height() float64 {
	switch {
	case s.gap == 0:
		return s.x[sideUp] * s.shareUp() * s.x[sidePeriod]
	case s.longRises():
		return s.x[sideUp] * (s.x[sidePeriod] - s.back().X)
	}
	return -s.x[sideDown] * (s.x[sidePeriod] - s.back().X)
}

// longRises says of a ramp whose return is not seen that it rises.
func (s *sides) longRises() bool { return slices.Contains(s.free, sideUp) }

// cycles is the number of periods on the screen.
func (s *sides) cycles() float64 {
	t := s.points.t
	return (t[len(t)-1] - t[0]) / s.x[sidePeriod]
}

// sensitivities fills in basis and influence; false if the free parameters cannot be told apart.
func (s *sides) sensitivities(t []float64) (ok bool) {
	s.basis = make([][]float64, len(s.free))
	for m, k := range s.free {
		s.basis[m] = make([]float64, len(t))
		for i, ti := range t {
			if s.w[i] > 0 {
				s.basis[m][i] = s.w[i] * s.derivative(k, i, ti)
			}
		}
	}
	s.influence, ok = orthogonalised(s.basis, s.w)
	return ok
}

// step moves the free parameters by a Gauss-Newton step towards the points (t, v), and gives the largest move in
// standard deviations of a parameter.
func (s *sides) step(t, v []float64) (moved float64, ok bool) {
	if !s.sensitivities(t) {
		return 0, false
	}
	off := make([]float64, len(t))
	for i, ti := range t {
		if s.w[i] > 0 {
			off[i] = v[i] - s.at(i, ti)
		}
	}
	for m, k := range s.free {
		d, u2 := dot(s.influence[m], off), 0.0
		for i, x := range s.influence[m] {
			if s.w[i] > 0 {
				u2 += (x / s.w[i]) * (x / s.w[i])
			}
		}
		s.x[k] += d
		moved = math.Max(moved, math.Abs(d)/math.Sqrt(u2))
	}
	return moved, !math.IsNaN(moved)
}

// settled repeats steps, the points being given to sides anew before each by assign, until both stay; false if the
// sides are lost on the way.
func (s *sides) settled(assign func() (changed, ok bool)) bool {
	for range sideRounds {
		changed, ok := assign()
		if !ok || s.used < len(s.free)+fewestOnSides {
			return false
		}
		moved, ok := s.step(s.points.t, s.points.v)
		if !ok {
			return false
		}
		if !changed && moved < 1e-6 {
			break
		}
	}
	if _, ok := assign(); !ok {
		return false
	}
	sum := 0.0
	for i, r := range s.residuals() {
		if s.w[i] > 0 {
			sum += r * r
		}
	}
	s.rms = math.Sqrt(sum / float64(s.used))
	return s.sensitivities(s.points.t) && !math.IsNaN(s.rms)
}

// residuals gives those of all points, whitened by the points' own weights.
func (s *sides) residuals() []float64 {
	p := s.points
	r := make([]float64, len(p.t))
	for i, t := range p.t {
		r[i] = p.w[i] * (p.v[i] - s.at(i, t))
	}
	return r
}

// fewestOfPeriod is the number of points that a period of sides has at least; nothing changes from 2 to 8.
const fewestOfPeriod = 4

// countable says that the periods are long enough for the points to show.
func (s *sides) countable() bool {
	return s.x[sidePeriod] > fewestOfPeriod*s.spacing && s.cycles() < float64(len(s.points.t))/fewestOfPeriod
}

// put gives point i to the side n, and says whether that is news.
func (s *sides) put(i int, rises bool, n float64, use bool) (news bool) {
	w := 0.0
	if use {
		w = s.points.w[i]
		s.used++
	}
	news = s.rises[i] != rises || s.n[i] != n || s.w[i] != w
	s.rises[i], s.n[i], s.w[i] = rises, n, w
	return news
}

// empty makes room for sides of the points.
func (p *points) noSides() *sides {
	n := len(p.t)
	return &sides{points: p, rises: make([]bool, n), n: make([]float64, n), w: make([]float64, n), spacing: medianStep(p.t)}
}

// zigzagFrom fits sides that all are seen, from a period, the time of a low corner and the rising share; nil if it
// does not come to an end at such sides.
func (p *points) zigzagFrom(period, start, up, low, height float64) *sides {
	s := p.noSides()
	s.free = []int{sideLevel, sideStart, sidePeriod, sideUp, sideDown}
	middle := (p.t[0] + p.t[len(p.t)-1]) / 2 // the low corner next to the middle tells level and start best
	start += period * math.Round((middle-start)/period)
	s.x = [sideParameters]float64{low, start, period, height / (up * period), -height / ((1 - up) * period)}
	step := s.spacing
	fits := s.settled(func() (changed, ok bool) {
		up := s.shareUp()
		if !s.countable() || !(s.x[sideUp] > 0) || !(s.x[sideDown] < 0) {
			return false, false
		}
		s.used = 0
		for i, t := range p.t {
			x := (t - s.x[sideStart]) / s.x[sidePeriod]
			n := math.Floor(x)
			x -= n
			side, toCorner := up, math.Min(x, up-x)
			rises := x < up
			if !rises {
				n, side, toCorner = n+1, 1-up, math.Min(x-up, 1-x)
			}
			use := toCorner > math.Min(cornerGuard*step/s.x[sidePeriod], cornerShare*side)
			changed = s.put(i, rises, n, use) || changed
		}
		return changed, true
	})
	if !fits {
		return nil
	}
	return s
}

// corners gives the times of the low and the high corners on the screen.
func (s *sides) corners() (low, high []float64) {
	t := s.points.t
	for n := math.Ceil((t[0]-s.x[sideStart])/s.x[sidePeriod] - 1); ; n++ {
		at := s.x[sideStart] + n*s.x[sidePeriod]
		top := at + s.shareUp()*s.x[sidePeriod]
		if at > t[len(t)-1] {
			return low, high
		}
		if at > t[0] {
			low = append(low, at)
		}
		if top > t[0] && top < t[len(t)-1] {
			high = append(high, top)
		}
	}
}

// cornerNear is how far, in spans of the record, the lines through the points before and behind a corner may meet from
// where the points are parted, at most. Nothing changes from 0.02 to 0.3 (TestOneCornerAndOneSlope).
const cornerNear = 0.05

// oneCorner fits two sides, one of them rising and one falling, that meet on the screen; nil if there are no such.
func (p *points) oneCorner() *sides {
	n := len(p.t)
	var before, all lineSums
	behind := make([]lineSums, n+1)
	for i := n - 1; i >= 0; i-- {
		all.add(p.t[i], p.v[i], p.w[i]*p.w[i])
		behind[i] = all
	}
	best, at := math.Inf(1), math.NaN()
	for i := range n {
		before.add(p.t[i], p.v[i], p.w[i]*p.w[i])
		if i+1 < fewestOnSides || n-1-i < fewestOnSides {
			continue
		}
		a, b := before.line()
		c, d := behind[i+1].line()
		meets := (c - a) / (b - d)
		square, near := before.misfit()+behind[i+1].misfit(), cornerNear*(p.t[n-1]-p.t[0])
		if b*d < 0 && square < best && math.Abs(meets-p.t[i]) < near {
			best, at = square, meets
		}
	}
	if math.IsNaN(at) {
		return nil
	}
	s := p.noSides()
	s.free = []int{sideLevel, sideStart, sideUp, sideDown}
	s.x[sideStart] = at
	left := straightThrough(p.t, p.v, p.w, 0, max(1, sort.SearchFloat64s(p.t, at)-1))
	right := straightThrough(p.t, p.v, p.w, min(n-2, sort.SearchFloat64s(p.t, at)), n-1)
	s.x[sideLevel] = left.vm + left.slope*(at-left.tm)
	s.x[sideUp], s.x[sideDown] = math.Max(left.slope, right.slope), math.Min(left.slope, right.slope)
	if !s.aboutCorner(right.slope > left.slope) {
		return nil
	}
	return s
}

// aboutCorner fits two sides that meet at start, the rising one behind the other or before it.
func (s *sides) aboutCorner(behind bool) bool {
	p, step := s.points, s.spacing
	return s.settled(func() (changed, ok bool) {
		s.used = 0
		for i, t := range p.t {
			use := math.Abs(t-s.x[sideStart]) > cornerGuard*step
			changed = s.put(i, (t > s.x[sideStart]) == behind, 0, use) || changed
		}
		return changed, s.x[sideStart] > p.t[0] && s.x[sideStart] < p.t[len(p.t)-1]
	}) && s.x[sideUp] > 0 && s.x[sideDown] < 0
}

// oneSlope fits a single straight line.
func (p *points) oneSlope() *sides {
	s := p.noSides()
	s.x[sideStart] = (p.t[0] + p.t[len(p.t)-1]) / 2
	rises := straightThrough(p.t, p.v, p.w, 0, len(p.t)-1).slope > 0
	s.free = []int{sideLevel, sideDown}
	if rises {
		s.free[1] = sideUp
	}
	if !s.settled(func() (changed, ok bool) {
		s.used = 0
		for i := range p.t {
			changed = s.put(i, rises, 0, true) || changed
		}
		return changed, true
	}) {
		return nil
	}
	return s
}
