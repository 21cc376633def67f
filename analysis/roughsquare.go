package analysis

// A square wave that a filter or an amplifier has made rough: its edges take part of the period, its levels sag and
// ring, so that no level is one. It is told from a sine and a triangle, if no kind fits, by how long it stays in the
// outer quarters of its height: a triangle half of the time, a sine two thirds. Its levels are the means of what lies
// there, and a doubt says so.

import (
	"context"
	"math"

	"quadrille/calibrate/remark"
)

const (
	// outerQuarter is the share of the height at each side that counts as a level, and mostOutside the share of the
	// points that must lie in them: a sine has 0.667, one with a fifth of second harmonic 0.75
	// (TestARoughSquareWaveIsOne, TestADistortedSineIsOne).
	outerQuarter, mostOutside = 0.25, 0.78
	// leastEach is the share of the points that lie at either level at least: what rests at one is no square wave;
	// nothing changes from 0.1 to 0.4.
	leastEach = 0.2
)

// roughSquare gives the findings of such a wave; false if the trace is none, or does not come evenly.
func roughSquare(ctx context.Context, p *points) (*Findings, bool) {
	middle, half := p.swing()
	b := &bistate{inner: 1}
	between := 0
	for i, v := range p.v {
		switch {
		case v < middle-2*outerQuarter*half:
			b.inLow = append(b.inLow, i)
		case v > middle+2*outerQuarter*half:
			b.inHigh = append(b.inHigh, i)
		default:
			between++
		}
	}
	n := float64(len(p.v))
	if float64(between) > (1-mostOutside)*n || math.Min(float64(len(b.inLow)), float64(len(b.inHigh))) < leastEach*n {
		return nil, false
	}
	c, ok := countPeriods(crossings(p.t, p.v, p.w, middle, half), medianStep(p.t))
	if !ok || c.spare < 1 || c.scatter > mostUneven*c.period {
		return nil, false
	}
	b.low, b.toLow = weightedMean(p, b.inLow)
	b.high, b.toHigh = weightedMean(p, b.inHigh)
	f, err := (&states{b, p}).findings(ctx)
	if err != nil {
		return nil, false
	}
	f.Doubts = append(f.Doubts, remark.Of(KindHardlySquare, remark.Number("share", float64(between)/n)))
	return f, true
}

// leaves is the rms share of the height that the levels leave of the points in them.
func (f *Findings) leaves(height float64) float64 {
	sum, n := 0.0, 0.0
	for _, fit := range f.Fits {
		for _, off := range fit.Off {
			sum, n = sum+off*off, n+1
		}
	}
	return math.Sqrt(sum/n) / height
}
