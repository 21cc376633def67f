package synth

import (
	"math"
	"math/rand/v2"
)

// How a panel draws a record: joined or as dots, graded by how often the signal is met, with older
// sweeps behind the last one.

// traceTimes is how many samples of the record fall into a column of the panel.
const traceTimes = 6

// drawTrace lights, column by column, the rows between the lowest and the highest sample of the
// record in the column, and half of the way to a neighbour that does not touch them.
func (l *lcd) drawTrace(s Scene, sig Signal, c rgb, rng *rand.Rand) {
	if s.Display.Dots {
		l.drawDots(s, sig, c, rng)
		return
	}
	n := l.frameR - l.frameL + 1
	lo, hi := make([]float64, n), make([]float64, n)
	for i := range n {
		lo[i], hi[i] = math.Inf(1), math.Inf(-1)
		for k := range traceTimes {
			x := (float64(l.frameL+i) + (float64(k)+0.5)/traceTimes - 0.5 - l.centreX) / l.perBox
			t, ok := s.shownTime(x)
			if !ok {
				continue
			}
			y := sig.sample(t, rng)
			lo[i], hi[i] = min(lo[i], y), max(hi[i], y)
		}
	}
	bottom, top := append([]float64(nil), lo...), append([]float64(nil), hi...)
	for i := 1; i < n; i++ {
		if lo[i] > hi[i] || lo[i-1] > hi[i-1] {
			continue // the gap
		}
		if lo[i] > hi[i-1] {
			mid := (lo[i] + hi[i-1]) / 2
			bottom[i], top[i-1] = min(bottom[i], mid), max(top[i-1], mid)
		} else if hi[i] < lo[i-1] {
			mid := (hi[i] + lo[i-1]) / 2
			top[i], bottom[i-1] = max(top[i], mid), min(bottom[i-1], mid)
		}
	}
	half := s.Display.Stroke / 2
	for i := range n {
		if bottom[i] > top[i] {
			continue
		}
		j0, j1 := int(math.Round(l.row(top[i])))-half, int(math.Round(l.row(bottom[i])))+half
		l.fill(l.frameL+i, max(j0, l.frameT), l.frameL+i, min(j1, l.frameB), c)
	}
}

// gradedSweeps is how many samples a column of a graded trace holds, those of many sweeps.
const gradedSweeps = 60

// gradeTrace dims the elements of a trace drawn before by how seldom the signal is there: a row as
// often met as the most frequent one of its column keeps its light, one never met keeps leastLight.
func (l *lcd) gradeTrace(s Scene, sig Signal, c rgb, rng *rand.Rand) {
	const leastLight = 0.25
	met := make([]float64, l.h)
	half := s.Display.Stroke / 2
	for i := l.frameL; i <= l.frameR; i++ {
		clear(met)
		most := 0.0
		for k := range gradedSweeps {
			t, ok := s.shownTime((float64(i) + (float64(k)+0.5)/gradedSweeps - 0.5 - l.centreX) / l.perBox)
			if !ok {
				continue
			}
			row := int(math.Round(l.row(sig.sample(t, rng))))
			for j := max(row-half, 0); j <= min(row+half, l.h-1); j++ {
				met[j]++
				most = max(most, met[j])
			}
		}
		for j := l.frameT; j <= l.frameB; j++ {
			if p := &l.pix[j*l.w+i]; *p == c {
				*p = mix(l.ink.field, c, float32(leastLight+(1-leastLight)*math.Sqrt(met[j]/max(most, 1))))
			}
		}
	}
}

// drawDots lights one sample of each column and joins none, as a display does that is asked for dots:
// steep edges leave hardly a trace.
func (l *lcd) drawDots(s Scene, sig Signal, c rgb, rng *rand.Rand) {
	half := s.Display.Stroke / 2
	for i := l.frameL; i <= l.frameR; i++ {
		t, ok := s.shownTime((float64(i) - l.centreX) / l.perBox)
		if !ok {
			continue
		}
		j := int(math.Round(l.row(sig.sample(t, rng))))
		l.fill(i-half, max(j-half, l.frameT), i+half, min(j+half, l.frameB), c)
	}
}

// Older sweeps: how many there are, and how far they lie off the last one, in boxes up and across (one
// standard deviation). Common practice, no source: about the jitter of a plain trigger.
const (
	hazeSweeps = 14
	hazeUp     = 0.07
	hazeAcross = 0.03
)

// drawHaze lights older sweeps, the oldest most faintly, each a little off the last one.
func (l *lcd) drawHaze(s Scene, sig Signal, c rgb, i uint64) {
	rng := rand.New(rand.NewPCG(s.Seed, streamHaze+i))
	for k := range hazeSweeps {
		old := sig
		old.GroundBox += hazeUp * rng.NormFloat64()
		old.Knee += hazeAcross * s.TimePerBox * rng.NormFloat64()
		share := float32(s.Display.Haze * (0.3 + 0.7*float64(k)/hazeSweeps))
		l.drawTrace(s, old, mix(l.ink.field, c, share), rng)
	}
}
