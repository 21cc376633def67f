package stroke

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

// A phone of the usual focal length, 26 mm on film 36 mm wide, stands 12 boxes before the middle of the display. Glow
// that is 0 to 0.15 box deep in every second tube, and has no depth in the others, is drawn together towards there by
// depth/distance: over all tubes that is the root mean square of the depths, wherever the camera stands.
func TestParallaxIsThatOfADepthThatIsNotKnown(t *testing.T) {
	const focal, distance = 26. / 36 * 4000, 12.0
	squares, n := 0.0, 0
	for d := 0.0005; d < 0.15; d += 0.001 {
		squares, n = squares+d*d, n+2 // one with a plate, one without
	}
	depth := math.Sqrt(squares / float64(n))
	places := []geom.Box{{X: 5}, {X: -5}, {Y: 4}, {X: 3, Y: -2}}
	pitch := focal / distance
	h := geom.Homography{pitch, 0, 2000, 0, -pitch, 1500, 0, 0, 1}
	e, ok := Parallax(h, 4000, 3000, places)
	if !ok || !e.Joint {
		t.Fatalf("no effect of all traces: %v, %+v", ok, e)
	}
	for k, b := range places {
		x, y := -depth/distance*b.X, -depth/distance*b.Y
		if math.Hypot(e.DX[k]-x, e.DY[k]-y) > 0.1*math.Hypot(x, y) {
			t.Errorf("at %v: %.4f, %.4f box, want %.4f, %.4f", b, e.DX[k], e.DY[k], x, y)
		}
	}
}
