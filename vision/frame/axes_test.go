package frame

import (
	"image"
	"image/color"
	"math"
	"sync"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

// A dottedScreen is a graticule of 10 × 8 boxes of 80 px with dots a whole part of a box apart.
type dottedScreen struct {
	perBox float64
	axes   bool               // the centre lines are drawn through
	ticks  bool               // and have ticks where the dots are
	over   func(geom.Box) int // -1: the graticule shows; otherwise what covers it, 0..255
}

func (d dottedScreen) draw() *image.Gray {
	img := image.NewGray(image.Rect(0, 0, 1200, 1000))
	for y := range 1000 {
		for x := range 1200 {
			b := dottedMap.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			v := 40.0
			if math.Abs(b.X) < 5.1 && math.Abs(b.Y) < 4.1 {
				v = 25
				dx, dy := b.X-math.Round(b.X), b.Y-math.Round(b.Y)
				ex, ey := b.X-math.Round(d.perBox*b.X)/d.perBox, b.Y-math.Round(d.perBox*b.Y)/d.perBox
				spot := func(p, q float64) float64 { return math.Exp(-(p*p + q*q) / (2 * 0.02 * 0.02)) }
				v += 90 * max(spot(dx, ey), spot(dy, ex))
				if d.ticks && math.Abs(b.X) < 0.12 {
					v += 90 * spot(ey, 0)
				}
				if d.ticks && math.Abs(b.Y) < 0.12 {
					v += 90 * spot(ex, 0)
				}
				if d.axes {
					v += 90 * max(spot(b.X, 0), spot(b.Y, 0))
				}
			}
			if d.over != nil {
				if c := d.over(b); c >= 0 {
					v = float64(c)
				}
			}
			img.SetGray(x, y, color.Gray{Y: uint8(min(v, 255))})
		}
	}
	return img
}

var dottedMap = lattice.Map{80, 3, 600, -3, -80, 500, 0, 0, 1}

// A bar over the lowest row of boxes and a heading above the highest one look like the graticule's rims; where two
// lines cross that are drawn through is its centre.
func TestAxesDrawnThroughTellTheCentre(t *testing.T) {
	screen := dottedScreen{perBox: 4, axes: true, over: func(b geom.Box) int {
		switch {
		case math.Abs(b.X) < 5.1 && b.Y > -4.2 && b.Y < -3.02:
			return 60
		case math.Abs(b.X) < 5.1 && b.Y > 4.9 && b.Y < 5.1 && math.Mod(b.X+8, 0.5) < 0.3:
			return 150
		}
		return -1
	}}
	const doubted = 5 // a frame less far above the next is doubted
	grid := lattice.Extent{Left: -5, Right: 5, Bottom: -4, Top: 4}
	ahead := map[bool]float64{} // of the grid's own frame, with axes and without
	for _, axes := range []bool{true, false} {
		screen.axes = axes
		s := dottedSurvey(screen, dottedMap, grid)
		best, margin, ok := s.Best(geom.Frame{})
		own := s.Where(geom.Frame{Cols: 10, Rows: 8}, func(f Frame) bool { return f.Extent == grid })
		if !ok || len(own) != 1 {
			t.Fatal("there is no frame, or not the grid's own")
		}
		if ahead[axes] = own[0].Score - best.Score; ahead[axes] == 0 {
			ahead[axes] = margin
		}
	}
	if ahead[true] < doubted || ahead[false] > 0 {
		t.Errorf("the frame stands %.1f above the next with axes, and %.1f without", ahead[true], ahead[false])
	}
}

// The ticks of the centre lines are seen whether they are five, four or two to a box.
func TestTicksOfEachCountTellTheCentre(t *testing.T) {
	for _, n := range []int{5, 4, 2} {
		s := dottedSurvey(dottedScreen{perBox: float64(n), ticks: true}, dottedMap, lattice.Extent{Left: -5, Right: 5, Bottom: -4, Top: 4})
		for k := -3; k <= 3; k++ {
			x := lattice.Extent{Left: -5, Right: 5, Bottom: -4 + k, Top: 4 + k}
			if v := s.tickClue(lattice.Level, k, x, both); k == 0 && v < provenTicks || k != 0 && v > 0.1 {
				t.Errorf("%d a box: level line %d is a centre line to %.2f", n, k, v)
			}
		}
	}
}

// dottedSurvey surveys the part x of the lattice h on the screen d.
func dottedSurvey(d dottedScreen, h lattice.Map, x lattice.Extent) *Survey {
	p := scene.Of(photo.New(d.draw())).Picture(scene.Photographed, scene.Fine)
	ridges := sync.OnceValue(func() *scene.Ridges { return scene.RidgesOf(p) }) // as a scene keeps them
	return Of(&lattice.Grown{Map: h, Sign: 1, Part: x, From: func(float64) *scene.Ridges { return ridges() }}, p)
}

// A trace all along one line is no axis, nor is anything much brighter than a line drawn through.
func TestATraceOnALineIsNoAxis(t *testing.T) {
	for name, over := range map[string]func(geom.Box) int{
		"level": func(b geom.Box) int {
			if math.Abs(b.Y-1) < 0.03 && math.Abs(b.X) < 5 {
				return 250
			}
			return -1
		},
		"square wave and axis": func(b geom.Box) int {
			if math.Abs(b.X) < 0.02 && math.Abs(b.Y) < 4 {
				return 115
			}
			if math.Abs(b.Y-1) < 0.03 && math.Abs(b.X) < 5 && math.Mod(b.X+8, 2) < 1 {
				return 250
			}
			return -1
		},
	} {
		s := dottedSurvey(dottedScreen{perBox: 5, over: over}, dottedMap, lattice.Extent{Left: -5, Right: 5, Bottom: -4, Top: 4})
		if a := s.axes(lattice.Extent{Left: -5, Right: 5, Bottom: -3, Top: 5}); a > 0 {
			t.Errorf("%s: the line of the trace counts as an axis to %.2f", name, a)
		}
	}
}

// A lattice that took every second row, because the dots are sparse, is mended.
func TestRowsThatWereLeftOutAreFound(t *testing.T) {
	c := Candidate{Survey: dottedSurvey(dottedScreen{perBox: 2}, lattice.Times(dottedMap, 1, 2), lattice.Extent{Left: -5, Right: 5, Bottom: -2, Top: 2})}
	c.place(geom.Frame{})
	for _, g := range c.Squarer() {
		if lattice.Agree(g.Map, dottedMap, lattice.Extent{Left: -4, Right: 4, Bottom: -3, Top: 3}) && g.Part.Rows() >= 8 {
			return
		}
	}
	t.Error("the rows between were not found")
}
