package analysis

// What is drawn of decays: the curves, and the lines through ln V.

import (
	"fmt"
	"math"

	"quadrille/calibrate/unit"
)

// drawnPoints of a curve, enough to look smooth across a screen; it is only drawn, and nothing changes from 120 to 480.
const drawnPoints = 240

// draw fills in the curves and log lines of f.
func (d *decaying) draw(f *Findings) {
	for i, q := range d.scheme.pieces {
		n := &d.base[i]
		label := q.label
		if len(d.scheme.pieces) == 1 {
			label = "decay"
		}
		f.Fits = append(f.Fits, d.scheme.drawCurve(label, q, n))
		if use := d.scheme.plans[i].log; use != nil {
			f.Lines = append(f.Lines, d.scheme.drawLine(label, n, use))
		}
	}
}

func (d *decays) drawCurve(label string, q *piece, n *numbers) Fit {
	p := d.points
	c := Fit{
		Label:       label,
		Formula:     formula(n.curve, n.knee.x, p.rec.Axes),
		EffectiveN:  math.Max(1, float64(len(q.use))/d.noise.inflation),
		Correlation: d.noise.neighbours,
	}
	from, to := math.Min(n.knee.x, p.t[q.use[0]]), p.t[q.use[len(q.use)-1]]
	for k := range drawnPoints {
		t := from + (to-from)*float64(k)/(drawnPoints-1)
		c.T = append(c.T, t)
		c.V = append(c.V, n.curve.at(t))
	}
	for _, j := range q.use {
		c.AtT = append(c.AtT, p.t[j])
		c.Off = append(c.Off, p.v[j]-n.curve.at(p.t[j]))
	}
	return c
}

// formula of the curve with the time counted from the knee at t0.
func formula(f exponential, t0 float64, in unit.Axes) string {
	v := func(x float64) string { return unit.Engineering(x, 3, in.Of("V")) }
	t := func(x float64) string { return unit.Engineering(x, 4, in.Of("s")) }
	height, sign := f.at(t0)-f.c, "+"
	if height < 0 {
		height, sign = -height, "-"
	}
	since := fmt.Sprintf("(t - %s)", t(t0))
	if t0 < 0 {
		since = fmt.Sprintf("(t + %s)", t(-t0))
	}
	return fmt.Sprintf("V = %s %s %s · exp(-%s / %s)", unit.EngineeringBeside(f.c, height, 3, in.Of("V")), sign, v(height), since, t(f.tau))
}

func (d *decays) drawLine(label string, n *numbers, use []int) LogLine {
	l := LogLine{Label: label, Slope: n.slope, Intercept: n.intercept, VInf: n.curve.c}
	p, s := d.points, math.Sqrt(d.noise.scale)
	for _, j := range use {
		l.T = append(l.T, p.t[j])
		l.LnV = append(l.LnV, math.Log(math.Abs(p.v[j]-n.curve.c)))
		l.U = append(l.U, s*p.sigma[j]/math.Abs(n.curve.at(p.t[j])-n.curve.c))
	}
	return l
}
