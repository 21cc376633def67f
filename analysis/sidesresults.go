package analysis

// What the straight sides of a triangle or a ramp tell, as results with budgets. Every number is made by one function
// of the fitted sides and the points (sideNumbers), which is called again on records that an effect or a trial has
// moved.

import (
	"context"
	"math"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// sourceReturn names the term of corners that lie in the gap of a return too fast to be seen.
const sourceReturn = "place of the corners in a fast return"

// A sideNumber is one quantity of the sides.
type sideNumber struct {
	quantity, label, unit string
	role                  Role
	of                    func(s *sides) float64
	perGap                float64 // by how much a second of the gap's length changes it
}

// rootOfThree makes an rms about the middle of a peak-to-peak height of straight sides.
var rootOfThree = 1 / (2 * math.Sqrt(3))

// sideNumbers lists what the sides tell by their parameters.
func (s *sides) sideNumbers() (list []sideNumber) {
	add := func(quantity, label, unit string, role Role, perGap float64, of func(s *sides) float64) {
		list = append(list, sideNumber{quantity, label, unit, role, of, perGap})
	}
	if s.periodic() {
		if s.wholePeriod() {
			add("period", "", "s", NoRole, 0, func(s *sides) float64 { return s.x[sidePeriod] })
			add("frequency", "", "Hz", NoRole, 0, func(s *sides) float64 { return 1 / s.x[sidePeriod] })
		}
		slope := 0.0 // of the height with the length of the return
		if s.gap > 0 {
			slope = math.Abs(s.x[s.free[2]])
		}
		add("v_pp", "from corner to corner, where the sides meet", "V", FullSwing, slope, (*sides).height)
		add("v_rms", "about the middle: the peak over √3", "V", NoRole, slope*rootOfThree,
			func(s *sides) float64 { return rootOfThree * s.height() })
		add("v_mean", "middle between the corners", "V", NoRole, slope, (*sides).middle)
		if s.gap == 0 && s.wholePeriod() {
			add("symmetry", "the rising side's share of the period", "1", NoRole, 0, (*sides).shareUp)
		}
	}
	for _, k := range []int{sideUp, sideDown} {
		if s.fitted(k) {
			label := "rising side"
			if k == sideDown {
				label = "falling side"
			}
			add("slope", label, "V/s", NoRole, 0, func(s *sides) float64 { return s.x[k] })
		}
	}
	return list
}

// back is the duration of a return of which only the gap is seen: its two corners lie anywhere in it, so that durations
// get rarer evenly from nothing to the whole gap.
func (s *sides) back() unit.Value {
	return unit.Value{X: s.gap / 3, U: s.gap / math.Sqrt(18), Unit: "s"}
}

// wholePeriod says that one is on the screen.
func (s *sides) wholePeriod() bool { return s.cycles() >= wholeCycle }

func (s *sides) fitted(k int) bool {
	for _, f := range s.free {
		if f == k {
			return true
		}
	}
	return false
}

// middle is the voltage half way between the corners.
func (s *sides) middle() float64 {
	switch {
	case s.gap == 0:
		return s.x[sideLevel] + s.height()/2
	case s.longRises():
		return s.x[sideLevel] + s.x[sideUp]*s.x[sidePeriod]/2
	}
	return s.x[sideLevel] - s.x[sideDown]*s.x[sidePeriod]/2
}

// A bow is how far the sides of one direction bend: the coefficient of 4·x·(1-x) along a side, x being 0 and 1 at its
// ends, beside the straight sides.
type sideBow struct {
	label     string
	influence []float64 // of each point's distance from the sides on it, V/V
}

// bowShare is the largest departure of such a bend from the best straight line, which lies two thirds of it below
// its top: at the ends 2/3, in the middle 1/3 (TestLinearityTellsABend).
const bowShare = 2.0 / 3

// bows gives those of the sides that are fitted.
func (s *sides) bows() (list []sideBow) {
	p := s.points
	first, last := p.t[0], p.t[len(p.t)-1]
	for _, rises := range []bool{true, false} {
		k, label := sideDown, "falling side: largest departure from straight, over the height"
		if rises {
			k, label = sideUp, "rising side: largest departure from straight, over the height"
		}
		if !s.fitted(k) {
			continue
		}
		columns := make([][]float64, 0, len(s.basis)+1)
		for _, q := range s.basis {
			columns = append(columns, append([]float64(nil), q...))
		}
		bend := make([]float64, len(p.t))
		for i, t := range p.t {
			if s.rises[i] != rises || s.w[i] == 0 {
				continue
			}
			from, to := first, last
			switch {
			case s.periodic():
				share := s.shareUp()
				if s.gap > 0 {
					share = 1
				}
				if !rises {
					share = math.Min(1, 1-share)
					if s.gap > 0 {
						share = 1
					}
				}
				turn := s.x[sideStart] + s.n[i]*s.x[sidePeriod]
				if from, to = turn, turn+share*s.x[sidePeriod]; !rises {
					from, to = turn-share*s.x[sidePeriod], turn
				}
			case len(s.free) > 2 && t < s.x[sideStart]:
				to = s.x[sideStart]
			case len(s.free) > 2:
				from = s.x[sideStart]
			}
			x := (t - from) / (to - from)
			bend[i] = s.w[i] * 4 * x * (1 - x)
		}
		influence, ok := orthogonalised(append(columns, bend), s.w)
		if !ok {
			continue
		}
		list = append(list, sideBow{label, influence[len(influence)-1]})
	}
	return list
}

// findings gives the results of sides of the kind named.
func (s *sides) findings(ctx context.Context, name string) *Findings {
	p, f := s.points, &Findings{}
	off := make([]float64, len(p.t))
	fitted := residuals{basis: make([][]float64, len(s.basis))}
	for i, t := range p.t {
		if s.w[i] == 0 {
			continue
		}
		off[i] = p.v[i] - s.at(i, t)
		fitted.use, fitted.r = append(fitted.use, i), append(fitted.r, p.w[i]*off[i])
		for k, q := range s.basis {
			fitted.basis[k] = append(fitted.basis[k], q[i])
		}
	}
	z := p.noiseOf(ctx, slots(p.t), []residuals{fitted})
	dof := math.Max(1, z.effective()-float64(len(s.free)))

	list, bows := s.sideNumbers(), s.bows()
	of := func(c *sides, t, v []float64) []float64 {
		var out []float64
		for _, q := range list {
			out = append(out, q.of(c))
		}
		for _, b := range bows {
			sum := 0.0
			for i, x := range b.influence {
				if x != 0 {
					sum += x * (v[i] - c.at(i, t[i]))
				}
			}
			out = append(out, bowShare*math.Abs(sum)/s.spread())
		}
		return out
	}
	again := func(moved *calibrate.Record) []float64 {
		t, v := p.of(moved)
		c := *s
		for range 2 {
			if _, ok := c.step(t, v); !ok {
				return make([]float64, len(list)+len(bows))
			}
		}
		return of(&c, t, v)
	}
	at, moves := of(s, p.t, p.v), effectMoves(ctx, p.rec, again)
	curve := model{count: len(at), of: func(t *trial) []float64 { return again(t.rec) }}
	add := func(q int, n sideNumber, method string, influence []float64) {
		variance, free := z.variance(influence), dof
		curve.noise = append(curve.noise, math.Sqrt(variance))
		if v := modulated(influence, off); v > variance {
			variance, free = v, math.Min(dof, 1/bandwidth)
		}
		budget := []Term{noiseTerm(math.Sqrt(variance), free)}
		if n.perGap > 0 {
			budget = append(budget, inputTerm(sourceReturn, s.back(), "triangular", n.perGap))
		}
		r := newResult(n.quantity, method, n.label, at[q], n.unit, append(budget, effectTerms(p.rec, moves, q)...))
		r.Role = n.role
		f.Results = append(f.Results, r)
	}
	for q, n := range list {
		add(q, n, "sides", s.influenceOn(n.of))
	}
	for k, b := range bows {
		influence := make([]float64, len(p.t))
		for i, x := range b.influence {
			influence[i] = bowShare * x / s.spread()
		}
		add(len(list)+k, sideNumber{quantity: "linearity", label: b.label, unit: "1"}, "sides", influence)
	}
	f.again = &replay{points: p, noise: &z, dof: dof, models: []model{curve}}
	f.Fits = []Fit{s.curve(name, &z)}
	if s.gap > 0 {
		r := newResult("transition_duration", "sides", "of the return: anything up to the gap between two sides", s.back().X, "s",
			[]Term{inputTerm(sourceReturn, s.back(), "triangular", 1)})
		r.Notes = append(r.Notes, remark.Of(KindSteep, remark.Number("most_s", s.gap)))
		f.Results = append(f.Results, r)
	}
	if s.periodic() && !s.wholePeriod() {
		f.Notes = append(f.Notes, remark.Of(KindPeriodNotSeen, remark.Number("cycles", s.cycles())))
	}
	if s.periodic() && s.wholePeriod() {
		if c, ok := countedPeriod(ctx, p, &z, off, s.middle(), s.height()/2, "crossings", nil); ok && c.regular() {
			c.addTo(f)
		}
	}
	return f
}

// influenceOn gives the influence of each point on a number of the parameters, whose derivatives are taken by
// differences.
func (s *sides) influenceOn(of func(s *sides) float64) []float64 {
	influence := make([]float64, len(s.points.t))
	t := s.points.t
	size := [sideParameters]float64{s.spread(), t[len(t)-1] - t[0], s.x[sidePeriod], s.x[sideUp], s.x[sideDown]}
	for m, k := range s.free {
		h := differenceStep * math.Abs(size[k])
		up, down := *s, *s
		up.x[k] += h
		down.x[k] -= h
		slope := (of(&up) - of(&down)) / (2 * h)
		for i, x := range s.influence[m] {
			influence[i] += slope * x
		}
	}
	return influence
}

// differenceStep is the relative step of a two-sided difference: the cube root of float64's rounding makes rounding and
// curvature alike (W. H. Press and others, Numerical Recipes, section 5.7; from memory); nothing changes from 3e-6 to
// 1.2e-5.
const differenceStep = 6e-6

// curve gives the sides for drawing.
func (s *sides) curve(name string, z *noise) Fit {
	p := s.points
	fit := Fit{Label: name, EffectiveN: z.effective(), Correlation: z.neighbours}
	for i, t := range p.t {
		if s.w[i] > 0 {
			fit.AtT, fit.Off = append(fit.AtT, t), append(fit.Off, p.v[i]-s.at(i, t))
		}
	}
	// From one end of each side to the other; at a gap both ends stand.
	for i := 0; i < len(p.t); {
		end := i
		for end+1 < len(p.t) && s.rises[end+1] == s.rises[i] && s.n[end+1] == s.n[i] {
			end++
		}
		from, to := p.t[i], p.t[end]
		if s.periodic() || len(s.free) > 2 {
			if i > 0 {
				from = s.meeting(i-1, i)
			}
			if end+1 < len(p.t) {
				to = s.meeting(end, end+1)
			}
		}
		fit.T, fit.V = append(fit.T, from, to), append(fit.V, s.at(i, from), s.at(i, to))
		i = end + 1
	}
	words := func(k int) string { return unit.Engineering(s.x[k], 4, p.rec.Axes.Of("V/s")) }
	switch {
	case s.fitted(sideUp) && s.fitted(sideDown):
		fit.Formula = "sides of " + words(sideUp) + " and " + words(sideDown)
	case s.fitted(sideUp):
		fit.Formula = "sides of " + words(sideUp)
	default:
		fit.Formula = "sides of " + words(sideDown)
	}
	return fit
}

// meeting is the time of the corner between the sides of two neighbouring points: where they meet, or half way in a
// gap.
func (s *sides) meeting(a, b int) float64 {
	if s.rises[a] != s.rises[b] {
		if d := s.slope(a) - s.slope(b); d != 0 {
			offset := func(i int) float64 { return s.at(i, 0) }
			return (offset(b) - offset(a)) / d
		}
	}
	return (s.points.t[a] + s.points.t[b]) / 2
}
