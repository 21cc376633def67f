// A whole experiment: the photos of a notebook with their documents, and what was asked to be compared, in words for
// its pages (experimentpage.go, experimentpdf.go) and as text for the terminal. What is to be looked at stands in
// experimentdoubts.go.

package report

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
)

// experimentSchema is the version of an Experiment as JSON.
const experimentSchema = 1

// An Experiment is what a notebook's photos gave. As JSON it has all documents, but no pictures.
type Experiment struct {
	Schema   int       `json:"schema"`
	Notebook string    `json:"notebook"` // the name of its file
	Title    wire.Text `json:"title"`
	By       wire.Text `json:"by"`
	Date     wire.Text `json:"date"`
	Photos   []Part    `json:"photos"`
	Compared []Asked   `json:"compared"`
}

// A Part is one photo, or one table, of an experiment.
type Part struct {
	Name       string         `json:"name"`
	File       string         `json:"file"`
	Instrument wire.Text      `json:"instrument"`
	Line       int            `json:"line"` // of the notebook
	Folder     string         `json:"folder"`
	Document   *wire.Document `json:"document"` // its error says why it was not read to the end
	Pictures   *Pictures      `json:"-"`        // nil without a photo
	Sketch     *Held          `json:"sketch"`   // nil without one
	// Dials are the settings that the notebook gives as what the generator says: the setting's key, and the dial's.
	Dials [][2]string `json:"-"`
}

// say writes the settings that a sentence names as they stand in the notebook.
func (p *Part) say(text string) string {
	text = words.AsKeys(text)
	for _, d := range p.Dials {
		text = strings.ReplaceAll(text, "“"+d[0]+"”", "“generator: "+d[1]+"”")
	}
	return text
}

// sayingIn is how the part's own pages are printed.
func (p *Part) sayingIn(print Print) Print {
	print.say = p.say
	return print
}

// Held is a drawing that was held against the photo of its part.
type Held struct {
	File  string       `json:"file"`
	Check *check.Check `json:"check"` // null where it could not be held
	Error wire.Text    `json:"error"` // why not, and what to do
	On    *OnDrawing   `json:"-"`     // the display laid on the drawing; nil without a picture of it
}

// doubts are what is to be looked at of a drawing, in sentences with the notebook's keys.
func (h *Held) doubts() (list []string) {
	switch {
	case h == nil:
	case h.Check == nil:
		list = append(list, h.File+" was not held against the photo: "+string(h.Error))
	default:
		if !h.Check.Within {
			list = append(list, h.Check.Verdict...)
		}
		list = append(list, h.Check.Doubts...)
	}
	for i := range list {
		list[i] = words.AsKeys(list[i])
	}
	return cleaned(list)
}

// view is the check with the notebook's keys.
func (h *Held) view() checkedView {
	v := checkedViewOf(h.Check)
	for _, list := range [][]string{v.Verdict, v.Doubts, v.Notes} {
		for i := range list {
			list[i] = words.AsKeys(list[i])
		}
	}
	return v
}

// Asked is one comparison that the notebook asks for, or that its values alone give reason for.
type Asked struct {
	Line    int  `json:"line"`    // of the notebook; that of the photo where it was not asked for
	Unasked bool `json:"unasked"` // of one photo and what was given for it from elsewhere
	compare.Quantity
	Lacking []compare.Lacking `json:"lacking"` // those that have no such value
}

// Made says whether there was something to compare.
func (a *Asked) Made() bool { return len(a.Values) > 1 }

// Unread counts the photos that were not read to the end.
func (e *Experiment) Unread() (n int) {
	for _, p := range e.Photos {
		if p.Document.Error != nil {
			n++
		}
	}
	return n
}

// NameFolders gives each photo the name of its folder, made of its own: letters, digits and dashes, one a photo
// whatever the file system thinks of capitals.
func (e *Experiment) NameFolders() {
	e.Schema = experimentSchema
	taken := map[string]bool{}
	for i := range e.Photos {
		p := &e.Photos[i]
		base := strings.Trim(strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' {
				return r
			}
			return '-'
		}, p.Name), "-")
		if r := []rune(base); len(r) > 40 {
			base = string(r[:40])
		}
		if base == "" || isReserved(base) {
			base = strings.Trim("photo-"+base, "-")
		}
		p.Folder = base
		for k := 2; taken[strings.ToLower(p.Folder)]; k++ {
			p.Folder = fmt.Sprintf("%s-%d", base, k)
		}
		taken[strings.ToLower(p.Folder)] = true
	}
}

// reserved are names that no file may have on Windows (Microsoft, Naming Files, Paths, and Namespaces; from memory).
var reserved = []string{"con", "prn", "aux", "nul", "com", "lpt"}

func isReserved(name string) bool {
	return slices.Contains(reserved, strings.TrimRight(strings.ToLower(name), "0123456789"))
}

// ExperimentJSON is the experiment for programs.
func ExperimentJSON(e *Experiment) ([]byte, error) {
	return wire.EncodeValue(e)
}

// An experimentView is an experiment in words, rounded numbers and figures.
type experimentView struct {
	Title, Origin string
	First         *leaf // of one photo alone what stands on the first page; the photo's own part then lacks it
	Parts         []partView
	Compared      []askedView
	Remarks       []string // of all photos and comparisons; each photo's own page has its doubts in full
	Cautions      []string
}

// A partView is one photo. Answers has its first values in words, none of one that was not read.
type partView struct {
	*leaf
	Part    *Part
	Heading string
	Answers []string
}

// An askedView is one comparison; Short is its answer.
type askedView struct {
	comparedQuantity
	Short string
	Agree bool
	Made  bool
}

func experimentViewOf(e *Experiment, print Print) experimentView {
	v := experimentView{Title: Clean(string(e.Title)), Cautions: cautions}
	if v.Title == "" {
		v.Title = Clean(e.Notebook)
	}
	v.Origin = joinNonEmpty(", ", Clean(string(e.By)), dated(e.Date))
	f := e.family()
	for i := range e.Photos {
		v.Parts = append(v.Parts, partViewOf(i, &e.Photos[i], print, f))
	}
	if len(v.Parts) == 1 {
		l := v.Parts[0].leaf
		v.First = new(*l)
		l.Short, l.Sentence, l.Paper = nil, "", nil
		if _, beyond := e.Photos[0].apart(f); beyond {
			v.First.Sentence = "" // it stands among what is to be looked at
		}
	}
	for i := range v.Parts {
		if p := &v.Parts[i]; p.Error != nil {
			v.Remarks = append(v.Remarks, fmt.Sprintf("%s (%s) was not read to the end: %s. %s.",
				p.Heading, Clean(p.Part.File), p.Error.Reason, capital(string(p.Error.Hint))))
		}
	}
	for i := range e.Compared {
		a := &e.Compared[i]
		v.Compared = append(v.Compared, askedViewOf(a))
		if a.Unasked {
			v.notCompared(a)
		}
		v.Remarks = append(v.Remarks, v.Compared[i].remarks(a, f)...)
	}
	for i := range v.Parts {
		p := &v.Parts[i]
		more := 0
		sketch := false
		for k, d := range p.Part.doubts(f) {
			first := d.kind == kindSketch && !sketch // its verdict
			sketch = sketch || first
			if k >= mostDoubts && d.kind != kindApart && !first {
				more++
				continue
			}
			v.Remarks = append(v.Remarks, Clean(p.Part.Name)+": "+p.Part.say(firstSentence(joinNonEmpty(": ", d.About, d.Says))))
		}
		if more > 0 {
			v.Remarks = append(v.Remarks, fmt.Sprintf("%s: %s more, on its page.", Clean(p.Part.Name), counted(float64(more), "doubt")))
		}
	}
	return v
}

// notCompared adds a note to a photo that gave nothing which what was given for it could be compared with.
func (v *experimentView) notCompared(a *Asked) {
	for _, l := range a.Lacking {
		i := slices.IndexFunc(v.Parts, func(p partView) bool { return p.Part.Name == l.Name })
		if i < 0 {
			continue
		}
		var said []string
		for _, x := range a.Values {
			said = append(said, string(elsewhere[x.Method][1])+": "+measured(x.Value, x.U, a.Unit))
		}
		v.Parts[i].Notes.add("", []string{fmt.Sprintf("Not compared with the trace, which gives no %s: %s.", quantityWords(a.Quantity.Quantity),
			strings.Join(said, ", and "))})
	}
}

// remarks are what is to be looked at of a comparison.
func (v *askedView) remarks(a *Asked, f family) (list []string) {
	if !a.Unasked {
		for _, l := range a.Lacking {
			list = append(list, lackingSays(a, l))
		}
	}
	switch {
	case a.Unasked && !v.Made:
	case !v.Made && len(list) == 0:
		return []string{v.Name + ": there is only one value. Name another photo, or say what the display, the generator or your " +
			"own reading gave."}
	case !v.Made:
		return []string{v.Name + ": nothing could be compared. " + strings.Join(list, " ")}
	case a.fails(f):
		why := "what changed between the photos"
		if !slices.ContainsFunc(a.Values, func(x compare.Value) bool { return x.Source != a.Values[0].Source }) {
			why = "a value that was misread"
		}
		return append([]string{v.Name + ": " + v.Short + ". The comparison says by how much; look for a wrong setting, a wrong " +
			"ground line, or " + why + "."}, list...)
	}
	return list
}

// mostFormulas is how many lines of a caption the sheet shows, so that the figures of a photo go on one page with it.
const mostFormulas = 3

// inALine is what a photo gave.
func (p *partView) inALine() string {
	switch {
	case p.Error != nil:
		return "not read to the end"
	case len(p.Answers) == 0:
		return "no result"
	}
	return strings.Join(p.Answers, "; ")
}

// partViewOf leaves out what only the photo's own page has: each decay alone, the comparisons that agree, what the
// usual mistakes would do, the formulas of many fits, and the ways to τ as a figure.
func partViewOf(i int, p *Part, print Print, f family) partView {
	d := p.Document
	short := *d
	short.Results, short.Comparisons, short.WhatIfs = mainResults(d), nil, nil
	v := partView{leaf: leafOf(&short, p.Pictures, p.sayingIn(print)), Part: p, Heading: Clean(p.Name)}
	v.prefix = fmt.Sprintf("p%d-", i+1)
	v.Doubts, v.Notes, v.Sentence = doubts(d), notes(d), agreementSays(d.Comparisons, f)
	if says, beyond := p.apart(f); says != "" && !beyond {
		v.Notes.add("", []string{says})
	}
	v.Agreement = slices.DeleteFunc(slices.Clone(d.Comparisons), func(c wire.Comparison) bool { return c.Agree })
	v.Figures = slices.DeleteFunc(v.Figures, func(f figure) bool { return f.Title == tauTitle })
	for i := range v.Figures {
		if f := &v.Figures[i]; len(f.Caption) > mostFormulas+1 {
			more := len(f.Caption) - mostFormulas
			f.Caption = append(slices.Clip(f.Caption[:mostFormulas]), caption{"", fmt.Sprintf("%d more are on the photo’s own page.", more)})
		}
	}
	if d.Title != "" {
		v.Heading += ": " + Clean(string(d.Title))
	}
	v.Title, v.Answers = v.Heading, v.Short
	v.said(p.say)
	if v.Error != nil {
		v.Answers = nil
	}
	return v
}

func askedViewOf(a *Asked) askedView {
	v := askedView{comparedQuantity: comparedQuantityOf(&a.Quantity), Made: a.Made(), Agree: a.Agree}
	v.Name = capital(quantityWords(a.Quantity.Quantity))
	var who []string
	for i := range a.Values {
		if name := readingOf(&a.Quantity, i); !slices.Contains(who, name) {
			who = append(who, name)
		}
	}
	switch {
	case len(who) == 1 && v.Made:
		v.Name += fmt.Sprintf(" of %s in %s", who[0], counted(float64(len(a.Values)), "way"))
	case len(who) > 0:
		v.Name += " of " + strings.Join(who, ", ")
	}
	if len(a.Pairs) > mostPairs {
		v.Verdicts = fewer(v.Verdicts, len(a.Pairs))
	}
	if v.Made {
		_, v.Short, _ = strings.Cut(shortOf(&a.Quantity), ": ")
	}
	return v
}

// mostPairs is how many pairs of a comparison are all told: those of four values.
const mostPairs = 6

// fewer keeps of the first verdicts, which are those of so many pairs, the ones that do not agree, and counts the
// others.
func fewer(verdicts []verdict, pairs int) (out []verdict) {
	agree := 0
	for i, w := range verdicts {
		switch {
		case i >= pairs && agree > 0:
			out = append(out, verdict{true, fmt.Sprintf("%d of the %d pairs agree", agree, pairs)})
			agree = 0
			fallthrough
		case i >= pairs || !w.Agree:
			out = append(out, w)
		default:
			agree++
		}
	}
	if agree > 0 {
		out = append(out, verdict{true, fmt.Sprintf("%d of the %d pairs agree", agree, pairs)})
	}
	return out
}

func quantityWords(quantity string) string {
	if name := quantityNames[quantity]; name != "" {
		return name
	}
	return strings.ReplaceAll(quantity, "_", " ")
}

func lackingSays(a *Asked, l compare.Lacking) string {
	what := quantityWords(a.Quantity.Quantity)
	if l.Way != "" {
		what += " by the way " + l.Way
	}
	if l.Signal == "" {
		return fmt.Sprintf("%s was not read, so that there is no %s of it.", Clean(l.Name), what)
	}
	return fmt.Sprintf("%s was taken for a signal of the kind %s and gives no %s in seconds and volts: look at its kind of signal "+
		"and its settings.", Clean(l.Name), l.Signal, what)
}

// ExperimentText is the experiment for a terminal of so many columns, held between 50 and 80: the answer of each photo,
// what was compared, and what is to be looked at.
func ExperimentText(e *Experiment, width int) string {
	v := experimentViewOf(e, Print{})
	t := &page{width: min(max(width, minWidth), maxWidth)}
	t.wrapped(v.Title)
	t.line("")
	for i := range v.Parts {
		p := &v.Parts[i]
		t.line(Clean(p.Part.Name))
		for _, l := range wrap(p.inALine(), t.width-2) {
			t.line("  " + l)
		}
	}
	if len(v.Compared) > 0 {
		t.line("")
	}
	for _, a := range v.Compared {
		if !a.Made {
			continue
		}
		t.item(mark(a.Agree), a.Name+": "+a.Short)
		for _, k := range a.Verdicts {
			if !k.Agree {
				t.item("  ≠", k.Says)
			}
		}
	}
	if len(v.Remarks) > 0 {
		t.line("")
		t.line(doubtsHead)
		for _, r := range v.Remarks {
			t.item("!", r)
		}
	}
	return t.String()
}
