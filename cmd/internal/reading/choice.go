package reading

// Which of several traces is read when nobody says: the most prominent one. That is told, with how to choose another, and
// doubted where the second is about as prominent.

import (
	"quadrille/calibrate/remark"
	"quadrille/vision/trace"
)

// nearlyAsProminent is the prominence, as a share of the first trace's, from which the second might as well be meant: what
// blur and glare change from one photo of a display to the next (TestTheChoiceOfTheTraceIsTold).
const nearlyAsProminent = 0.85

// noteChoice tells which of the traces was taken, if none was asked for.
func (r *Reading) noteChoice(w *TraceSettings) {
	if w.TraceName != "" || w.TraceColour != nil || len(r.Traces) < 2 {
		return
	}
	a, b := r.Traces[r.Chosen], mostProminentBut(r.Traces, r.Chosen)
	if b == nil {
		b = r.Traces[(r.Chosen+1)%len(r.Traces)]
		r.Notes = append(r.Notes, r.choice(KindOthersAreLines, b))
		return
	}
	switch share := b.Prominence / a.Prominence; {
	case share > 1: // it lies along the rim
		r.Notes = append(r.Notes, r.choice(KindOtherAtRim, b))
	case share > nearlyAsProminent:
		r.Doubts = append(r.Doubts, r.choice(KindOtherAsProminent, b))
	default:
		r.Notes = append(r.Notes, r.choice(KindOtherLessProminent, b))
	}
}

// choice tells of the trace that was read and of another one.
func (r *Reading) choice(k remark.Kind, other *trace.Trace) remark.Remark {
	read := r.Traces[r.Chosen]
	return remark.Of(k, remark.Count("count", len(r.Traces)), remark.Word("traces", r.names()), remark.Word("read", read.Name),
		remark.Word("other", other.Name), remark.Number("share", other.Prominence/read.Prominence))
}

// mostProminentBut gives the most prominent of the traces but for that of index i, and for level lines if that is none; nil if
// there is no other.
func mostProminentBut(traces []*trace.Trace, i int) (best *trace.Trace) {
	for k, t := range traces {
		if k != i && (!t.Line || traces[i].Line) && (best == nil || t.Prominence > best.Prominence) {
			best = t
		}
	}
	return best
}
