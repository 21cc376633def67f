package reading_test

import (
	"fmt"
	"math"
	"testing"

	"quadrille/cmd/internal/reading"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// A screen capture is a photo too: the display's own pixels, one for one, without a camera. It goes
// the same road. Its lines are whole pixels, so that each is known to half a pixel either way: 1/√12 px rms.
func TestAScreenCaptureIsReadToItsPixels(t *testing.T) {
	for _, c := range []struct {
		display       synth.Display
		width, height int
	}{
		{synth.Display{PixelsPerBox: 50}, 640, 512},
		{synth.Display{PixelsPerBox: 50, Grid: synth.Solid}, 640, 512},
		{synth.Display{PixelsPerBox: 60, Grid: synth.Fine, Frame: geom.Frame{Cols: 12, Rows: 8}}, 900, 600},
		{synth.Display{PixelsPerBox: 80, Frame: geom.Frame{Cols: 10, Rows: 10}}, 1000, 1000},
		{synth.Display{Kind: synth.Pale, PixelsPerBox: 30, Grid: synth.Fine}, 400, 320},
	} {
		d := c.display
		t.Run(fmt.Sprintf("%s/%s/%d", d.Kind, d.Grid, d.PixelsPerBox), func(t *testing.T) {
			scene := synth.Scene{Seed: 3, Display: d, Camera: synth.Camera{Width: c.width, Height: c.height}}
			first, err := scene.Truth()
			if err != nil {
				t.Fatal(err)
			}
			// Fill the photo so that one box is so many pixels.
			box := first.CornersPx[1][0] - first.CornersPx[0][0]
			scene.Camera.Fill = 0.6 * float64(first.Columns*d.PixelsPerBox) / box
			img, truth := scene.Shoot()
			if got := truth.NodesPx[0][1][0] - truth.NodesPx[0][0][0]; math.Abs(got-float64(d.PixelsPerBox)) > 1e-9 {
				t.Fatalf("a box is %g px", got)
			}
			r, err := reading.Read(t.Context(), encoded(img), asSet(truth))
			if err != nil {
				t.Fatal(err)
			}
			if off := gridError(r, truth) * float64(d.PixelsPerBox); !(off <= 1/math.Sqrt(12)) {
				t.Errorf("the grid is %.3f px off (rms), doubts %q", off, r.Graticule.Doubts)
			}
			t.Logf("the grid is %.3f px off (rms)", gridError(r, truth)*float64(d.PixelsPerBox))
			if len(r.Graticule.Doubts) > 0 {
				t.Errorf("doubts %q", r.Graticule.Doubts)
			}
			found := false
			for _, res := range r.Findings.Results {
				if res.Quantity == "tau" && res.Method == "curve" {
					found = true
					off := res.Value.X - *truth.Traces[0].TauS
					t.Logf("τ %.4g s, off %+.2f %%, U %.2f %%", res.Value.X, 100*off/res.Value.X, 100*res.Expanded/res.Value.X)
					// 95 % intervals: one in twenty may miss by chance, none by half as much again.
					if math.Abs(off) > 1.5*res.Expanded {
						t.Errorf("τ is %g s ± %g s (U), is %g s", res.Value.X, res.Expanded, *truth.Traces[0].TauS)
					}
				}
			}
			if !found {
				t.Errorf("no τ; doubts %q", r.AllDoubts())
			}
		})
	}
}
