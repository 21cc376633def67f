package raster

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// flood labels what hangs together by walking from sample to sample. Within a line neighbours are side by
// side; in the next line they are up to reach to either side.
func flood(on [][]bool, reach int) (list []Component, of [][]int) {
	of = make([][]int, len(on))
	for y := range on {
		of[y] = make([]int, len(on[y]))
		for x := range on[y] {
			of[y][x] = -1
		}
	}
	for y := range on {
		for x := range on[y] {
			if !on[y][x] || of[y][x] >= 0 {
				continue
			}
			c := Component{y, y, x, x, 0}
			stack := [][2]int{{y, x}}
			of[y][x] = len(list)
			for len(stack) > 0 {
				j, i := stack[len(stack)-1][0], stack[len(stack)-1][1]
				stack = stack[:len(stack)-1]
				c = Component{min(c.Line0, j), max(c.Line1, j+1), min(c.From, i), max(c.To, i+1), c.Area + 1}
				for v := max(j-1, 0); v <= min(j+1, len(on)-1); v++ {
					r := reach
					if v == j {
						r = 1
					}
					for u := max(i-r, 0); u <= min(i+r, len(on[v])-1); u++ {
						if on[v][u] && of[v][u] < 0 {
							of[v][u] = len(list)
							stack = append(stack, [2]int{v, u})
						}
					}
				}
			}
			list = append(list, c)
		}
	}
	return list, of
}

func TestComponentsAreWhatAFloodFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 30).Draw(t, "w"), rapid.IntRange(1, 30).Draw(t, "h")
		reach, share := rapid.IntRange(0, 3).Draw(t, "reach"), rapid.Float64Range(0, 1).Draw(t, "share")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		on := make([][]bool, h)
		var spans []Span
		for y := range on {
			on[y] = make([]bool, w)
			for x := range on[y] {
				on[y][x] = rng.Float64() < share
			}
			spans = Spans(spans, y, on[y])
		}
		got, of := Components(spans, reach)
		want, label := flood(on, reach)
		if !slices.Equal(got, want) {
			t.Fatalf("%v, want %v", got, want)
		}
		area := 0
		for i, s := range spans {
			for x := s.From; x < s.To; x++ {
				if area++; label[s.Line][x] != of[i] {
					t.Fatalf("(%d, %d) is of %d, want %d", x, s.Line, of[i], label[s.Line][x])
				}
			}
		}
		for _, c := range got {
			area -= c.Area
		}
		if area != 0 {
			t.Fatalf("%d samples in spans and in no component", area)
		}
	})
}

func BenchmarkComponents(b *testing.B) {
	const w, h = 900, 700
	rng := rand.New(rand.NewPCG(15, 16))
	on := make([][]bool, h)
	for y := range on {
		on[y] = make([]bool, w)
		for x := range on[y] {
			on[y][x] = rng.Float64() < 0.1
		}
	}
	b.Run("way=raster", func(b *testing.B) {
		var spans []Span
		for b.Loop() {
			spans = spans[:0]
			for y, row := range on {
				spans = Spans(spans, y, row)
			}
			Components(spans, 1)
		}
	})
	b.Run("way=flood", func(b *testing.B) {
		for b.Loop() {
			flood(on, 1)
		}
	})
}
