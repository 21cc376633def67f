package frame

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
	"quadrille/vision/synth"
)

// bestOfAll is the naive twin of Best: every rectangle is scored with its ticks.
func bestOfAll(s *Survey, want geom.Frame) (best Frame, margin float64, ok bool) {
	all := s.Where(want, func(Frame) bool { return true })
	at := -1
	for i, f := range all {
		if at < 0 || f.Score > all[at].Score {
			at = i
		}
	}
	if at < 0 {
		return best, 0, false
	}
	next := math.Inf(-1)
	for i, f := range all {
		if i != at {
			next = max(next, f.Score)
		}
	}
	return all[at], all[at].Score - next, all[at].Score > 0
}

// surveysOfPhotos grows lattices on simulated photos and surveys them.
func surveysOfPhotos(t *testing.T) (out []*Survey) {
	rng := rand.New(rand.NewPCG(5, 9))
	for seed := uint64(1); seed <= 2; seed++ {
		img, _ := synth.Random(seed).WithMegapixels(0.6).Shoot()
		sc := scene.Of(photo.New(img))
		from := lattice.SourceOf(sc, scene.Photographed)
		var grown []*lattice.Grown
		for _, sd := range lattice.Seeds(sc.Ridges(scene.Photographed, scene.Coarse), 2, false) {
			if g, ok := lattice.Grow(from, sd, grown); ok {
				g.Dotted = rng.IntN(4) == 0
				grown = append(grown, &g)
				out = append(out, Of(&g, sc.Picture(scene.Photographed, scene.Fine)))
			}
		}
	}
	if len(out) < 4 {
		t.Fatalf("only %d lattices were grown", len(out))
	}
	return out
}

// Ticks are looked for on few rectangles, and nothing changes by that.
func TestBestIsTheBestOfAllRectangles(t *testing.T) {
	surveys := surveysOfPhotos(t)
	for _, d := range []dottedScreen{{perBox: 5, ticks: true}, {perBox: 4, axes: true}, {perBox: 2}} {
		surveys = append(surveys, dottedSurvey(d, dottedMap, lattice.Extent{Left: -3, Right: 5, Bottom: -4, Top: 3}))
	}
	for i, s := range surveys {
		for _, want := range []geom.Frame{{}, {Cols: 10, Rows: 8}, {Rows: 10}, {Cols: 15}, {Cols: 7, Rows: 5}, {Cols: 6, Rows: 6}, {Cols: 7}} {
			got, margin, ok := s.Best(want)
			best, ahead, any := bestOfAll(s, want)
			if ok != any || ok && got != best {
				t.Errorf("survey %d, %v asked for: %+v %v, the best of all is %+v %v", i, want, got, ok, best, any)
				continue
			}
			if !ok {
				continue
			}
			// Where no other is better than nothing, the margin may be told as that above nothing.
			if margin > ahead || margin < min(ahead, best.Score) {
				t.Errorf("survey %d, %v asked for: margin %g, is %g", i, want, margin, ahead)
			}
		}
	}
}
