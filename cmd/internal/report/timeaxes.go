// Where the figure of voltage against time has its axes: for a page on which a person points at it.

package report

import "quadrille/cmd/internal/wire"

// Axes are those of the figure v-t of Figures and Page. The first four are the axes' ends in the figure's own units,
// from its top-left corner, y down; the others are the values there, in the units of the analysed traces: s or boxes
// from the left rim, V or boxes from ground.
type Axes struct {
	Left   float64 `json:"left"`
	Top    float64 `json:"top"`
	Right  float64 `json:"right"`
	Bottom float64 `json:"bottom"`
	T0     float64 `json:"t0"` // at Left
	T1     float64 `json:"t1"` // at Right
	V0     float64 `json:"v0"` // at Bottom
	V1     float64 `json:"v1"` // at Top
}

// TimeAxes gives the axes of the figure v-t; nil where there is no such figure.
func TimeAxes(d *wire.Document) *Axes {
	p := timePanel(d)
	if p == nil {
		return nil
	}
	return &Axes{p.left, p.top, p.right, p.bottom, p.x0, p.x1, p.y0, p.y1}
}

// timePanel is the empty figure of voltage against time, as wide as all analysed traces and the readings laid beside
// them; nil if there is nothing to draw.
func timePanel(d *wire.Document) *panel {
	var ts, vs [][]float64
	list := inUnits(d)
	for _, tr := range list {
		ts, vs = append(ts, tr.T), append(vs, tr.V)
	}
	if hand := d.Readings; hand != nil && len(list) > 0 {
		ts = append(ts, column(hand, func(r wire.ReadingBeside) wire.Number { return r.T }))
		vs = append(vs, column(hand, func(r wire.ReadingBeside) wire.Number { return r.V }))
	}
	x0, x1, okX := span(ts...)
	y0, y1, okY := span(vs...)
	if !okX || !okY || x0 == x1 {
		return nil
	}
	x0, x1 = toRims(d, x0, x1)
	s := &svg{w: figureWidth, h: topRoom + 270 + lowRoom}
	main := &panel{svg: s, left: leftRoom, top: topRoom, right: figureWidth - rightRoom, bottom: topRoom + 270, x0: x0, x1: x1}
	main.y0, main.y1 = padded(y0, y1, 0.05)
	if y0 > 0 && y0 < 0.2*(y1-y0) {
		main.y0 = 0 // near enough to show the ground line
	}
	return main
}
