package graticule_test

import (
	"context"
	"errors"
	"image"
	"math"
	"reflect"
	"sync"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// An answer is what Find gives.
type answer struct {
	g   *graticule.Graticule
	err error
}

func answerOf(g *graticule.Graticule, err error) answer { return answer{g, err} }

// same reports whether two answers are equal in every number and word.
func (a answer) same(b answer) bool {
	if a.g != nil && b.g != nil && math.IsNaN(a.g.RMS) && math.IsNaN(b.g.RMS) {
		p, q := *a.g, *b.g
		p.RMS, q.RMS = 0, 0
		a.g, b.g = &p, &q
	}
	return reflect.DeepEqual(a, b)
}

// Whatever a finder was asked before, it answers as one that was asked nothing; also when all ask at once.
func TestAFinderAnswersAsAFreshOne(t *testing.T) {
	f := geom.Frame{Cols: 8, Rows: 10}
	img, tr := faintWave(1, synth.Solid, f, 9).WithMegapixels(0.7).Shoot()
	ph := photo.New(img)
	corners := func(dx, dy float64) *[4]geom.Pixel {
		var c [4]geom.Pixel
		for i, p := range tr.CornersPx {
			c[i] = geom.Pixel{X: p[0] + dx*float64(1-i%2*2), Y: p[1] + dy}
		}
		return &c
	}
	questions := []graticule.Options{
		{},
		{Corners: corners(3, -4)},
		{},
		{Frame: f, Corners: corners(-5, 2)},
	}
	const again, uncounted = 2, 2 // the place of the first question's repetition; how many ask at once, for no count
	kept := graticule.NewFinder(ph)
	var fresh []answer
	for i := range questions {
		if i == again {
			fresh = append(fresh, fresh[0])
		} else {
			fresh = append(fresh, answerOf(graticule.Find(t.Context(), ph, &questions[i])))
		}
		if !fresh[i].same(answerOf(kept.Find(t.Context(), &questions[i]))) {
			t.Errorf("question %d is answered otherwise by a finder that was asked others", i)
		}
	}
	var together [uncounted]answer
	var wg sync.WaitGroup
	for i := range together {
		wg.Go(func() { together[i] = answerOf(kept.Find(t.Context(), &questions[i])) })
	}
	wg.Wait()
	for i := range together {
		if !together[i].same(fresh[i]) {
			t.Errorf("question %d is answered otherwise when all ask at once", i)
		}
	}
}

// A cancelled context ends the search, and leaves nothing behind that a later question would be misled by.
func TestACancelledContextEndsTheSearch(t *testing.T) {
	img, _ := scene(71, synth.Display{Grid: synth.Ticks, Frame: geom.Frame{Cols: 12, Rows: 8}}).WithMegapixels(0.7).Shoot()
	ph := photo.New(img)
	f := graticule.NewFinder(ph)
	stages := 0 // pictures of a whole search
	want := answerOf(graticule.Find(t.Context(), ph, &graticule.Options{Stage: func(string, image.Image) { stages++ }}))
	if want.err != nil || stages < 4 {
		t.Fatalf("%v after %d stages", want.err, stages)
	}
	for _, last := range []int{0, 1, stages / 2, stages - 1} {
		ctx, cancel := context.WithCancel(t.Context())
		if last == 0 {
			cancel()
		}
		seen := 0
		g, err := f.Find(ctx, &graticule.Options{Stage: func(name string, _ image.Image) {
			if seen++; seen == last {
				cancel()
			} else if ctx.Err() != nil && (searched[name] || name == "found") {
				t.Errorf("cancelled at picture %d, and %q was made nevertheless", last, name)
			}
		}})
		if g != nil || !errors.Is(err, context.Canceled) || seen < last {
			t.Errorf("cancelled at picture %d of %d: %v, %v", last, seen, g, err)
		}
		cancel()
	}
	if got := answerOf(f.Find(t.Context(), nil)); !got.same(want) {
		t.Errorf("after it was cancelled the finder gives %+v, not %+v", got.g, want.g)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 0)
	defer cancel()
	if g, err := graticule.Find(ctx, ph, nil); g != nil || !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("past its deadline: %v, %v", g, err)
	}
}

// searched are the pictures that a search hands out when it has looked at one more of the photo's.
var searched = map[string]bool{"evidence": true, "dimmed": true, "colourless": true, "marks": true}
