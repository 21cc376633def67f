package stroke

import (
	"context"

	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

// Centres is where the strokes of one trace lie: one value a column of the sheet, NaN where the trace is absent.
type Centres struct {
	Y       []float64 // box
	Sigma   []float64 // box, one standard deviation of Y, independent from column to column
	Thick   []float64 // box, the height over which the display drew the column
	Pixel   float64   // box, standard deviation of a place on the display's pixels
	Beam    bool      // the trace may be a tube's beam
	Effects []Effect  // of the display: its colour stripes, its pixels at levels and at heights that repeat

	smooth bool      // a slow rise of the trace shows no steps of any kind
	wobble float64   // box, the scatter of level stretches from column to column
	level  float64   // box, the height of a stroke where the trace is level
	camera float64   // box, the camera's noise on a usual place
	noise  float64   // box, the signal's noise on level stretches, by means of columns
	ripple float64   // box, the same by neighbouring columns, from which blur takes a part
	top    []float64 // box, the stroke's upper end at half its light
	light  []float64 // of the stroke, summed over its rows
	stroke float64   // box, the standard deviation of a thin stroke
}

// An Effect is one cause that moves all samples together: by DX, DY boxes at one standard deviation.
// Effects of one Name belong to one source of uncertainty and are independent of each other. Joint says that the cause
// moves all traces of the photo in step: the k-th effect of that name of one trace is the k-th of any other.
type Effect struct {
	Name   string
	Joint  bool
	DX, DY []float64
}

// planes are the light and the ink of a sheet along one tint, laid out like Sheet.Light, and one standard deviation
// of the light.
type planes struct {
	light, ink []float32
	noise      *sheet.Knots
}

// Measure gives the centres of the strokes of each candidate on the sheet it was found on, in the same order. Its
// error is that of ctx.
func Measure(ctx context.Context, s *sheet.Sheet, found []*path.Candidate) (all []*Centres, err error) {
	lines := s.Lines
	var through []float32 // of engraved lines, made when the first trace needs it
	byTint := map[sheet.Tint]*planes{}
	for _, p := range found {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		in := byTint[p.Tint]
		if in == nil {
			in = &planes{light: s.LightAlong(p.Tint), ink: s.InkAlong(p.Tint), noise: p.Noise}
			byTint[p.Tint] = in
		}
		held := lines.Engraved && p.Tint.Grey() > 0
		if held && through == nil {
			through = s.Transmission()
		}
		var c *Centres
		if held {
			c = centre(s, p.Path, in, through)
		} else {
			c = centre(s, p.Path, in, nil)
		}
		if !p.Crests {
			c.dropLonely(s)
		}
		c.Beam = c.mayBeBeam(s, p, in.light, lines)
		c.clip(s)
		if e, ok := stripes(p.Tint, s.Elements(), s.NX); ok && !(lines.Engraved && isColourless(s, p.Tint)) {
			c.Effects = append(c.Effects, e)
		}
		c.Effects = append(c.Effects, c.steps(s)...)
		c.Effects = append(c.Effects, c.roundings()...)
		all = append(all, c)
	}
	return all, nil
}
