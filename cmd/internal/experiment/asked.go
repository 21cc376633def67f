// What a notebook asks to be compared, out of the documents and of what it says itself.

package experiment

import (
	"slices"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/notebook"
	"quadrille/cmd/internal/report"
)

// asked makes a comparison. One photo alone is compared with itself: all its ways to the quantity, and what it says
// from elsewhere.
func asked(n *notebook.Notebook, e *report.Experiment, c notebook.Comparison) report.Asked {
	var members []compare.Member
	for _, m := range c.Of {
		i := slices.IndexFunc(n.Photos, func(p notebook.Photo) bool { return p.Name == m.Photo })
		if i < 0 {
			continue // the notebook's reader refuses it
		}
		of := compare.Member{Name: m.Photo, Instrument: n.InstrumentOf(i), Way: m.Way}
		if d := e.Photos[i].Document; d != nil && d.Error == nil {
			of.Document = d
		}
		if len(c.Of) == 1 {
			members = append(members, of.AllWays(c.Quantity)...)
			said := 0
			for _, way := range elsewhere {
				v := given(n, i, c.Quantity, way)
				if v == nil || way == notebook.FromKnown && said > 0 { // the dial counts as known, too
					continue
				}
				if way == notebook.FromGenerator {
					said++
				}
				members = append(members, from(of, way, v))
			}
			continue
		}
		members = append(members, from(of, m.Way, given(n, i, c.Quantity, m.Way)))
	}
	q, lacking := compare.Asked(c.Quantity, notebook.UnitOf(c.Quantity), members)
	return report.Asked{Line: c.Line, Quantity: q, Lacking: lacking}
}

// unasked compares with photo i what its display printed and what was read by hand, each that no comparison of the
// notebook takes up: a value that somebody wrote down is never passed over.
func unasked(n *notebook.Notebook, e *report.Experiment, i int) (list []report.Asked) {
	p := &n.Photos[i]
	if d := e.Photos[i].Document; d == nil || d.Error != nil {
		return nil
	}
	done := map[string]bool{}
	for _, q := range slices.Concat(p.Display, p.ByHand) {
		if done[q.Quantity] {
			continue
		}
		done[q.Quantity] = true
		of := []notebook.Member{{Photo: p.Name}}
		for _, way := range []string{notebook.FromDisplay, notebook.ByHand} {
			if m := (notebook.Member{Photo: p.Name, Way: way}); given(n, i, q.Quantity, way) != nil && !n.Asks(q.Quantity, m) {
				of = append(of, m)
			}
		}
		if len(of) == 1 {
			continue
		}
		a := asked(n, e, notebook.Comparison{Quantity: q.Quantity, Of: of, Line: p.Line})
		a.Unasked = true
		list = append(list, a)
	}
	return list
}

var elsewhere = []string{notebook.FromGenerator, notebook.FromDisplay, notebook.ByHand, notebook.FromKnown}

// from is a member with a value from elsewhere; v may be nil.
func from(of compare.Member, way string, v *unit.Value) compare.Member {
	of.Way, of.Given = way, v
	of.OnScreen = way == notebook.FromDisplay || way == notebook.ByHand
	return of
}

// given is what a notebook says of a quantity of photo i; nil if nothing.
func given(n *notebook.Notebook, i int, quantity, way string) *unit.Value {
	p, s := &n.Photos[i], n.Given(i)
	list := []notebook.Quantity(nil)
	text := ""
	switch way {
	case notebook.FromDisplay:
		list = p.Display
	case notebook.ByHand:
		list = p.ByHand
	case notebook.FromGenerator:
		text = map[string]string{"frequency": p.Generator.Frequency, "v_pp": p.Generator.Drive}[quantity]
	case notebook.FromKnown:
		text = map[string]string{"frequency": s.KnownFrequency, "tau": s.KnownTau, "half_life": s.KnownHalfLife,
			"v_pp": s.KnownDrive}[quantity]
	}
	for k := range list {
		if list[k].Quantity == quantity {
			return &list[k].Value
		}
	}
	if text == "" {
		return nil
	}
	v, err := unit.Parse(text, notebook.UnitOf(quantity))
	if err != nil {
		return nil // the notebook's reader refuses it
	}
	return &v
}
