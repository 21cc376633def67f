package analysis

// A decay on a photo that is upside down. Half a turn runs time backwards and changes the sign of the voltage: what
// settles becomes what departs from a level faster and faster, which no capacitor does. Two of them, up and down, look
// like a square wave with blunt corners. So what is no decay is turned back, and fitted as one.

import (
	"context"

	"quadrille/calibrate/remark"
)

// upsideDown doubts a trace that is a decay once it is turned by 180 degrees, and is not explained as well by the kind
// that it was taken for.
func (f *Findings) upsideDown(ctx context.Context, p *points) []remark.Remark {
	if f.Told.How == Given || f.Signal == SignalDecay {
		return nil
	}
	plain := f.Told.How == Recognised && len(f.Told.Left) > 0 && !f.Told.Left[0].Points && !remark.Any(f.Doubts, KindHardlySquare)
	turned := p.upended()
	fitted, err := fitDecay(ctx, turned, &Settings{})
	if err != nil {
		return nil
	}
	a := fitted.account()
	if a == nil {
		return nil
	}
	c := &candidate{kind: &kinds[0], fitted: fitted, account: a}
	height := turned.height()
	scoreAll([]*candidate{c}, turned, height, turned.floor(height))
	if c.rms > c.leaves() || a.silent > manySilent*float64(len(turned.t)) || plain && !(closeRms*closeRms*c.rms < f.Told.Left[0].Share) {
		return nil
	}
	return []remark.Remark{remark.Of(KindUpsideDown, remark.Number("share", c.rms))}
}

// upended are the points turned by 180 degrees.
func (p *points) upended() *points {
	n := len(p.t)
	q := &points{rec: p.rec, unknown: p.unknown, typical: p.typical, at: make([]int, n), t: make([]float64, n), v: make([]float64, n),
		sigma: make([]float64, n), w: make([]float64, n)}
	for i := range n {
		j := n - 1 - i
		q.at[i], q.t[i], q.v[i], q.sigma[i], q.w[i] = p.at[j], p.t[0]+p.t[n-1]-p.t[j], -p.v[j], p.sigma[j], p.w[j]
	}
	return q
}
