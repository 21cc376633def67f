package upright

import (
	"math"
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
