package analysis

// The points of a record that a fit may use, and the way from their influence on a number to the number's
// budget.

import (
	"context"
	"fmt"
	"math"

	"quadrille/calibrate"
)

// points are the usable ones of a record: visible, within the settings' limits of time.
type points struct {
	rec            *calibrate.Record
	at             []int     // place in the record of each
	t, v, sigma, w []float64 // s, V, V, 1/V: w is 1/sigma
	unknown        bool      // no sigma is stated, and those above are 1 V
	rounding       float64   // V: the least that sigma can then be, of values as they are written
	typical        float64   // V, median of sigma
	chosen         bool      // a person said where they begin
	sought         *sought   // sides that were looked for, once
}

// largest is a size, in V or s, that no record has; within it and its inverse, squares and their sums stay far inside
// float64 (TestWhichSizesAreRefused).
const largest = 1e60

// choose picks the usable points of rec.
func choose(rec *calibrate.Record, s *Settings) (*points, error) {
	n := len(rec.T)
	if len(rec.V) != n || len(rec.Sigma) != 0 && len(rec.Sigma) != n {
		return nil, &calibrate.SetupError{Field: "record",
			Reason: fmt.Sprintf("the record has %d times, %d voltages and %d uncertainties", n, len(rec.V), len(rec.Sigma)),
			Hint:   "Give one voltage and one uncertainty for each time."}
	}
	for _, e := range rec.Effects {
		if len(e.DT) != 0 && len(e.DT) != n || len(e.DV) != 0 && len(e.DV) != n {
			return nil, &calibrate.SetupError{Field: "record",
				Reason: fmt.Sprintf("the effect %q does not have one move for each of the %d points", e.Name, n),
				Hint:   "Give one move for each point, or none."}
		}
	}
	for k, list := range [][]float64{rec.T, rec.V, rec.Sigma} {
		for j, x := range list {
			if k == 2 && math.IsInf(x, 1) {
				continue // a point that says nothing
			}
			if math.Abs(x) > largest || k == 2 && x > 0 && x < 1/largest || k == 0 && j > 0 && x > list[j-1] && x-list[j-1] < 1/largest {
				return nil, &calibrate.SetupError{Field: "record",
					Reason: fmt.Sprintf("point %d of the record has the number %g, which is no time, voltage or uncertainty", j+1, x),
					Hint:   "Check the units and the volts and time per box."}
			}
		}
	}
	from, to := math.Inf(-1), math.Inf(1)
	if s.From != nil {
		from = *s.From
	}
	if s.To != nil {
		to = *s.To
	}
	if !(from < to) {
		return nil, &calibrate.SetupError{Field: "from",
			Reason: "the part of the record to use ends before it begins",
			Hint:   "Give an end that is later than the beginning."}
	}
	p := &points{rec: rec, chosen: s.From != nil}
	last := math.Inf(-1)
	for j, t := range rec.T {
		silent := len(rec.Sigma) == n && math.IsInf(rec.Sigma[j], 1)
		if t >= from && t <= to && t > last && !math.IsNaN(rec.V[j]) && !silent {
			p.at = append(p.at, j)
			p.t = append(p.t, t)
			p.v = append(p.v, rec.V[j])
			last = t
		}
	}
	if len(p.t) == 0 {
		return nil, &NotFoundError{"no point of the record can be used",
			"Choose another trace, or a part of the record where the trace is visible."}
	}
	p.sigma = statedSigma(rec, p.at, len(rec.Sigma) == n)
	if p.unknown = p.sigma == nil; p.unknown {
		p.sigma = make([]float64, len(p.t))
		for i := range p.sigma {
			p.sigma[i] = 1
		}
		if p.height() > 0 {
			p.rounding = rounding(writtenTo(p.v))
		}
	}
	for _, u := range p.sigma {
		p.w = append(p.w, 1/u)
	}
	p.typical = median(p.sigma)
	return p, nil
}

// statedSigma gives the standard deviations of the points at; a missing one is replaced by the median of the
// others, and nil means that none is stated.
func statedSigma(rec *calibrate.Record, at []int, stated bool) []float64 {
	if !stated {
		return nil
	}
	ok := func(s float64) bool { return s > 0 && !math.IsInf(s, 0) }
	var known []float64
	for _, j := range at {
		if ok(rec.Sigma[j]) {
			known = append(known, rec.Sigma[j])
		}
	}
	if len(known) == 0 {
		return nil
	}
	usual := median(known)
	out := make([]float64, len(at))
	for i, j := range at {
		if out[i] = usual; ok(rec.Sigma[j]) {
			out[i] = rec.Sigma[j]
		}
	}
	return out
}

// withSigma gives the same points with a standard deviation of sigma, V, for each.
func (p *points) withSigma(sigma float64) *points {
	q := *p
	q.sought = nil
	q.sigma, q.w, q.typical = make([]float64, len(p.t)), make([]float64, len(p.t)), sigma
	for i := range q.t {
		q.sigma[i], q.w[i] = sigma, 1/sigma
	}
	return &q
}

// of gives the times and voltages of the same points in a record that an effect has moved.
func (p *points) of(moved *calibrate.Record) (t, v []float64) {
	t, v = make([]float64, len(p.at)), make([]float64, len(p.at))
	for i, j := range p.at {
		t[i], v[i] = moved.T[j], moved.V[j]
	}
	return t, v
}

// all gives the places of all points.
func (p *points) all() []int {
	at := make([]int, len(p.t))
	for i := range at {
		at[i] = i
	}
	return at
}

// noise says what the residuals r = w·(v - model) of a fit say about the points; basis is orthonormal in the
// space of the fit's whitened Jacobian.
func (p *points) noise(ctx context.Context, r []float64, basis [][]float64) noise {
	return p.noiseOf(ctx, slots(p.t), []residuals{{use: p.all(), r: r, basis: basis}})
}

// noiseOf is that of several fits to the points. Where no sigma is stated their scatter is taken for it, but no less
// than what the last digit leaves open: few values written alike scatter less than they are rounded.
func (p *points) noiseOf(ctx context.Context, slot []int, fits []residuals) noise {
	z := findNoise(ctx, slot, p.sigma, p.unknown, fits)
	if p.unknown { // all sigmas are the same then
		least := p.rounding / p.typical
		z.scale = math.Max(z.scale, least*least)
	}
	return z
}

// rounding is the standard deviation of a value that was rounded to steps: half of one on either side is a rectangular
// distribution (JCGM 100:2008, F.2.2.1).
func rounding(step float64) float64 { return step / math.Sqrt(12) }

// writtenTo is the digit in V that values are written to, the largest power of ten, up to 1 V, that all are whole
// multiples of; 0 if there is none down to 1 µV, as of computed values.
func writtenTo(values []float64) float64 {
	// whole is of a step: much less than a digit, much more than what a double loses
	// (TestReadingsAreNoBetterThanTheirLastDigit).
	const whole = 1e-3
	for power := range 7 {
		step, all, any := math.Pow10(-power), true, false
		for _, v := range values {
			off := math.Abs(v/step - math.Round(v/step))
			all, any = all && !(off > whole), any || v != 0
		}
		if all && any {
			return step
		}
	}
	return 0
}
