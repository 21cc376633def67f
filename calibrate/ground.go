package calibrate

// The ground line. Where it lies is a claim of its own, and how well it is known depends on where it
// was taken from. Whether the operator put the grounded trace onto a line by eye, read a place between
// two lines, or the instrument drew its mark, the place is good to half a minor tick, 0.1 box: the
// eye by its nature, the mark because an instrument of the teaching class keeps its zero to about a
// tenth of a box (common practice, no source). Photographing the mark adds little: it is drawn on the
// display's pixels, 25 to 50 a box, and its tip is found to about one of them. That the graticule's
// fit moves the mark along with the trace, and so cancels in part, is not counted on: it is small
// beside the tenth of a box.

import (
	"fmt"
	"math"
	"strings"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/vision/geom"
	"quadrille/vision/trace"
)

// GroundFrom tells where the ground line comes from.
type GroundFrom int

const (
	// GroundAuto is the mark at the rim; without one, and with a doubt, where the trace rests at its lowest
	// level, or else the centre line.
	GroundAuto   GroundFrom = iota
	GroundBottom            // the frame's lowest line
	GroundCentre            // the centre line
	GroundGiven             // Setup.GroundBox
)

const (
	// groundLimit is the half-width in boxes within which the ground line lies (see above).
	// TestPullsOfALevelSpreadByOne and TestGroundFromWhereTheTraceRestsIsDoubted would notice.
	groundLimit = 0.1
	// markApart is by how many boxes the mark and a ground line that was given may differ before one of
	// them must be wrong: each is good to a tenth, and the mark's shape may be taken for its tip.
	// TestGroundThatContradictsTheMarkIsDoubted holds it.
	markApart = 0.3
	// markSigma is the standard uncertainty in boxes of the mark's place on the photo: a display's
	// pixel (see above). TestGroundComesFromTheMark would notice.
	markSigma = 0.03
	// farthestGround is how far from the centre, in boxes, ground may be given where the mark says that it is off the
	// screen: what instruments of the teaching class can shift a trace by is less (common practice, no source).
	// TestGroundOffTheScreen would notice.
	farthestGround = 100
	// miscounted is how far off the screen, in half its heights, a ground line may be given that would be on it if rows
	// were missed: of 12 rows 8. It is then a doubt about the grid as much as about the setting
	// (TestGroundBesideTheGridDoubtsTheCount).
	miscounted = 1.5
)

const groundHint = "give bottom, centre, auto, or the boxes from the centre line to ground, up, such as -3.5"

// ParseGround reads where the ground line is: "bottom", "centre", "auto", or a number of boxes from
// the centre, up, such as "-3.5". box is 0 but for GroundGiven. The error is a *SetupError.
func ParseGround(text string) (from GroundFrom, box float64, err error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "auto":
		return GroundAuto, 0, nil
	case "bottom":
		return GroundBottom, 0, nil
	case "centre", "center":
		return GroundCentre, 0, nil
	}
	p, err := unit.ParsePlace(text)
	if err != nil || !p.Boxes {
		return 0, 0, &SetupError{"ground", fmt.Sprintf("the ground line %q is neither a name nor a number of boxes", text), groundHint}
	}
	return GroundGiven, p.X, nil
}

// A ground is the ground line as used.
type ground struct {
	box, u float64 // place from the centre, up, and its standard uncertainty
	words  string
	// unknown says that ground was neither seen nor given.
	unknown bool
	doubts  []remark.Remark
	notes   []remark.Remark
}

// ground settles the ground line for a trace.
func (s Setup) ground(tr *trace.Trace) (ground, error) {
	g := ground{u: groundLimit / math.Sqrt(3)}
	var missed []remark.Remark // a doubt about the count of rows
	switch s.Ground {
	case GroundBottom:
		g.box, g.words = tr.Frame.Bottom(), "the lowest line of the graticule, as given"
	case GroundCentre:
		g.words = "given"
	case GroundGiven:
		pointed := math.IsInf(tr.GroundMark, 0) && tr.GroundMark*s.GroundBox > 0 && math.Abs(s.GroundBox) <= farthestGround
		switch beyond := !pointed && !onScreen(s.GroundBox, tr.Frame); {
		case beyond && math.Abs(s.GroundBox) <= -miscounted*tr.Frame.Bottom():
			missed = []remark.Remark{remark.Of(KindGroundOffGrid, remark.Number("ground_box", s.GroundBox), remark.Count("columns", tr.Frame.Cols),
				remark.Count("rows", tr.Frame.Rows), remark.Number("reach_box", -tr.Frame.Bottom()))}
		case beyond:
			return g, &SetupError{"ground",
				fmt.Sprintf("the ground line at %g boxes from the centre is not on the grid that was found, %d × %d boxes, which reaches from %g to %g",
					s.GroundBox, tr.Frame.Cols, tr.Frame.Rows, tr.Frame.Bottom(), -tr.Frame.Bottom()),
				"if the display has more rows, give its count with --boxes, and if the photo lies on its side, --turn; else " + groundHint}
		}
		g.box, g.words = s.GroundBox, "given"
	case GroundAuto:
		s.findGround(tr, &g)
	default:
		return g, &SetupError{"ground", fmt.Sprintf("there is no way %d to take the ground line", s.Ground), groundHint}
	}
	if s.GroundU != 0 {
		g.u = s.GroundU
	}
	if math.IsInf(tr.GroundMark, 0) && s.Ground != GroundAuto && onScreen(g.box, tr.Frame) {
		g.doubts = []remark.Remark{remark.Of(KindGroundAgainstPointer, remark.Number("ground_box", g.box), remark.Word("side", side(tr.GroundMark)))}
	}
	if onScreen(tr.GroundMark, tr.Frame) && math.Abs(tr.GroundMark-g.box) > markApart {
		g.doubts = []remark.Remark{remark.Of(KindGroundAgainstMark, remark.Number("ground_box", g.box), remark.Number("mark_box", tr.GroundMark))}
	}
	g.doubts = append(missed, g.doubts...)
	return g, nil
}

// findGround takes the ground line from the trace.
func (s Setup) findGround(tr *trace.Trace, g *ground) {
	switch {
	case onScreen(tr.GroundMark, tr.Frame):
		g.box, g.words = tr.GroundMark, "the mark at the rim"
		if tr.Drawn {
			g.words = "the level axis drawn"
		}
		g.u = math.Hypot(g.u, markSigma)
	case math.IsInf(tr.GroundMark, 0):
		g.box, g.words = math.Copysign(tr.Frame.Bottom(), tr.GroundMark), "the rim of the screen that the mark points at, and ground lies further off"
		g.u, g.unknown = -2*tr.Frame.Bottom()/math.Sqrt(3), true
		// A note, as below.
		g.notes = []remark.Remark{remark.Of(KindGroundOffScreen, remark.Word("side", side(tr.GroundMark)))}
	case tr.Rest.Seen():
		r := tr.Rest
		g.box, g.words = r.Y, "where the trace rests at its lowest"
		g.u = math.Hypot(g.u, r.Sigma)
		g.doubts = []remark.Remark{remark.Of(KindGroundAtRest, remark.Number("length_box", r.To-r.From), remark.Number("ground_box", r.Y))}
	default: // nothing is known: anywhere on the screen
		g.words = "the centre line, for want of a mark"
		g.u, g.unknown = -tr.Frame.Bottom()/math.Sqrt(3), true
		// The uncertainty covers the whole screen, so that a note will do where there is no mark to be seen. Panels of
		// pixels show one: of 33 photos the 20 whose traces are surely no beam all do, and the 8 without a mark are not
		// among them.
		if tr.Drawn {
			g.words = "the centre of the squares found, for want of an axis"
			g.notes = []remark.Remark{remark.Of(KindAxisUnknown)}
		} else if tr.Beam {
			g.notes = []remark.Remark{remark.Of(KindGroundUnknown)}
		} else if math.IsNaN(tr.GroundRival) {
			g.doubts = []remark.Remark{remark.Of(KindGroundMarkMissed)}
		}
	}
	mark, rival := tr.GroundMark, tr.GroundRival
	apart := math.Abs(rival-mark) > markApart // false for NaN
	switch {
	case math.IsNaN(mark) && !math.IsNaN(rival):
		g.doubts = append(g.doubts, remark.Of(KindGroundMarkShared, remark.Number("ground_box", g.box), remark.Number("mark_box", rival)))
	case apart:
		g.doubts = append(g.doubts, remark.Of(KindGroundMarkUnclear, remark.Number("ground_box", g.box), remark.Number("other_box", rival)))
	}
}

// GroundKnown reports whether ground was seen or given: else volts are counted from GroundBox for want of it, and only
// their differences are told.
func (r *Record) GroundKnown() bool { return !r.groundUnknown }

// side is on which side of the screen a mark of ±Inf says that ground lies.
func side(mark float64) string {
	if mark < 0 {
		return "below"
	}
	return "above"
}

// onScreen is false for NaN and infinities.
func onScreen(box float64, f geom.Frame) bool { return math.Abs(box) <= -f.Bottom() }
