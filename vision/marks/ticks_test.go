package marks

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
)

var tenByEight = frame.Size{Cols: 10, Rows: 8}

// Ticks are seen if their heights have a mean of 0.4, those at no division of 0.3: of eight, two may be dark, or
// three at no division.
func TestHowManyTicksMustBeThere(t *testing.T) {
	down := func(of, n int, only func(k int) bool) func(lattice.Family, int, float64) float64 {
		return func(_ lattice.Family, k int, _ float64) float64 {
			if only(k) && (k%of+of)%of < n {
				return -1
			}
			return 1
		}
	}
	all, odd := func(int) bool { return true }, func(k int) bool { return k%2 != 0 }
	for _, c := range []struct {
		name  string
		ticks int
		tick  func(lattice.Family, int, float64) float64
		seen  bool
	}{
		{"all", 2, nil, true},
		{"one in four dark", 4, down(4, 1, all), true},
		{"three in eight dark", 4, down(8, 3, all), false},
		{"none at divisions' halves", 2, func(_ lattice.Family, k int, _ float64) float64 { return float64(1 - k&1) }, false},
		{"a quarter of the halves dark", 2, down(8, 2, odd), true},
		{"half of the halves dark", 2, down(8, 4, odd), false},
	} {
		r := drawing{ticks: c.ticks, tick: c.tick}.rectangle()
		s := r.rate(count{tenByEight, c.ticks})
		if (s.Score > 0) != c.seen {
			t.Errorf("%s: score %.1f, strips %.2f", c.name, s.Score, s.Ticks)
		}
	}
}

// A tick may stand a tenth of the ticks' distance off its place, not a quarter.
func TestTicksStandAtTheirPlaces(t *testing.T) {
	for off, seen := range map[float64]bool{0: true, 0.1: true, 0.27: false} {
		r := drawing{ticks: 2, shift: geom.Box{X: off / 2}}.rectangle()
		if got := r.combOf(0, count{tenByEight, 2}, 0).mean; (got > 0.6) != seen {
			t.Errorf("%g off: mean height %.2f", off, got)
		}
	}
}

// Marks that go on past the rims are told, if they are like those inside: neither less than two fifths of them nor more
// than two and a half times as high.
func TestMarksThatGoOnAreTold(t *testing.T) {
	for height, told := range map[float64]bool{1: true, 0.55: true, 0.3: false, 0: false, 2: true, 3.5: false} {
		r := drawing{ticks: 4, beyond: 1, tick: func(fam lattice.Family, _ int, x float64) float64 {
			if fam == lattice.Upright && math.Abs(x) > 5.05 {
				return height
			}
			if fam == lattice.Level && math.Abs(x) > 4.05 {
				return 0
			}
			return 1
		}}.rectangle()
		if s := r.rate(count{tenByEight, 4}); (s.Past > 0.6) != told || s.Score == 0 {
			t.Errorf("ticks %g high go on outside: past %.2f, score %.1f", height, s.Past, s.Score)
		}
	}
	// They go on if they do for a box, and not for half of one.
	r := drawing{ticks: 4, beyond: 0.5}.rectangle()
	if s := r.rate(count{tenByEight, 4}); !(s.Past < 0.6) {
		t.Errorf("ticks go on for half a box: past %.2f", s.Past)
	}
}

// What stands at the places of ticks and reaches half a box deep is no tick, longer ticks at the divisions are.
func TestWhatReachesDeepIsNoTick(t *testing.T) {
	for _, c := range []struct {
		name    string
		long    func(division bool) float64
		seen    bool
		longer  float64
		atLeast float64
	}{
		{"short", func(bool) float64 { return 0.11 }, true, 0.2, 0},
		{"longer at divisions", func(d bool) float64 {
			if d {
				return 0.26
			}
			return 0.11
		}, true, 1, 0.6},
		{"deep", func(bool) float64 { return 0.4 }, false, 0, 0},
	} {
		r := drawing{ticks: 4, length: c.long}.rectangle()
		s := r.rate(count{tenByEight, 4})
		if (s.Score > 0) != c.seen || s.Longer < c.atLeast || s.Longer > c.longer {
			t.Errorf("%s: score %.1f, longer to %.2f", c.name, s.Score, s.Longer)
		}
	}
}

// Two ticks a box are enough to count on, in noise none are.
func TestTwoTicksABoxAreEnough(t *testing.T) {
	r := drawing{ticks: 2}.rectangle()
	if f, ok := r.countedAndFitted(geom.Frame{}); !ok || f.Frame != (geom.Frame{Cols: 10, Rows: 8}) || f.Sight.Score > 11 {
		t.Errorf("with two ticks a box: %v, score %.1f", f.Frame, f.Sight.Score)
	}
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 1))
		r := drawing{also: func(b geom.Box) float64 { return 0.2 * rng.NormFloat64() }}.rectangle()
		if f, ok := r.countedAndFitted(geom.Frame{}); ok {
			t.Errorf("in noise %v is counted, score %.1f", f.Frame, f.Sight.Score)
		}
	}
}

// A frame is no display's if lines like rims run a box inside three of its sides.
func TestLinesInsideAFrameMakeItABezel(t *testing.T) {
	line := func(share float64, x, along float64) float64 { // of pieces, from the left or the bottom
		if along+5 > share*10 {
			return 0
		}
		return bell(x)
	}
	for _, c := range []struct {
		name string
		also func(b geom.Box) float64
		want int
	}{
		{"none", nil, 0},
		{"seven tenths of a line", func(b geom.Box) float64 { return line(0.7, b.Y-3, b.X) }, 1},
		{"half of a line", func(b geom.Box) float64 { return line(0.5, b.Y-3, b.X) }, 0},
		{"a line and a part of the next", func(b geom.Box) float64 { return max(line(1, b.Y-3, b.X), line(0.25, b.Y-2, b.X)) }, 1},
		{"a line and half of the next", func(b geom.Box) float64 { return max(line(1, b.Y-3, b.X), line(0.5, b.Y-2, b.X)) }, 0},
	} {
		r := drawing{ticks: 4, also: c.also}.rectangle()
		if n := r.inner(count{tenByEight, 4}); n != c.want {
			t.Errorf("%s: %d sides have a line like a rim inside, want %d", c.name, n, c.want)
		}
	}
	for sides, ok := range map[int]bool{2: true, 3: false} {
		r := drawing{ticks: 5, also: func(b geom.Box) float64 {
			v := max(line(1, b.Y-3, b.X), line(1, b.Y+3, b.X))
			if sides > 2 {
				v = max(v, line(1, b.X-4, b.Y))
			}
			return v
		}}.rectangle()
		if f, got := r.countedAndFitted(geom.Frame{Cols: 10, Rows: 8}); got != ok {
			t.Errorf("a line inside %d sides: found is %v, %d, score %.1f", sides, got, f.Inner, f.Sight.Score)
		}
	}
}

// Of each rim a quarter of the pieces must be seen, and half of three of them; and they may lie 0.07 box off.
func TestWhichRimsMakeAFrame(t *testing.T) {
	for _, c := range []struct {
		name        string
		left, upper int // pieces seen, of 8 and of 10
		off         float64
		want        bool
	}{
		{"all", 8, 10, 0, true},
		{"three of ten of one", 8, 3, 0, true},
		{"two of ten of one", 8, 2, 0, false},
		{"three of eight and three of ten", 3, 3, 0, false},
		{"five of eight and six of ten", 5, 6, 0, true},
		{"off by 0.055", 8, 10, 0.055, true},
		{"off by 0.1", 8, 10, 0.1, false},
	} {
		r := drawing{shift: geom.Box{X: c.off, Y: c.off}, rim: func(fam lattice.Family, at float64, cell int) float64 {
			if fam == lattice.Upright && at < 0 && cell+4 >= c.left || fam == lattice.Level && at > 0 && cell+5 >= c.upper {
				return 0
			}
			return 1
		}}.rectangle()
		if got := r.toRims(); got != c.want {
			t.Errorf("%s: a frame is %v, rims %.2f", c.name, got, r.rims)
		}
	}
}

// A mark that stands out less than a third as well as the others is not seen; that is so where its light comes near the
// floor of noise.
func TestLowMarksAreNotSeen(t *testing.T) {
	for height, want := range map[float64]bool{0.1: true, 0.05: false} {
		r := drawing{ticks: 1, tick: func(fam lattice.Family, k int, _ float64) float64 {
			if fam == lattice.Upright && k == 2 {
				return height
			}
			return 1
		}}.rectangle()
		s := r.rate(count{tenByEight, 1})
		obs, _, _, _ := observeMarks(r.near, &r.m, 1, s.marks(), [markKinds]float64{tickMark: 0.1})
		seen := false
		for _, o := range obs {
			seen = seen || o.Of == lattice.Upright && o.At == 2
		}
		if seen != want {
			t.Errorf("a mark %g high: seen is %v", height, seen)
		}
	}
}

// The height of a cross is that of its arms over a ring that neither longer arms nor the next dots reach.
func TestTheHeightOfACross(t *testing.T) {
	cross := func(arm float64) func(b geom.Box) float64 {
		return func(b geom.Box) float64 {
			x, y := b.X-math.Round(b.X), b.Y-math.Round(b.Y)
			v := 0.0
			if math.Abs(y) < arm {
				v = max(v, bell(x))
			}
			if math.Abs(x) < arm {
				v = max(v, bell(y))
			}
			return v
		}
	}
	dots := func(b geom.Box) float64 {
		x, y := math.Abs(b.X-math.Round(b.X))-0.4, math.Abs(b.Y-math.Round(b.Y))-0.4
		return max(bell(math.Hypot(x, b.Y-math.Round(b.Y))), bell(math.Hypot(y, b.X-math.Round(b.X))))
	}
	for name, also := range map[string]func(b geom.Box) float64{
		"short arms": cross(0.08), "long arms": cross(0.14),
		"with dots": func(b geom.Box) float64 { return max(cross(0.08)(b), dots(b)) },
	} {
		r := drawing{also: also}.rectangle()
		if v := r.spot(count{tenByEight, 0}, 2, 1); v < 0.45 {
			t.Errorf("%s: a cross of 0.5 is %.3f high", name, v)
		}
	}
}

// A hidden rim is worth a mark and a half, a line inside a side half a mark.
func TestWhatAFoundFrameIsWorth(t *testing.T) {
	whole := [4]float64{1, 1, 1, 1}
	found := func(score float64, inner int, rims [4]float64) *Found {
		return &Found{Sight: Sight{Score: score}, Inner: inner, Rims: rims}
	}
	for _, c := range []struct {
		name string
		a, b *Found
		over bool
	}{
		{"a hidden rim, 1.1 more", found(10, 0, [4]float64{0.2, 1, 1, 1}), found(8.9, 0, whole), false},
		{"a hidden rim, 1.9 more", found(10, 0, [4]float64{0.2, 1, 1, 1}), found(8.1, 0, whole), true},
		{"a rim seen to 0.6", found(10, 0, [4]float64{0.6, 1, 1, 1}), found(9.5, 0, whole), true},
		{"a rim seen to 0.4", found(10, 0, [4]float64{0.4, 1, 1, 1}), found(9.5, 0, whole), false},
		{"a line inside, 0.3 more", found(10, 1, whole), found(9.7, 0, whole), false},
		{"a line inside, 0.7 more", found(10, 1, whole), found(9.3, 0, whole), true},
	} {
		if got := c.a.Worth() > c.b.Worth(); got != c.over {
			t.Errorf("%s: worth more is %v", c.name, got)
		}
	}
}
