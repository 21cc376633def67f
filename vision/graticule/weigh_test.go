package graticule

import (
	"testing"

	"quadrille/calibrate/remark"
)

// One thing that is not seen is a note, and so are two; what speaks for another grid needs one of them beside it.
func TestOneAbsenceIsANoteAndSeveralAreADoubt(t *testing.T) {
	for _, c := range []struct {
		kinds []remark.Kind
		doubt bool
	}{
		{nil, false},
		{[]remark.Kind{RimUnseen}, false},
		{[]remark.Kind{FewLines}, false},
		{[]remark.Kind{BoxUnusual}, false},
		{[]remark.Kind{TwoInks, FaceBends}, false},
		{[]remark.Kind{FewLines, RimUnseen}, false},
		{[]remark.Kind{FewLines, RimUnseen, RimUnseen}, true},
		{[]remark.Kind{FewLines, BoxUnusual, FaceBends}, true},
		{[]remark.Kind{TwoInks, RimUnseen, BoxUnusual}, true},
		{[]remark.Kind{LinesOff}, false},
		{[]remark.Kind{EndsUnclear}, false},
		{[]remark.Kind{OtherFrame}, false},
		{[]remark.Kind{OtherGrid}, false},
		{[]remark.Kind{LinesOff, RimUnseen}, true},
		{[]remark.Kind{EndsUnclear, RimUnseen}, true},
		{[]remark.Kind{OtherFrame, FewLines}, true},
		{[]remark.Kind{OtherGrid, FewLines}, true},
		{[]remark.Kind{MarksFew}, false},
		{[]remark.Kind{MarksOneSided, RimUnseen}, true},
		{[]remark.Kind{MarksEnd, MarksFew}, true},
		{[]remark.Kind{RimsOff}, true},
		{[]remark.Kind{DotsAlike}, true},
		{[]remark.Kind{DotsPastRim}, true},
		{[]remark.Kind{CutOff}, true},
		{[]remark.Kind{CentreElsewhere}, true},
		{[]remark.Kind{OtherCount}, true},
	} {
		g := &Graticule{}
		for _, k := range c.kinds {
			g.Doubts = append(g.Doubts, remark.Of(k))
		}
		w := g.weighed()
		doubts, notes := len(c.kinds), 0
		if !c.doubt {
			doubts, notes = notes, doubts
		}
		if len(w.Doubts) != doubts || len(w.Notes) != notes {
			t.Errorf("%v: %d doubts, %d notes", c.kinds, len(w.Doubts), len(w.Notes))
		}
	}
}

// A side that was not seen may hide columns: with an oblong box beside it that is a doubt, at the top it is not.
func TestASideThatWasNotSeenWeighsMore(t *testing.T) {
	for side, doubt := range map[string]bool{"left": true, "right": true, "top": false, "bottom": false} {
		g := &Graticule{Doubts: []remark.Remark{remark.Of(RimUnseen, remark.Word("side", side)), remark.Of(BoxUnusual)}}
		if got := len(g.weighed().Doubts) > 0; got != doubt {
			t.Errorf("%s: a doubt: %v", side, got)
		}
		alone := &Graticule{Doubts: g.Doubts[:1]}
		if got := len(alone.weighed().Doubts) > 0; got {
			t.Errorf("%s alone: a doubt", side)
		}
	}
}

// Lines far off the grid and few of them make no graticule; either alone may.
func TestFewLinesFarOffAreNoGraticule(t *testing.T) {
	for _, c := range []struct {
		rms, share float64
		refused    bool
	}{{0.045, 0.55, true}, {0.03, 0.55, false}, {0.045, 0.8, false}, {0.039, 0.73, true}, {0.035, 0.73, false}, {0.039, 0.77, false}} {
		v := &verdict{rms: c.rms, share: c.share}
		if got := v.isNone(); got != c.refused {
			t.Errorf("%.3f box off, %.0f %% seen: refused: %v", c.rms, 100*c.share, got)
		}
	}
}
