package report

// What of an experiment is to be looked at: the doubts of its photos and drawings, and comparisons that fail. Those
// that nobody asked for are one family: of many, some are apart by chance.

import (
	"fmt"
	"slices"

	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/wire"
)

// Doubted says that something is to be looked at: a photo that was not read, a doubt, a comparison that cannot be made
// or that fails, also within a photo. One that was asked for stands alone, the others are a family.
func (e *Experiment) Doubted() bool {
	f := e.family()
	return slices.ContainsFunc(e.Photos, func(p Part) bool {
		return p.Document.Error != nil || len(p.doubts(f)) > 0
	}) || slices.ContainsFunc(e.Compared, func(a Asked) bool {
		return a.fails(f) || !a.Unasked && (!a.Made() || len(a.Lacking) > 0)
	})
}

// family is all comparisons of the sheet that nobody asked for: within photos, and of what was given with what was
// seen.
func (e *Experiment) family() (f family) {
	for i := range e.Photos {
		f += family(len(e.Photos[i].Document.Comparisons))
	}
	for i := range e.Compared {
		if a := &e.Compared[i]; a.Unasked {
			f += family(len(a.Pairs))
		}
	}
	return f
}

// fails says that the values of a comparison do not agree: of one that was asked for by its own test, else by the
// family's.
func (a *Asked) fails(f family) bool {
	if !a.Unasked {
		return !a.Agree
	}
	return slices.ContainsFunc(a.Pairs, func(p compare.Pair) bool { return f.beyond(p.Agree, p.Zeta) })
}

// Kinds of doubts that a part has beside those of its document: see consequences.
const (
	kindApart  = "sheet.comparisons_apart"
	kindSketch = "sheet.sketch"

	kindSeenIsNotGiven = "analysis.seen_is_not_given"
)

// doubts are all of a part, the gravest first.
func (p *Part) doubts(f family) remarks {
	l := doubts(p.Document)
	if says, beyond := p.apart(f); beyond {
		l.add("", []string{says}, wire.Remark{Kind: kindApart})
	}
	for _, says := range p.Sketch.doubts() {
		l.add("sketch", []string{says}, wire.Remark{Kind: kindSketch})
	}
	return l.ordered()
}

// apart tells how many of the comparisons within the photo do not agree, and whether that is beyond what chance does
// among all of the sheet. It is "" if all agree, or if a doubt of the document says so already.
func (p *Part) apart(f family) (says string, beyond bool) {
	all := p.Document.Comparisons
	apart, widest, beyond := f.apart(all)
	told := 0
	for _, c := range apart {
		if c.What.Kind == "analysis.seen_and_given" {
			told++
		}
	}
	said := slices.ContainsFunc(p.Document.DoubtKinds, func(k wire.Remark) bool { return k.Kind == kindSeenIsNotGiven })
	chance := f.chance("of this sheet")
	switch {
	case len(apart) == 0, said && len(apart) == told:
		return "", false
	case !beyond:
		return fmt.Sprintf("%d of %s %s more than 2 standard uncertainties apart, furthest %s. Chance does as much: %s.",
			len(apart), counted(float64(len(all)), "comparison"), either(len(apart) == 1, "is", "are"), widest.Short, chance), false
	case len(all) == 1:
		return "its one comparison does not agree: " + widest.Short, true
	case len(apart) == 1:
		return fmt.Sprintf("1 of %d comparisons does not agree: %s. Chance seldom does as much: %s.", len(all), widest.Short,
			chance), true
	}
	return fmt.Sprintf("%d of %d comparisons do not agree; furthest apart: %s. Chance seldom does as much: %s.", len(apart),
		len(all), widest.Short, chance), true
}
