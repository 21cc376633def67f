package reading

// Which way is up: what the camera noted was applied, and a turn by hand; what the words on the display say of the rest
// is weighed here.
//
// A photo whose words clearly stand otherwise is turned, with a note, where nothing speaks against it. The camera's own
// note, a turn, corners or a count of boxes by hand do: then it is a doubt, which names the turn to try.

import (
	"slices"

	"quadrille/analysis"
	"quadrille/calibrate/remark"
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
			r.Notes = append(r.Notes, remark.Of(KindTurned, remark.Count("turn_deg", w.Turn)))
			break
		}
		r.Doubts = append(r.Doubts, remark.Of(KindWordsTurned, remark.Count("turn_deg", w.Turn), remark.Count("try_deg", (s.Photo.Turn+w.Turn)%360)))
	case r.placed(s):
	case f.Rows > f.Cols:
		r.Doubts = append(r.Doubts, remark.Of(KindHigherThanWide))
	case f.Rows == f.Cols:
		r.Doubts = append(r.Doubts, remark.Of(KindAsHighAsWide))
	}
	return nil
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
	r.Notes = append(r.Notes, remark.Of(KindStanceUnknown, remark.Flag("noted", r.Photo.Source.Noted)))
}
