package analysis

// The Monte Carlo calculation (montecarlo.go) of what two traces give together. Each trial draws the points of both
// records; effects that move both in step (time base, graticule fit, …) get one factor, the others one each. The phase,
// the delay and the ratio are then made of two refitted sines; the drive is the difference of two levels of one record.

import (
	"context"
	"math"
	"math/rand/v2"
)

// propagateSines puts Trials beside the results of two sines, those of p from its first on, if a calculation was asked
// for. ownA and ownB are the variances that the points' own noise makes in each number; what the budget has beyond is
// drawn as a term of the number itself.
func (p *Pair) propagateSines(ctx context.Context, w *waves, a, b Subject, ownA, ownB []float64) {
	n := trialsWanted(a, b)
	if n == 0 {
		return
	}
	partners := partners(w.a.points.rec.Effects, w.b.points.rec.Effects)
	beyond := [2][]Term{}
	for q := range p.Results {
		for k, own := range [2][]float64{ownA, ownB} {
			t := p.Results[q].Budget[k]
			t.U = math.Sqrt(math.Max(0, t.U*t.U-own[q]))
			beyond[k] = append(beyond[k], t)
		}
	}
	x := runTrials(ctx, n, trialsSeed, func() func(*rand.Rand) []float64 {
		da, db := a.again.newDrawer(), b.again.newDrawer()
		return func(rng *rand.Rand) []float64 {
			da.drawPoints(rng)
			db.drawPoints(rng)
			fa, fb := drawFactors(rng, w.a.points.rec.Effects), drawFactors(rng, w.b.points.rec.Effects)
			for i, k := range partners {
				if k >= 0 {
					fb[k] = fa[i]
				}
			}
			da.move(fa)
			db.move(fb)
			sa, sb := w.a.again(da), w.b.again(db)
			out := w.numbers(&sa, &sb)[:len(p.Results)]
			for k := range beyond {
				draw := unitDraw(rng, beyond[k][0])
				for q := range out {
					out[q] += beyond[k][q].U * draw
				}
			}
			return out
		}
	})
	if ctx.Err() == nil {
		p.summarise(x, n, "both")
	}
}

// again fits the sine to the record of a trial.
func (s *fittedSine) again(d *drawer) wave {
	t, v := s.points.of(&d.rec)
	return s.moved(t, v, s.points.w)
}

// propagateDrive puts Trials beside the drive, the first result of p, which is the difference of two results of the
// square wave.
func (p *Pair) propagateDrive(ctx context.Context, square Subject, high, low int) {
	n := trialsWanted(square, square)
	if n == 0 {
		return
	}
	plans := square.planTerms()
	if plans[high] == nil || plans[low] == nil {
		return
	}
	x := runTrials(ctx, n, trialsSeed, func() func(*rand.Rand) []float64 {
		d := square.again.newDrawer()
		return func(rng *rand.Rand) []float64 {
			all := d.draw(rng, plans, len(square.Results))
			return []float64{all[high] - all[low]}
		}
	})
	if ctx.Err() == nil {
		p.summarise(x, n, square.Name)
	}
}

// trialsWanted is the number of trials that both traces were analysed with; 0 if one was not, or has no way to be made
// anew.
func trialsWanted(a, b Subject) int {
	if a.again == nil || b.again == nil {
		return 0
	}
	return min(a.again.settings.Trials, b.again.settings.Trials)
}

// summarise puts what the n trials x say beside each result of p.
func (p *Pair) summarise(x [][]float64, n int, of string) {
	apart := 0
	for q := range p.Results {
		if !p.Results[q].summarise(x, q, trialsSeed) {
			apart++
		}
	}
	p.Notes = append(p.Notes, trialsRun(of, n, trialsSeed, len(p.Results), apart))
}
