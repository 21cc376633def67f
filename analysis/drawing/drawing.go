// Package drawing holds a curve that was drawn by hand on squared paper against the trace that it is a drawing of:
// where the screen lies on the paper, how far the drawing departs from the trace, and what the departures have in
// common. It knows nothing of pictures: both curves are numbers, the one in squares, the other in boxes.
//
//	placement.go  squares a box, and where the screen lies: by the axes that were drawn, or else by the paper's lines
//	distance.go   how far a point is from a curve, counted along the squares
//	departures.go where the drawing departs, what is not drawn
//	cause.go      one shift, one stretch, … that brings the trace onto the drawing
//
// A departure is counted along the squares, as one counts on squared paper: so many boxes across and so many up to the
// nearest place of the other curve, whichever way is the shortest in all. On a slope below 1 that is the difference of
// height, on a steeper one the difference along x, and at a corner the way round it: the edge of a square wave that is
// drawn 0.05 box late departs by 0.05 box and not by its whole height.
//
// The width of a pencil's line is about 0.05 box at 10 mm a box, and a person reads a screen to about 0.1 box (common
// practice, no source); nothing smaller is spoken of.
package drawing

import (
	"fmt"
	"math"
	"slices"

	"quadrille/calibrate/remark"
)

// A Point is a place on the paper, in squares from the bottom-left corner of the part that was found, x right and y up,
// or on the screen, in boxes from the centre.
type Point struct{ X, Y float64 }

// A Sketch is what was found on the paper, in squares.
type Sketch struct {
	// X and Y are the curve from left to right, of one length; Y is NaN where nothing is drawn.
	X, Y []float64
	// Upright are the x of upright straight lines that were drawn as axes or as the screen's frame, Level the y of level
	// ones; nil without.
	Upright, Level []float64
}

// A Screen is the trace that was drawn, in boxes from the centre.
type Screen struct {
	Cols, Rows int
	X, Y       []float64 // X not decreasing; Y is NaN where the trace is hidden
	Ground     float64   // height of 0 V; NaN if it is not known
	TimePerBox float64   // s, to say when a departure is; 0 if it is not known
	Decays     []Decay   // its decays, from left to right; nil for other signals
	Middle     float64   // the height about which a signal swings; NaN for those that have none
}

// A Decay begins at the place From, at the height Start, and goes towards the height End until To.
type Decay struct{ From, To, Start, End float64 }

// Options steers Hold. The zero value finds everything.
type Options struct {
	SquaresPerBox float64 // 0 means found
	Corner        *Point  // where the screen's bottom-left corner lies, squares; nil means found
	Tolerance     float64 // box; 0 means DefaultTolerance
}

// DefaultTolerance is twice what a person reads a screen to (common practice, no source).
const DefaultTolerance = 0.2

// Held is a drawing held against its trace. All places are in boxes from the screen's centre.
type Held struct {
	Placement
	Tolerance float64
	Mean      float64     // box: the mean distance of the curves, both ways, a part that one of them lacks counted as far off
	RMS       float64     // box, over the part that is drawn
	Largest   Departure   // its Size is 0 if the curves meet nowhere
	Over      []Departure // the largest of each stretch that departs by more than the tolerance, the largest first
	Coverage  float64     // 0..1, share of the trace's width that is drawn
	Missing   []Span      // parts of the trace that are not drawn
	// Causes bring the trace onto the drawing, the most telling first; each is a remark with its size. Rest are the
	// departures over the tolerance that they leave.
	Causes []Cause
	Rest   []Departure
	// Lacks are stretches of the trace that the drawing passes by, such as a pulse, once the causes are taken off.
	Lacks []Span
	// Wobble is how far the hand wavers, across and up: standard deviations in boxes, once the causes are taken off.
	// Places nearer than Alike boxes waver together.
	Wobble Point
	Alike  float64
	// Surprise tells which of several curves on the paper is the likeliest drawing of the trace: the one with the least.
	Surprise float64
	X, Y     []float64 // the drawing in boxes; Y is NaN where nothing is drawn, and beyond a rim that is
	Doubts   []remark.Remark
	Notes    []remark.Remark

	on   *Screen
	step Point // as of placed
}

// A Departure is how far the drawing lies from the trace at a place of the trace: right of it by Across and above it by
// Up. Size is the sum of their amounts. From and To bound the stretch of the trace that departs by more than the
// tolerance.
type Departure struct{ X, Y, Across, Up, Size, From, To float64 }

// A Span of the trace is from x to x.
type Span struct{ From, To float64 }

// Within says that no departure is larger than the tolerance, that nothing moves the whole drawing by more, and that
// all of the trace is drawn.
func (h *Held) Within() bool {
	return len(h.Over) == 0 && len(h.Missing) == 0 && len(h.Lacks) == 0 && !slices.ContainsFunc(h.Causes, func(c Cause) bool { return c.Moves > h.Tolerance })
}

// An Error says why a drawing cannot be held against a trace, and what to do.
type Error struct{ Reason, Hint string }

func (e *Error) Error() string { return e.Reason }

// The kinds of what is told beside the numbers.
const (
	// KindOtherPlacement doubts where the screen lies: it may also lie with its bottom-left corner at corner_x_squares,
	// corner_y_squares, of so many squares_per_box, so many times as likely (odds, up to 1); then the drawing has the
	// slip, of a kind of Cause with its values, or none.
	KindOtherPlacement remark.Kind = "drawing.other_placement"
	// KindNotAlike doubts that the one is a drawing of the other.
	KindNotAlike remark.Kind = "drawing.not_alike"
	// KindNoAxes notes that nothing drawn tells where the screen lies, so that shifts by multiples of across_box sideways
	// and of up_box upwards cannot be seen; that is 0 where something drawn tells. KindOtherPlacement says as much.
	KindNoAxes remark.Kind = "drawing.no_axes"
	// KindAxisIsGround notes that the one level axis was taken for the ground line, and how far that lies above the lowest
	// line of the screen, up_box.
	KindAxisIsGround remark.Kind = "drawing.axis_is_ground"
)

// Limits of Hold's words.
const (
	// fewestPlaces is the least number of places of a curve, leastAcross the least width of one in boxes.
	fewestPlaces, leastAcross = 5, 0.5
	// farApart is the mean distance in boxes, once all causes that are told are taken off, from which on a drawing is
	// hardly one of this trace (TestADrawingOfAnotherTraceIsDoubted).
	farApart = 0.35
)

// Hold places the sketch on the screen and compares the two curves. Its error is an *Error.
func Hold(s *Sketch, on *Screen, o Options) (*Held, error) {
	if o.Tolerance == 0 {
		o.Tolerance = DefaultTolerance
	}
	truth := curveOf(on.X, on.Y)
	if truth.places() < fewestPlaces || truth.width() < leastAcross {
		return nil, &Error{"the photo shows too little of a trace to hold a drawing against", "take a photo on which more of the trace is seen"}
	}
	if n := finite(s.X, s.Y); n < fewestPlaces {
		return nil, &Error{fmt.Sprintf("the drawing's curve has %d places, too few to compare", n), "take a photo on which the whole drawing is seen"}
	}
	p, rivals, err := place(s, on, o)
	if err != nil {
		return nil, err
	}
	h := &Held{Placement: p.Placement, Tolerance: o.Tolerance, Mean: p.mean, Surprise: p.surprise, step: p.step}
	h.X, h.Y = p.boxes(s.X, s.Y)
	h.clearBeyondRims(p.half)
	drawn := curveOf(h.X, h.Y)
	h.on = on
	h.depart(drawn, truth)
	left, changed := 0.0, truth
	if _, passed := over(leftOut(drawn, truth), o.Tolerance); max(h.Largest.Size, passed.Size) > leastMoves {
		h.Causes, changed, left = causes(drawn, on, truth)
	}
	moves := departures(drawn, changed)
	h.Rest, _ = over(moves, o.Tolerance)
	h.Wobble, h.Alike = wobbleOf(moves, changed), alikeOf(moves)
	passed, _ := over(leftOut(drawn, changed), o.Tolerance)
	for _, d := range passed {
		h.Lacks = append(h.Lacks, Span{d.From, d.To})
	}
	if left > farApart {
		h.Doubts = append(h.Doubts, remark.Of(KindNotAlike, remark.Number("mean_box", left)))
	} else if len(rivals) > 0 {
		r := rivals[0]
		told := remark.Of(KindOtherPlacement, remark.Number("squares_per_box", r.SquaresPerBox),
			remark.Number("corner_x_squares", r.Corner.X), remark.Number("corner_y_squares", r.Corner.Y),
			remark.Number("odds", math.Exp(p.nats-r.nats)))
		if r.slip.Moves > o.Tolerance/2 {
			told.Values = append(append(told.Values, r.slip.Values...), remark.Word("slip", string(r.slip.Kind)))
		}
		h.Doubts = append(h.Doubts, told)
	}
	if h.axisIsGround() {
		h.Notes = append(h.Notes, remark.Of(KindAxisIsGround, remark.Number("up_box", on.Ground+float64(on.Rows)/2)))
	}
	if p.From == FromPaper && !remark.Any(h.Doubts, KindOtherPlacement) { // which says as much, and more
		h.Notes = append(h.Notes, remark.Of(KindNoAxes, remark.Number("across_box", p.step.X),
			remark.Number("up_box", p.step.Y)))
	}
	return h, nil
}

// clearBeyondRims takes away what lies beyond an upright line that was drawn as a rim: a label, for nobody draws off
// the screen.
func (h *Held) clearBeyondRims(half Point) {
	for _, l := range h.Upright {
		for i, x := range h.X {
			if l.Is == LeftRim && x < -half.X-end || l.Is == Right && x > half.X+end {
				h.Y[i] = math.NaN()
			}
		}
	}
}

// axisIsGround says that the one level line that was drawn was taken for the ground line.
func (h *Held) axisIsGround() bool {
	return len(h.Level) == 1 && h.Level[0].Is == Ground && h.From == FromAxes
}

// finite counts the places of a curve.
func finite(x, y []float64) (n int) {
	for i := range min(len(x), len(y)) {
		if math.Abs(x[i]) < beyond && math.Abs(y[i]) < beyond {
			n++
		}
	}
	return n
}
