package synth

import "fmt"

// Features names what a scene has beyond one plain trace on a plain display, for tables of what goes wrong
// by what a display shows: its kind, the traces' number, marks, cursors, boxes, and the camera's troubles.
func (s Scene) Features() (names []string) {
	s = s.withDefaults()
	d, c, f := s.Display, s.Camera, s.Display.Frame
	add := func(has bool, name string) {
		if has {
			names = append(names, name)
		}
	}
	names = append(names, d.Kind.String())
	names = append(names, fmt.Sprintf("traces %d", len(s.Signals)))
	if d.Kind != Tube {
		names = append(names, "mark: "+s.Signals[0].Mark.Form.String())
		add(s.Signals[0].Mark.White, "mark white")
		add(s.Signals[0].Mark.Inside > 0, "mark inside the frame")
		add(d.Trigger.Inside > 0, "trigger signs inside")
		add(d.Trigger.Line != NoLine, "trigger line")
		for _, q := range d.Panels {
			inside := q.Left < -f.Left() && q.Right > f.Left() && q.Bottom < -f.Bottom() && q.Top > f.Bottom()
			switch {
			case q.Menu && inside:
				names = append(names, "menu over the grid")
			case q.Menu:
				names = append(names, "menu beside")
			case q.Bare:
				names = append(names, "bare words")
			case q.Clear > 0:
				names = append(names, "box half clear")
			default:
				names = append(names, "box")
			}
		}
		add(d.Menu, "menu over the grid")
		add(d.Table, "box")
		add(d.Overview, "overview")
		add(d.Dots, "dots")
		add(d.Haze > 0, "haze")
	}
	upright, level := false, false
	for _, q := range d.Cursors {
		upright, level = upright || q.Upright, level || !q.Upright
	}
	add(upright, "cursors upright")
	add(level, "cursors level")
	add(d.Kind == Tube && len(d.Panels) > 0, "readout of a tube")
	side := groundSide(s.Signals[0].GroundBox, f)
	add(side != "on the screen", "ground "+side)
	add(d.Aspect > 1.25, "wide boxes")
	add(s.GapBoxes > 0, "slow sweep")
	add(s.Signals[0].Hold > 0, "drawn in steps")
	add(s.Signals[0].Form != Noise && s.Signals[0].Noise > 0.045, "noisy trace")
	add(c.Glare > 0.15, "glare")
	add(c.Lamps > 1, "lamps")
	add(c.Sharpen > 0.75, "sharpening halos")
	add(s.CableAcross, "lead in front")
	add(s.Finger, "finger")
	add(c.Bands > 0, "bands")
	add(c.Tone > 0, "tones evened")
	add(c.Denoise > 0, "denoised")
	add(c.Blur < 0.35, "moire")
	return names
}
