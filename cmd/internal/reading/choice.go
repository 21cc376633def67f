package reading

// Which of the traces are read: those that a person names, or the most prominent one. That is told, with how to choose
// another. All of them are listed, so that it is no doubt, even where the second is about as prominent: of 13 busy
// displays and 6 photos on which it was one, none had the wrong trace read.

import (
	"errors"
	"fmt"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/vision/trace"
)

// nearlyAsProminent is the prominence, as a share of the first trace's, from which the second might as well be meant:
// what blur and glare change from one photo of a display to the next (TestTheChoiceOfTheTraceIsTold).
const nearlyAsProminent = 0.95

// extract finds the traces, and among them the wanted ones.
func (c *chain) extract() error {
	r := c.r
	var err error
	r.Traces, err = c.tracesOn()
	var none *trace.NotFoundError
	if errors.As(err, &none) && !c.s.named() {
		r.Doubts = append(r.Doubts, remark.Of(KindNoTrace, remark.Word("reason", none.Reason), remark.Word("hint", none.Hint)))
		return errEnough
	}
	if err != nil {
		return err
	}
	return c.choose()
}

// choose finds the wanted traces among those found.
func (c *chain) choose() (err error) {
	r := c.r
	r.Others = make([]Analysed, len(c.wanted)-1)
	for i, a := range r.All() {
		if a.Chosen, err = r.find(&c.wanted[i]); err != nil {
			return err
		}
		a.Setup = c.wanted[i].Setup
		for _, b := range r.All()[:i] {
			if b.Chosen == a.Chosen {
				return &SettingError{"trace", fmt.Sprintf("trace %s is asked for twice", r.Traces[a.Chosen].Name),
					"give each --trace once, with its own settings behind it; found: " + r.names()}
			}
		}
	}
	if !c.s.named() {
		r.noteChoice()
	}
	return nil
}

// find gives the index of the trace that w names.
func (r *Reading) find(w *TraceSettings) (int, error) {
	called := w.TraceName
	if w.TraceColour != nil {
		if t := trace.Nearest(r.Traces, *w.TraceColour); t != nil {
			return slices.Index(r.Traces, t), nil
		}
		called = fmt.Sprintf("#%02x%02x%02x", w.TraceColour[0], w.TraceColour[1], w.TraceColour[2])
	}
	if called == "" {
		return 0, nil
	}
	for i, t := range r.Traces {
		if t.Name == called {
			return i, nil
		}
	}
	return 0, &SettingError{"trace", fmt.Sprintf("there is no trace %q; found: %s", called, r.names()),
		"give one of these names, or the colour of the trace as #rrggbb"}
}

func (r *Reading) names() string { return namesOf(r.Traces) }

// namesOf lists traces with their colours.
func namesOf(traces []*trace.Trace) string {
	text := ""
	for i, t := range traces {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%s (#%02x%02x%02x)", t.Name, t.Colour[0], t.Colour[1], t.Colour[2])
	}
	return text
}

// noteChoice tells which of several traces was taken.
func (r *Reading) noteChoice() {
	if len(r.Traces) < 2 {
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
		r.Notes = append(r.Notes, r.choice(KindOtherAsProminent, b))
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

// mostProminentBut gives the most prominent of the traces but for that of index i, and for level lines if that is none;
// nil if there is no other.
func mostProminentBut(traces []*trace.Trace, i int) (best *trace.Trace) {
	for k, t := range traces {
		if k != i && (!t.Line || traces[i].Line) && (best == nil || t.Prominence > best.Prominence) {
			best = t
		}
	}
	return best
}
