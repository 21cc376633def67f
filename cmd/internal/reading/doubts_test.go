package reading_test

import (
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/trace"
)

// A thick band speaks against a trace until it is found to be noise, of which it is only worth knowing; what else
// speaks against the trace stays, and so do the doubts of a trace that was not analysed.
func TestAThickBandIsNoDoubtOfNoise(t *testing.T) {
	two := func() *trace.Trace {
		return &trace.Trace{Doubts: []remark.Remark{remark.Of(trace.KindFastWave), remark.Of(trace.KindMostlyHidden)}}
	}
	for signal, want := range map[string]int{analysis.SignalNoise: 1, analysis.SignalSine: 2} {
		r := &reading.Reading{Traces: []*trace.Trace{two(), two()}}
		r.Findings = &analysis.Findings{Signal: signal}
		doubts, notes := r.OfTrace(0)
		if len(doubts) != want || len(notes) != 2-want || !remark.Any(doubts, trace.KindMostlyHidden) {
			t.Errorf("%s: doubts %q, notes %q", signal, doubts, notes)
		}
		if all := r.AllDoubts(); len(all) != want {
			t.Errorf("%s: doubts of all %v", signal, all)
		}
		if doubts, _ := r.OfTrace(1); len(doubts) != 2 {
			t.Errorf("%s: of the other trace %q", signal, doubts)
		}
	}
}

// Ground that is not known is of consequence where voltages from ground are the answer.
func TestGroundUnknownIsADoubtWhereLevelsAreTheAnswer(t *testing.T) {
	for signal, doubted := range map[string]bool{analysis.SignalDecay: true, analysis.SignalLevel: true, analysis.SignalSine: false, analysis.SignalStates: false} {
		for _, kind := range []remark.Kind{calibrate.KindGroundUnknown, calibrate.KindGroundOffScreen} {
			r := &reading.Reading{Traces: []*trace.Trace{{}}, Records: []*calibrate.Record{{Notes: []remark.Remark{remark.Of(kind)}}}}
			r.Findings = &analysis.Findings{Signal: signal}
			doubts, notes := r.OfRecord(&r.Analysed)
			if remark.Any(doubts, kind) != doubted || remark.Any(notes, kind) == doubted || (len(r.AllDoubts()) > 0) != doubted {
				t.Errorf("%s: %s: doubts %q, notes %q", signal, kind, doubts, notes)
			}
		}
	}
}
