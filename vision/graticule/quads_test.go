package graticule

import (
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// Three edges of a bezel at each side make 81 rectangles with each other, all better supported than the
// one frame inside.
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

// Minor lines across the field look like ticks; where lines surely run, ticks do not count boxes.
func TestTicksDoNotOverruleLines(t *testing.T) {
	m := &reading{clear: true, score: 20}
	for _, c := range []struct {
		name string
		v    verdict
		over bool
	}{
		{"lines are there", verdict{share: 0.95, margin: 13}, false},
		{"the frame may be elsewhere", verdict{share: 0.95, margin: 2}, true},
		{"lines are missing", verdict{share: 0.65, margin: 13}, true},
		{"edges of the trace", verdict{share: 0.95, margin: 13, inks: true}, true},
	} {
		if m.over(&c.v) != c.over {
			t.Errorf("%s: over is %v", c.name, !c.over)
		}
	}
}

// The steep edges of a sine of many cycles are even lines: with the level lines of the graticule they make
// a lattice. Steps are of red, green and blue.
func TestASineIsNoFamilyOfLines(t *testing.T) {
	for _, c := range []struct {
		name           string
		upright, level [3]float64
		one            bool
	}{
		{"grey lines", [3]float64{0.1, 0.1, 0.1}, [3]float64{0.06, 0.06, 0.06}, true},
		{"tinted lines", [3]float64{0.08, 0.11, 0.17}, [3]float64{0.04, 0.055, 0.085}, true},
		{"magenta edges across grey lines", [3]float64{0.95, 0.35, 0.75}, [3]float64{0.1, 0.1, 0.1}, false},
		{"yellow edges across grey lines", [3]float64{0.72, 0.95, 0.1}, [3]float64{0.1, 0.1, 0.1}, false},
		{"white edges", [3]float64{0.9, 0.9, 0.9}, [3]float64{0.1, 0.1, 0.1}, true},
	} {
		const n, box = 400, 40.0
		l := &colours{scale: 1}
		for k := range l.plane {
			l.plane[k] = raster.New(n, n)
			for y := range n {
				for x := range n {
					step := func(at int, height float64) float64 {
						d := math.Mod(float64(at)+0.5+box/2, box) - box/2
						return height * math.Exp(-d*d/2)
					}
					l.plane[k].Row(y)[x] = float32(0.01 + max(step(x, c.upright[k]), step(y, c.level[k])))
				}
			}
		}
		h := lattice{box, 0, n / 2, 0, -box, n / 2, 0, 0, 1}
		if one := oneInk(l, &h, frame{extent: extent{-4, 4, -4, 4}}, 1); one != c.one {
			t.Errorf("%s: one ink is %v", c.name, one)
		}
	}
}
