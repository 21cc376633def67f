package upright

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// What looks the same upside down tells nothing; what does not tells for the way it stands.
func TestSymmetricLettersWeighNothing(t *testing.T) {
	_, order := glyphTable(t)
	at := func(g *glyph) float64 {
		up, down := likeness(&g.shape, math.Exp(float64(g.aspect)))
		return up - down
	}
	for i := range glyphs {
		g, r := &glyphs[i], order[i]
		switch {
		case strings.ContainsRune(symmetric, r):
			if d := at(g); math.Abs(d) > 1 {
				t.Errorf("%c weighs %.2f", r, d)
			}
		case strings.ContainsRune("4EFGJKLPRk7", r):
			if d := at(g); d < 1 {
				t.Errorf("%c weighs only %.2f", r, d)
			}
		}
	}
	// Half a turn changes the sign of all.
	for i := range glyphs {
		g := &glyphs[i]
		up, down := likeness(&g.shape, math.Exp(float64(g.aspect)))
		u, d := likeness(g.shape.upsideDown(), math.Exp(float64(g.aspect)))
		if math.Abs(up-d) > 1e-6 || math.Abs(down-u) > 1e-6 {
			t.Fatalf("%c: %g %g, upside down %g %g", order[i], up, down, u, d)
		}
	}
}

func TestOneShapeCountsTwiceAtMost(t *testing.T) {
	l := letter{shape: glyphs[0].shape, up: 3}
	var one, many tally
	one.add([]letter{l, l})
	many.add(slices.Repeat([]letter{l}, 50))
	if a, b := one.words(), many.words(); math.Abs(a.Odds-b.Odds) > 1e-9 || a.Odds != 6 {
		t.Errorf("two: %+v, fifty: %+v", *a, *b)
	}
	if w := many.words(); w.Sure() {
		t.Errorf("one shape is sure: %+v", *w)
	}
}

// Blobs are what a flood finds.
func TestBlobsAreConnected(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		w, h := 1+rng.IntN(20), 1+rng.IntN(20)
		diff, least := make([]float32, w*h), make([]float32, w*h)
		for i := range diff {
			diff[i], least[i] = float32(rng.IntN(2)), 0.5
		}
		var want []blob
		seen := make([]bool, w*h)
		for start := range diff {
			if seen[start] || diff[start] == 0 {
				continue
			}
			b := blob{w, h, 0, 0, 0}
			stack := []int{start}
			seen[start] = true
			for len(stack) > 0 {
				k := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				x, y := k%w, k/w
				b.x0, b.y0, b.x1, b.y1 = min(b.x0, x), min(b.y0, y), max(b.x1, x+1), max(b.y1, y+1)
				b.area++
				for v := max(y-1, 0); v <= min(y+1, h-1); v++ {
					for u := max(x-1, 0); u <= min(x+1, w-1); u++ {
						if n := v*w + u; !seen[n] && diff[n] != 0 {
							seen[n] = true
							stack = append(stack, n)
						}
					}
				}
			}
			if b.area > 1 {
				want = append(want, b)
			}
		}
		got := blobs(diff, least, w, h, 1)
		if !slices.Equal(got, want) {
			t.Fatalf("%d × %d: %v, want %v", w, h, got, want)
		}
	}
}

func TestAQuarterTurnFourTimesIsNone(t *testing.T) {
	b := blob{3, 4, 10, 20, 7}
	if got := b.clockwise().clockwise().clockwise().clockwise(); got != b {
		t.Errorf("%v", got)
	}
}

// What is done with a photo grows with the odds: what may turn it tells, and few shapes turn nothing.
func TestClaimsGrowWithTheOdds(t *testing.T) {
	for _, turn := range []int{0, 90, 180, 270} {
		for odds := 0.0; odds < 12; odds += 0.5 {
			w := Words{Turn: turn, Odds: odds, Agree: 3}
			if w.Sure() && !w.Told() || w.Upright() != (w.Told() && turn == 0) {
				t.Errorf("%+v", w)
			}
			if w.Agree = 1; w.Sure() {
				t.Errorf("%+v is sure though few shapes say so", w)
			}
		}
	}
}
