// Package trace finds the curves drawn on a display whose graticule is known, and gives each as
// samples in boxes with their uncertainties.
package trace

import (
	"context"
	"fmt"
	"image"
	"math"
	"sort"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// A Trace is one curve on the display.
type Trace struct {
	Name   string     // "a", "b", "c" in the order found
	Colour [3]uint8   // sRGB, as photographed
	Frame  geom.Frame // of the graticule it lies on
	X      []float64  // box, strictly increasing
	Y      []float64  // box; NaN where the trace is hidden or absent
	Sigma  []float64  // box; one standard deviation of Y, independent from sample to sample
	// Thick is the height in boxes over which the display drew each column: more than the stroke
	// on steep edges and on noisy curves.
	Thick    []float64
	Effects  []Effect
	Coverage float64 // 0..1, share of the frame's width where the trace was seen
	// GroundMark is the y in boxes of the mark at the rim in the trace's colour that shows its
	// zero; NaN if none was found, -Inf or +Inf if one points off the screen, down or up.
	GroundMark float64
	Rest       Stretch // where the trace rests at its lowest level, at one end of the screen
	// Prominence says how much the trace stands out: the columns it was seen in, times the cube root of its light, times the
	// breadth of its stroke. Only ratios to other traces of the same photo mean anything.
	Prominence float64
	// Line says that it is a level line from rim to rim, as helper lines are and traces at rest may be.
	Line   bool
	Doubts []remark.Remark
}

// An Effect is one cause that moves all samples together: by DX, DY boxes at one standard deviation.
// Effects of one Name belong to one source of uncertainty and are independent of each other. Joint says that the cause
// moves all traces of the photo in step: the k-th effect of that name of one trace is the k-th of any other.
type Effect struct {
	Name   string
	Joint  bool
	DX, DY []float64
}

// Options steers Extract. Nil or zero fields mean the automatic way.
type Options struct {
	Colour *[3]uint8 // sRGB of the wanted trace; nil takes all
	Stage  func(name string, img image.Image)
}

// A NotFoundError says that no trace was accepted, and what to do.
type NotFoundError struct{ Reason, Hint string }

func (e *NotFoundError) Error() string { return e.Reason }

// A candidate is a path that may be a trace, with the tint it was found by.
type candidate struct {
	tint   tint
	path   *path
	noise  []float32 // of light along the tint, at the field's knots
	meets  bool      // another of the same tint comes near
	crests bool      // the path has the crests of a fast wave only
	words  bool      // the path is made of what looks like words, and nothing else was found
	line   bool      // the path is a level line from rim to rim
	beam   bool      // once measured: it may be a tube's beam
	// quality is how well the path hangs together and how evenly it is lit, 0 to 1.
	quality float64
}

const (
	// leastCoverage is the share of the frame's width that a trace covers at least.
	leastCoverage = 0.2
	// leastQuality is the least quality of the best path, lesserQuality of any other; twinQuality is
	// that of a second path in the colour of a first, which must cover twinCoverage of the width.
	// On 33 real photos, traces have 0.65 to 1, lesser ones 0.76 to 1, second ones of a colour 0.78 to
	// 1; rows of text, dashed lines and menus have 0.4 to 0.72 (TestTextIsNoTrace).
	// A path that covers less than half of the width must have partQuality: it may be one line of text.
	leastQuality, lesserQuality, twinQuality, partQuality = 0.4, 0.72, 0.76, 0.8
	twinCoverage                                          = 0.6
	// lesserCoverage is the share of the width in which a lesser path must be seen by itself: what goes along the rim, a menu's border and
	// the levels of another trace by turns does not (TestALesserTraceIsSeenByItself).
	lesserCoverage = 0.6
	// besideRim is the quality from which a path that covers twinCoverage of the width is taken before one along the
	// rim; rows of text seldom cover that much.
	besideRim = 0.6
	// faintest is the least prominence of such a path as a share of the most prominent: remains of the graticule that hang
	// together had 0.07 beside a steady level, a thin trace beside helper lines 0.85 (TestNoiseOfPhotosReachesTheBound).
	faintest = 0.25
	// wholeCoverage and wholeJoined are the coverage and the share of columns that hang together from
	// which a second path in one colour that does not jump is judged by its own light. Dashed lines have
	// 0.91; lines of text jump.
	wholeCoverage, wholeJoined = 0.85, 0.94
	// overInk is the least light of a trace in units of the graticule's. What the model of the ink
	// leaves of lines and dots is a quarter of them at most (TestEmptyDisplayHasNoTrace).
	overInk = 0.3
	// overRim is the same for a path along the upper or lower rim, whose line is brighter than dots.
	overRim = 1.6
	// aPixel is the width, in boxes and as a standard deviation, that a line of one or two display
	// pixels cannot exceed in a sharp photo. A lesser path that is both this thin and less than half
	// as wide as the best is a line of the graticule or a helper line.
	aPixel = 0.0125
	// ordinaryStroke is the standard deviation of a stroke of three of the display's pixels, in boxes.
	ordinaryStroke = 0.025
	// neutral is how near to grey, in radians, a tint is white: text and frames are, beside a trace
	// that has a hue.
	neutral = 0.14
	// mostTraces bounds the list.
	mostTraces = 6
	// margin is how far above and below the frame the display is read, in boxes.
	margin = 0.2
)

// Extract gives the traces of ph on g, the most prominent first; never an empty list without an
// error, which is a *NotFoundError. With o.Colour it gives the one trace nearest to that colour. Once ctx is cancelled it ends
// within 50 ms with the error of ctx.
func Extract(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, o *Options) ([]*Trace, error) {
	if o == nil {
		o = &Options{}
	}
	fine, ok := pitchOf(g)
	if !ok || g.Frame.Cols < 1 || g.Frame.Rows < 1 {
		return nil, &NotFoundError{
			Reason: "the display is too small in the photo to see a trace",
			Hint:   "take the photo from nearer, so that the screen fills it",
		}
	}
	v, err := lookAt(ctx, ph, g, fine, false)
	if err != nil {
		return nil, err
	}
	if seen := v.seen(); seen < wellSeen*float64(v.s.nx) {
		w, err := lookAt(ctx, ph, g, fine, true)
		if err != nil {
			return nil, err
		}
		if w.showsFastWave() && w.seen() > moreSeen*seen {
			v = w
		}
	}
	s, f, lines, ink, found := v.s, v.f, v.lines, v.ink, v.found
	showEvidence(o, s, f, &ink, found)
	if len(found) == 0 {
		return nil, &NotFoundError{
			Reason: "no trace was seen on the display",
			Hint: "check that a curve is on the screen and that the grid lies on the display; avoid glare, and name the trace's colour; " +
				"take a shorter time per box if a fast wave fills the screen",
		}
	}
	r, err := readRim(ctx, ph, g, fine)
	if err != nil {
		return nil, err
	}
	var traces []*Trace
	var measured []*candidate
	marks := graticuleLooks{engraved: engraved(s, &ink), curved: curved(g), dotted: lines.dotted(&ink)}
	for _, c := range found {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var through []float32
		if marks.engraved && c.tint.grey() > 0 {
			through = transmission(s, f, &ink)
		}
		t := c.measure(s, f, g, &ink, through, marks)
		if t == nil {
			continue
		}
		if c.beam {
			if e, ok := parallax(g, ph.W, ph.H, t.places()); ok {
				t.Effects = append(t.Effects, e)
			}
		}
		t.Prominence = c.prominence(s)
		traces, measured = append(traces, t), append(measured, c)
	}
	widenNearOthers(traces)
	r.markGround(s, &ink, traces, measured)
	for _, t := range traces {
		if says := t.mayBeCut(); says != "" {
			t.Doubts = append(t.Doubts, remark.Text(says))
		}
	}
	if len(traces) == 0 {
		return nil, &NotFoundError{
			Reason: "something is drawn on the display, but no trace could be followed",
			Hint:   "take the photo again without glare, or name the trace's colour",
		}
	}
	if o.Colour != nil {
		t := Nearest(traces, *o.Colour)
		if t == nil {
			return nil, &NotFoundError{
				Reason: "no trace of that colour was seen on the display",
				Hint:   fmt.Sprintf("the traces seen have the colours %s", coloursOf(traces)),
			}
		}
		traces = []*Trace{t}
	}
	for k, t := range traces {
		t.Name = string(rune('a' + k))
	}
	showPaths(o, ph, g, traces)
	return traces, nil
}

// search tries every tint and gives the paths that look like traces, most prominent first. Its error is that of ctx.
func search(ctx context.Context, s *sheet, f *field, g *graticule.Graticule, ink *[3][]float32) ([]*candidate, error) {
	var found []*candidate
	inked, lit := inkLight(s, ink), litLines(s, ink)
	var panels []panel
	var drawn []*drawing
	for _, d := range tints(s, f, ink) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if lit && d.grey() < 0 {
			continue // what a lens or the camera's sharpening draws beside bright strokes
		}
		score, noise := likeness(s, ink, d), noiseAlong(f, d)
		peakInk, rimInk := inkPeak(s, ink, d)
		runs, amount := findRuns(s, f, g, score, noise, inked, peakInk)
		if amount < overInk*peakInk {
			continue
		}
		panels = append(panels, panelsOf(s, g, ink, d, score, amount)...)
		drawn = append(drawn, &drawing{d, score, runs, amount, noise, peakInk, rimInk})
	}
	for _, w := range drawn {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		hide(s, w.runs, panels)
		rest := withoutWords(s, w.runs)
		of := w.paths(s, g, rest)
		if len(of) == 0 {
			of = w.dimmer(s, g, rest)
		}
		if len(of) == 0 { // the crests of a fast wave look like letters
			of = w.paths(s, g, w.runs)
			for _, c := range of {
				c.words = c.path.inALine(s)
			}
		}
		found = append(found, of...)
	}
	for _, w := range drawn {
		if len(found) > 0 {
			break
		}
		if p := w.crestsOf(s); p != nil {
			found = append(found, &candidate{tint: w.tint, path: p, noise: w.noise, quality: p.quality(s), crests: true})
		}
	}
	sort.SliceStable(found, func(i, j int) bool { return found[i].prominence(s) > found[j].prominence(s) })
	found = linesLast(found, s, g)
	var kept []*candidate
	for _, c := range found {
		if len(kept) < mostTraces && (len(kept) == 0 || c.beside(kept, s, g)) {
			for _, k := range kept {
				if k.tint == c.tint && !c.line && c.path.near(k.path, s) {
					c.meets, k.meets = true, true
				}
			}
			kept = append(kept, c)
		}
	}
	return kept, nil
}

// linesLast puts lines from rim to rim, and paths along the upper or lower rim, behind all others, if one of those is likely
// enough: such a line hangs together better than many a trace.
func linesLast(found []*candidate, s *sheet, g *graticule.Graticule) []*candidate {
	var lines, others []*candidate
	likely := false
	for _, c := range found {
		if c.line || c.path.hugsRim(s, g) {
			lines = append(lines, c)
			continue
		}
		others = append(others, c)
		likely = likely || c.quality >= besideRim && c.path.share() >= twinCoverage && c.prominence(s) > faintest*found[0].prominence(s)
	}
	if !likely {
		return found
	}
	return append(others, lines...)
}

// inkPeak is the light of the graticule's brightest ink along the tint, of either sign, and rimPeak the
// same for the upper and lower rim, where the ink has what lies outside the frame as well.
func inkPeak(s *sheet, ink *[3][]float32, d tint) (inkPeak, rimPeak float32) {
	const stride, brightest = 7, 0.995
	across, up := int(2*margin*float64(s.across)), int(2*margin*float64(s.up))
	var v, rim []float32
	for i := across; i < s.nx-across; i++ {
		for j := i % stride; j < s.ny; j += stride {
			k := i*s.ny + j
			w := abs(d[0]*ink[0][k] + d[1]*ink[1][k] + d[2]*ink[2][k])
			if j >= up && j < s.ny-up {
				v = append(v, w)
			} else {
				rim = append(rim, w)
			}
		}
	}
	return quantile(v, brightest), quantile(rim, brightest)
}

// beside reports whether c can be a trace of a display that shows the traces kept, the first of
// which is the most prominent: the same polarity, not the same path, and not what instruments draw
// beside traces.
func (c *candidate) beside(kept []*candidate, s *sheet, g *graticule.Graticule) bool {
	best := kept[0]
	if c.quality < lesserQuality || (c.tint.grey() > 0) != (best.tint.grey() > 0) {
		return false
	}
	if c.path.hugsRim(s, g) || c.own(kept, s, g) < lesserCoverage {
		return false
	}
	white := math.Cos(neutral)
	if c.tint.grey() > white && best.tint.grey() < white {
		return false
	}
	if w := c.path.breadth(s); w < aPixel && w < best.path.breadth(s)/2 {
		return false
	}
	for _, k := range kept {
		if c.path.follows(k.path) {
			return false
		}
	}
	return true
}

// prominence orders candidates: by the share of the columns, the light and the breadth of the stroke, up to
// that of an ordinary one. The eye's response to light is about its cube root.
func (c *candidate) prominence(s *sheet) float64 {
	return c.path.evidence() * math.Cbrt(float64(c.path.amount)) * min(c.path.breadth(s), ordinaryStroke)
}

// measure makes the trace of a candidate; nil when too little of it has a centre.
func (c *candidate) measure(s *sheet, f *field, g *graticule.Graticule, ink *[3][]float32, through []float32, marks graticuleLooks) *Trace {
	plane, under := light(s, ink, c.tint), along(s, ink, c.tint)
	m := centre(s, f, c.path, plane, under, through, c.noise, g.Frame.Bottom())
	if !c.crests {
		m.dropLonely(s)
	}
	t := &Trace{Frame: g.Frame, Line: c.line, Y: m.y, Sigma: m.sigma, Thick: m.thick, X: make([]float64, s.nx)}
	for i := range t.X {
		t.X[i] = s.x(i)
	}
	c.beam = c.mayBeBeam(s, m, plane, marks)
	t.clip()
	seen := 0
	for i := range t.X {
		if !math.IsNaN(t.Y[i]) {
			seen++
		}
	}
	t.Coverage = float64(seen) / float64(s.nx)
	if t.Coverage < leastCoverage && !c.crests {
		return nil
	}
	t.Colour = photographed(s, f, t)
	for _, v := range g.Moves(t.places()) {
		t.Effects = append(t.Effects, Effect{Name: "graticule fit", Joint: true, DX: v.DX, DY: v.DY})
	}
	if e, ok := stripes(c.tint, s.elements(), len(t.X)); ok && !(marks.engraved && c.colourless(f)) {
		t.Effects = append(t.Effects, e)
	}
	t.Effects = append(t.Effects, m.steps(s)...)
	t.Effects = append(t.Effects, m.roundings()...)
	t.Rest = t.rest(m.pixel)
	t.Doubts = remark.Texts(c.doubts(s, g, t, m))
	return t
}

// places are those of the samples; a hidden one is put on the centre line.
func (t *Trace) places() []geom.Box {
	out := make([]geom.Box, len(t.X))
	for i, x := range t.X {
		if out[i].X = x; !math.IsNaN(t.Y[i]) {
			out[i].Y = t.Y[i]
		}
	}
	return out
}
