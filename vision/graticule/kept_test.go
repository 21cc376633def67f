package graticule_test

import (
	"os"
	"runtime"
	"testing"
	"time"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// A finder that has answered keeps few planes: a page has three photos open at once, and a phone little memory. The
// next question, a corner dragged, makes anew what it needs of them.
func TestAFinderKeepsLittle(t *testing.T) {
	heap := func() float64 {
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapInuse) / 1e6
	}
	for _, name := range []string{"slow-pale", "fast-blue", "pair-colour"} {
		b, err := os.ReadFile("../../testdata/photos/" + name + ".jpg")
		if err != nil {
			t.Fatal(err)
		}
		ph, err := photo.Decode(t.Context(), b, nil)
		if err != nil {
			t.Fatal(err)
		}
		before := heap()
		f := graticule.NewFinder(ph)
		g, err := f.Find(t.Context(), nil)
		if err != nil {
			t.Fatal(err)
		}
		kept := heap() - before
		h, v := float64(g.Frame.Cols)/2, float64(g.Frame.Rows)/2
		c := [4]geom.Pixel{g.Pixel(geom.Box{X: -h, Y: v}), g.Pixel(geom.Box{X: h, Y: v}), g.Pixel(geom.Box{X: h, Y: -v}), g.Pixel(geom.Box{X: -h, Y: -v})}
		c[0].X += 5
		begun := time.Now()
		if _, err := f.Find(t.Context(), &graticule.Options{Corners: &c}); err != nil {
			t.Fatal(err)
		}
		took := time.Since(begun)
		c[1].Y += 3
		begun = time.Now()
		if _, err := f.Find(t.Context(), &graticule.Options{Corners: &c}); err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %.1f MB kept of %d × %d px, a corner in %v and %v; then %.1f MB", name, kept, ph.W, ph.H, took, time.Since(begun), heap()-before)
		const most = 12 // MB: the fine picture of the photo, and what is known of its lattices
		if kept > most {
			t.Errorf("%s: %.1f MB are kept", name, kept)
		}
		runtime.KeepAlive(f)
	}
}
