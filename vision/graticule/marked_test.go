package graticule_test

import (
	"fmt"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// Displays on which no lines run across the field are found by their marks, without a doubt and to a
// hundredth of a box; and the uncertainty that Moves gives for a node is the spread of its error there too.
func TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks(t *testing.T) {
	var sum, n float64
	for _, s := range []synth.Scene{
		scene(61, synth.Display{Grid: synth.Crosses}),
		scene(65, synth.Display{Grid: synth.Axes, Minor: 4, Frame: geom.Frame{Cols: 15, Rows: 10}, Centred: true}),
		scene(66, synth.Display{Grid: synth.Ticks, Kind: synth.Pale, Minor: 2}),
	} {
		name := fmt.Sprintf("%v, seed %d", s.Display.Grid, s.Seed)
		img, tr := s.Shoot()
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if g.Frame != tr.Frame() || g.Centred != tr.Centred {
			t.Errorf("%s: found %v centred %v, is %v %v; doubts %q", name, g.Frame, g.Centred, tr.Frame(), tr.Centred, g.Doubts)
			continue
		}
		if e := nodeError(g, tr); e > 0.01 {
			t.Errorf("%s: nodes are %.4f boxes off (rms)", name, e)
		}
		if len(g.Doubts) > 0 {
			t.Errorf("%s: doubts %q", name, g.Doubts)
		}
		boxes, pixels := nodes(tr)
		ux, uy := make([]float64, len(boxes)), make([]float64, len(boxes))
		for _, m := range g.Moves(boxes) {
			for i := range boxes {
				ux[i] += m.DX[i] * m.DX[i]
				uy[i] += m.DY[i] * m.DY[i]
			}
		}
		of := 0.0
		for i, p := range pixels {
			b := g.Box(p)
			of += (b.X-boxes[i].X)*(b.X-boxes[i].X)/ux[i] + (b.Y-boxes[i].Y)*(b.Y-boxes[i].Y)/uy[i]
		}
		t.Logf("%s: %.4f box, pulls %.2f", name, nodeError(g, tr), math.Sqrt(of/float64(2*len(boxes))))
		sum, n = sum+of, n+float64(2*len(boxes))
	}
	if spread := math.Sqrt(sum / n); !(spread > 0.4 && spread < 1.25) {
		t.Errorf("spread of the pulls is %.2f", spread)
	}
}

// Ticks that are all alike, 60 across and 40 up, may be five to a box or four: the count must be doubted.
func TestACountThatTicksDoNotTellIsDoubted(t *testing.T) {
	s := scene(67, synth.Display{Grid: synth.Ticks, EvenTicks: true, Frame: geom.Frame{Cols: 12, Rows: 8}})
	sine, per := synth.Specimen(synth.Sine, geom.Frame{Cols: 12, Rows: 8})
	s.Signals, s.TimePerBox = []synth.Signal{sine}, per
	img, tr := s.Shoot()
	g, err := graticule.Find(t.Context(), photo.New(img), nil)
	if err == nil && len(g.Doubts) == 0 {
		t.Errorf("found %v without a doubt, is %v", g.Frame, tr.Frame())
	}
	g, err = graticule.Find(t.Context(), photo.New(img), &graticule.Options{Frame: tr.Frame()})
	if err != nil || g.Frame != tr.Frame() || nodeError(g, tr) > 0.01 || len(g.Doubts) > 0 {
		t.Errorf("with the count given: %v, %v", g, err)
	}
}

// Corners by hand that are off by up to 3 % of the photo's width are refined to the frame and its marks.
func TestCornersByHandAreRefinedOnMarks(t *testing.T) {
	s := scene(71, synth.Display{Grid: synth.Ticks, Frame: geom.Frame{Cols: 12, Rows: 8}})
	img, tr := s.Shoot()
	var c [4]geom.Pixel
	off := [4][2]float64{{0.02, 0.015}, {-0.025, 0.01}, {-0.02, -0.02}, {0.025, -0.02}}
	for i, p := range tr.CornersPx {
		c[i] = geom.Pixel{X: p[0] + off[i][0]*float64(tr.WidthPx), Y: p[1] + off[i][1]*float64(tr.WidthPx)}
	}
	g, err := graticule.Find(t.Context(), photo.New(img), &graticule.Options{Corners: &c, Frame: tr.Frame()})
	if err != nil {
		t.Fatal(err)
	}
	if e := nodeError(g, tr); !g.ByHand || g.Frame != tr.Frame() || e > 0.01 {
		t.Errorf("%v: by hand %v, %v, nodes are %.3f boxes off; doubts %q", s.Display.Grid, g.ByHand, g.Frame, e, g.Doubts)
	}
}
