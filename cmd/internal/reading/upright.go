package reading

// Which way is up: what the camera noted was applied, and a turn by hand; what the words on the display say of the rest
// is weighed here.
//
// A photo whose words clearly stand otherwise is turned, with a note, where nothing speaks against it. The camera's own
// note, a turn, corners or a count of boxes by hand do: then it is a doubt, which names the turn to try.

import (
	"fmt"
	"slices"

	"quadrille/analysis"
	"quadrille/vision/graticule"
	"quadrille/vision/upright"
)

// stand reads the words round the display and turns the photo by them if it may.
func (r *Reading) stand(s *Settings) error {
	w := upright.Look(r.Photo, r.Graticule, &upright.Options{Stage: s.Stage})
	r.Words = w
	f := r.Graticule.Frame
	switch {
	case w.Upright():
	case w.Told():
		if w.Sure() && r.free(s) && r.turn(w.Turn, s) {
			r.Notes = append(r.Notes, fmt.Sprintf("The words on the display %s in the file, so the photo was turned clockwise by %d°. If that is wrong, give --turn 0.",
				stance(w.Turn), w.Turn))
			break
		}
		try := fmt.Sprintf("try --turn %d", (s.Photo.Turn+w.Turn)%360)
		if s.Photo.Turn != 0 && (s.Photo.Turn+w.Turn)%360 == 0 {
			try = "try without --turn"
		}
		r.Doubts = append(r.Doubts, fmt.Sprintf("The words on the display seem to %s: %s.", stance(w.Turn), try))
	case r.placed(s):
	case f.Rows > f.Cols:
		r.Doubts = append(r.Doubts, "The graticule has more rows than columns: if the photo lies on its side, turn it (--turn 90 or 270).")
	case f.Rows == f.Cols:
		r.Doubts = append(r.Doubts, "The graticule is as high as wide, and no words tell which way is up: if the photo lies on its side, turn it (--turn 90 or 270).")
	}
	return nil
}

// stance says how words stand that a turn sets upright.
func stance(turn int) string {
	if turn == 180 {
		return "stand upside down"
	}
	return "lie on their side"
}

// placed says that the person told how the photo stands.
func (r *Reading) placed(s *Settings) bool { return s.AsItStands || s.Photo.Turn != 0 }

// free says that nobody has told how the photo stands, be it the camera or the person.
func (r *Reading) free(s *Settings) bool {
	return !r.placed(s) && !r.Photo.Source.Noted && s.Graticule.Corners == nil && s.Graticule.Frame.Cols == 0 && s.Graticule.Frame.Rows == 0
}

// turn turns the photo and finds its graticule anew; false if that is not found, and nothing is changed.
func (r *Reading) turn(degrees int, s *Settings) bool {
	ph := r.Photo.Clockwise(degrees)
	o := s.Graticule
	o.Stage = s.Stage
	g, err := graticule.Find(ph, &o)
	if err != nil {
		return false
	}
	r.Photo, r.Graticule = ph, g
	return true
}

// noteStance tells that nothing says which way is up, where a signal upside down looks like another of its kind. A decay
// does not: it gets a doubt from its shape.
func (r *Reading) noteStance(s *Settings) {
	same := slices.ContainsFunc(r.All(), func(a *Analysed) bool {
		return a.Findings != nil && slices.Contains([]string{analysis.SignalSine, analysis.SignalStates, analysis.SignalLevel}, a.Findings.Signal)
	})
	if !same || r.Words.Told() || r.placed(s) {
		return
	}
	as := "as the file has it"
	if r.Photo.Source.Noted {
		as = "as the camera noted it"
	}
	r.Notes = append(r.Notes, fmt.Sprintf("No words on the display were legible enough to tell which way is up, and this signal upside down looks like another of its kind: the photo was taken to be upright %s.", as))
}
