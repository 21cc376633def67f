// From turns a reading into the document. It adds nothing and judges nothing: every number and every
// sentence comes from the room that made it.

package wire

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report/words"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/sketch"
	"quadrille/vision/squares"
	"quadrille/vision/trace"
)

// From gives the document of r. r may be partial, as Read leaves it when a stage fails: what was not
// reached is null or empty; the caller then sets Error to ErrorOf the error.
func From(r *reading.Reading) *Document {
	d := &Document{
		Schema:      Schema,
		Photo:       Photo{File: r.File, Width: unknown, Height: unknown, Orientation: unknown, Turned: unknown, Doubts: []string{}, DoubtKinds: []Remark{}},
		Traces:      []Trace{},
		Results:     []Result{},
		Comparisons: []Comparison{},
		WhatIfs:     []WhatIf{},
		Fits:        []Fit{},
		LogLines:    []LogLine{},
		Doubts:      []string{},
		DoubtKinds:  []Remark{},
		Notes:       []string{},
		NoteKinds:   []Remark{},
		Stages:      []Stage{},
	}
	d.doubt("", r.Doubts)
	d.note("", r.Notes)
	if r.Photo != nil {
		s := r.Photo.Source
		doubts, kinds := told("", r.Photo.Doubts)
		d.Photo = Photo{r.File, Text(s.SHA256), Number(r.Photo.W), Number(r.Photo.H), Text(s.Taken),
			Number(s.Orientation), Number(s.Turned), doubts, kinds}
	}
	if r.Table != nil {
		addTable(d, r)
	}
	if r.Graticule != nil {
		d.Graticule = graticuleOf(r.Graticule)
		d.note("", r.Graticule.Notes)
	}
	if r.Drawing != nil {
		d.Graticule, d.Paper = squaresOf(r.Drawing.Paper), paperOf(r.Drawing)
		d.Graticule.Doubts, d.Graticule.DoubtKinds = told("", r.Drawing.Doubts)
		d.note("", r.Drawing.Notes)
	}
	d.Settings = used(r, r.Setup, r.Chosen)
	for i, tr := range r.Traces {
		var rec *calibrate.Record
		if i < len(r.Records) {
			rec = r.Records[i]
		}
		doubts, _ := r.OfTrace(i)
		d.Traces = append(d.Traces, traceOf(tr, rec, slices.Concat(doubts, ofRecord(r, i))))
	}
	for _, a := range r.All() {
		d.addAnalysed(r, a)
	}
	for _, p := range r.Pairs {
		a, b := d.Traces[p.A].Name, d.Traces[p.B].Name
		d.addPair(p.Pair, a, b, a+", "+b, a, b)
	}
	if r.Beside != nil {
		d.addBeside(r)
	}
	d.inOrder()
	for _, s := range r.Stages {
		d.Stages = append(d.Stages, Stage{s.Name, Number(s.Took.Seconds()), s.Worked})
	}
	return d
}

var unknown = Number(math.NaN())

func graticuleOf(g *graticule.Graticule) *Graticule {
	out := &Graticule{
		Columns: g.Frame.Cols, Rows: g.Frame.Rows,
		LinesX: "from edge", Found: "automatic",
		LensK1: Number(g.Lens.K), Residual: Number(g.RMS), Crossings: g.Crossings,
	}
	out.Doubts, out.DoubtKinds = told("", g.Doubts)
	if g.Centred {
		out.LinesX = "centred"
	}
	if g.ByHand {
		out.Found = "by hand"
	}
	for i, b := range g.Frame.Corners() {
		out.Corners[i] = point(g.Pixel(b))
	}
	for j := range g.Frame.Rows + 1 {
		line := make([]Point, g.Frame.Cols+1)
		for i := range line {
			line[i] = point(g.Pixel(geom.Box{X: g.Frame.Left() + float64(i), Y: g.Frame.Bottom() + float64(j)}))
		}
		out.Nodes = append(out.Nodes, line)
	}
	return out
}

func point(p geom.Pixel) Point { return Point{Number(p.X), Number(p.Y)} }

// used gives what the trace of index chosen was scaled with.
func used(r *reading.Reading, s calibrate.Setup, chosen int) Used {
	u := Used{
		VoltsPerBox: positive(s.VoltsPerBox.X), TimePerBox: positive(s.TimePerBox.X), GroundBox: unknown,
		Probe:     Number(s.Probe),
		GainLimit: limit(s.VoltsPerBox, s.GainLimit, calibrate.DefaultGainLimit),
		TimeLimit: limit(s.TimePerBox, s.TimeLimit, calibrate.DefaultTimeLimit),
	}
	if s.Probe == 0 {
		u.Probe = 1
	}
	if r.Table != nil {
		usedForTable(&u, s)
	}
	if chosen >= 0 && chosen < len(r.Records) && r.Records[chosen] != nil {
		rec := r.Records[chosen]
		u.GroundFrom = Text(rec.Ground)
		if rec.GroundKnown() {
			u.GroundBox = Number(rec.GroundBox)
		}
	}
	return u
}

// addAnalysed marks the trace of a and adds what it gave. Sentences about one of several traces say which.
func (d *Document) addAnalysed(r *reading.Reading, a *reading.Analysed) {
	name, about := "", r.AboutTrace(a)
	if a.Chosen >= 0 && a.Chosen < len(d.Traces) {
		t := &d.Traces[a.Chosen]
		name = t.Name
		t.Chosen = true
		s := used(r, a.Setup, a.Chosen)
		t.Settings = &s
		if a.Findings != nil {
			t.Signal, t.SignalFrom, t.SignalTold = signalOf(a.Findings)
		}
		if r.Table == nil && a.Chosen < len(r.Traces) {
			_, notes := r.OfTrace(a.Chosen)
			d.note(about, notes)
		}
		if r.Table == nil {
			_, notes := r.OfRecord(a)
			d.note(about, notes)
		}
	}
	if a.Findings != nil {
		if d.Signal == "" {
			d.Signal, d.SignalFrom, d.SignalTold = signalOf(a.Findings)
		}
		addFindings(d, a.Findings, name, about)
	}
}

func signalOf(f *analysis.Findings) (signal, from, told Text) {
	switch f.Told.How {
	case analysis.Given:
		told = "given"
	case analysis.Recognised:
		told = "recognised"
	case analysis.ForWant:
		told = "for want"
	}
	return Text(f.Signal), Text(words.Told(f.Told)), told
}

// ReadingsName stands for a trace's name with the results of readings that were laid beside it.
const ReadingsName = reading.AboutReadings

// addBeside adds readings laid beside the first trace.
func (d *Document) addBeside(r *reading.Reading) {
	b := r.Beside
	d.Readings = &Readings{File: b.File, SHA256: Text(b.SHA256), Begin: Number(b.Begin), Rows: []ReadingBeside{}}
	for _, x := range b.Readings {
		d.Readings.Rows = append(d.Readings.Rows, ReadingBeside{Number(x.T), Number(x.V), Number(x.U), Number(x.Trace), Number(x.Difference), Number(x.DU), Number(x.Zeta), x.Odd, Number(x.Apart)})
	}
	d.note(ReadingsName, b.Record.Notes)
	d.doubt(ReadingsName, b.Record.Doubts)
	if f := b.Findings; f != nil {
		of := *f
		of.Comparisons, of.Fits, of.Lines, of.WhatIfs = nil, nil, nil, nil // of the readings alone; the graphs show the trace's
		of.Notes = slices.DeleteFunc(slices.Clone(of.Notes), func(n remark.Remark) bool {
			return n.Kind == analysis.KindSettingsUnused // the settings are the trace's, which notes those that it does not use
		})
		addFindings(d, &of, ReadingsName, ReadingsName)
	}
	d.addPair(&b.Pair, d.Traces[r.Chosen].Name, ReadingsName, ReadingsName)
}

// addPair adds what a and b give together, two traces or a trace and readings; name stands with its own results, which
// are of the traces of.
func (d *Document) addPair(p *analysis.Pair, a, b, name string, of ...string) {
	// The pair counts its results after those of the two; here they have places of their own.
	var places []int
	for _, name := range []string{a, b} {
		for i, r := range d.Results {
			if r.Trace == name {
				places = append(places, i)
			}
		}
	}
	for _, r := range p.Results {
		places = append(places, len(d.Results))
		d.Results = append(d.Results, resultOf(r, name, "", of))
	}
	for _, c := range p.Comparisons {
		c.Results = slices.Clone(c.Results)
		for k, i := range c.Results {
			c.Results[k] = places[i]
		}
		d.Comparisons = append(d.Comparisons, comparisonOf(c, ""))
	}
	d.note("", p.Notes)
	d.doubt("", p.Doubts)
}

// positive is v, or unknown where a setting of 0 means that it was not given.
func positive(v float64) Number {
	if v == 0 {
		return unknown
	}
	return Number(v)
}

// limit is the relative accuracy that calibrate gave to a scale: stated with the scale, given beside
// it, or the usual one; unknown while the scale is.
func limit(scale unit.Value, given, usual float64) Number {
	switch {
	case scale.X == 0:
		return unknown
	case scale.U != 0:
		return Number(scale.Limit() / scale.X)
	case given != 0:
		return Number(given)
	}
	return Number(usual)
}

// ofRecord gives what speaks against the volts and seconds of the trace of index i. Where it is analysed that may be
// more than its record doubts: see reading.Reading.OfRecord.
func ofRecord(r *reading.Reading, i int) []remark.Remark {
	for _, a := range r.All() {
		if a.Chosen == i {
			doubts, _ := r.OfRecord(a)
			return doubts
		}
	}
	if i < len(r.Records) && r.Records[i] != nil {
		return r.Records[i].Doubts
	}
	return nil
}

// traceOf gives a trace with its record, nil if it has none, and what speaks against both.
func traceOf(tr *trace.Trace, rec *calibrate.Record, doubts []remark.Remark) Trace {
	out := Trace{
		Name:     tr.Name,
		Colour:   fmt.Sprintf("#%02x%02x%02x", tr.Colour[0], tr.Colour[1], tr.Colour[2]),
		Coverage: Number(tr.Coverage), GroundMark: Number(tr.GroundMark),
		X: tr.X, Y: tr.Y, Sigma: tr.Sigma,
		Effects: []Effect{},
	}
	if rec != nil {
		out.T, out.V, out.U, out.Stroke = rec.T, rec.V, rec.Sigma, rec.Stroke
		out.TimeUnit, out.VoltageUnit = Text(rec.Axes.Of("s")), Text(rec.Axes.Of("V"))
		out.Effects = effects(rec)
	}
	out.Doubts, out.DoubtKinds = told("", doubts)
	return out
}

// effects adds those of one name as squares, for they are independent, over the samples where the
// trace is seen.
func effects(rec *calibrate.Record) []Effect {
	out := []Effect{}
	for _, e := range rec.Effects {
		i := slices.IndexFunc(out, func(o Effect) bool { return o.Source == e.Name && o.Shared == e.Shared })
		if i < 0 {
			i = len(out)
			out = append(out, Effect{Source: e.Name, Shared: e.Shared})
		}
		t, v, n := 0.0, 0.0, 0.0
		for k := range e.DT {
			if !math.IsNaN(rec.V[k]) {
				t, v, n = t+e.DT[k]*e.DT[k], v+e.DV[k]*e.DV[k], n+1
			}
		}
		out[i].T = Number(math.Hypot(float64(out[i].T), math.Sqrt(t/max(n, 1))))
		out[i].V = Number(math.Hypot(float64(out[i].V), math.Sqrt(v/max(n, 1))))
	}
	return out
}

func addFindings(d *Document, f *analysis.Findings, name, about string) {
	first := len(d.Results)
	of := []string{name}
	if name == ReadingsName {
		of = nil
	}
	for _, r := range f.Results {
		d.Results = append(d.Results, resultOf(r, name, f.Signal, of))
	}
	for _, c := range f.Comparisons {
		c.Results = slices.Clone(c.Results)
		for k := range c.Results {
			c.Results[k] += first
		}
		d.Comparisons = append(d.Comparisons, comparisonOf(c, about))
	}
	for _, w := range f.WhatIfs {
		mistake, then := words.WhatIf(w)
		d.WhatIfs = append(d.WhatIfs, WhatIf{name, mistake, then, asData("", w)})
	}
	for _, t := range f.Fits {
		d.Fits = append(d.Fits, Fit{name, t.Label, t.Formula, t.T, t.V, t.AtT, t.Off, Number(t.EffectiveN), Number(t.Correlation)})
	}
	for _, l := range f.Lines {
		d.LogLines = append(d.LogLines, LogLine{name, l.Label, l.T, l.LnV, l.U, Number(l.Slope), Number(l.Intercept), Number(l.VInf)})
	}
	d.note(about, f.Notes)
	d.doubt(about, f.Doubts)
}

func resultOf(r analysis.Result, trace, signal string, of []string) Result {
	out := Result{
		Trace: trace, Traces: texts(of), Signal: signal, Quantity: r.Quantity, Method: Text(r.Method), Label: Text(r.Label),
		Value: Number(r.Value.X), Unit: r.Value.Unit, U: Number(r.Value.U),
		Expanded: Number(r.Expanded), K: Number(r.K), DOF: Number(r.DOF),
		Budget: []Term{},
	}
	out.Doubts, out.DoubtKinds = told("", r.Doubts)
	out.Notes, out.NoteKinds = told("", r.Notes)
	if i := r.Interval; i != nil {
		out.Interval = &[2]Number{Number(i.Low), Number(i.High)}
	}
	if t := r.Trials; t != nil {
		out.Trials = &Trials{t.N, t.Seed, Number(t.Mean), Number(t.U), Number(t.Low), Number(t.High)}
	}
	for _, t := range r.Budget {
		out.Budget = append(out.Budget, Term{t.Source, Number(t.Value), Text(t.Unit), Text(t.Distribution),
			Number(t.Standard), Number(t.Sensitivity), Number(t.U), Number(t.DOF), t.Shared})
	}
	return out
}

func texts(l []string) []string { return append([]string{}, l...) }

func comparisonOf(c analysis.Comparison, about string) Comparison {
	says := words.Compared(c.What)
	out := Comparison{Title: says.Title, Results: append([]int{}, c.Results...), Zeta: Number(c.Zeta), Agree: c.Agree,
		Short: words.About(about, says.Short), Says: words.About(about, says.Says), What: asData(about, c.What)}
	out.Causes, out.CauseKinds = told("", c.Causes)
	return out
}

// ErrorOf sorts an error of a reading by who can act on it; nil gives nil.
func ErrorOf(err error) *Error {
	if err == nil {
		return nil
	}
	var (
		format      *photo.FormatError
		unsupported *photo.UnsupportedError
		corners     *graticule.OptionsError
		noGrid      *graticule.NotFoundError
		noTrace     *trace.NotFoundError
		noSquares   *squares.NotFoundError
		noCurve     *sketch.NotFoundError
		setup       *calibrate.SetupError
		setting     *reading.SettingError
		noSignal    *analysis.NotFoundError
		noTable     *calibrate.TableError
	)
	e := &Error{Kind: "program", Reason: err.Error()}
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		e.Kind, e.Reason, e.Hint = "interrupted", "the reading was interrupted", "read the photo again"
	case errors.As(err, &format):
		e.Kind, e.Hint = "file", Text(format.Hint)
	case errors.As(err, &unsupported):
		e.Kind, e.Hint = "file", Text(unsupported.Hint)
	case errors.As(err, &noTable):
		e.Kind, e.Hint = "file", Text(noTable.Hint)
	case errors.As(err, &corners):
		e.Kind, e.Field, e.Hint = "setting", Text(corners.Field), Text(corners.Hint)
	case errors.As(err, &setup):
		e.Kind, e.Field, e.Hint = "setting", Text(setup.Field), Text(setup.Hint)
	case errors.As(err, &setting):
		e.Kind, e.Field, e.Hint = "setting", Text(setting.Field), Text(setting.Hint)
	case errors.As(err, &noGrid):
		e.Kind, e.Hint = "graticule", Text(noGrid.Hint)
	case errors.As(err, &noTrace):
		e.Kind, e.Hint = "trace", Text(noTrace.Hint)
	case errors.As(err, &noSquares):
		e.Kind, e.Hint = "graticule", Text(noSquares.Hint)
	case errors.As(err, &noCurve):
		e.Kind, e.Hint = "trace", Text(noCurve.Hint)
	case errors.As(err, &noSignal):
		e.Kind, e.Hint = "analysis", Text(noSignal.Hint)
	}
	return e
}
