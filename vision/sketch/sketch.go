package sketch

import (
	"context"
	"image"
	"math"
	"slices"
	"sort"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/squares"
	"quadrille/vision/trace"
)

// A Drawing is what was found on a sheet of squared paper.
type Drawing struct {
	Paper *squares.Paper
	// Traces are the curves, the widest first, never none, in squares from the frame's centre: X strictly increasing, Y
	// NaN where the curve is hidden. Steep parts have their places close together along x. GroundMark is where the
	// level axis lies that belongs to the curve; NaN without one.
	Traces []*trace.Trace
	// Axes are the straight lines that are no curves, level and upright.
	Axes []Axis
	// Origin is where a level and an upright axis cross, of the longest ones; nil without.
	Origin *geom.Box
	// Explained is which part of all that is drawn on the ruled part the curves and the axes are, 0..1.
	Explained float64
	// large is the same of the large pieces alone, without letters.
	large float64
	// Doubts speak against the drawing as a whole; each trace has its own.
	Doubts, Notes []remark.Remark
}

// An Axis is a straight stroke along the squares.
type Axis struct {
	Level    bool
	From, To geom.Box // its ends, left or bottom first
}

// Options steers Find. Nil fields mean the automatic way.
type Options struct {
	Colour *[3]uint8 // sRGB of the wanted curve; nil takes all
	Stage  func(name string, img image.Image)
}

// A NotFoundError says that no curve is drawn on the squares that were found, and what to do. Without squares the error
// is a *squares.NotFoundError.
type NotFoundError struct{ Reason, Hint string }

func (e *NotFoundError) Error() string { return e.Reason }

// Find gives the drawing on ph. Beside a *NotFoundError the drawing is not nil and has its paper. Other errors are
// *squares.NotFoundError and that of ctx when it is done.
func Find(ctx context.Context, ph *photo.Photo, o *Options) (*Drawing, error) {
	if o == nil {
		o = &Options{}
	}
	p, err := squares.Find(ctx, ph)
	if err != nil {
		return nil, err
	}
	s, err := readSheet(ctx, ph, p)
	if err != nil {
		return &Drawing{Paper: p}, err
	}
	s.takeOutRuling()
	return drawingOn(ctx, s, lightOf(ph, p), o)
}

// drawingOn gives the drawing on a sheet whose ruling is taken out; light gives the photo's light at a place of the
// paper, false outside.
func drawingOn(ctx context.Context, s *sheet, light func(geom.Box) ([3]float32, bool), o *Options) (*Drawing, error) {
	d := &Drawing{Paper: s.paper}
	c := canvasOf(evidenceOf(s))
	strokes, err := c.strokes(ctx)
	if err != nil {
		return d, err
	}
	c.show(o, strokes)
	d.Axes, d.Origin = c.axesFound()
	d.Explained, d.large = c.explained(strokes)
	if len(strokes) == 0 || d.Explained < leastExplained {
		return d, &NotFoundError{
			Reason: "the squares were found, but no curve is drawn on them",
			Hint: "draw the curve in one stroke from left to right, dark enough to see in the photo, and keep words off it; " +
				"photograph the page so that left is left",
		}
	}
	for _, st := range strokes {
		if t := d.traceOf(c, st, light); t != nil {
			for _, m := range st.crossings {
				r := remark.Of(KindMeets, remark.Number("x_from_left_box", c.x(float64(m.x))-d.Paper.Frame.Left()))
				if m.clear {
					t.Notes = append(t.Notes, r)
				} else {
					t.Doubts = append(t.Doubts, r)
				}
			}
			d.Traces = append(d.Traces, t)
		}
	}
	if o.Colour != nil {
		t := trace.Nearest(d.Traces, *o.Colour)
		if t == nil {
			return d, &NotFoundError{
				Reason: "no curve of that colour is drawn on the squares",
				Hint:   "leave the colour out to see which curves were found",
			}
		}
		d.Traces = []*trace.Trace{t}
	}
	for k, t := range d.Traces {
		t.Name = string(rune('a' + k))
	}
	d.doubt()
	return d, nil
}

// traceOf makes the trace of a stroke.
func (d *Drawing) traceOf(c *canvas, s *stroke, light func(geom.Box) ([3]float32, bool)) *trace.Trace {
	f := d.Paper.Frame
	t := &trace.Trace{Frame: f, Drawn: true, GroundMark: math.NaN(), GroundRival: math.NaN(), Prominence: s.gain}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range c.points(s) {
		t.X, t.Y = append(t.X, p.X), append(t.Y, p.Y)
		t.Sigma, t.Thick = append(t.Sigma, p.sigma), append(t.Thick, p.thick)
		if !math.IsNaN(p.Y) {
			lo, hi = min(lo, p.Y), max(hi, p.Y)
		}
	}
	if len(t.X) < leastPoints {
		return nil
	}
	t.Coverage = s.coverage * s.span / float64(f.Cols)
	t.Colour = c.colourOf(s, light)
	t.GroundMark = d.ground(lo, hi)
	// The lines were seen to RMS each; what is common to a curve is how well the squares round it are known.
	for _, along := range []bool{true, false} {
		e := trace.Effect{Name: "squares fit", Joint: true, DX: make([]float64, len(t.X)), DY: make([]float64, len(t.X))}
		for i := range t.X {
			if along {
				e.DX[i] = squaresU
			} else {
				e.DY[i] = squaresU
			}
		}
		t.Effects = append(t.Effects, e)
	}
	t.Doubts, t.Notes = doubtsOf(s)
	if c.goesOn(s) {
		t.Doubts = append(t.Doubts, remark.Of(KindGoesOn))
	}
	return t
}

const (
	// leastPoints is how many places a curve has at least: three squares of them (TestAPageOfWordsHasNoCurve).
	leastPoints = 30
	// squaresU is the standard uncertainty in squares of where the ruling is under a curve (TestHowNearACurveIsRead).
	squaresU = 0.01
	// groundNear is how far above or below a curve its axis may lie, in squares (TestAxesAreNoCurves).
	groundNear = 1.0
)

// ground is the height of the level axis that belongs to a curve between lo and hi: the longest one that it crosses or
// ends near; NaN without.
func (d *Drawing) ground(lo, hi float64) float64 {
	best, at := 0.0, math.NaN()
	for _, a := range d.Axes {
		y := (a.From.Y + a.To.Y) / 2
		if n := a.To.X - a.From.X; a.Level && n > best && y > lo-groundNear && y < hi+groundNear {
			best, at = n, y
		}
	}
	return at
}

// axesFound gives the axes in squares, the longest first, and where two cross.
func (c *canvas) axesFound() (out []Axis, origin *geom.Box) {
	first := margin * float64(c.per)
	for _, l := range slices.Concat(c.level, c.stands) {
		// A rim printed heavily is no axis of the drawing, but nobody can tell; the sheet's edge is.
		if !l.axis || l.level && (l.a < first/2 || l.a > float64(c.h)-first/2) {
			continue
		}
		a := Axis{Level: l.level}
		if l.level {
			a.From = geom.Box{X: c.x(float64(l.from) + 0.5), Y: c.y(l.a + 0.5)}
			a.To = geom.Box{X: c.x(float64(l.to) + 0.5), Y: c.y(l.b + 0.5)}
		} else {
			a.From = geom.Box{X: c.x(l.b + 0.5), Y: c.y(float64(l.to) + 0.5)}
			a.To = geom.Box{X: c.x(l.a + 0.5), Y: c.y(float64(l.from) + 0.5)}
		}
		out = append(out, a)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].length() > out[j].length() })
	for _, a := range out {
		for _, b := range out {
			if !a.Level || b.Level {
				continue
			}
			// Nearly along the squares: two rounds find the crossing.
			at := geom.Box{X: b.From.X, Y: a.From.Y}
			for range 2 {
				at = geom.Box{X: b.From.X + (b.To.X-b.From.X)*(at.Y-b.From.Y)/(b.To.Y-b.From.Y),
					Y: a.From.Y + (a.To.Y-a.From.Y)*(at.X-a.From.X)/(a.To.X-a.From.X)}
			}
			if at.X > a.From.X-originNear && at.X < a.To.X+originNear && at.Y > b.From.Y-originNear && at.Y < b.To.Y+originNear {
				return out, &at
			}
		}
	}
	return out, nil
}

func (a Axis) length() float64 { return math.Hypot(a.To.X-a.From.X, a.To.Y-a.From.Y) }

// lightOf gives the photo's light at a place of the paper, over the pixel there.
func lightOf(ph *photo.Photo, p *squares.Paper) func(b geom.Box) ([3]float32, bool) {
	return func(b geom.Box) (v [3]float32, ok bool) {
		q := p.Pixel(b)
		rgb, cut := ph.Region(image.Rect(int(q.X), int(q.Y), int(q.X)+1, int(q.Y)+1))
		if cut.Empty() {
			return v, false
		}
		for c := range v {
			v[c] = rgb[c].Pix[0]
		}
		return v, true
	}
}
