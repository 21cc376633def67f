package wire_test

import (
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/trace"
)

// What a reading doubts is in its document, as a doubt of the part that it is about, and no note is among them: that
// ground is not known is the one or the other by what the trace shows.
func TestTheDocumentTellsWhatTheReadingDoubts(t *testing.T) {
	for signal, doubted := range map[string]bool{analysis.SignalDecay: true, analysis.SignalSine: false} {
		for _, others := range []int{0, 1} {
			r := handMade()
			r.Findings.Signal = signal
			r.Records[0].Notes = []remark.Remark{remark.Of(calibrate.KindGroundUnknown)}
			r.Records[1].Doubts = []remark.Remark{remark.Of(calibrate.KindGroundMarkMissed)}
			for range others {
				r.Others = append(r.Others, reading.Analysed{Chosen: 1})
			}
			d := wire.From(r)
			told := map[remark.Kind]bool{}
			for _, list := range [][]wire.Remark{d.DoubtKinds, d.Photo.DoubtKinds, d.Graticule.DoubtKinds} {
				mark(told, list)
			}
			for _, tr := range d.Traces {
				if tr.Chosen {
					mark(told, tr.DoubtKinds)
				}
			}
			for _, res := range d.Results {
				mark(told, res.DoubtKinds)
			}
			if told[calibrate.KindGroundUnknown] != doubted || told[trace.KindLeavesTop] != (others > 0) {
				t.Errorf("%s, %d other: the document doubts %v", signal, others, told)
			}
			for _, doubt := range r.AllDoubts() {
				if !told[doubt.Kind] {
					t.Errorf("%s, %d other: %q is doubted and not told", signal, others, doubt.Kind)
				}
				delete(told, doubt.Kind)
			}
			if len(told) > 0 {
				t.Errorf("%s, %d other: %v are told and not doubted", signal, others, told)
			}
		}
	}
}

// mark notes the kinds of a list as told.
func mark(told map[remark.Kind]bool, list []wire.Remark) {
	for _, r := range list {
		told[remark.Kind(r.Kind)] = true
	}
}
