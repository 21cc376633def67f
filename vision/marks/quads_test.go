package marks

import (
	"testing"

	"quadrille/vision/geom"
)

// Three edges of a bezel at each side make 81 rectangles with each other, all better supported than the one frame
// inside.
func TestAFrameInsideABezelIsAmongTheRectangles(t *testing.T) {
	rectangle := func(l, r, top, bottom float64) [4]geom.Pixel {
		return [4]geom.Pixel{{X: l, Y: top}, {X: r, Y: top}, {X: r, Y: bottom}, {X: l, Y: bottom}}
	}
	var all []quad
	for i := range 81 {
		s := [4]int{i % 3, i / 3 % 3, i / 9 % 3, i / 27}
		d := func(k int) float64 { return 70 * float64(s[k]) }
		all = append(all, quad{rectangle(100+d(0), 1900-d(1), 100+d(2), 1400-d(3)), 1, 9 - float64(i)/100, s})
	}
	inner := quad{rectangle(500, 1500, 400, 1100), 1, 6, [4]int{3, 3, 3, 3}}
	all = append(all, inner)
	kept := diverse(all, 2)
	for i, q := range kept {
		if q.corners == inner.corners {
			if i > 12 {
				t.Errorf("the frame comes after %d rectangles of the bezel", i)
			}
			return
		}
	}
	t.Errorf("the frame is none of the %d rectangles kept", len(kept))
}
