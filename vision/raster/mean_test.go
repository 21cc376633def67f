package raster

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// meanOf is the naive running mean of a row.
func meanOf(row []float32, n int) []float32 {
	out := make([]float32, len(row))
	for x := range row {
		sum, count := 0.0, 0
		for i := max(x-n/2, 0); i <= min(x+n/2, len(row)-1); i++ {
			sum += float64(row[i])
			count++
		}
		out[x] = float32(sum / float64(count))
	}
	return out
}

func meanTwice(p *Plane, n int) *Plane {
	out := New(p.W, p.H)
	for y := range p.H {
		copy(out.Row(y), meanOf(meanOf(p.Row(y), n), n))
	}
	return out
}

func TestMeansAreThoseOfEachWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := random(rapid.IntRange(0, 150).Draw(t, "w"), rapid.IntRange(0, 90).Draw(t, "h"), rapid.Uint64().Draw(t, "seed"))
		n := 2*rapid.IntRange(0, 50).Draw(t, "r") + 1
		across, down := p.Transpose().Transpose(), p.Transpose()
		across.MeanAcrossTwice(n)
		down.MeanDownTwice(n)
		want := meanTwice(p, n)
		if d := apart(across, want); d > 1e-6 {
			t.Fatalf("across: %g apart", d)
		}
		if d := apart(down.Transpose(), want); d > 1e-6 {
			t.Fatalf("down: %g apart", d)
		}
	})
}

// What is bright leaves no trace behind it: sums do not drift.
func TestMeansForgetWhatHasLeftTheWindow(t *testing.T) {
	p := New(3, 4000)
	for y := range 1000 {
		p.Row(y)[1] = 1e6
	}
	across := p.Transpose()
	across.MeanAcrossTwice(35)
	p.MeanDownTwice(35)
	for y := 1034; y < p.H; y++ {
		if a, b := p.Row(y)[1], across.Row(1)[y]; math.Abs(float64(a)) > 1e-6 || math.Abs(float64(b)) > 1e-6 {
			t.Fatalf("row %d: %g, %g", y, a, b)
		}
	}
}

// apart is the largest difference of two planes of one size.
func apart(p, q *Plane) (d float64) {
	if p.W != q.W || p.H != q.H {
		return math.Inf(1)
	}
	for i, v := range p.Pix {
		d = max(d, math.Abs(float64(v-q.Pix[i])))
	}
	return d
}

// oneByOne makes the two means one after the other, with a sum that adds and takes off in turn.
func oneByOne(p *Plane, n int) {
	r, old := n/2, make([]float32, p.W)
	for y := range p.H {
		row := p.Row(y)
		for range 2 {
			copy(old, row)
			sum, count := 0.0, 0
			for _, v := range old[:min(r, p.W)] {
				sum += float64(v)
				count++
			}
			for x := range row {
				if x+r < p.W {
					sum += float64(old[x+r])
					count++
				}
				if x-r-1 >= 0 {
					sum -= float64(old[x-r-1])
					count--
				}
				row[x] = float32(sum / float64(count))
			}
		}
	}
}

func BenchmarkMeanTwice(b *testing.B) {
	p := random(1280, 960, 9)
	for _, way := range []struct {
		name string
		mean func(int)
	}{{"across", p.MeanAcrossTwice}, {"down", p.MeanDownTwice}, {"onebyone", func(n int) { oneByOne(p, n) }}} {
		b.Run("way="+way.name, func(b *testing.B) {
			for b.Loop() {
				way.mean(35)
			}
		})
	}
}
