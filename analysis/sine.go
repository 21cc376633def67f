package analysis

// A sine: the curve of wave.go as results with budgets. Beside it stands what a student does by hand: counting
// crossings of the middle line.

import (
	"context"
	"fmt"
	"math"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A sine is a record taken as one.
type sine struct {
	*wave
	points *points
}

// fitSine fits a sine.
func fitSine(_ context.Context, p *points, _ *Settings) (signal, error) {
	s, ok := fitWave(p)
	if !ok {
		return nil, &NotFoundError{"no sine could be fitted to the trace",
			"Show at least one whole cycle, or choose another kind of signal."}
	}
	return &sine{s, p}, nil
}

// recognisedCycles is the least part of a cycle that is taken for a sine unasked: less has no turning point on
// each side, and any bend will do (TestWhatIsEnoughForASine).
const recognisedCycles = 0.6

func (c *sine) account() *account {
	p := c.points
	if c.f*c.span < recognisedCycles {
		return nil
	}
	// The frequency is the best of about as many as there are points.
	a := &account{numbers: 4 + math.Log(float64(len(p.t))), r: make([]float64, len(p.t)),
		drawn: p.leftBySteps(c.f), high: 2 * c.amplitude()}
	for i, t := range p.t {
		a.r[i] = p.w[i] * (p.v[i] - c.at(t))
	}
	return a
}

// The least part of a cycle below which readers are warned: under 1 the bound of anchors on u(f) is missed by
// more than 2.5 times at some phases, and the shape itself is in doubt (TestLessThanACycleIsTold).
const wholeCycle = 1.0

// numbers are the wave's results in the order of findings.
func (s *wave) numbers(t0 float64) []float64 {
	amp := s.amplitude()
	// v = m + amp·sin(2πf(t - t0) + φ)
	phase := math.Atan2(s.a, s.b) - 2*math.Pi*s.f*(s.ref-t0)
	return []float64{1 / s.f, s.f, 2 * amp, amp / math.Sqrt2, s.m, math.Remainder(phase, 2*math.Pi)}
}

// slopes are the derivatives of numbers by f·span, m, a and b.
func (s *wave) slopes(t0 float64) [][4]float64 {
	amp := s.amplitude()
	df := 1 / s.span
	pp := [4]float64{0, 0, 2 * s.a / amp, 2 * s.b / amp}
	return [][4]float64{
		{-df / (s.f * s.f)}, {df},
		pp, {0, 0, pp[2] / (2 * math.Sqrt2), pp[3] / (2 * math.Sqrt2)},
		{0, 1},
		{-2 * math.Pi * (s.ref - t0) * df, 0, s.b / (amp * amp), -s.a / (amp * amp)},
	}
}

func (c *sine) findings(ctx context.Context) (*Findings, error) {
	s, p, f := c.wave, c.points, &Findings{}
	n := len(p.t)
	off, r := make([]float64, n), make([]float64, n)
	for i, t := range p.t {
		off[i] = p.v[i] - s.at(t)
		r[i] = p.w[i] * off[i]
	}
	z := p.noise(ctx, r, s.basis[:])
	dof := math.Max(1, z.effective()-4)

	const t0 = 0 // s: the left rim
	at := s.numbers(t0)
	again := func(moved *calibrate.Record) []float64 {
		t, v := p.of(moved)
		again := s.moved(t, v, p.w)
		x := again.numbers(t0)
		x[5] = at[5] + math.Remainder(x[5]-at[5], 2*math.Pi)
		return x
	}
	moves := effectMoves(ctx, p.rec, again)
	curve := model{count: len(at), of: func(t *trial) []float64 { return again(t.rec) }}
	slopes := s.slopes(t0)
	crests, told := c.crests(off)
	influences := make([][]float64, len(slopes))
	kinds := []struct{ quantity, label, unit string }{
		{"period", "", "s"}, {"frequency", "", "Hz"},
		{"v_pp", "", "V"},
		{"v_rms", "of the alternating part", "V"},
		{"v_mean", "middle line of the curve", "V"},
		{"phase", "of the sine at the left rim", "rad"},
	}
	for q, kind := range kinds {
		influence := make([]float64, n)
		for k, d := range slopes[q] {
			if d != 0 {
				for i, x := range s.influence[k] {
					influence[i] += d * x
				}
			}
		}
		influences[q] = influence
		variance, free := z.variance(influence), dof
		curve.noise = append(curve.noise, math.Sqrt(variance))
		if v := modulated(influence, off); v > variance {
			variance, free = v, math.Min(dof, 1/bandwidth)
		}
		budget := []Term{noiseTerm(math.Sqrt(variance), free)}
		if kind.quantity == "v_pp" && told {
			budget = append(budget, Term{Source: sourceCrests, Value: math.NaN(), Unit: "V", Distribution: "rectangular",
				Standard: math.Abs(crests) / math.Sqrt(3), Sensitivity: 1, U: math.Abs(crests) / math.Sqrt(3), DOF: math.Inf(1)})
		}
		if kind.quantity == "v_pp" || kind.quantity == "v_rms" {
			budget = append(budget, s.smear(at[q], medianStep(p.t)))
		}
		r := newResult(kind.quantity, "curve", kind.label, at[q], kind.unit, append(budget, effectTerms(p.rec, moves, q)...))
		if kind.quantity == "v_pp" {
			r.Role = FullSwing
			if told && math.Abs(crests) > crestsOff*at[q] {
				r.Doubts = append(r.Doubts, remark.Of(KindCrestsOff, remark.Number("off_v", crests)))
			}
		}
		f.Results = append(f.Results, r)
	}
	f.again = &replay{points: p, noise: &z, dof: dof, models: []model{curve}}
	f.sine = &fittedSine{wave: s, points: p, noise: &z, off: off, dof: dof}
	f.Fits = []Fit{s.curve(p, off, &z)}
	if counted, ok := countedPeriod(ctx, p, &z, nil, s.m, s.amplitude(), "crossings", nil); ok {
		counted.addTo(f)
		counted.compare(f, &z, influences[0], moves, len(kinds))
	}

	if cycles := s.f * s.span; cycles < wholeCycle {
		f.Doubts = append(f.Doubts, remark.Of(KindPartOfCycle, remark.Number("cycles", cycles)))
	}
	if rms := deviation(off, p.w, 0); rms > distortionLimit*s.amplitude() && z.measured > distortionScatter {
		f.Notes = append(f.Notes, remark.Of(KindNotQuiteSine, remark.Number("share", rms/s.amplitude())))
	}
	return f, nil
}

// A departure from the sine is told above 2 % of the amplitude, about what the eye sees, if it is also more than
// twice (variance 4) the points' own uncertainty (TestSineTellsDistortion, TestWhatIsNotQuiteASine).
const distortionLimit, distortionScatter = 0.02, 4.0

const (
	// A crest is what lies above crestPart of the amplitude: 14° on each side of it
	// (TestATriangleTakenForASineIsDoubted).
	crestPart = 0.97
	// crestsOff is the share of the height by which crests may leave the curve before its height is doubted: a display
	// that is bent, or a sine that is, makes a hundredth or two; a triangle stands a fifth higher than its best sine
	// (TestATriangleTakenForASineIsDoubted).
	crestsOff, crestsClear = 0.03, 8.0
	// sourceCrests names the term of crests that leave the curve.
	sourceCrests = "crests that leave the curve"
)

// crests is by how much the crests of the trace stand further apart than those of the curve, V; told says that it is
// more than noise. What neighbours scatter by is counted crestsClear times: the scatter about the curve would take the
// crests for noise.
func (c *sine) crests(off []float64) (further float64, told bool) {
	p := c.points
	influence, weights := make([]float64, len(p.t)), [2]float64{}
	side := func(i int) (k int, on bool) {
		x := (c.at(p.t[i]) - c.m) / c.amplitude()
		if x < 0 {
			k = 1
		}
		return k, math.Abs(x) > crestPart
	}
	for i, w := range p.w {
		if k, on := side(i); on {
			weights[k] += w * w
		}
	}
	if weights[0] == 0 || weights[1] == 0 {
		return 0, false
	}
	for i, w := range p.w {
		if k, on := side(i); on {
			influence[i] = w * w / weights[k] * float64(1-2*k)
		}
	}
	further = dot(influence, off)
	z := p.localNoise()
	return further, math.Abs(further) > crestsClear*math.Sqrt(z.variance(influence))
}

// bandwidth is the share of the points over which modulated looks for correlation. It leaves that variance about
// 1/bandwidth degrees of freedom (TestOverWhatAPullIsCorrelated).
const bandwidth = 0.1

// modulated is the noise variance of a result when errors swing with the sine: a display that is stretched a little
// here and there misplaces flanks along time, and the residuals of such a stretch change sign with the slope, so that
// they look uncorrelated while their pull on the frequency is not. Each point's pull on the result is looked at
// instead, with the weights of Newey and West, Econometrica 55 (1987) 703.
func modulated(influence, off []float64) float64 {
	n := len(off)
	pull := make([]float64, n)
	for i, x := range influence {
		pull[i] = x * off[i]
	}
	reach := int(bandwidth * float64(n))
	sum := dot(pull, pull)
	var along []float64
	if r := rowOf(slotsInARow(n), reach); r != nil {
		x := r.spectrum(pull)
		along = r.cross(x, x)
	}
	for k := 1; k <= reach; k++ {
		if along == nil {
			sum += 2 * (1 - float64(k)/float64(reach+1)) * dot(pull[:n-k], pull[k:])
		} else {
			sum += 2 * (1 - float64(k)/float64(reach+1)) * along[k]
		}
	}
	return sum * float64(n) / math.Max(1, float64(n-4))
}

// sourceSmear names the term of what blur and the display's pixels take off a turning point.
const sourceSmear = "smear along time"

// smear is that term of a height. A point of a picture stands for what lies within about a spacing on each side of it,
// and a mean over a spread of one spacing (standard deviation) lowers a sine by (2πf·spacing)²/2.
func (s *wave) smear(height, spacing float64) Term {
	k := height * 2 * math.Pi * math.Pi * s.f * s.f * spacing // by how much a second of spacing lowers it
	return Term{Source: sourceSmear, Value: 0, Unit: "s", Distribution: "normal",
		Standard: spacing, Sensitivity: k, U: k * spacing, DOF: math.Inf(1)}
}

// curve gives s for drawing.
func (s *wave) curve(p *points, off []float64, z *noise) Fit {
	first, last := p.t[0], p.t[len(p.t)-1]
	perCycle := 40.0
	k := int(math.Min(4000, math.Max(100, perCycle*s.f*(last-first))))
	fit := Fit{Label: "sine", AtT: p.t, Off: off, EffectiveN: z.effective(), Correlation: z.neighbours}
	for i := range k + 1 {
		t := first + (last-first)*float64(i)/float64(k)
		fit.T = append(fit.T, t)
		fit.V = append(fit.V, s.at(t))
	}
	// The formula counts time from a rising crossing of the middle line within the record.
	cross := s.ref - math.Atan2(s.a, s.b)/(2*math.Pi*s.f)
	if cross < first {
		cross += 1 / s.f
	}
	in := p.rec.Axes
	fit.Formula = fmt.Sprintf("V = %s + %s · sin(2π · %s · (t - %s))", unit.EngineeringBeside(s.m, s.amplitude(), 4, in.Of("V")),
		unit.Engineering(s.amplitude(), 4, in.Of("V")), unit.Engineering(s.f, 6, in.Of("Hz")), unit.Engineering(cross, 4, in.Of("s")))
	return fit
}
