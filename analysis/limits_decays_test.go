package analysis

// What the limits of decays and of what is told of them decide, on numbers set by hand: each case lies a little to one
// side of a limit.

import (
	"errors"
	"math"
	"slices"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// told is whether a remark of this kind is in the list.
func told(list []remark.Remark, kind remark.Kind) bool {
	return slices.ContainsFunc(list, func(r remark.Remark) bool { return r.Kind == kind })
}

// Decays tell τ when their ln τ is known to 0.7, and beside a better one to a tenth, or to a third of what that is. One
// that scatters three times as much as the others is none.
func TestWhichDecaysTellTau(t *testing.T) {
	for _, c := range []struct {
		name     string
		u        []float64 // of ln τ, of each decay
		scatters []float64 // 1 where none
		kept     int       // 0: refused
	}{
		{"known to a half", []float64{0.5}, nil, 1},
		{"known to nine tenths", []float64{0.9}, nil, 0},
		{"to a hundredth and to 0.07", []float64{0.01, 0.07}, nil, 2},
		{"to a hundredth and to 0.15", []float64{0.01, 0.15}, nil, 1},
		{"twice the scatter", []float64{0.01, 0.01, 0.01}, []float64{1, 1, 2}, 3},
		{"four and a half times", []float64{0.01, 0.01, 0.01}, []float64{1, 1, 4.5}, 2},
	} {
		p := pointsOf(t, 1, make([]float64, 30*len(c.u))...)
		var all pieces
		for k, u := range c.u {
			q := &piece{before: -1, fit: exponential{tau: 1, chiSq: 30}}
			if c.scatters != nil {
				q.fit.chiSq *= c.scatters[k] * c.scatters[k]
			}
			for i := range 30 {
				q.use = append(q.use, 30*k+i)
				q.fit.dLogTau = append(q.fit.dLogTau, u/math.Sqrt(30))
			}
			all = append(all, q)
		}
		d, _, err := tellingDecays(t.Context(), p, all)
		switch {
		case c.kept == 0:
			var refused *NotFoundError
			if !errors.As(err, &refused) {
				t.Errorf("%s: not refused", c.name)
			}
		case err != nil || len(d.pieces) != c.kept:
			t.Errorf("%s: %v, %+v", c.name, err, d)
		}
	}
}

// A decay begins at a knee where its curve meets the level before it, up to a tenth of τ beyond its first point; a knee
// that lies up to half a τ further in says that it was begun too early.
func TestWhereADecayHasItsKnee(t *testing.T) {
	for _, c := range []struct {
		late         float64 // τ, from the first point to where the curve meets the level
		sharp, begun bool
	}{{0, true, true}, {0.07, true, true}, {0.14, false, true}, {0.35, false, true}, {0.7, false, false}} {
		p := pointsOf(t, 0.01, made(100, func(int) float64 { return 1 })...)
		q := &piece{before: -1, fit: exponential{a: math.Exp(c.late), tau: 20, ref: 50}, level: span(0, 50), use: span(50, 100)}
		q.findKnee(p, pieces{q})
		if q.sharp != c.sharp || q.begun() != c.begun {
			t.Errorf("%g τ late: sharp %v, begun %v", c.late, q.sharp, q.begun())
		}
	}
}

// Points at the ends of the log line are left out where noise or an effect moves their logarithm far, and a line needs
// three points.
func TestWhichPointsAreOnTheLogLine(t *testing.T) {
	for _, c := range []struct {
		name          string
		sigma, effect float64 // V, of curves that fall from 1 V
		used          int     // of 30 points, a tenth of a τ apart
	}{
		{"up to five standard deviations", 0.03, 0, 19},
		{"up to three of what moves all", 0.001, 0.05, 19},
		{"three points", 0.15, 0, 3},
		{"two points", 0.165, 0, 0},
	} {
		curve := made(30, func(i int) float64 { return math.Exp(-float64(i) / 10) })
		p := pointsOf(t, c.sigma, curve...)
		goal := 0.0
		if c.effect > 0 {
			p.rec.Effects = []calibrate.Effect{{Name: "ground line", DV: made(30, func(int) float64 { return c.effect })}}
		}
		d := &decays{points: p, noise: noise{scale: 1}}
		q := &piece{fixedC: &goal, fit: exponential{a: 1, tau: 10}, use: span(0, 30)}
		if got := len(d.logPoints(q)); got != c.used {
			t.Errorf("%s: %d points are used, want %d", c.name, got, c.used)
		}
	}
}

// Half-lives are read down to five standard deviations of a point from V∞.
func TestHowManyHalfLivesAreRead(t *testing.T) {
	for _, c := range []struct {
		sigma float64 // V, of a curve that falls from 1 V
		read  int
	}{{0.001, 3}, {0.035, 2}, {0.065, 1}, {0.15, 0}} {
		curve := made(60, func(i int) float64 { return math.Exp(-float64(i-20) / 10) })
		for i := range 20 {
			curve[i] = 1
		}
		p := pointsOf(t, c.sigma, curve...)
		d := &decays{points: p, noise: noise{scale: 1, inflation: 1}}
		q := &piece{fit: exponential{a: 1, tau: 10, ref: 20}, level: span(0, 20), use: span(20, 60), knee: 20}
		if got := len(d.planHalves(q).windows); got != c.read {
			t.Errorf("sigma %g: %d half-lives are read, want %d", c.sigma, got, c.read)
		}
	}
}

// A decay settles at the level that is given when it ends near it, also a little beyond.
func TestWhatSettlesAtAGivenLevel(t *testing.T) {
	for _, c := range []struct {
		end     float64 // V, of a decay that begins at 1 V and is to settle at 0
		settles bool
	}{{0.5, true}, {-0.2, true}, {-0.45, false}, {1.2, false}} {
		goal := 0.0
		p := pointsOf(t, 0.01, made(100, func(i int) float64 { return 1 + (c.end-1)*math.Min(1, float64(i)/80) })...)
		q := &piece{use: span(0, 100)}
		if q.settle(p, &goal); (q.fixedC != nil) != c.settles {
			t.Errorf("a decay to %g V settles at the level given: %v", c.end, q.fixedC != nil)
		}
	}
}

// A point six standard deviations off is not of the trace; more than a few such are a misfit and stay.
func TestWhichPointsAreLeftOut(t *testing.T) {
	for _, c := range []struct {
		name     string
		off      float64 // standard deviations
		count    int     // of 100 points
		left     int
		together bool
	}{
		{"four standard deviations off", 4, 1, 0, false}, {"nine", 9, 1, 1, false},
		{"two of 100", 9, 2, 2, false}, {"five of 100", 9, 5, 0, false},
	} {
		v := made(100, func(i int) float64 { return math.Exp(-float64(i)/20) + 0.01*math.Cos(2*float64(i)) })
		for k := range c.count {
			v[10+17*k] = math.Exp(-float64(10+17*k)/20) + 0.0105*c.off
		}
		p := pointsOf(t, 0.01, v...)
		q := &piece{before: -1, use: span(0, 100), fit: exponential{a: 1, tau: 20}}
		if q.leaveOut(p); q.dropped != c.left {
			t.Errorf("%s: %d are left out, want %d", c.name, q.dropped, c.left)
		}
	}
}

// Correlation of neighbours widens what a fit says by √((1 + ρ)/(1 - ρ)), by no more than six.
func TestHowMuchCorrelationWidensAFit(t *testing.T) {
	for _, c := range []struct {
		period      int // points, of a wave about the curve
		least, most float64
	}{{4, 0.9, 1.1}, {12, 3, 4.2}, {1000, 5.5, 7}} {
		p := pointsOf(t, 0.01, made(1000, func(i int) float64 { return 0.01 * math.Sin(2*math.Pi*float64(i)/float64(c.period)) })...)
		q := &piece{use: span(0, 1000), fit: exponential{tau: 1}}
		if got := q.correlationFactor(p); got < c.least || got > c.most {
			t.Errorf("a wave of %d points: %.2f, want %g to %g", c.period, got, c.least, c.most)
		}
	}
}

// A contribution that is nothing but rounding is 0.
func TestWhatIsRounding(t *testing.T) {
	for _, c := range []struct {
		share float64
		zero  bool
	}{{7e-10, true}, {1.5e-9, false}} {
		r := newResult("", "", "", 1, "V", []Term{noiseTerm(1, 10), noiseTerm(c.share, 10)})
		if got := r.Budget[1].U == 0; got != c.zero {
			t.Errorf("a share of %g is 0: %v", c.share, got)
		}
	}
}

// A cause is named when it explains a twentieth of a gap.
func TestWhichCausesAreNamed(t *testing.T) {
	for _, c := range []struct {
		gap   float64
		named int
	}{{0.035, 0}, {0.07, 1}} {
		if got := len(explain(1, []cause{{gap: c.gap}})); got != c.named {
			t.Errorf("a cause of %g of the gap: %d are named", c.gap, got)
		}
	}
}

// Where no box is known a misplaced level is one of a hundredth of the height, twice that for ground.
func TestByHowMuchALevelIsMisplaced(t *testing.T) {
	p := pointsOf(t, 0.01, 0, 2)
	p.rec.VoltsPerBox = 0
	m := &mistakes{scheme: &scheme{decays: &decays{points: p}}}
	if level, ground := m.misplaced(levelOff), m.misplaced(groundOff); math.Abs(level.volts-0.02) > 0.004 || math.Abs(ground.volts-0.04) > 0.008 {
		t.Errorf("a level is off by %.3f V, ground by %.3f V", level.volts, ground.volts)
	}
}

// A wrong step or a probe is named when the gap is within a tenth of the one that it makes.
func TestWhichSettingExplainsAGap(t *testing.T) {
	for _, c := range []struct {
		gap   float64 // of a drive of 1 V that is seen
		named int
	}{{-0.5, 1}, {-0.535, 1}, {-0.58, 0}, {-0.9, 1}, {-0.84, 1}, {-0.77, 0}} {
		if got := len(scaleCauses(ofDrive, 1, c.gap)); got != c.named {
			t.Errorf("a gap of %g: %d settings are named", c.gap, got)
		}
	}
}

// What an input of 1 MΩ takes of a part is in its uncertainty up to a twentieth, and a doubt beyond.
func TestWhatAnInputTakesOfAPart(t *testing.T) {
	for _, c := range []struct {
		resistance float64 // Ω
		doubted    bool
	}{{35e3, false}, {70e3, true}} {
		s := &Settings{Resistance: unit.Value{X: c.resistance, U: 1, Unit: "Ω"}}
		tau := newResult("tau", "curve", "", 1e-3, "s", []Term{noiseTerm(1e-6, 100)})
		r, ok := partFromTau(s, []Result{tau})
		if !ok || told(r.Doubts, KindInputUnknownForPart) != c.doubted {
			t.Errorf("%g Ω: %v, doubts %v", c.resistance, ok, r.Doubts)
		}
	}
}

// Trials that lose a hundredth of their numbers, or whose interval is longer than the budget's by a tenth of U, are
// told.
func TestWhatIsToldOfTrials(t *testing.T) {
	for _, c := range []struct {
		lost        int     // of 100000
		wider       float64 // than the budget says
		note, doubt bool
	}{{700, 1, false, false}, {1500, 1, true, false}, {0, 1.07, false, false}, {0, 1.17, false, true}} {
		const n = 100000
		x := make([][]float64, n)
		for i := range x {
			x[i] = []float64{math.NaN()}
			if i >= c.lost {
				p := (float64(i) + 0.5) / n
				x[i][0] = c.wider * math.Sqrt2 * math.Erfinv(2*p-1)
			}
		}
		r := newResult("", "", "", 0, "V", []Term{noiseTerm(1, math.Inf(1))})
		if c.lost > 0 {
			r.Expanded = 9
		}
		holds := r.summarise(x, 0, 1)
		if told(r.Notes, KindTrialsWithout) != c.note || holds == c.doubt {
			t.Errorf("%d lost, wider by %g: %v, holds %v", c.lost, c.wider, r.Notes, holds)
		}
	}
}

// strokesOf are points with strokes 0.05 V thick, or as changed.
func strokesOf(t *testing.T, v []float64, thick func(i int) float64) *points {
	p := pointsOf(t, 0.001, v...)
	for i := range v {
		p.rec.Stroke = append(p.rec.Stroke, thick(i))
	}
	return p
}

// The thinnest fiftieth of the strokes is as thick as a flat one, the surest fiftieth of the points as sure as the
// picture.
func TestHowThickAFlatStrokeIs(t *testing.T) {
	for _, c := range []struct {
		thin int // of 100 points, surer as well
		want float64
	}{{2, 0.2}, {3, 0.05}} {
		p := strokesOf(t, make([]float64, 100), func(i int) float64 {
			if i < c.thin {
				return 0.05
			}
			return 0.2
		})
		for i := range p.sigma {
			p.sigma[i] = p.rec.Stroke[i] / 100
		}
		o, ok := p.outline()
		if errors := c.want / 100 * math.Sqrt(2*math.Log(100)) * math.Sqrt2 / math.Sqrt(3); !ok || o.thin != c.want || math.Abs(o.u[0]-errors) > 0.1*errors {
			t.Errorf("%d thin strokes: %g V thick, errors %.4f, want %g, %.4f", c.thin, o.thin, o.u[0], c.want, errors)
		}
	}
}

func TestWhichStrokesAreABand(t *testing.T) {
	for _, c := range []struct {
		thick float64 // box
		band  bool
	}{{0.07, false}, {0.15, true}} {
		p := strokesOf(t, make([]float64, 100), func(int) float64 { return c.thick })
		if o, _ := p.outline(); p.isBand(&o) != c.band {
			t.Errorf("%g box thick: a band %v", c.thick, p.isBand(&o))
		}
	}
}

// An end is as sharp as its own stroke, whose neighbours are seen, or as the strokes within a quarter of the height.
func TestHowSharpAnEndIs(t *testing.T) {
	for _, c := range []struct {
		name  string
		v     func(i int) float64
		smear bool
	}{
		{"a column beside it is hidden", func(i int) float64 { return peakAt(i, 50, 1, math.NaN()) }, true},
		{"two are", func(i int) float64 { return peakAt(i, 50, 2, math.NaN()) }, false},
		{"strokes a sixth below a level", func(i int) float64 { return levelAndPeaks(i, 0.82) }, true},
		{"a third below", func(i int) float64 { return levelAndPeaks(i, 0.65) }, false},
	} {
		p := strokesOf(t, made(400, c.v), func(int) float64 { return 0.05 })
		if o, ok := p.outline(); !ok || (o.u[1] > 0.1) != c.smear {
			t.Errorf("%s: %v, smear %.4f", c.name, ok, o.u[1])
		}
	}
}

// peakAt is a level with one point above it, behind which so many are missing.
func peakAt(i, at, missing int, hidden float64) float64 {
	switch {
	case i == at:
		return 1
	case i > at && i <= at+missing:
		return hidden
	}
	return 0
}

// levelAndPeaks goes from a level of 1 slowly to one of 0, on which points by themselves are high.
func levelAndPeaks(i int, high float64) float64 {
	switch {
	case i < 10:
		return 1
	case i < 60:
		return 1 - float64(i-9)/50
	case i > 70 && i < 130 && i%3 == 0:
		return high
	}
	return 0
}

// The end of a tall stroke, higher than a flat one by half, lies up to a quarter of a flat one's thickness further out.
func TestWhereATallStrokeEnds(t *testing.T) {
	for _, c := range []struct {
		tall float64 // in flat strokes, of the highest
		want float64 // V
	}{{1, 0}, {1.3, 0}, {2, 0.05 / 4 / 1.732}} {
		p := strokesOf(t, make([]float64, 100), func(i int) float64 {
			if i == 50 {
				return 0.05 * c.tall
			}
			return 0.05
		})
		p.v[20] = -1 // the lowest is flat
		if o, ok := p.outline(); !ok || math.Abs(o.u[2]-c.want) > 0.25*c.want+1e-9 {
			t.Errorf("%g times as tall: %v, %.5f V, want %.5f", c.tall, ok, o.u[2], c.want)
		}
	}
}

// An end is alone when its like is no further than six points from it.
func TestWhichEndIsAlone(t *testing.T) {
	for _, c := range []struct {
		apart int // points, of two high ones
		alone bool
	}{{4, true}, {9, false}} {
		p := strokesOf(t, made(100, func(i int) float64 {
			if i == 50 || i == 50+c.apart {
				return 1
			}
			return 0
		}), func(int) float64 { return 0.05 })
		if o, _ := p.outline(); (o.alone > 0.5) != c.alone {
			t.Errorf("%d points apart: alone by %.2f V", c.apart, o.alone)
		}
	}
}
