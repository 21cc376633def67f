package sheet

// The strip of the photo left of the frame, where instruments draw marks.

import (
	"context"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

// A Side is the strip left of the frame. Each column has its own field, the median over its rows: marks are small,
// and what surrounds the frame (a menu's colour, the bezel) changes from column to column.
type Side struct {
	Grid
	Light [3][]float32 // linear light less the field, laid out as in Sheet
	Field [][3]float32 // linear light, by column
}

// ReadSide gives the strip of wide boxes, and of high boxes more than the frame at the top and the bottom. Its errors
// are as those of Read.
func ReadSide(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, wide, high float64) (*Side, error) {
	p, ok := pitchOf(g)
	if !ok {
		return nil, ErrSmall
	}
	left, low := g.Frame.Left(), g.Frame.Bottom()
	w := math.Round(wide*float64(p.across)) / float64(p.across)
	h := math.Round(high*float64(p.up)) / float64(p.up)
	s := &Side{Grid: gridOf(geom.Box{X: left - w, Y: low - h}, geom.Box{X: left, Y: -low + h}, p)}
	var err error
	if s.Light, err = s.Grid.sample(ctx, ph, g, p); err != nil {
		return nil, err
	}
	s.Field = make([][3]float32, s.NX)
	var buf []float32
	for c := range 3 {
		for i := range s.NX {
			col := s.Light[c][i*s.NY : (i+1)*s.NY]
			buf = buf[:0]
			for _, v := range col {
				if v == v {
					buf = append(buf, v)
				}
			}
			m := raster.Rank(buf, 0.5)
			s.Field[i][c] = m
			for j := range col {
				if col[j] -= m; col[j] != col[j] {
					col[j] = 0
				}
			}
		}
	}
	return s, nil
}
