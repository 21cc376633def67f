// The figure of voltage against time as a page on which a person points at it needs it.

package live

import (
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// A Graph tells where the figure of voltage against time has its axes, and which part of each trace was asked for.
type Graph struct {
	report.Axes
	Windows []Window `json:"windows"` // one a trace that is analysed
}

// A Window is the part of a trace to use, as its settings from and to say, in the units of the graph's time axis; nil
// where they say nothing.
type Window struct {
	Trace string   `json:"trace"`
	From  *float64 `json:"from"`
	To    *float64 `json:"to"`
}

// graphOf gives nil where there is no such figure.
func graphOf(d *wire.Document, r *reading.Reading, s *reading.Settings) *Graph {
	axes := report.TimeAxes(d)
	if axes == nil {
		return nil
	}
	g := &Graph{Axes: *axes, Windows: []Window{}}
	for i, a := range r.All() {
		if i == len(s.Traces) || a.Chosen >= len(r.Traces) {
			break
		}
		own, box := s.Traces[i], a.Setup.TimePerBox.X
		if box == 0 {
			box = 1 // the axis is in boxes
		}
		at := func(boxes, seconds *float64) *float64 {
			if boxes == nil {
				return seconds
			}
			t := (*boxes - r.Graticule.Frame.Left()) * box
			return &t
		}
		g.Windows = append(g.Windows, Window{r.Traces[a.Chosen].Name, at(own.FromBox, own.Analysis.From), at(own.ToBox, own.Analysis.To)})
	}
	return g
}
