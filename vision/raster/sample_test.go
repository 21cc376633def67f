package raster

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"quadrille/vision/geom"
)

// random gives a plane of samples in 0..1.
func random(w, h int, seed uint64) *Plane {
	rng := rand.New(rand.NewPCG(seed, 1))
	p := New(w, h)
	for i := range p.Pix {
		p.Pix[i] = rng.Float32()
	}
	return p
}

// blend is the textbook's bilinear interpolation, in float64; the border goes on outwards.
func blend(p *Plane, q geom.Pixel) float64 {
	at := func(x, y int) float64 { return float64(p.Row(min(max(y, 0), p.H-1))[min(max(x, 0), p.W-1)]) }
	x, y := q.X-0.5, q.Y-0.5
	i, j := math.Floor(x), math.Floor(y)
	u, v := x-i, y-j
	m, n := int(i), int(j)
	return (1-u)*(1-v)*at(m, n) + u*(1-v)*at(m+1, n) + (1-u)*v*at(m, n+1) + u*v*at(m+1, n+1)
}

// A thousand samples along a line are each within 2.5e-7 of their place, and the light climbs by at most
// 1 a sample along either axis.
const sampleSlack = 1e-6

func TestBilinearIsTheTextbooks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(2, 9).Draw(t, "w"), rapid.IntRange(2, 9).Draw(t, "h")
		p := random(w, h, rapid.Uint64().Draw(t, "seed"))
		q := geom.Pixel{
			X: rapid.Float64Range(0.5, float64(w)-0.5).Draw(t, "x"),
			Y: rapid.Float64Range(0.5, float64(h)-0.5).Draw(t, "y"),
		}
		v, ok := p.Bilinear(q)
		if want := blend(p, q); !ok || math.Abs(float64(v)-want) > sampleSlack {
			t.Fatalf("%v %v, want %v", v, ok, want)
		}
		if c := p.Clamped(q); c != v {
			t.Fatalf("clamped %v, bilinear %v", c, v)
		}
		half := p.Double().Reduce(2)
		if of, ok := Bilinears([3]*Plane{p, half, p}, q); !ok || of[0] != v || of[2] != v || of[1] != half.Clamped(q) {
			t.Fatalf("of three planes %v %v, want %v", of, ok, v)
		}
	})
}

func TestClampedGoesOnOutwards(t *testing.T) {
	p := random(6, 4, 3)
	for _, q := range []geom.Pixel{
		{X: -3, Y: 2}, {X: 2.2, Y: 0.1}, {X: 7, Y: 9}, {X: 0.5, Y: 0.5}, {X: 5.5, Y: 3.5}, {X: math.Inf(1), Y: 1.7},
	} {
		near := geom.Pixel{X: min(max(q.X, 0.5), 5.5), Y: min(max(q.Y, 0.5), 3.5)}
		if v, want := float64(p.Clamped(q)), blend(p, near); math.Abs(v-want) > sampleSlack {
			t.Errorf("at %v: %v, want %v", q, v, want)
		}
	}
	if v := p.Clamped(geom.Pixel{X: math.NaN(), Y: 2}); v != 0 {
		t.Errorf("at NaN: %v", v)
	}
}

func TestARunIsSamplesOneByOne(t *testing.T) {
	p := random(40, 30, 4)
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, n int) float64 {
			last := float64(n) - 0.5
			return rapid.OneOf(rapid.Float64Range(0.5, last), rapid.SampledFrom([]float64{0.5, last})).Draw(t, name)
		}
		from := geom.Pixel{X: draw("x0", p.W), Y: draw("y0", p.H)}
		to := geom.Pixel{X: draw("x1", p.W), Y: draw("y1", p.H)}
		dst := make([]float32, rapid.IntRange(0, 1000).Draw(t, "n"))
		sum := make([]float32, len(dst))
		if !p.Run(dst, from, to) || !p.AddRun(sum, from, to) || !p.AddRun(sum, from, to) {
			t.Fatal("outside")
		}
		for i, v := range dst {
			f := float64(i) / max(float64(len(dst)-1), 1)
			want := blend(p, geom.Pixel{X: from.X + f*(to.X-from.X), Y: from.Y + f*(to.Y-from.Y)})
			if math.Abs(float64(v)-want) > sampleSlack || math.Abs(float64(sum[i])-2*want) > 2*sampleSlack {
				t.Fatalf("sample %d: %v, twice %v, want %v", i, v, sum[i], want)
			}
		}
	})
}

func TestARunThatLeavesThePlaneChangesNothing(t *testing.T) {
	p := random(8, 6, 5)
	in := geom.Pixel{X: 3, Y: 3}
	for _, out := range []geom.Pixel{
		{X: 0.4, Y: 3}, {X: 7.6, Y: 3}, {X: 3, Y: 0.4}, {X: 3, Y: 5.6}, {X: math.NaN(), Y: 3}, {X: 3, Y: math.Inf(-1)},
	} {
		dst := []float32{7, 7}
		ran := p.Run(dst, in, out) || p.Run(dst, out, in) || p.AddRun(dst, in, out) || p.AddRun(dst, out, in)
		if ran || dst[0] != 7 || dst[1] != 7 {
			t.Errorf("to %v: %v", out, dst)
		}
	}
	for _, thin := range []*Plane{New(1, 5), New(5, 1), New(0, 0)} {
		if thin.Run(make([]float32, 2), geom.Pixel{X: 0.5, Y: 0.5}, geom.Pixel{X: 0.5, Y: 0.5}) {
			t.Errorf("a plane of %d × %d was sampled", thin.W, thin.H)
		}
	}
}

// A run between any two places samples inside the plane, or not at all.
func FuzzRun(f *testing.F) {
	f.Add(2, 2, 5, 0.5, 0.5, 1.5, 1.5)
	f.Add(3, 9, 100, 2.5, 8.5, 0.5, 0.5)
	f.Add(7, 4, 3, math.NaN(), 2.0, math.Inf(1), 1e300)
	f.Fuzz(func(t *testing.T, w, h, n int, x0, y0, x1, y1 float64) {
		w, h, n = w&15, h&15, n&1023
		p := New(w, h)
		for i := range p.Pix {
			p.Pix[i] = 1
		}
		dst := make([]float32, n)
		ok := p.Run(dst, geom.Pixel{X: x0, Y: y0}, geom.Pixel{X: x1, Y: y1})
		for _, v := range dst {
			if ok != (v == 1) {
				t.Fatalf("run %v, sample %v", ok, v)
			}
		}
	})
}

// stepwise is a run as it is written first: float64 places, each turned into a sample and its shares.
func stepwise(dst []float32, p *Plane, from, to geom.Pixel) {
	x, y := from.X-0.5, from.Y-0.5
	n := float64(len(dst) - 1)
	dx, dy := (to.X-from.X)/n, (to.Y-from.Y)/n
	for i := range dst {
		xi, yi := int(x), int(y)
		fx, fy := float32(x-float64(xi)), float32(y-float64(yi))
		q := p.Pix[yi*p.W+xi:]
		top := q[0] + fx*(q[1]-q[0])
		q = q[p.W:]
		low := q[0] + fx*(q[1]-q[0])
		dst[i] += top + fy*(low-top)
		x += dx
		y += dy
	}
}

func BenchmarkRun(b *testing.B) {
	p, dst := random(1280, 960, 6), make([]float32, 29)
	rng := rand.New(rand.NewPCG(7, 8))
	var ends [256][2]geom.Pixel
	for i := range ends {
		from := geom.Pixel{X: 100 + 1000*rng.Float64(), Y: 100 + 700*rng.Float64()}
		ends[i] = [2]geom.Pixel{from, {X: from.X + 30, Y: from.Y + 4*rng.Float64() - 2}}
	}
	b.Run("way=raster", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			p.AddRun(dst, ends[i&255][0], ends[i&255][1])
		}
	})
	b.Run("way=stepwise", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			stepwise(dst, p, ends[i&255][0], ends[i&255][1])
		}
	})
}
