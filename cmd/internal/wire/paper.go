// A drawing on squared paper in the document: its squares as a graticule.

package wire

import (
	"quadrille/vision/geom"
	"quadrille/vision/sketch"
	"quadrille/vision/squares"
)

// squaresOf gives the squares that were found as a graticule, whose nodes follow the paper where it curls.
func squaresOf(p *squares.Paper) *Graticule {
	out := &Graticule{
		Columns: p.Frame.Cols, Rows: p.Frame.Rows, LinesX: "from edge", Found: "automatic",
		LensK1: unknown, Residual: Number(p.RMS), Crossings: p.Crossings(),
	}
	for i, b := range p.Frame.Corners() {
		out.Corners[i] = point(p.Pixel(b))
	}
	for j := range p.Frame.Rows + 1 {
		line := make([]Point, p.Frame.Cols+1)
		for i := range line {
			line[i] = point(p.Node(i, j))
		}
		out.Nodes = append(out.Nodes, line)
	}
	return out
}

func paperOf(d *sketch.Drawing) *Paper {
	at := func(b geom.Box) Point { return Point{Number(b.X), Number(b.Y)} }
	out := &Paper{Thin: d.Paper.Thin, Curl: Number(d.Paper.Curl), Axes: []Axis{}, Explained: Number(d.Explained)}
	for _, a := range d.Axes {
		out.Axes = append(out.Axes, Axis{a.Level, at(a.From), at(a.To)})
	}
	if d.Origin != nil {
		o := at(*d.Origin)
		out.Origin = &o
	}
	return out
}
