package reading

import (
	"slices"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/vision/trace"
)

// Told is a remark and what it is about, where that must be said.
type Told struct {
	// About is the name of one of several traces, or AboutReadings; "" where there is no need to say.
	About string
	remark.Remark
}

// AboutReadings stands for a trace's name with what is told of readings that were laid beside it.
const AboutReadings = "readings"

// AllDoubts gathers every doubt of the reading and of its rooms, in the order of the pipeline: what a
// person must look at before the numbers are used. The doubts of traces that were not chosen are
// left with them.
func (r *Reading) AllDoubts() []Told {
	var all []Told
	add := func(about string, doubts []remark.Remark) {
		for _, d := range doubts {
			if !slices.ContainsFunc(all, func(t Told) bool { return t.About == about && t.Equal(d) }) {
				all = append(all, Told{about, d})
			}
		}
	}
	if r.Photo != nil {
		add("", r.Photo.Doubts)
	}
	if r.Graticule != nil {
		add("", r.Graticule.Doubts)
	}
	if r.Drawing != nil {
		add("", r.Drawing.Doubts)
	}
	for _, a := range r.All() {
		about := r.AboutTrace(a)
		if a.Chosen < len(r.Traces) {
			doubts, _ := r.OfTrace(a.Chosen)
			add(about, doubts)
		}
		doubts, _ := r.OfRecord(a)
		add(about, doubts)
		if a.Findings != nil {
			add(about, doubtsOf(a.Findings))
		}
	}
	for _, p := range r.Pairs {
		add("", p.Doubts)
		for _, res := range p.Results {
			add("", res.Doubts)
		}
	}
	if b := r.Beside; b != nil {
		add(AboutReadings, b.Record.Doubts)
		add("", b.Doubts)
		if b.Findings != nil {
			add(AboutReadings, doubtsOf(b.Findings))
		}
	}
	add("", r.Doubts)
	return all
}

// OfTrace gives what speaks against the trace of index i, and what is worth knowing of it. That it is a thick band or a
// wave too fast is a doubt until its kind is known: of noise it is what noise looks like, and of 16 busy displays of
// which it was told there, 10 had nothing wrong.
func (r *Reading) OfTrace(i int) (doubts, notes []remark.Remark) {
	t := r.Traces[i]
	if !slices.ContainsFunc(r.All(), func(a *Analysed) bool {
		return a.Chosen == i && a.Findings != nil && a.Findings.Signal == analysis.SignalNoise
	}) {
		return t.Doubts, t.Notes
	}
	notes = slices.Clone(t.Notes)
	for _, d := range t.Doubts {
		if d.Kind == trace.KindFastWave {
			notes = append(notes, d)
		} else {
			doubts = append(doubts, d)
		}
	}
	return doubts, notes
}

// OfRecord gives what speaks against the volts and seconds of a trace that is analysed, and what is worth knowing of
// them. That ground is not known is a note where the answer is a difference or a time, as of waves: the uncertainty
// says the rest. Of a decay and of a level the voltages from ground are the answer, or a part of it, and are of no use
// until someone says where ground is.
func (r *Reading) OfRecord(a *Analysed) (doubts, notes []remark.Remark) {
	if a.Chosen >= len(r.Records) || r.Records[a.Chosen] == nil {
		return nil, nil
	}
	rec := r.Records[a.Chosen]
	leans := a.Findings != nil && !r.onlySquares(a) && (a.Findings.Signal == analysis.SignalDecay || a.Findings.Signal == analysis.SignalLevel)
	doubts = slices.Clone(rec.Doubts)
	for _, n := range rec.Notes {
		if leans && slices.Contains(groundNotKnown, n.Kind) {
			doubts = append(doubts, n)
		} else {
			notes = append(notes, n)
		}
	}
	return doubts, notes
}

// onlySquares says that a is a curve on paper of which nobody said what a square stands for: it has no voltages, and as
// any graph is drawn on squared paper, its kind is a guess that its points do not need.
func (r *Reading) onlySquares(a *Analysed) bool {
	return r.Drawing != nil && a.Setup.VoltsPerBox.X == 0 && a.Setup.TimePerBox.X == 0
}

// groundNotKnown are the notes that say so.
var groundNotKnown = []remark.Kind{calibrate.KindGroundUnknown, calibrate.KindGroundOffScreen, calibrate.KindAxisUnknown}

// AboutTrace is what a remark on a trace that is analysed must say it is about: its name where there are several.
func (r *Reading) AboutTrace(a *Analysed) string {
	if len(r.Others) == 0 || a.Chosen >= len(r.Traces) {
		return ""
	}
	return r.Traces[a.Chosen].Name
}

// doubtsOf gives those of findings and of their results.
func doubtsOf(f *analysis.Findings) []remark.Remark {
	list := slices.Clone(f.Doubts)
	for _, r := range f.Results {
		list = append(list, r.Doubts...)
	}
	return list
}
