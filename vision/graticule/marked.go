package graticule

// The ways by marks, for displays on which no lines run across the field, and what to doubt of such a frame.

import (
	"math"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/marks"
	"quadrille/vision/scene"
)

const (
	marksSeen = 0.4 // mean height of the ticks of a strip that are there (TestWhatIsDoubtedOfMarks)
	// clearMarks: mean height of the ticks both ways, or of the crosses, that leaves no doubt
	// (TestWhatIsDoubtedOfMarks)
	clearMarks = 0.6
	clearNodes = 16  // crosses, at least (TestWhatIsDoubtedOfMarks)
	clearEnds  = 0.3 // mean height of the marks next to each rim (TestWhatIsDoubtedOfMarks)
	clearPast  = 0.6 // and of those where the next would be outside, at most (TestWhatIsDoubtedOfMarks)
	// otherCount: score of another count over that of the best, unless longer ticks tell (TestWhatIsDoubtedOfMarks)
	otherCount = 0.75
	clearLong  = 0.45 // by so much longer (TestWhatIsDoubtedOfMarks)
)

// byMarks is the way by the marks of one view.
func byMarks(v scene.View) func(s *search) *hypothesis {
	return func(s *search) *hypothesis {
		if s.o.Corners != nil {
			return nil // marks near them are asked for when nothing else is there
		}
		s.marksSought = s.marksSought || v == scene.Photographed
		found := marks.Find(s.ctx, s.scene, marks.Options{View: v, Want: s.want, Enough: func(f *marks.Found) bool {
			return f.Sight.Score > marks.SureMarks && s.reading(f).standing == markedClearly
		}})
		if s.o.Stage != nil {
			s.o.Stage("marks", drawMarks(s.scene.Photo, found))
		}
		if len(found) == 0 {
			return nil
		}
		return s.reading(&found[0])
	}
}

// reading gives a frame that was found by its marks as a hypothesis.
func (s *search) reading(m *marks.Found) *hypothesis {
	f, sight := m.Frame, &m.Sight
	across, up := lattice.BoxSize(m.Fit.H, geom.Box{})
	v := verdict{share: float64(m.Fit.Seen) / float64(max(m.Fit.Pieces, 1)), rms: m.Fit.RMS, bend: m.Fit.Bend, fit: &m.Fit,
		margin: math.Inf(1), aspect: across / up, second: 1, stops: [4]float64{1, 1, 1, 1}}
	g := graticuleOf(&m.Fit, f, sight.Size.Centred)
	v.cut = g.leaves(s.scene.Photo.W, s.scene.Photo.H)
	say := func(k remark.Kind, values ...remark.Value) { g.Doubts = append(g.Doubts, remark.Of(k, values...)) }
	crossed := sight.Crosses >= clearMarks && sight.Nodes >= clearNodes
	if min(sight.Ticks[0], sight.Ticks[1]) < clearMarks && !crossed {
		say(MarksFew, remark.Count("columns", f.Cols), remark.Count("rows", f.Rows))
	}
	if !crossed && min(sight.Strips[0], sight.Strips[1]) < marksSeen {
		say(MarksOneSided)
	}
	if sight.Ends < clearEnds {
		say(MarksEnd)
	}
	if sight.Past > clearPast || m.Inner > 1 {
		say(MarksGoOn, remark.Count("columns", f.Cols), remark.Count("rows", f.Rows))
	}
	if sight.Rival > otherCount && !(sight.Longer > clearLong && sight.OtherLonger < sight.Longer/2) {
		say(OtherCount, remark.Count("columns", f.Cols), remark.Count("rows", f.Rows),
			remark.Count("other_columns", sight.Other.Cols), remark.Count("other_rows", sight.Other.Rows))
	}
	if m.Across > marks.InnerRuled {
		say(LinesAcross)
	}
	for i, side := range sides {
		if m.Rims[i] < marks.SharpRim {
			say(RimUnseen, remark.Word("side", side))
		}
	}
	h := &hypothesis{Graticule: g, verdict: v, quality: m.Worth()}
	switch {
	case len(g.Doubts) == 0 && v.share > doubtShare && v.rms < doubtRMS && !v.cut:
		h.standing = markedClearly
	case sight.Score > marks.SureMarks:
		h.standing = markedSurely
	default:
		h.standing = markedWeakly
	}
	g.Doubts = append(g.Doubts, v.remarks(f)...)
	return h
}
