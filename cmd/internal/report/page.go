// The notebook page: one HTML file that needs nothing else, read from top to bottom. The words and the
// order are in page.html, the looks in page.css; this file prepares what the template prints.

package report

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
)

//go:embed page.html
var pageText string

//go:embed page.css
var pageStyle string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// Page is the notebook page of d. p may be nil: the page then has no photo. The file loads nothing from
// anywhere, and its policy forbids it to.
func Page(d *wire.Document, p *Pictures) ([]byte, error) {
	v := view{
		Style:     template.CSS(pageStyle),
		Title:     clean(d.Photo.File),
		Taken:     dated(d.Photo.Taken),
		SHA256:    string(d.Photo.SHA256),
		Error:     d.Error,
		Doubts:    doubts(d),
		Short:     inShort(d.Results),
		Settings:  settings(d),
		Signal:    signal(d),
		Agreement: d.Comparisons,
		Cautions:  cautions,
	}
	if d.Photo.Width.Known() && d.Photo.Height.Known() {
		v.Size = fmt.Sprintf("%.0f × %.0f px", d.Photo.Width, d.Photo.Height)
	}
	if d.Graticule != nil {
		v.Graticule = graticuleLine(d.Graticule)
		v.PaperWidth = template.CSS(fmt.Sprintf("%.1fmm", 10*(float64(d.Graticule.Columns)+2*paperRoom/paperBox)))
	}
	if len(d.Traces) > 0 {
		v.Trace = traceLine(d)
	}
	if p != nil {
		v.Photo, v.Overlay = p.Photo.url(), overlay(d, p)
		for _, m := range p.Margins {
			if m.JPEG != nil {
				v.Margins = append(v.Margins, strip{m.Name, m.url(), m.W, m.H, strings.Contains(m.Name, "er half")})
			}
		}
	}
	draw := func(s *svg, title string) template.HTML {
		if s == nil {
			return ""
		}
		return template.HTML(s.inner(title)) // made by this package, which escapes all text in it
	}
	v.Paper = draw(paperFigure(d), "The traces on squared paper, one box of the display to one square")
	v.Time = draw(timeFigure(d), "Voltage against time with the fit, and the distance of each point from the fit")
	v.Log = draw(logFigure(d), "Logarithm of the voltage against time with a straight line")
	v.Tau = draw(tauFigure(d), "The time constant by each method with its expanded uncertainty")
	for _, f := range d.Fits {
		v.Fits = append(v.Fits, fitted{f.Label, strings.ReplaceAll(f.Formula, "-", "−"), fitNote(f)})
	}
	for _, l := range d.LogLines {
		v.Lines = append(v.Lines, fitted{l.Label, lineFormula(l), ""})
	}
	for _, r := range d.Results {
		row := rowOf(r)
		if r.Quantity == "time_at_level" {
			v.Readings = append(v.Readings, row)
		} else {
			v.Results = append(v.Results, row)
		}
		if len(row.Budget) > 0 {
			v.Budgets = append(v.Budgets, row)
		}
	}
	if t := chosen(d); t != nil {
		for _, e := range t.Effects {
			v.Effects = append(v.Effects, e.Source+": "+effectSize(e))
		}
	}
	for _, s := range d.Stages {
		v.Stages = append(v.Stages, s.Name+" "+plain(s.Seconds, "s", 2))
	}
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, v); err != nil {
		return nil, fmt.Errorf("making the page: %w", err)
	}
	return b.Bytes(), nil
}

// A view is what the template prints.
type view struct {
	Style                                     template.CSS
	Title, Taken, Size, SHA256, Signal, Short string
	Error                                     *wire.Error
	Doubts                                    []doubt
	Photo                                     template.URL
	Overlay                                   template.HTML
	Margins                                   []strip
	Graticule, Trace                          string
	Settings                                  []setting
	Paper, Time, Log, Tau                     template.HTML
	PaperWidth                                template.CSS // on paper, where a box is 10 mm
	Fits, Lines                               []fitted
	Readings, Results, Budgets                []row
	Agreement                                 []wire.Comparison
	Effects, Stages, Cautions                 []string
}

type strip struct {
	Name string
	URL  template.URL
	W, H int
	Tall bool
}

type fitted struct{ Label, Formula, Note string }

// A row is a result in print.
type row struct {
	Name, Value, U, Expanded, K, DOF string
	Budget                           []termRow
}

type termRow struct{ Source, Value, Standard, Distribution, Sensitivity, U, DOF, Shared string }

// inShort gives the first value of each of the first three quantities.
func inShort(l []wire.Result) string {
	var parts, seen []string
	for _, r := range l {
		if slices.Contains(seen, r.Quantity) || r.Quantity == "time_at_level" || !r.Value.Known() || len(seen) == 3 {
			continue
		}
		seen = append(seen, r.Quantity)
		name := quantityNames[r.Quantity]
		if name == "" {
			name = quantity(r)
		}
		parts = append(parts, name+" "+measured(r.Value, r.U, r.Unit))
	}
	return strings.Join(parts, "; ")
}

func rowOf(r wire.Result) row {
	out := row{
		Name: quantity(r), Value: result(r),
		U: uncertainty(r.U, r.Value, r.Unit), Expanded: expandedText(r), K: kText(r, ""), DOF: freedom(r.DOF, r.U),
	}
	for _, t := range r.Budget {
		line := termRow{
			Source: t.Source, Distribution: string(t.Distribution),
			Standard: plain(t.Standard, string(t.Unit), 3), U: uncertainty(t.U, r.Value, r.Unit), DOF: freedom(t.DOF, t.U),
			Sensitivity: joinUnit(plain(t.Sensitivity, "1", 3), perUnit(r.Unit, string(t.Unit))),
		}
		if t.Value.Known() {
			line.Value = exact(t.Value, string(t.Unit))
		}
		if t.Shared {
			line.Shared = "shared"
		}
		out.Budget = append(out.Budget, line)
	}
	return out
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
		return "> " + short(most)
	case dof >= 100:
		return short(math.Round(dof))
	}
	return short(math.Round(10*dof) / 10)
}

// perUnit is the unit of a sensitivity.
func perUnit(result, input string) string {
	switch {
	case result == input:
		return ""
	case input == "" || input == "1":
		return result
	case result == "1":
		return "1/" + input
	}
	return result + "/" + input
}

func fitNote(f wire.Fit) string {
	if !f.EffectiveN.Known() {
		return ""
	}
	s := fmt.Sprintf("%d points, worth %s independent ones", len(f.AtT), significant(float64(f.EffectiveN), 3))
	if f.Correlation.Known() {
		s += "; correlation of neighbours " + significant(float64(f.Correlation), 2)
	}
	return s
}

func lineFormula(l wire.LogLine) string {
	if !l.Slope.Known() || !l.Intercept.Known() {
		return notDetermined
	}
	rest := "(t / 1 s)"
	s := "ln(|V − V∞| / 1 V) = " + significant(float64(l.Intercept), 4)
	if l.Slope < 0 {
		s += " − " + significant(-float64(l.Slope), 4) + " " + rest
	} else {
		s += " + " + significant(float64(l.Slope), 4) + " " + rest
	}
	if l.VInf.Known() {
		s += ", V∞ = " + plain(l.VInf, "V", 3)
	}
	return s
}

func (p Picture) url() template.URL {
	if p.JPEG == nil {
		return ""
	}
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(p.JPEG))
}

// overlay draws the found lines and traces over the photo, in the photo's own pixels.
func overlay(d *wire.Document, p *Pictures) template.HTML {
	if !d.Photo.Width.Known() || !d.Photo.Height.Known() {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="over" viewBox="0 0 %.0f %.0f" aria-hidden="true">`, d.Photo.Width, d.Photo.Height)
	var lattice strings.Builder
	for _, l := range p.Lattice {
		lattice.WriteString(route(l))
	}
	fmt.Fprintf(&b, `<path class="under" d="%[1]s"/><path class="lattice" d="%[1]s"/>`, lattice.String())
	for _, l := range p.Lines {
		var path strings.Builder
		for _, piece := range l.Pieces {
			path.WriteString(route(piece))
		}
		fmt.Fprintf(&b, `<path class="under" d="%[1]s"/><path class="found" d="%[1]s"/>`, path.String())
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) // numbers only
}

// route is the path through places of the photo.
func route(l []geom.Pixel) string {
	x, y := make([]float64, len(l)), make([]float64, len(l))
	for i, q := range l {
		x[i], y[i] = q.X, q.Y
	}
	same := func(v float64) float64 { return v }
	return curve(x, y, same, same)
}
