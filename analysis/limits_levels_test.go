package analysis

// What the limits of levels, states, strokes and crossings decide, on points set by hand: each case lies a little to
// one side of a limit.

import (
	"math"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// pointsOf are points a second apart, each sure to sigma, on a screen of a volt and ten seconds a box.
func pointsOf(t *testing.T, sigma float64, v ...float64) *points {
	t.Helper()
	rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 10, V: v}
	for i := range v {
		rec.T, rec.Sigma = append(rec.T, float64(i)), append(rec.Sigma, sigma)
	}
	p, err := choose(rec, &Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// made gives n heights by their place.
func made(n int, v func(i int) float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v(i)
	}
	return out
}

// A narrow stroke goes far from its level, in boxes and in what a point is unsure by; a wide one is another level.
func TestWhatIsANarrowStroke(t *testing.T) {
	for _, c := range []struct {
		name         string
		sigma, high  float64
		wide, counts int
	}{
		{"0.3 box high", 0.001, 0.3, 3, 0}, {"0.55 box high", 0.001, 0.55, 3, 1},
		{"9 standard deviations", 0.1, 0.9, 3, 0}, {"16 standard deviations", 0.1, 1.6, 3, 1},
		{"12 points wide", 0.001, 1, 12, 1}, {"20 points wide", 0.001, 1, 20, 0},
	} {
		p := pointsOf(t, c.sigma, made(200, func(i int) float64 {
			if i >= 100 && i < 100+c.wide {
				return c.high
			}
			return 0
		})...)
		if got := len(p.strokes(0)); got != c.counts {
			t.Errorf("%s: %d strokes", c.name, got)
		}
	}
}

// A trace dwells at two levels that are far apart for what a point is unsure by, with enough points in each.
func TestWhatDwellsAtTwoLevels(t *testing.T) {
	for _, c := range []struct {
		name    string
		n, high int // points, of which so many are high
		sigma   float64
		ok      bool
	}{
		{"six points", 6, 3, 0.01, false}, {"twelve points", 12, 6, 0.01, true},
		{"three of 500 are high", 500, 3, 0.01, false}, {"seven of 500", 500, 7, 0.01, true},
		{"eight standard deviations apart", 100, 50, 0.125, true}, {"five", 100, 50, 0.2, false},
	} {
		p := pointsOf(t, c.sigma, made(c.n, func(i int) float64 {
			if i < c.high {
				return 1
			}
			return 0
		})...)
		if _, ok := findStates(p); ok != c.ok {
			t.Errorf("%s: two levels: %v", c.name, ok)
		}
	}
}

// A level is that of the points within a twenty-fifth of the height: what droops by that much is in it, the feet of
// slow edges are not.
func TestWhatBelongsToALevel(t *testing.T) {
	p := pointsOf(t, 0.001, made(1000, func(i int) float64 {
		switch {
		case i%2 == 0:
			return 1
		case i%10 == 1:
			return 0.06
		}
		return 0.036 * (2*math.Mod(0.618*float64(i), 1) - 1) // evenly spread
	})...)
	b, ok := findStates(p)
	if !ok {
		t.Fatal("no levels")
	}
	if n := len(b.inLow); math.Abs(b.low) > 0.004 || n < 390 || n > 410 {
		t.Errorf("the low level is at %.4f of 400 points, and holds %d", b.low, n)
	}
}

// Changes between states that lie in gaps are hidden; it takes some to tell a wave.
func TestWhichWaveHidesItsChanges(t *testing.T) {
	for _, c := range []struct {
		name              string
		groups, size, gap int // points in a group, from a group to the next
		hides             bool
	}{
		{"seven changes", 8, 5, 15, false}, {"fourteen changes", 15, 5, 15, true},
		{"a point in three", 30, 1, 3, false}, {"two points in six", 30, 2, 5, true},
	} {
		var v []float64
		for k := range c.groups {
			v = append(v, made(c.size, func(int) float64 { return float64(k % 2) })...)
			if k < c.groups-1 {
				v = append(v, made(c.gap-1, func(int) float64 { return math.NaN() })...)
			}
		}
		p := pointsOf(t, 0.001, v...)
		b := &bistate{low: 0, high: 1}
		for i, x := range p.v {
			if x > 0.5 {
				b.inHigh = append(b.inHigh, i)
			} else {
				b.inLow = append(b.inLow, i)
			}
		}
		if got := b.hidesChanges(p); got != c.hides {
			t.Errorf("%s: hides its changes: %v", c.name, got)
		}
	}
}

// Between two states a few points are the upright stroke of an edge, many are a slope.
func TestWhatIsAnUprightStroke(t *testing.T) {
	for _, c := range []struct{ between, want int }{{5, 5}, {11, 0}} {
		p := pointsOf(t, 0.001, made(100, func(i int) float64 { return math.Max(0, math.Min(1, float64(i-50)/float64(c.between+1))) })...)
		b := &bistate{low: 0, high: 1}
		for i, x := range p.v {
			switch x {
			case 0:
				b.inLow = append(b.inLow, i)
			case 1:
				b.inHigh = append(b.inHigh, i)
			}
		}
		if got := b.onUprights(p); got != c.want {
			t.Errorf("%d points between two states: %d on strokes", c.between, got)
		}
	}
}

// A square wave is even when its edges lie within a twentieth of a period from an even count. Of edges that are 0.8 and
// 1.2 periods apart by turns, a count in the least distance finds two thirds of a period, which it contradicts.
func TestWhichWaveIsUneven(t *testing.T) {
	for _, c := range []struct {
		off    float64 // periods, by which every other edge is late, and the others early
		uneven bool
		period bool // is told
	}{{0, false, true}, {0.033, false, true}, {0.075, true, true}, {0.1, false, false}} {
		p := pointsOf(t, 0.001, made(2000, func(i int) float64 {
			period, at := i/200, float64(i%200)/200
			off := c.off * float64(period%2*2-1)
			if at > 0.25+off && at < 0.75+off {
				return 1
			}
			return 0
		})...)
		f := analyse(t, p.rec, &Settings{Signal: SignalStates})
		uneven := false
		for _, d := range f.Doubts {
			uneven = uneven || d.Kind == KindUneven
		}
		period := false
		for _, r := range f.Results {
			period = period || r.Quantity == "period" || r.Quantity == "frequency" || r.Quantity == "duty_factor"
		}
		if uneven != c.uneven || period != c.period || remark.Any(f.Notes, KindNoPeriod) == period {
			t.Errorf("edges off by %g periods: uneven %v, a period %v", c.off, uneven, period)
		}
	}
}

// A bend is clear when its square is some thirty times its variance.
func TestWhichBendIsClear(t *testing.T) {
	for _, c := range []struct {
		ratio float64
		clear bool
	}{{2, false}, {18, false}, {40, true}} {
		const n = 41
		var x, v, w []float64
		squares := 0.0
		for i := range n {
			x, w = append(x, float64(i-n/2)), append(w, 1)
			squares += math.Pow(x[i]*x[i]-140, 2) // 140 is the mean of x²
		}
		scatter := 0.0
		for i := range n { // a pattern without mean, slope and bend
			e := []float64{1, -1, -1, 1}[i%4]
			v = append(v, e)
			scatter += e * e
		}
		for i := range n {
			v[i] += math.Sqrt(c.ratio*scatter/(n-3)/squares) * x[i] * x[i]
		}
		if _, ok := bowThrough(x, v, w, 0, n-1, straightThrough(x, v, w, 0, n-1)); ok != c.clear {
			t.Errorf("%g times its variance: clear %v", c.ratio, ok)
		}
	}
}

// The least time from crossing to crossing counts where both are seen, the points beside them being neighbours but for
// a column or two.
func TestWhichCrossingsAreSeen(t *testing.T) {
	for _, c := range []struct{ gap, want float64 }{{1, 1}, {2.5, 1}, {4.5, 2}} {
		list := []crossing{{t: 0, gap: 1}, {t: 1, gap: c.gap}, {t: 3, gap: 1}, {t: 5, gap: 1}}
		if got := repeat(list, 1); got != c.want {
			t.Errorf("a gap of %g points: repeats after %g, want %g", c.gap, got, c.want)
		}
	}
}

// Points that hardly rise between two states are the middle of a stroke; those that rise as the whole does are a slope,
// of which the bends at its ends do not count.
func TestWhichEdgeIsASlope(t *testing.T) {
	for _, c := range []struct {
		rise float64 // of the inner points, in the height
		used int
	}{{0.1, 7}, {0.17, 7}, {0.4, 5}, {0.67, 5}} {
		x := []float64{0, 1, 2, 3, 4, 5, 6}
		v := made(7, func(i int) float64 { return c.rise * float64(i-3) / 2 })
		v[0], v[6] = -1, 1
		got, ok := cross(x, v, []float64{1, 1, 1, 1, 1, 1, 1}, 0, 6, 0, 1)
		if !ok || len(got.at) != c.used {
			t.Errorf("a rise of %g between: %v, %d points are used, want %d", c.rise, ok, len(got.at), c.used)
		}
	}
}

// A count is a period when it is known to a tenth.
func TestWhichCountIsAPeriod(t *testing.T) {
	for _, c := range []struct {
		u, uneven float64
		regular   bool
	}{{0.01, 0, true}, {0.07, 0, true}, {0.15, 0, false}, {0.01, 0.04, true}, {0.01, 0.07, false}} {
		r := Result{}
		r.Value.X, r.Value.U = 1, c.u
		if got := (&counted{results: []Result{r}, uneven: c.uneven}).regular(); got != c.regular {
			t.Errorf("a period of 1 ± %g of crossings uneven by %g: regular %v", c.u, c.uneven, got)
		}
	}
}

// A count in a part of the period is contradicted where the trace is seen without a crossing, and not by gaps.
func TestACountThatTheTraceContradicts(t *testing.T) {
	for _, c := range []struct {
		name    string
		rises   []float64
		hidden  float64 // the trace is not seen from here on to 9
		against bool
	}{
		{"all are there", []float64{1, 2, 3, 4, 5, 6, 7, 8, 9}, 9, false},
		{"one of five is not", []float64{1, 2, 3, 5, 6, 7, 9}, 9, false},
		{"half are not", []float64{1, 2, 5, 7, 9}, 9, true},
		{"half are hidden", []float64{1, 2, 3, 4, 9}, 4.05, false},
		{"four of nine are not", []float64{1, 2, 5, 6, 9}, 9, true},
	} {
		var seen []float64
		for x := 0.0; x < 10; x += 0.02 {
			if x < c.hidden || x >= 8.98 {
				seen = append(seen, x)
			}
		}
		var list []crossing
		for _, x := range c.rises {
			list = append(list, crossing{t: x, rising: true})
		}
		n, ok := countPeriods(list, 0.02)
		if got := n.contradicted(seen, list); !ok || got != c.against {
			t.Errorf("%s: a period of %g, uneven by %.2f, contradicted %v", c.name, n.period, n.scatter, got)
		}
	}
}

// A jump lies anywhere in a column of pixels, of which the coarsest displays have 25 a box (common practice, no
// source).
func TestAJumpLiesInItsColumn(t *testing.T) {
	p, c := pointsOf(t, 0.001, 0, 1), crossing{perLevel: 1e-9}
	p.inColumns(0.5)(&c)
	if want := 10. / 25 / math.Sqrt(12); math.Abs(c.place-want) > 0.1*want {
		t.Errorf("a jump is placed to %.4f s, want %.4f", c.place, want)
	}
}

// By eye, two ends are read to half of a minor tick, of which there are five to a box, so to a tenth of a box each, a
// rectangular distribution.
func TestAPeriodReadByEye(t *testing.T) {
	p := pointsOf(t, 0.001, 0, 1)
	n := &count{period: 32.7, cycles: 1}
	r := n.byEye(p, []crossing{{t: 0}, {t: 32.7}}, nil)
	if r == nil || math.Abs(r.Value.X-33) > 0.1 {
		t.Fatalf("3.27 boxes are read as %+v", r)
	}
	if want := 10 * 0.1 * math.Sqrt2 / math.Sqrt(3); math.Abs(r.Value.U-want) > 0.1*want {
		t.Errorf("u = %.3f, want %.3f", r.Value.U, want)
	}
}

// A variance that is known to a third of its root has ½·(1/3)⁻² degrees of freedom (JCGM 100:2008, G.4.2), and is
// pooled with the scatter of the crossings by them.
func TestHowNoiseAndScatterArePooled(t *testing.T) {
	both, free := (&count{spare: 9, scatter: 0, share: []float64{1}}).pooled(1, 100)
	if math.Abs(both-4.5/13.5) > 0.02 || math.Abs(free-13.5) > 0.5 {
		t.Errorf("a variance of %.3f with %.1f degrees, want 0.333 with 13.5", both, free)
	}
}

// What points scatter less than they are stated to is hidden in steps, if that is no chance.
func TestWhatScatterHides(t *testing.T) {
	for _, c := range []struct {
		n        int
		measured float64
		hidden   bool
	}{
		{18, 0.2, true}, {18, 0.35, false}, {200, 0.6, true}, {200, 0.78, false}, {200, 0.95, false},
	} {
		p := pointsOf(t, 0.01, 0, 0)
		if got := len(p.steps(&noise{n: c.n, inflation: 1, measured: c.measured})) > 0; got != c.hidden {
			t.Errorf("%d points with %g of their variance: hidden %v", c.n, c.measured, got)
		}
	}
}

// Correlation is looked for among enough residuals, up to a quarter of their length.
func TestWhereCorrelationIsLookedFor(t *testing.T) {
	for _, c := range []struct{ n, least, most int }{{18, 1, 1}, {34, 2, 9}, {100, 20, 30}} {
		f := residuals{}
		for i := range c.n {
			f.use, f.r = append(f.use, i), append(f.r, math.Cos(math.Pi*float64(i)/float64(c.n)*0.9))
		}
		slot := make([]int, c.n)
		sigma := make([]float64, c.n)
		for i := range slot {
			slot[i], sigma[i] = i, 1
		}
		if got := len(findNoise(t.Context(), slot, sigma, false, []residuals{f}).rho); got < c.least || got > c.most {
			t.Errorf("%d residuals: correlation at %d distances, want %d to %d", c.n, got, c.least, c.most)
		}
	}
}

// A size that no record has is refused: far inside it squares and their sums stay finite.
func TestWhichSizesAreRefused(t *testing.T) {
	for _, c := range []struct {
		v  float64
		ok bool
	}{{1e30, true}, {7e59, true}, {1.5e60, false}} {
		_, err := choose(&calibrate.Record{T: []float64{0, 1}, V: []float64{0, c.v}}, &Settings{})
		if (err == nil) != c.ok {
			t.Errorf("%g V: %v", c.v, err)
		}
	}
}

// A kind that is silent about a tenth of the points is told by them.
func TestWhatAKindLeavesOpen(t *testing.T) {
	for _, c := range []struct {
		silent float64
		points bool
	}{{7, false}, {15, true}} {
		left := leftBy([]*candidate{{kind: &kind{}, account: &account{r: make([]float64, 100), silent: c.silent}}})
		if left[0].Points != c.points {
			t.Errorf("silent about %g of 100 points: told by points %v", c.silent, left[0].Points)
		}
	}
}
