package reading

// Which way is up: what the camera noted was applied, and a turn by hand; what the words on the display say of the rest
// is weighed here.
//
// A photo whose words clearly stand otherwise is turned, with a note, where nothing speaks against it. The camera's own
// note, a turn, corners or a count of boxes by hand do: then it is a doubt, which names the turn to try. A frame that
// is no wider than high, without words, is a doubt where the camera noted nothing.

import (
	"slices"

	"quadrille/analysis"
	"quadrille/calibrate/remark"
	"quadrille/vision/upright"
)

// stand reads the words round the display and turns the photo by them if it may.
func (c *chain) stand() error {
	r := c.r
	w, err := made(c, keyOf("words", c.grid), func() (*upright.Words, error) {
		return upright.Read(c.ctx, r.Photo, r.Graticule, &upright.Options{Stage: c.s.Stage})
	})
	if err != nil {
		return err
	}
	r.Words = w
	f := r.Graticule.Frame
	switch {
	case w.Upright():
	case w.Told():
		turned, err := c.turnByWords()
		if err != nil {
			return err
		}
		if turned {
			r.Notes = append(r.Notes, remark.Of(KindTurned, remark.Count("turn_deg", w.Turn)))
			break
		}
		r.Doubts = append(r.Doubts, remark.Of(KindWordsTurned, remark.Count("turn_deg", w.Turn), remark.Count("try_deg", (r.Photo.Source.Turned+w.Turn)%360)))
	case c.s.Turn != nil: // the person told how the photo stands
	case f.Rows > f.Cols:
		c.askStance(KindHigherThanWide)
	case f.Rows == f.Cols:
		c.askStance(KindAsHighAsWide)
	}
	return nil
}

// askStance asks whether the photo lies on its side: a doubt, or a note where the camera told which way is up, which
// is wrong only when it looked straight down.
func (c *chain) askStance(k remark.Kind) {
	r := c.r
	if r.Photo.Source.Noted {
		r.Notes = append(r.Notes, remark.Of(k))
	} else {
		r.Doubts = append(r.Doubts, remark.Of(k))
	}
}

// turnByWords turns the photo by its words and finds its graticule anew; false if something speaks against it, or the
// graticule is not found there, and nothing is changed.
func (c *chain) turnByWords() (bool, error) {
	if !c.r.Words.Sure() || !c.free() {
		return false, nil
	}
	v := c.view.turned(c.r.Words.Turn)
	g, k, err := c.find(v)
	if gone := c.ctx.Err(); gone != nil {
		return false, gone
	}
	if err != nil {
		return false, nil
	}
	c.view, c.grid = v, k
	c.r.Photo, c.r.Graticule = v.Photo, g
	return true, nil
}

// free says that nobody has told how the photo stands, be it the camera or the person.
func (c *chain) free() bool {
	o := &c.s.Graticule
	return c.s.Turn == nil && !c.r.Photo.Source.Noted && o.Corners == nil && o.Frame.Cols == 0 && o.Frame.Rows == 0
}

// noteStance tells that nothing says which way is up, where a signal upside down looks like another of its kind. A
// decay does not: it gets a doubt from its shape.
func (c *chain) noteStance() {
	r := c.r
	same := slices.ContainsFunc(r.All(), func(a *Analysed) bool {
		f := a.Findings // what was not recognised looks like nothing, either way
		return f != nil && analysis.TurnsIntoItself(f.Signal) && f.Told.How != analysis.ForWant && !remark.Any(f.Doubts, analysis.KindUpsideDown)
	})
	if same && !r.Words.Told() && c.s.Turn == nil {
		r.Notes = append(r.Notes, remark.Of(KindStanceUnknown, remark.Flag("noted", r.Photo.Source.Noted)))
	}
}
