package graticule

// Whether what was found may be called a graticule, and what a person should know of it.
//
// The residual alone does not see a grid that is shifted by a box. What does: the share of line pieces that were seen,
// how far the best frame stands above the next, and whether another lattice comes near.

import (
	"fmt"
	"math"

	"quadrille/calibrate/remark"
	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
)

const (
	leastShare  = 0.35 // of the pieces: with fewer seen it is no graticule (TestWhatIsRefused)
	doubtShare  = 0.60 // of the pieces: with fewer seen the frame may be a box off (TestWhatIsDoubtedOfRuledLines)
	unsureShare = 0.75 // the same, where not all rims are clear (TestWhatIsDoubtedOfRuledLines)
	// doubtStops, of 4, see frame.Frame.Stops: below that the frame may be anywhere (TestWhatIsDoubtedOfRuledLines)
	doubtStops = 2.0
	// leastRim, of any rim: it may be covered, and the frame a box longer than what is seen
	// (TestWhatIsDoubtedOfRuledLines)
	leastRim  = 0.20
	leastStop = 0.40 // of the better one of two opposite rims (TestWhatIsDoubtedOfRuledLines)
	// doubtRMS, box: rulings of a display lie closer to a plane than that, but for curved tubes
	// (TestWhatIsDoubtedOfRuledLines)
	doubtRMS = 0.02
	mostRMS  = 0.06 // box (TestWhatIsRefused)
	// poorRMS, box: lines as far off the grid as that make no graticule where fewer than unsureShare are seen
	// (TestFewLinesFarOffAreNoGraticule)
	poorRMS   = 0.037
	doubtBend = 0.05 // box: faces of tubes bend by 0.01 and less on photos (TestWhatIsDoubtedOfRuledLines)
	// plainBend, box: less needs no doubt where the lines are seen and lie within plainRMS of the bent grid
	// (TestWhatIsDoubtedOfRuledLines)
	plainBend   = 0.15
	plainRMS    = 0.01 // box (TestWhatIsDoubtedOfRuledLines)
	mostBend    = 0.25 // box: the most curved tube that is simulated bends by 0.11 (TestWhatIsRefused)
	doubtRimOff = 0.06 // box (TestWhatIsDoubtedOfRuledLines)
	doubtMargin = 5    // of the score of frames (TestWhatIsDoubtedOfRuledLines)
	doubtRival  = 0.6  // quality of the next lattice over that of the best (TestWhatIsDoubtedOfRuledLines)
	// Of the other lines; real graticules have 0.35 and more, a half step that was taken for a box 0.01
	// (TestALatticeWithEverySecondLineEmptyIsNone).
	leastSecond = 0.15
)

// Kinds of doubt. Counts are of boxes, offsets in boxes.
const (
	FewLines        remark.Kind = "graticule.few_lines"        // share: of the lines seen
	LinesOff        remark.Kind = "graticule.lines_off"        // off_box: rms
	FaceBends       remark.Kind = "graticule.face_bends"       // bend_box: rms
	OtherFrame      remark.Kind = "graticule.other_frame"      // columns, rows: of the frame taken
	EndsUnclear     remark.Kind = "graticule.ends_unclear"     // columns, rows
	RimUnseen       remark.Kind = "graticule.rim_unseen"       // side
	RimsOff         remark.Kind = "graticule.rims_off"         // off_box, columns
	DotsPastRim     remark.Kind = "graticule.dots_past_rim"    // side: not clearly seen, on a display of dots all over
	DotsAlike       remark.Kind = "graticule.dots_alike"       // nothing marks the centre of a display of dots
	TwoInks         remark.Kind = "graticule.two_inks"         // the families of lines differ in colour
	OtherGrid       remark.Kind = "graticule.other_grid"       // another lattice comes near
	CentreElsewhere remark.Kind = "graticule.centre_elsewhere" // columns, rows: ticks mark another line than the middle one
	BoxUnusual      remark.Kind = "graticule.box_unusual"      // aspect: the longer side over the shorter; wide: which it is
	CutOff          remark.Kind = "graticule.cut_off"          // columns, rows: a corner lies outside the photo
	MarksFew        remark.Kind = "graticule.marks_few"        // columns, rows
	MarksOneSided   remark.Kind = "graticule.marks_one_sided"  // ticks along one rim and not along the other
	MarksEnd        remark.Kind = "graticule.marks_end"        // they are not seen up to all rims
	MarksGoOn       remark.Kind = "graticule.marks_go_on"      // columns, rows: they go on beyond the frame
	OtherCount      remark.Kind = "graticule.other_count"      // columns, rows, other_columns, other_rows
	LinesAcross     remark.Kind = "graticule.lines_across"     // lines run across a frame that was found by marks
	CountRead       remark.Kind = "graticule.count_read"       // columns, rows: nobody gave them
	NoMarks         remark.Kind = "graticule.no_marks"         // boxes are even parts of a frame by hand
	CornersTaken    remark.Kind = "graticule.corners_taken"    // sigma_px: of a corner by hand; no lines are near
)

// sides are those of a frame, in the order of frame.Frame.Rims.
var sides = [4]string{"left", "right", "bottom", "top"}

// A verdict is what was gathered on a found graticule.
type verdict struct {
	share  float64 // of the pieces inside the picture that agree with the fit
	rms    float64
	bend   float64 // box, rms of the face's departure from a plane
	margin float64
	rival  float64 // quality of the next lattice over this one's
	aspect float64
	second float64    // see frame.Survey.EverySecond
	dotted bool       // dots at all minor divisions, so that a frame may lie a part of a box off
	alike  bool       // the same, and no ticks that tell the centre
	ticked bool       // ticks mark another line than the middle one, see frame.Survey.TicksElsewhere
	inks   bool       // the families of lines differ in colour
	wave   bool       // and they are not there without what is coloured
	cut    bool       // a corner of the frame lies outside the photo
	stops  [4]float64 // of the rims, see frame.Frame.Stops
	known  [4]bool    // rims known from the opposite one and the centre, see frame.Frame.Known
	// Of a frame with half boxes at the rims: how far the farther rim is from half a box, in boxes.
	rimOff float64
	fit    *fit.Fit // the last one
	sign   float32  // of the lines: 1 for bright ones
}

func (v *verdict) stopped() float64 { return v.stops[0] + v.stops[1] + v.stops[2] + v.stops[3] }

// retake is what to do where nothing that was found is a graticule.
const retake = "photograph the display alone, straight on and sharp, without glare over the lines; or give the frame's corners and count of boxes by hand"

// refusal gives the reason and hint for calling it no graticule; empty if it is one.
func (v *verdict) refusal() (reason, hint string) {
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

// isNone reports whether the best that was found is no graticule after all: few lines, and those far off the grid.
func (v *verdict) isNone() bool { return v.rms > poorRMS && v.share < unsureShare }

// clear reports whether nothing speaks for another lattice or another frame; a frame that leaves the photo, and a
// curved display, are told but change nothing.
func (v *verdict) clear() bool {
	for _, r := range v.remarks(geom.Frame{}) {
		switch r.Kind {
		case CutOff, LinesOff, FaceBends, RimsOff:
		default:
			return false
		}
	}
	return true
}

// remarks gives the doubts, f being the frame taken.
func (v *verdict) remarks(f geom.Frame) (list []remark.Remark) {
	say := func(k remark.Kind, values ...remark.Value) { list = append(list, remark.Of(k, values...)) }
	stops := v.stopped()
	if v.share < doubtShare || v.share < unsureShare && stops < frame.ClearStops {
		say(FewLines, remark.Number("share", v.share))
	}
	if v.rms > doubtRMS {
		say(LinesOff, remark.Number("off_box", v.rms))
	}
	if v.bend > doubtBend && (v.bend > plainBend || v.share < unsureShare || v.rms > plainRMS) {
		say(FaceBends, remark.Number("bend_box", v.bend))
	}
	if v.margin < doubtMargin {
		say(OtherFrame, remark.Count("columns", f.Cols), remark.Count("rows", f.Rows))
	}
	if stops < doubtStops || max(v.stops[0], v.stops[1]) < leastStop || max(v.stops[2], v.stops[3]) < leastStop {
		say(EndsUnclear, remark.Count("columns", f.Cols), remark.Count("rows", f.Rows))
	}
	for i, side := range sides {
		switch {
		case v.stops[i] >= leastRim || v.known[i]:
		case v.dotted:
			say(DotsPastRim, remark.Word("side", side))
		default:
			say(RimUnseen, remark.Word("side", side))
		}
	}
	if v.rimOff > doubtRimOff {
		say(RimsOff, remark.Number("off_box", v.rimOff), remark.Count("columns", f.Cols))
	}
	if v.alike {
		say(DotsAlike)
	}
	if v.ticked {
		say(CentreElsewhere, remark.Count("columns", f.Cols), remark.Count("rows", f.Rows))
	}
	if v.inks {
		say(TwoInks)
	}
	if v.rival > doubtRival {
		say(OtherGrid)
	}
	if a := math.Max(v.aspect, 1/v.aspect); a > frame.AspectUsual {
		say(BoxUnusual, remark.Number("aspect", a), remark.Flag("wide", v.aspect > 1))
	}
	if v.cut {
		say(CutOff, remark.Count("columns", f.Cols), remark.Count("rows", f.Rows))
	}
	return list
}
