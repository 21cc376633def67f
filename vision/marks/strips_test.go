package marks

import (
	"testing"

	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
	"quadrille/vision/synth"
)

// rectangleOn gives the rectangle at the true frame of a simulated display.
func rectangleOn(t *testing.T, d synth.Display) rectangle {
	t.Helper()
	img, tr := synth.Scene{Seed: 3, Display: d, Camera: synth.Phone()}.WithMegapixels(0.8).Shoot()
	q := quad{sign: 1}
	for i, c := range tr.CornersPx {
		q.corners[i] = geom.Pixel{X: c[0], Y: c[1]}
	}
	s := scene.Of(photo.New(img))
	r, ok := rectangleOf(s, closerTo(s, scene.Photographed, []quad{q}), &q)
	if !ok {
		t.Fatal("the rims were not seen")
	}
	r.sample()
	return r
}

// What counts share is looked at once: no answer depends on what was asked before.
func TestWhatCountsShareIsTheSameForAll(t *testing.T) {
	r := rectangleOn(t, synth.Display{Grid: synth.Ticks})
	sizes := append(frame.MarkedSizes(geom.Frame{}), frame.Sizes(geom.Frame{Cols: 15, Rows: 9})...)
	for range 2 { // the second time all answers are kept ones
		for _, z := range sizes {
			for _, ticks := range ticksOf {
				for i := range r.strip {
					for band := range tickBands {
						c := count{z, ticks}
						if got, want := r.combOf(i, c, band), r.strip[i].ticksAt(c, band, 0); got != want {
							t.Fatalf("%+v on strip %d, band %d: %+v, looked at alone %+v", c, i, band, got, want)
						}
					}
				}
			}
		}
	}
	if all := len(sizes) * len(ticksOf) * len(r.strip) * tickBands; 2*len(r.combs) > all {
		t.Errorf("%d of %d answers are kept: nothing was shared", len(r.combs), all)
	}
}

// Ticks of the true count are seen on all strips that have them, and those of each third or fifth of them are not taken
// for it.
func TestTheCountIsTheOneWhoseTicksAreAllThere(t *testing.T) {
	for _, d := range []synth.Display{
		{Grid: synth.Ticks},
		{Grid: synth.Axes, Frame: geom.Frame{Cols: 12, Rows: 8}},
		{Grid: synth.Axes, Minor: 4, Frame: geom.Frame{Cols: 15, Rows: 10}, Centred: true},
		{Grid: synth.Crosses, Frame: geom.Frame{Cols: 14, Rows: 8}},
	} {
		want := d.Frame
		if want == (geom.Frame{}) {
			want = geom.Frame{Cols: 10, Rows: 8}
		}
		r := rectangleOn(t, d)
		s := r.count(geom.Frame{})
		if s.Size.Boxes() != want || s.Size.Centred != d.Centred || s.Score < 9 || s.Rival > 0.9 {
			t.Errorf("%v, %v: counted %+v, score %.1f, the next has %.2f of it", d.Grid, want, s.Size, s.Score, s.Rival)
		}
	}
}
