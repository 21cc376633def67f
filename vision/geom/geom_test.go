package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// quad draws a convex quadrilateral that a tilted display could make.
func quad(t *rapid.T) [4]Pixel {
	jitter := func(name string) float64 { return rapid.Float64Range(-0.2, 0.2).Draw(t, name) }
	size := rapid.Float64Range(50, 5000).Draw(t, "size")
	q := [4]Pixel{{0, 0}, {1, 0}, {1, 0.8}, {0, 0.8}}
	for i := range q {
		q[i] = Pixel{size * (q[i].X + jitter("x")), size * (q[i].Y + jitter("y"))}
	}
	return q
}

func TestHomographyTakesEachCornerToItsPixel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q, f := quad(t), Frame{10, 8}
		h, err := HomographyOf(f.Corners(), q)
		if err != nil {
			t.Fatal(err)
		}
		for i, b := range f.Corners() {
			if p := h.Pixel(b); math.Hypot(p.X-q[i].X, p.Y-q[i].Y) > 1e-7 {
				t.Fatalf("corner %d at %v, want %v", i, p, q[i])
			}
		}
	})
}

func TestBoxUndoesPixel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, err := HomographyOf(Frame{10, 8}.Corners(), quad(t))
		if err != nil {
			t.Fatal(err)
		}
		b := Box{rapid.Float64Range(-5, 5).Draw(t, "bx"), rapid.Float64Range(-4, 4).Draw(t, "by")}
		if c := h.Box(h.Pixel(b)); math.Hypot(c.X-b.X, c.Y-b.Y) > 1e-8 {
			t.Fatalf("%v came back as %v", b, c)
		}
	})
}

func TestStraightenUndoesBend(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Radial{Centre: Pixel{2000, 1500}, Scale: 2500, K: rapid.Float64Range(-0.2, 0.2).Draw(t, "k")}
		p := Pixel{rapid.Float64Range(0, 4000).Draw(t, "x"), rapid.Float64Range(0, 3000).Draw(t, "y")}
		if q := l.Straighten(l.Bend(p)); math.Hypot(q.X-p.X, q.Y-p.Y) > 1e-7 {
			t.Fatalf("%v came back as %v", p, q)
		}
	})
}

func TestCrossedOrCollinearCornersAreRefused(t *testing.T) {
	for name, q := range map[string][4]Pixel{
		"crossed":   {{0, 0}, {100, 100}, {100, 0}, {0, 100}},
		"collinear": {{0, 0}, {50, 0}, {100, 0}, {0, 100}},
		"one point": {{5, 5}, {5, 5}, {5, 5}, {5, 5}},
		"dented":    {{0, 0}, {100, 0}, {20, 20}, {0, 100}},
		"nan":       {{math.NaN(), 0}, {100, 0}, {100, 100}, {0, 100}},
	} {
		if _, err := HomographyOf(Frame{10, 8}.Corners(), q); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

func FuzzHomography(f *testing.F) {
	f.Add(0.0, 0.0, 100.0, 2.0, 98.0, 80.0, 1.0, 79.0)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g, h, i float64) {
		for _, v := range []float64{a, b, c, d, e, g, h, i} {
			if !(math.Abs(v) < 1e5) {
				return // no photo has such coordinates
			}
		}
		q := [4]Pixel{{a, b}, {c, d}, {e, g}, {h, i}}
		m, err := HomographyOf(Frame{10, 8}.Corners(), q)
		if err != nil {
			return
		}
		for k, box := range (Frame{10, 8}).Corners() {
			p := m.Pixel(box)
			if !(math.Hypot(p.X-q[k].X, p.Y-q[k].Y) < 1e-3*(1+math.Hypot(q[k].X, q[k].Y))) {
				t.Fatalf("corner %d at %v, want %v", k, p, q[k])
			}
		}
	})
}

// Under a stretch by 2 a term grows by 2 to its power, and the last is the cube of the height.
func TestTermsOfAFaceAreThoseOfTheSecondAndThirdPower(t *testing.T) {
	f := Face{Half: Box{X: 1, Y: 1}}
	one, two := f.Terms(Box{X: 0.3, Y: 0.4}), f.Terms(Box{X: 0.6, Y: 0.8})
	counts := map[int]int{}
	for i := range one {
		counts[int(math.Round(math.Log2(two[i]/one[i])))]++
	}
	if counts[2] != 3 || counts[3] != 4 || len(counts) != 2 || math.Abs(one[len(one)-1]-0.064) > 1e-12 {
		t.Errorf("terms %v, powers %v", one, counts)
	}
}
