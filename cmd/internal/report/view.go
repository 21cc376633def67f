// What the notebook page says, in print, for HTML and PDF alike.

package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// A view is the document in words, rounded numbers and figures.
type view struct {
	Table                              string // of a table in the place of a photo: its size in words
	Title, Taken, Size, SHA256, Signal string
	File                               string   // if the title is another
	Short                              []string // the first values in words
	Error                              *wire.Error
	Doubts, Notes                      remarks
	Graticule, Trace                   string
	Settings                           []setting
	Sentence                           string   // whether the results agree
	Paper                              *figure  // the display to scale
	Drawn                              bool     // on paper, and no display
	Figures                            []figure // all others
	Readings, Results, Budgets         []row
	Beside                             []besideRow // readings laid beside the trace
	BesideFile                         string
	Scaled                             bool // the settings are known, so that nobody has to look for them first
	Agreement                          []wire.Comparison
	WhatIfs                            []wire.WhatIf
	Effects, Cautions                  []string
}

// A figure is a drawing with what it shows in a few words (Title), and its caption in lines.
type figure struct {
	*svg
	Title   string
	Caption []caption
	Paper   bool // to be printed to scale
}

// A caption is a line below a figure; Label is "" or what the line is about.
type caption struct{ Label, Says string }

// said changes the sentences that may name flags.
func (v *view) said(say func(string) string) {
	if say == nil {
		return
	}
	for _, l := range []remarks{v.Doubts, v.Notes} {
		for i := range l {
			l[i].Says = say(l[i].Says)
		}
	}
	v.Graticule, v.Trace, v.Signal = say(v.Graticule), say(v.Trace), say(v.Signal)
	if v.Error != nil {
		told := *v.Error
		told.Reason, told.Hint = say(told.Reason), wire.Text(say(string(told.Hint)))
		v.Error = &told
	}
}

func viewOf(d *wire.Document, print Print) view {
	name, sum := source(d)
	v := view{
		Title:     Clean(name),
		Taken:     dated(d.Photo.Taken),
		SHA256:    sum,
		Error:     d.Error,
		Doubts:    doubts(d),
		Notes:     notes(d),
		Short:     inShort(d),
		Settings:  settings(d),
		Agreement: d.Comparisons,
		WhatIfs:   d.WhatIfs,
		Cautions:  cautions,
		Figures:   figures(d),
		Sentence:  agreementSays(d.Comparisons, family(len(d.Comparisons))),
		Paper:     paperOf(d, print),
		Drawn:     d.Paper != nil,
	}
	if d.Title != "" {
		v.Title, v.File = Clean(string(d.Title)), v.Title
	}
	if d.Photo.Width.Known() && d.Photo.Height.Known() {
		v.Size = fmt.Sprintf("%.0f × %.0f px", d.Photo.Width, d.Photo.Height)
	}
	v.Scaled = d.Settings.VoltsPerBox.Known() && d.Settings.TimePerBox.Known()
	if d.Graticule != nil {
		v.Graticule = graticuleLine(d.Graticule)
	}
	if d.Table != nil {
		v.Table = tableSize(d.Table)
	}
	if len(d.Traces) > 0 && d.Table == nil {
		v.Trace = traceLine(d)
	}
	if v.Beside = besideOf(d.Readings); d.Readings != nil {
		v.BesideFile = Clean(d.Readings.File)
	}
	if !several(d) {
		v.Signal = signal(d.Signal, d.SignalFrom, d.SignalTold)
	}
	var last [2]string // trace of the row above, of readings and of results
	for _, r := range d.Results {
		row, list, k := rowOf(r), &v.Results, 1
		if r.Quantity == "time_at_level" {
			list, k = &v.Readings, 0
		}
		if grouped(d) && r.Trace != last[k] {
			row.Head, last[k] = heading(r), r.Trace
		}
		*list = append(*list, row)
		if len(row.Budget) > 0 {
			row.Name = ofResult(d, r, row.Name)
			v.Budgets = append(v.Budgets, row)
		}
	}
	for _, t := range chosen(d) {
		for _, e := range t.Effects {
			v.Effects = append(v.Effects, ofTrace(d, t.Name, e.Source+": "+effectSize(e, t)))
		}
	}
	return v
}

// What stands below tables and pictures on every page.
const (
	bracketsSay = "The figures in brackets are the standard uncertainty u in the last digits. The interval value ± U, with U = k·u, " +
		"holds the true value with about 95 % probability; ν is the effective degrees of freedom."
	rimsSay = "The rim of the display, straightened and with more contrast. Most displays print their settings here: are they those given?"
)

// origin says what was read, and when it was taken.
func (v *view) origin() string {
	if v.Table != "" {
		return joinNonEmpty(" ", "Read from a table of readings: "+v.Table+".", v.fileSays())
	}
	taken := "The file does not say when it was taken."
	if v.Taken != "" {
		taken = "Taken " + v.Taken + " by the camera’s clock."
	}
	size := ""
	if v.Size != "" {
		size = v.Size + "."
	}
	of := "an oscilloscope’s display"
	if v.Drawn {
		of = "a drawing on squared paper"
	}
	return joinNonEmpty(" ", "Read from a photograph of "+of+".", taken, size, v.fileSays())
}

func (v *view) fileSays() string {
	if v.File == "" {
		return ""
	}
	return "File: " + v.File + "."
}

// paperOf is the figure to scale; nil without a graticule.
func paperOf(d *wire.Document, print Print) *figure {
	s := paperFigure(d, print)
	if s == nil {
		return nil
	}
	return &figure{svg: s, Title: "The traces on squared paper, one box of the display to one square", Caption: []caption{{"", paperCaption(d, print)}, {"settings", settingsSay(d)}}, Paper: true}
}

// mostPoints is how many the longest of the analysed traces has.
func mostPoints(d *wire.Document) (n int) {
	for _, tr := range inUnits(d) {
		n = max(n, len(tr.U))
	}
	return n
}

// tauTitle is that of the figure with all ways to the time constant.
const tauTitle = "The time constant by each method with its expanded uncertainty"

// figures gives those that the document has data for.
func figures(d *wire.Document) []figure {
	var out []figure
	add := func(s *svg, title string, lines ...caption) {
		if s != nil {
			out = append(out, figure{svg: s, Title: title, Caption: lines})
		}
	}
	barred := "bars"
	if k := oneIn(mostPoints(d)); k > 1 {
		barred = fmt.Sprintf("bars, at one point in %d,", k)
	}
	times := []caption{{"", againstTime(d) + "; " + barred + " show one standard deviation of a point."}}
	if d.Readings != nil {
		times = append(times, caption{"readings", "rings, those that stand apart from the others filled; below, their distance from the trace"})
	}
	for _, f := range d.Fits {
		says := strings.ReplaceAll(f.Formula, "-", "−")
		if note := fitNote(f); note != "" {
			says += " (" + note + ")"
		}
		times = append(times, caption{ofTrace(d, f.Trace, f.Label), says})
	}
	add(timeFigure(d), "Voltage against time with the fit, and the distance of each point from the fit", times...)
	for _, tr := range chosen(d) {
		if k := sketchOf(d, tr); k != nil {
			add(k.draw(tr), ofTrace(d, tr.Name, k.title), append([]caption{{"", ofTrace(d, tr.Name, k.title+".")}}, k.caption...)...)
		}
	}
	logs := []caption{{"", "A decay is a straight line here, and its slope is −1/τ."}}
	for _, l := range d.LogLines {
		logs = append(logs, caption{ofTrace(d, l.Trace, l.Label), lineFormula(d, l)})
	}
	add(logFigure(d), "Logarithm of the voltage against time with a straight line", logs...)
	for _, taus := range constants(d) {
		add(tauFigure(taus), tauTitle,
			caption{"", ofResult(d, taus[0], "The time constant by each method; a bar is the value ± U, and an arrow says that it goes on.")})
	}
	return out
}

// A row is a result in print.
type row struct {
	Head                             string // of the trace, above the first of its rows where there are several; else ""
	Name, Value, U, Expanded, K, DOF string
	Budget                           []termRow
	Main                             string // where most of the uncertainty comes from
	Trials                           string // the Monte Carlo calculation in a sentence; "" if there is none
}

// inShort gives the first value ± U of each of the first three quantities; of several traces, of the first two of each
// and of all that they give together.
func inShort(d *wire.Document) (parts []string) {
	var seen []string
	last, most := "", 3
	for _, r := range d.Results {
		if r.Trace == wire.ReadingsName {
			continue
		}
		if several(d) && r.Trace != last {
			last, seen, most = r.Trace, nil, 2
			if len(r.Traces) > 1 {
				most = 3
			}
		}
		if slices.Contains(seen, r.Quantity) || r.Quantity == "time_at_level" || !r.Value.Known() || len(seen) == most {
			continue
		}
		name := quantityName(r.Quantity, r.Unit)
		if name == "" {
			name = quantity(r)
		}
		if len(seen) == 0 && most == 2 {
			name = ofResult(d, r, name)
		}
		seen = append(seen, r.Quantity)
		value := interval(r)
		if value == notDetermined {
			value = result(r)
		}
		parts = append(parts, name+" "+value)
	}
	return parts
}

func rowOf(r wire.Result) row {
	out := row{
		Name: quantity(r), Value: result(r),
		U: uncertainty(r.U, r.Value, r.Unit), Expanded: interval(r), K: kText(r, ""), DOF: freedom(r.DOF, r.U),
		Main: mainSources(&r),
	}
	if r.Trials != nil {
		out.Trials = trialsText(r)
	}
	for i := range r.Budget {
		out.Budget = append(out.Budget, termOf(&r, &r.Budget[i]))
	}
	return out
}

// trialsText tells the interval of a Monte Carlo calculation.
func trialsText(r wire.Result) string {
	t := r.Trials
	low, high := ends(t.Low, t.High, r.Unit)
	return fmt.Sprintf("%d Monte Carlo trials (seed %d): u = %s, and 95 %% of them from %s to %s.", t.Trials, t.Seed, uncertainty(t.U, r.Value, r.Unit), low, high)
}

// freedom prints degrees of freedom; those of an uncertainty that is not known are not known either.
func freedom(dof, u wire.Number) string {
	switch {
	case dof.Known():
		return limitedTo(float64(dof), 1000)
	case u.Known():
		return "∞"
	}
	return ""
}

// limitedTo prints degrees of freedom up to most; beyond, they no longer matter to k.
func limitedTo(dof, most float64) string {
	switch {
	case dof > most:
		return ">\u00a0" + short(most) // kept on one line
	case dof >= 100:
		return short(math.Round(dof))
	}
	return short(math.Round(10*dof) / 10)
}

func fitNote(f wire.Fit) string {
	if !f.EffectiveN.Known() {
		return ""
	}
	s := fmt.Sprintf("%d points, worth about %.0f independent ones", len(f.AtT), float64(f.EffectiveN))
	if f.Correlation.Known() {
		s += "; correlation of neighbours " + significant(float64(f.Correlation), 2)
	}
	return s
}

func lineFormula(d *wire.Document, l wire.LogLine) string {
	if !l.Slope.Known() || !l.Intercept.Known() {
		return notDetermined
	}
	time, volts := lineIn(d, l)
	rest := "(t / 1 " + time + ")"
	s := "ln(|V − V∞| / 1 " + volts + ") = " + significant(float64(l.Intercept), 4)
	if l.Slope < 0 {
		s += " − " + significant(-float64(l.Slope), 4) + " " + rest
	} else {
		s += " + " + significant(float64(l.Slope), 4) + " " + rest
	}
	if l.VInf.Known() {
		highest := 0.0
		for _, y := range l.LnV {
			highest = math.Max(highest, math.Exp(float64(y))) // V
		}
		s += ", V∞ = " + unit.EngineeringBeside(float64(l.VInf), highest, 3, volts)
	}
	return s
}
