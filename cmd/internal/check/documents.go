package check

// What is taken from the two documents.

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/analysis"
	"quadrille/analysis/drawing"
	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
)

// chosen is the trace that is analysed, or else the first.
func chosen(d *wire.Document) *wire.Trace {
	for i := range d.Traces {
		if d.Traces[i].Chosen {
			return &d.Traces[i]
		}
	}
	if len(d.Traces) > 0 {
		return &d.Traces[0]
	}
	return nil
}

// mostSquares is more than a page has across or up: a large sheet ruled to 1 mm has some 800
// (TestWhatIsNoDrawingIsRefused).
const mostSquares = 2000

// usable refuses a document that is none of a picture with squares and a curve.
func usable(of string, d *wire.Document) error {
	what, hint := "the drawing", "take a photo of the whole drawing, straight on, in even light"
	if of == "display" {
		what, hint = "the photo of the display", "take a photo on which the grid and the trace are seen"
	}
	straight := of == "drawing" && d.Error != nil && d.Error.Kind == "trace" && d.Paper != nil && d.Graticule != nil
	switch {
	case d.Error != nil && !straight: // a level is a straight line, and not taken for a curve
		said := string(d.Error.Hint)
		if told(d, reading.KindMayBeDisplay) {
			said = "it looks like the photo of a display: give the photo of the drawing there; else " + said
		}
		return &Error{of, d.Error.Kind, fmt.Sprintf("%s (%s): %s", what, d.Photo.File, d.Error.Reason), said}
	case d.Table != nil:
		return &Error{of, "file", what + " is a table of readings, and is not seen in boxes", "give a photo, or the result.json of one"}
	case d.Graticule == nil:
		return &Error{of, "graticule", fmt.Sprintf("%s (%s) has no squares that were found", what, d.Photo.File), hint}
	case d.Graticule.Columns < 1 || d.Graticule.Rows < 1 || d.Graticule.Columns > mostSquares || d.Graticule.Rows > mostSquares:
		return &Error{of, "graticule", fmt.Sprintf("%s (%s) is %d by %d squares, which nothing is", what, d.Photo.File, d.Graticule.Columns, d.Graticule.Rows), hint}
	case chosen(d) == nil && !straight:
		return &Error{of, "trace", fmt.Sprintf("%s (%s) has no curve that was found", what, d.Photo.File), hint}
	}
	return nil
}

// mostCurves is how many curves of a drawing are held against the trace: who draws two graphs on a page draws no ten.
const mostCurves = 4

// curvesOf are the curves of a drawing that may be the trace: those that were found, and for a trace that is level each
// level line.
func curvesOf(d *wire.Document, screen *drawing.Screen) []wire.Trace {
	list := d.Traces[:min(len(d.Traces), mostCurves)]
	low, high := math.Inf(1), math.Inf(-1)
	for _, y := range screen.Y {
		if !math.IsNaN(y) {
			low, high = min(low, y), max(high, y)
		}
	}
	if d.Paper == nil || high-low > levelHeight {
		return list
	}
	for i, a := range d.Paper.Axes[:min(len(d.Paper.Axes), mostAxes)] {
		if !a.Level || !(a.To[0]-a.From[0] < mostSquares) {
			continue
		}
		t := wire.Trace{Name: fmt.Sprint(linePrefix, i+1), Colour: inkColour}
		for x := float64(a.From[0]); x <= float64(a.To[0]); x += 0.05 {
			f := (x - float64(a.From[0])) / float64(a.To[0]-a.From[0])
			t.X, t.Y = append(t.X, x), append(t.Y, float64(a.From[1])+f*float64(a.To[1]-a.From[1]))
		}
		list = append(list, t)
	}
	return list
}

const (
	// levelHeight is how high in boxes a trace is at most, noise and all, that may be drawn as a straight line
	// (TestALevelIsDrawnAsALine).
	levelHeight = 0.5
	linePrefix  = "line "   // begins the name of a line that was taken for a curve
	inkColour   = "#303840" // of a line that the document gives no colour
)

// levelLines counts those of a drawing.
func levelLines(d *wire.Document) (n int) {
	if d.Paper != nil {
		for _, a := range d.Paper.Axes {
			if a.Level {
				n++
			}
		}
	}
	return n
}

// sketchOf is a curve of the drawing in squares from the bottom-left corner of the part that was found. A level line is
// no axis where it is the curve itself.
func sketchOf(d *wire.Document, t *wire.Trace) *drawing.Sketch {
	s := &drawing.Sketch{Y: make([]float64, min(len(t.X), len(t.Y)))}
	s.X = make([]float64, len(s.Y))
	for i := range s.Y {
		s.X[i], s.Y[i] = t.X[i]+float64(d.Graticule.Columns)/2, t.Y[i]+float64(d.Graticule.Rows)/2
	}
	if d.Paper != nil {
		long := longLines(d.Paper.Axes[:min(len(d.Paper.Axes), mostAxes)], s)
		for i, a := range d.Paper.Axes {
			switch {
			case i == mostAxes:
				return s
			case !long(a):
			case a.Level && t.Name == fmt.Sprint(linePrefix, i+1):
			case a.Level:
				s.Level = append(s.Level, float64(a.From[1]+a.To[1])/2+float64(d.Graticule.Rows)/2)
			default:
				s.Upright = append(s.Upright, float64(a.From[0]+a.To[0])/2+float64(d.Graticule.Columns)/2)
			}
		}
	}
	return s
}

// longLines says which lines may be axes: those at least nearlyLong of the longest in their direction, and not much
// shorter than the curve is high or wide. A shorter one is an edge of the curve, a dimension line or a column of
// letters.
func longLines(lines []wire.Axis, s *drawing.Sketch) func(wire.Axis) bool {
	length := func(a wire.Axis) float64 {
		return math.Hypot(float64(a.To[0]-a.From[0]), float64(a.To[1]-a.From[1]))
	}
	extent := func(v []float64) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for i := range v {
			if !math.IsNaN(s.X[i] + s.Y[i]) {
				low, high = min(low, v[i]), max(high, v[i])
			}
		}
		return high - low
	}
	least := map[bool]float64{true: overCurve * extent(s.X), false: overCurve * extent(s.Y)}
	for _, a := range lines {
		if l := nearlyLong * length(a); l > least[a.Level] {
			least[a.Level] = l
		}
	}
	return func(a wire.Axis) bool { return length(a) >= least[a.Level] }
}

// nearlyLong and overCurve are shares of the longest line and of the curve's own size: axes are drawn over all of the
// screen, a curve lies within (TestShortLinesAreNoAxes).
const nearlyLong, overCurve = 0.6, 0.9

// mostAxes is how many straight lines of a drawing are asked what they are; a frame with both centre lines has six.
const mostAxes = 16

// screenOf is the display's trace in boxes, without what is left of the sweep before.
func screenOf(d *wire.Document) (*drawing.Screen, *wire.Trace, error) {
	if err := usable("display", d); err != nil {
		return nil, nil, err
	}
	t := chosen(d)
	s := &drawing.Screen{Cols: d.Graticule.Columns, Rows: d.Graticule.Rows, X: t.X, Y: t.Y, Ground: math.NaN(), Middle: math.NaN()}
	used := settingsOf(d, t)
	if used.GroundBox.Known() {
		s.Ground = float64(used.GroundBox)
	}
	if used.TimePerBox.Known() {
		s.TimePerBox = float64(used.TimePerBox)
	}
	switch string(signalOf(d, t)) {
	case analysis.SignalDecay:
		s.Decays = decaysOf(d, t, used)
		n := sweepBefore(s)
		s.X, s.Y = s.X[:n], s.Y[:n]
	case analysis.SignalSine, analysis.SignalTriangle, analysis.SignalRamp, analysis.SignalStates, analysis.SignalPulses:
		low, high := math.Inf(1), math.Inf(-1)
		for _, y := range t.Y {
			if !math.IsNaN(y) {
				low, high = min(low, y), max(high, y)
			}
		}
		s.Middle = (low + high) / 2
	}
	return s, t, nil
}

const (
	// penGap is the least width in boxes of the gap that a slow sweep leaves ahead of the pen; that of a steep edge is
	// narrower. stepBack is the share of a decay's swing by which what lies right of it is off where the pen stands
	// (TestTheSweepBeforeIsNotAskedFor).
	penGap, stepBack = 0.2, 0.25
)

// sweepBefore is the index of the first column right of the pen, where a sweep that takes seconds a box is still being
// drawn and the one before it is still seen; len(s.X) without. A single discharge goes on where a label hides it, and
// cannot jump back.
func sweepBefore(s *drawing.Screen) int {
	if len(s.Decays) != 1 {
		return len(s.X)
	}
	d, pen := s.Decays[0], -1
	for i := range s.X {
		if math.IsNaN(s.Y[i]) {
			continue
		}
		jump := pen >= 0 && math.Abs(s.Y[i]-s.Y[pen]) > stepBack*math.Abs(d.Start-d.End)
		if jump && s.X[i]-s.X[pen] > penGap && s.X[pen] > d.To-penGap {
			return i
		}
		pen = i
	}
	return len(s.X)
}

// settingsOf are those of a trace of d.
func settingsOf(d *wire.Document, t *wire.Trace) wire.Used {
	if t.Settings != nil {
		return *t.Settings
	}
	return d.Settings
}

func signalOf(d *wire.Document, t *wire.Trace) wire.Text {
	if t.Signal != "" {
		return t.Signal
	}
	return d.Signal
}

// scalesOf gives what a box is in the units of the trace's volts and seconds, where a record that was made without a
// setting is in boxes, and where their 0 lies.
func scalesOf(d *wire.Document, used wire.Used) (volts, seconds, ground float64) {
	volts, seconds = 1, 1
	if used.VoltsPerBox.Known() {
		volts = float64(used.VoltsPerBox * used.Probe)
	}
	if used.TimePerBox.Known() {
		seconds = float64(used.TimePerBox)
	}
	if used.GroundBox.Known() {
		ground = float64(used.GroundBox)
	}
	return volts, seconds, ground
}

// decaysOf takes the decays of the fits back to boxes.
func decaysOf(d *wire.Document, t *wire.Trace, used wire.Used) (out []drawing.Decay) {
	volts, seconds, ground := scalesOf(d, used)
	left := -float64(d.Graticule.Columns) / 2
	for _, f := range d.Fits {
		n := min(len(f.T), len(f.V))
		if f.Trace != t.Name || n < 3 {
			continue
		}
		end := f.V[n-1]
		// Three places as far apart tell where an exponential goes: a, b, c lie at the powers of one ratio from there.
		k := (n - 1) / 2
		a, b, c := f.V[0], f.V[k], f.V[2*k]
		if bend := a + c - 2*b; math.Abs(bend) > 0.01*math.Abs(a-c) {
			end = (a*c - b*b) / bend
		}
		out = append(out, drawing.Decay{From: left + f.T[0]/seconds, To: left + f.T[n-1]/seconds, Start: ground + f.V[0]/volts, End: ground + end/volts})
	}
	return out
}

// toldOtherwise are doubts of a reading that a check does not repeat: what a drawing or a display is without, and what
// KindSwapped says of both.
var toldOtherwise = []remark.Kind{reading.KindScalesUnknown, reading.KindMayBePaper, reading.KindMayBeDisplay}

// told says whether a document as a whole is doubted for that.
func told(d *wire.Document, kind remark.Kind) bool {
	return slices.ContainsFunc(d.DoubtKinds, func(r wire.Remark) bool { return r.Kind == string(kind) })
}

// doubtsOf are the doubts of a reading that bear on where a trace runs, each once, and of which reading they are: not
// those of what the signal is or of scales that are not known.
func doubtsOf(of string, d *wire.Document, t *wire.Trace) (list []wire.Remark) {
	for _, kinds := range [][]wire.Remark{d.DoubtKinds, d.Photo.DoubtKinds, d.Graticule.DoubtKinds, t.DoubtKinds} {
		for _, r := range kinds {
			r.About, r.Text = wire.Text(of), "The "+of+": "+r.Text
			again := slices.ContainsFunc(list, func(o wire.Remark) bool { return o.Text == r.Text })
			if !again && !strings.HasPrefix(r.Kind, "analysis.") && !slices.Contains(toldOtherwise, remark.Kind(r.Kind)) {
				list = append(list, r)
			}
		}
	}
	return list
}
