package graticule

// Whether what was found may be called a graticule, and what a person should know of it.
//
// The residual alone does not see a grid that is shifted by a box. What does: the share of line pieces
// that were seen, how far the best frame stands above the next, and whether another lattice comes near.

import (
	"fmt"
	"math"

	"quadrille/vision/geom"
)

const (
	leastShare  = 0.35 // of the pieces: with fewer seen it is no graticule
	doubtShare  = 0.60 // of the pieces: with fewer seen the frame may be a box off
	unsureShare = 0.75 // the same, where not all rims are clear
	clearStops  = 2.7  // of 4: sum over the rims of how clearly the lines end there (see survey.stops)
	doubtStops  = 2.0  // of 4: below that the frame may be anywhere
	leastRim    = 0.20 // of any rim: it may be covered, and the frame a box longer than what is seen
	leastStop   = 0.40 // of the better one of two opposite rims
	doubtRMS    = 0.02 // box: rulings of a display lie closer to a plane than that, but for curved tubes
	mostRMS     = 0.06 // box
	doubtBend   = 0.05 // box: faces of tubes bend by 0.01 and less on photos
	plainBend   = 0.15 // box: less needs no doubt where the lines are seen and lie within plainRMS of the bent grid
	plainRMS    = 0.01 // box
	mostBend    = 0.25 // box: the most curved tube that is simulated bends by 0.11
	doubtRimOff = 0.06 // box
	doubtMargin = 5    // of the score of frames
	doubtRival  = 0.6  // quality of the next lattice over that of the best
	aspectUsual = 1.4  // width to height of a box, either way
	leastBox    = 8    // px of the photo
	// Of the other lines; real graticules have 0.35 and more, a half step that was taken for a box 0.01
	// (TestALatticeWithEverySecondLineEmptyIsNone).
	leastSecond = 0.15
)

// verdict is what was gathered on a found graticule.
type verdict struct {
	share  float64 // of the pieces inside the picture that agree with the fit
	rms    float64
	bend   float64 // box, rms of the face's departure from a plane
	margin float64
	rival  float64 // quality of the next lattice over this one's
	aspect float64
	second float64    // see survey.everySecond
	alike  bool       // dots at all minor divisions, and no ticks that tell the centre
	inks   bool       // the families of lines differ in colour
	cut    bool       // a corner of the frame lies outside the photo
	stops  [4]float64 // of the rims, see survey.stops
	known  [4]bool    // rims known from the opposite one and the centre, see frame.known
	// Of a frame with half boxes at the rims: how far the farther rim is from half a box, in boxes.
	rimOff float64
	pieces []observation // as the last fit saw them
	model  *model        // the last fit
	sign   float32       // of the lines: 1 for bright ones
}

// refusal gives the reason and hint for calling it no graticule; empty if it is one.
func (v *verdict) refusal() (reason, hint string) {
	const retake = "photograph the display alone, straight on and sharp, without glare over the lines; or give the frame's corners and count of boxes by hand"
	switch {
	case v.share < leastShare:
		return fmt.Sprintf("no graticule found: only %.0f %% of the lines of the best candidate are there", 100*v.share), retake
	case v.second < leastSecond:
		return "no graticule found: every second line of the best candidate is missing", retake
	case v.rms > mostRMS:
		return fmt.Sprintf("no graticule found: the lines of the best candidate are %.2f boxes off where they should be", v.rms), retake
	case v.bend > mostBend:
		return fmt.Sprintf("no graticule found: the face of the best candidate bends by %.2f boxes", v.bend), retake
	}
	return "", ""
}

// clear reports whether nothing speaks for another lattice or another frame; a frame that leaves the
// photo, and a curved display, are told but change nothing.
func (v *verdict) clear() bool {
	u := *v
	u.cut, u.rms, u.bend, u.rimOff = false, 0, 0, 0
	return len(u.doubts(geom.Frame{})) == 0
}

// doubts gives the sentences for the reader.
func (v *verdict) doubts(f geom.Frame) (d []string) {
	say := func(format string, a ...any) { d = append(d, fmt.Sprintf(format, a...)) }
	stops := v.stops[0] + v.stops[1] + v.stops[2] + v.stops[3]
	if v.share < doubtShare || v.share < unsureShare && stops < clearStops {
		say("only %.0f %% of the graticule's lines were seen: check that the grid found lies on the display's", 100*v.share)
	}
	if v.rms > doubtRMS {
		say("the lines lie %.3f boxes off the grid found: the display is uneven, or the grid is wrong", v.rms)
	}
	if v.bend > doubtBend && (v.bend > plainBend || v.share < unsureShare || v.rms > plainRMS) {
		say("the display's face bends by %.2f boxes: if it is flat, the grid is wrong", v.bend)
	}
	if v.margin < doubtMargin {
		say("another place or size of the frame fits nearly as well as %d × %d boxes: check where the outermost lines are", f.Cols, f.Rows)
	}
	if stops < doubtStops || max(v.stops[0], v.stops[1]) < leastStop || max(v.stops[2], v.stops[3]) < leastStop {
		say("where the lines of the graticule end was not clearly seen: check that %d × %d boxes are right and that the frame lies on the outermost lines", f.Cols, f.Rows)
	}
	for i, side := range [4]string{"left", "right", "bottom", "top"} {
		if v.stops[i] < leastRim && !v.known[i] {
			say("the graticule's %s rim was not clearly seen: if a menu or glare covers it, check that the frame ends there", side)
		}
	}
	if v.rimOff > doubtRimOff {
		say("the left and right rim are not half a box from the lines beside them but %.2f boxes off that: the frame is not quite %d boxes wide, the lines are", v.rimOff, f.Cols)
	}
	if v.alike {
		say("the display has dots all over and nothing marks its centre: check that the lines found are its divisions")
	}
	if v.inks {
		say("the upright and the level lines found differ in colour: check that none of them are edges of the trace")
	}
	if v.rival > doubtRival {
		say("another grid fits nearly as well: check that the lines found are the display's divisions")
	}
	if a := math.Max(v.aspect, 1/v.aspect); a > aspectUsual {
		say("a box is %.1f times as wide as it is high: that is unusual, check that no line was left out", v.aspect)
	}
	if v.cut {
		say("a corner of the frame found lies outside the photo: its lines may go on there, check that %d × %d boxes are right", f.Cols, f.Rows)
	}
	return d
}
