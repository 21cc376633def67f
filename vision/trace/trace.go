// Package trace finds the curves drawn on a display whose graticule is known, and gives each as
// samples in boxes with their uncertainties.
//
// It is the last of the rooms that a trace goes through, and Extract is its entry. It only orders the three before it
// and adds what is said of a whole trace:
//
//	photo, graticule -> sheet.Read -> path.Find -> stroke.Measure -> Extract
//
//	ground_mark.go    whose the marks at the rim are that show a trace's zero
//	rim_*.go          the strip at the rim, the signs in it, the marks among them, their cells
//	rest.go           where a trace rests at its lowest level
//	doubt.go          what a person should look at
//	colour.go         the colour of a trace, and the trace of a colour
//	stage_pictures.go what the rooms saw, for a person who wants to know why
package trace

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"slices"
	"sort"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/path"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
	"quadrille/vision/stroke"
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
	// GroundRival is where another mark points that may be the trace's as well, NaN if none may; without a GroundMark,
	// where one points that may be the trace's or another's.
	GroundRival float64
	// Beam says that it may be drawn by the beam of a tube, which shows no marks.
	Beam bool
	// Drawn says that it is drawn on paper, where a level axis shows its zero: GroundMark is the height of that.
	Drawn bool
	Rest  Stretch // where the trace rests at its lowest level, at one end of the screen
	// Prominence says how much the trace stands out: the columns it was seen in, times the cube root of its light, times
	// the breadth of its stroke, times the root of half a box more than its height. Only ratios to other traces of the
	// same photo mean anything.
	Prominence float64
	// Line says that it is a level line from rim to rim, as helper lines are and traces at rest may be.
	Line bool
	// Doubts speak against the trace; Notes are worth knowing of it.
	Doubts, Notes []remark.Remark
}

// An Effect is one cause that moves all samples of a trace together.
type Effect = stroke.Effect

// Options steers Extract. Nil or zero fields mean the automatic way.
type Options struct {
	Colour *[3]uint8 // sRGB of the wanted trace; nil takes all
	Stage  func(name string, img image.Image)
}

// A NotFoundError says that no trace was accepted, and what to do.
type NotFoundError struct{ Reason, Hint string }

func (e *NotFoundError) Error() string { return e.Reason }

// edgeShare turns the height of a stroke into a standard deviation: a rectangular distribution over the stroke
// (TestTracesOnEachOtherAreWide).
const edgeShare = 0.29

// Extract gives the traces of ph on g, the most prominent first; never an empty list without an error, which is a
// *NotFoundError. With o.Colour it gives the one trace nearest to that colour. Once ctx is cancelled it ends within
// 50 ms with the error of ctx.
func Extract(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, o *Options) ([]*Trace, error) {
	return extract(ctx, ph, g, o, path.Rules())
}

// extract is Extract by rules of which some may be left out.
func extract(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, o *Options, rules []path.Rule) ([]*Trace, error) {
	if o == nil {
		o = &Options{}
	}
	s, err := sheet.Read(ctx, ph, g)
	if errors.Is(err, sheet.ErrSmall) {
		return nil, &NotFoundError{
			Reason: "the display is too small in the photo to see a trace",
			Hint:   "take the photo from nearer, so that the screen fills it",
		}
	}
	if err != nil {
		return nil, err
	}
	found, err := path.Find(ctx, s, rules)
	if err != nil {
		return nil, err
	}
	showEvidence(o, found)
	if len(found.Candidates) == 0 {
		return nil, &NotFoundError{
			Reason: "no trace was seen on the display",
			Hint: "check that a curve is on the screen and that the grid lies on the display; avoid glare, and name the trace's colour; " +
				"take a shorter time per box if a fast wave fills the screen",
		}
	}
	side, err := sheet.ReadSide(ctx, ph, g, markReach, markHigh)
	if err != nil {
		return nil, err
	}
	centres, err := stroke.Measure(ctx, found.Sheet, found.Candidates)
	if err != nil {
		return nil, err
	}
	var traces []*Trace
	var of []*path.Candidate // by trace
	for k, c := range found.Candidates {
		if t := newTrace(ph, g, found.Sheet, c, centres[k]); t != nil {
			traces, of = append(traces, t), append(of, c)
		}
	}
	if len(traces) == 0 {
		return nil, &NotFoundError{
			Reason: "something is drawn on the display, but no trace could be followed",
			Hint:   "take the photo again without glare, or name the trace's colour",
		}
	}
	tallestFirst(traces, of)
	widenNearOthers(traces)
	markGround(side, found.Sheet, traces, of)
	for _, t := range traces {
		if found.Left != nil {
			t.Doubts = append(t.Doubts, leftOver(found.Sheet, found.Left))
		}
		if cut, ok := t.mayBeCut(); ok {
			t.Doubts = append(t.Doubts, cut)
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

// stillHeight is what is added to a trace's height, in boxes, so that one at rest has some prominence too
// (TestOfTwoAlikeTheTallerComesFirst).
const stillHeight = 0.5

// tallestFirst adds the heights to the prominence of traces and puts them in its order; lines from rim to rim and what
// lies along a rim stay behind. Of two traces that are drawn alike a person means the taller.
func tallestFirst(traces []*Trace, of []*path.Candidate) {
	for _, t := range traces {
		y := finite(t.Y)
		t.Prominence *= math.Sqrt(stillHeight + raster.Rank(y, 0.98) - raster.Rank(y, 0.02))
	}
	n := slices.IndexFunc(traces, func(t *Trace) bool {
		return t.Line || slices.ContainsFunc(t.Doubts, func(d remark.Remark) bool { return d.Kind == KindOnRim })
	})
	if n < 0 {
		n = len(traces)
	}
	order := make([]int, n)
	for k := range order {
		order[k] = k
	}
	sort.SliceStable(order, func(i, j int) bool { return traces[order[i]].Prominence > traces[order[j]].Prominence })
	t, c := slices.Clone(traces), slices.Clone(of)
	for k, from := range order {
		traces[k], of[k] = t[from], c[from]
	}
}

// newTrace makes the trace of a candidate; nil when too little of it has a centre.
func newTrace(ph *photo.Photo, g *graticule.Graticule, s *sheet.Sheet, c *path.Candidate, m *stroke.Centres) *Trace {
	t := &Trace{Frame: g.Frame, Line: c.Line, Prominence: c.Prominence, Y: m.Y, Sigma: m.Sigma, Thick: m.Thick, X: make([]float64, s.NX)}
	seen := 0
	for i := range t.X {
		t.X[i] = s.X(i)
		if !math.IsNaN(t.Y[i]) {
			seen++
		}
	}
	t.Coverage = float64(seen) / float64(s.NX)
	if t.Coverage < path.LeastCoverage && !c.Crests {
		return nil
	}
	t.Colour = photographed(s, t)
	for _, v := range g.Moves(t.places()) {
		t.Effects = append(t.Effects, Effect{Name: "graticule fit", Joint: true, DX: v.DX, DY: v.DY})
	}
	t.Effects = append(t.Effects, m.Effects...)
	if m.Beam {
		if e, ok := stroke.Parallax(g.H, ph.W, ph.H, t.places()); ok {
			t.Effects = append(t.Effects, e)
		}
	}
	t.Rest, t.Beam = t.restLevel(m.Pixel), m.Beam
	t.Doubts, t.Notes = t.doubts(s, c), t.notes()
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

// widenNearOthers widens samples where another trace lies on or beside the stroke: one hides a part of
// the other, and what is left has another centre.
func widenNearOthers(traces []*Trace) {
	for k, t := range traces {
		for i, y := range t.Y {
			for m, o := range traces {
				if m == k || math.IsNaN(y) {
					continue
				}
				if reach := (t.Thick[i] + o.Thick[i]) / 2; math.Abs(y-o.Y[i]) < 1.5*reach { // false for NaN
					t.Sigma[i] = math.Hypot(t.Sigma[i], edgeShare*min(t.Thick[i], o.Thick[i]))
					break
				}
			}
		}
	}
}

func finite(v []float64) []float64 {
	var out []float64
	for _, x := range v {
		if !math.IsNaN(x) {
			out = append(out, x)
		}
	}
	return out
}
