package reading

import (
	"quadrille/vision/sketch"
)

// draw finds the squares and the curves of a drawing on squared paper. Without a curve there is no reading.
func (c *chain) draw() error {
	r := c.r
	if o := &c.s.Graticule; o.Corners != nil || o.Frame.Cols != 0 || o.Frame.Rows != 0 {
		return &SettingError{"paper", "the squares of paper are found from the photo alone", "leave out --corners and --boxes with --paper"}
	}
	o := sketch.Options{Colour: c.s.Trace.Colour, Stage: c.s.Stage}
	c.traces = keyOf("drawing", c.view.key, o)
	d, err := made(c, c.traces, func() (*sketch.Drawing, error) { return sketch.Find(c.ctx, r.Photo, &o) })
	r.Drawing = d
	if gone := c.askDisplay(d, err); gone != nil {
		return gone
	}
	if err != nil {
		return err
	}
	r.Traces = d.Traces
	return c.choose()
}
