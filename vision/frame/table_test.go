package frame

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// A tabled survey is one whose pieces are told by functions and not seen on a photo.
type tabled struct {
	part, all lattice.Extent
	// of the pieces of a family, by line and cell, in units of the median line; nil for 1 in the part and 0 outside
	strength func(of lattice.Family, k, c int) float64
	height   func(of lattice.Family, k, c int) float64 // nil for 1
	// ticks beside a piece, five and four to a box; nil for none
	ticks func(of lattice.Family, k, c int) (five, four float64)
}

func (d tabled) survey() *Survey {
	if d.strength == nil {
		d.strength = func(of lattice.Family, k, c int) float64 {
			if first, last, from, to := d.part.Lines(of); k >= first && k <= last && c >= from && c < to {
				return 1
			}
			return 0
		}
	}
	r := &scene.Ridges{Scale: 1, W: 400, H: 400, Upright: raster.New(400, 400), Level: raster.New(400, 400)}
	g := &lattice.Grown{Map: lattice.Map{10, 0, 200, 0, -10, 200, 0, 0, 1}, Sign: 1, Part: d.part, From: func(float64) *scene.Ridges { return r }}
	s := &Survey{Lattice: g, all: d.all, base: [2]float64{1, 1}, between: map[lattice.Piece]float64{}, spans: map[lineSpan]lineHeight{}}
	for of := range lattice.Family(2) {
		t := &s.lines[of]
		t.k0, t.k1, t.c0, t.c1 = d.all.Lines(of)
		for k := t.k0; k <= t.k1; k++ {
			var row, height []float64
			var tick []tickPair
			for c := t.c0; c < t.c1; c++ {
				row = append(row, d.strength(of, k, c))
				p := tickPair{seen: true}
				if d.ticks != nil {
					p.side[0].re[0], p.side[0].re[1] = d.ticks(of, k, c)
				}
				p.side[0].ok = true
				p.side[1] = p.side[0]
				tick = append(tick, p)
				if d.height != nil {
					height = append(height, d.height(of, k, c))
				} else {
					height = append(height, 1)
				}
			}
			t.strength, t.height, t.tick = append(t.strength, row), append(t.height, height), append(t.tick, tick)
			t.ends[0], t.ends[1] = append(t.ends[0], row), append(t.ends[1], row)
		}
	}
	s.measure(pieceCap)
	return s
}

// frameOf scores the frame of that extent and size.
func (s *Survey) frameOf(x lattice.Extent, z Size) *Frame {
	f := &Frame{Extent: x, Size: z}
	s.addPieces(f)
	s.addTicks(f)
	s.addAxes(f)
	return f
}

// spread is an extent of n boxes both ways round the origin.
func spread(n int) lattice.Extent {
	return lattice.Extent{Left: -n / 2, Right: n - n/2, Bottom: -n / 2, Top: n - n/2}
}

// off is how far v is from a whole number.
func off(v float64) float64 { return math.Abs(v - math.Round(v)) }

// drawn makes ridges and a picture of w×h samples of what is drawn at the places of the lattice m.
func drawn(w, h int, m lattice.Map, light func(b geom.Box) float64) *scene.Picture {
	p := &scene.Picture{Plane: raster.New(w, h), Scale: 1}
	for y := range h {
		for x := range w {
			p.Plane.Row(y)[x] = float32(light(m.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})))
		}
	}
	return p
}
