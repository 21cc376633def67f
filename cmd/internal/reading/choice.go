package reading

// Which of several traces is read when nobody says: the most prominent one. That is told, with how to choose another, and
// doubted where the second is about as prominent.

import (
	"fmt"

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
	seen := fmt.Sprintf("%d traces were found: %s.", len(r.Traces), r.names())
	if b == nil {
		b = r.Traces[(r.Chosen+1)%len(r.Traces)]
		r.Notes = append(r.Notes, fmt.Sprintf("%s %s was read; what else was found is level from rim to rim, as helper lines are. --trace %s reads %s.", seen, a.Name, b.Name, b.Name))
		return
	}
	other := fmt.Sprintf("--trace %s reads %s", b.Name, b.Name)
	if len(r.Traces) > 2 {
		other += ", and so on"
	}
	switch share := b.Prominence / a.Prominence; {
	case share > 1: // it lies along the rim
		r.Notes = append(r.Notes, fmt.Sprintf("%s %s was read: %s stands out more, but lies along the rim of the screen, as the rim itself does. %s.", seen, a.Name, b.Name, other))
	case share > nearlyAsProminent:
		r.Doubts = append(r.Doubts, fmt.Sprintf("%s %s was read, but %s stands out as much. Say which you mean: --trace %s or --trace %s.", seen, a.Name, b.Name, a.Name, b.Name))
	default:
		r.Notes = append(r.Notes, fmt.Sprintf("%s %s was read, which stands out most (by its share of the width, its light and the breadth of its stroke); %s does so by %.0f %% of that. %s.", seen, a.Name, b.Name, 100*share, other))
	}
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
