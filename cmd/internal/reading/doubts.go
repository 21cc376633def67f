package reading

import (
	"slices"

	"quadrille/analysis"
)

// AllDoubts gathers every doubt of the reading and of its rooms, in the order of the pipeline: what a
// person must look at before the numbers are used. The doubts of traces that were not chosen are
// left with them.
func (r *Reading) AllDoubts() []string {
	var all []string
	add := func(ds []string) {
		for _, d := range ds {
			if !slices.Contains(all, d) {
				all = append(all, d)
			}
		}
	}
	if r.Photo != nil {
		add(r.Photo.Doubts)
	}
	if r.Graticule != nil {
		add(r.Graticule.Doubts)
	}
	for _, a := range r.All() {
		about := ""
		if len(r.Others) > 0 {
			about = "Trace " + r.Traces[a.Chosen].Name + ": "
		}
		if a.Chosen < len(r.Traces) {
			add(said(about, r.Traces[a.Chosen].Doubts))
		}
		if a.Chosen < len(r.Records) && r.Records[a.Chosen] != nil {
			add(said(about, r.Records[a.Chosen].Doubts))
		}
		if a.Findings != nil {
			add(said(about, doubtsOf(a.Findings)))
		}
	}
	for _, p := range r.Pairs {
		add(p.Doubts)
		for _, res := range p.Results {
			add(res.Doubts)
		}
	}
	if b := r.Beside; b != nil {
		add(said("Readings: ", b.Record.Doubts))
		add(b.Doubts)
		if b.Findings != nil {
			add(said("Readings: ", doubtsOf(b.Findings)))
		}
	}
	add(r.Doubts)
	return all
}

// said puts what sentences are about before each.
func said(about string, sentences []string) (list []string) {
	for _, s := range sentences {
		list = append(list, about+s)
	}
	return list
}

// doubtsOf gives those of findings and of their results.
func doubtsOf(f *analysis.Findings) []string {
	list := slices.Clone(f.Doubts)
	for _, r := range f.Results {
		list = append(list, r.Doubts...)
	}
	return list
}
