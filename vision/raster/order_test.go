package raster

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

func TestRanksAreThoseOfTheSortedList(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Few values, so that many are equal.
		quarters := rapid.Map(rapid.IntRange(-5, 20), func(i int) float32 { return float32(i) / 4 })
		v := rapid.SliceOfN(quarters, 1, 60).Draw(t, "v")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		sorted := slices.Sorted(slices.Values(v))
		n := len(v)
		if got, want := Rank(slices.Clone(v), p), sorted[int(math.Round(p*float64(n-1)))]; got != want {
			t.Fatalf("rank %v: %v, want %v", p, got, want)
		}
		if got, want := Median(slices.Clone(v)), (sorted[(n-1)/2]+sorted[n/2])/2; got != want {
			t.Fatalf("median: %v, want %v", got, want)
		}
		wide := make([]float64, n)
		for i, x := range sorted {
			wide[i] = float64(x)
		}
		// Gonum counts the share of the list up to and with an element: the middle one of n is at (n+1)/2n.
		want := stat.Quantile(float64(n+1)/float64(2*n), stat.LinInterp, wide, nil)
		if got := Median(slices.Clone(wide)); math.Abs(got-want) > 1e-12 {
			t.Fatalf("median: %v, gonum has %v", got, want)
		}
	})
	if Median[float32](nil) != 0 || Rank[float64](nil, 0.3) != 0 {
		t.Error("no list has a rank other than 0")
	}
}

// All orders of nine have the middle that Median finds, equal ones among them.
func TestMedianOf9IsTheMedian(t *testing.T) {
	for _, kinds := range []int{9, 3, 2} {
		var v [9]float32
		for i := range v {
			v[i] = float32(i % kinds)
		}
		want := Median(slices.Clone(v[:]))
		count := [9]int{} // Heap's algorithm: each order differs from the one before by a swap
		for i := 0; i < 9; {
			w := v
			if got := MedianOf9(&w); got != want {
				t.Fatalf("%v: %v, want %v", v, got, want)
			}
			if count[i] >= i {
				count[i] = 0
				i++
				continue
			}
			if i%2 == 0 {
				v[0], v[i] = v[i], v[0]
			} else {
				v[count[i]], v[i] = v[i], v[count[i]]
			}
			count[i]++
			i = 0
		}
	}
}

func BenchmarkMedian(b *testing.B) {
	rng := rand.New(rand.NewPCG(13, 14))
	for _, n := range []int{29, 400} {
		// A new list each time: a processor learns by heart which way the branches of one list go.
		v, w, at := make([]float64, 1<<18), make([]float64, n), 0
		for i := range v {
			v[i] = rng.Float64()
		}
		list := func() []float64 {
			at = (at + n) % (len(v) - n)
			copy(w, v[at:])
			return w
		}
		name := map[int]string{29: "n=29", 400: "n=400"}[n]
		b.Run("way=raster/"+name, func(b *testing.B) {
			for b.Loop() {
				Median(list())
			}
		})
		b.Run("way=gonum/"+name, func(b *testing.B) {
			for b.Loop() {
				slices.Sort(list())
				stat.Quantile(float64(n+1)/float64(2*n), stat.LinInterp, w, nil)
			}
		})
	}
}
