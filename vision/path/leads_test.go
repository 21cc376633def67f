package path

import (
	"fmt"
	"testing"
)

// A thick piece at the end of a path is left for the trace beside it, if that is seen in most of its columns.
func TestWhatGoesOnBesideALead(t *testing.T) {
	for _, c := range []struct {
		seen   int // of ten columns beside the lead
		leaves bool
	}{{0, false}, {7, false}, {9, true}, {10, true}} {
		s := framed()
		p, runs := levelPath(s, 300)
		for i := 400; i < 500; i++ {
			p.Runs[i] = Run{Lo: 500, Hi: 520, Peak: 2}
			if runs[i] = []Run{p.Runs[i]}; i%10 < c.seen {
				runs[i] = append(runs[i], Run{Lo: 298, Hi: 302, Peak: 1})
			}
		}
		p.leaveLeads(s, runs)
		says(t, fmt.Sprintf("seen in %d of ten columns, the trace is taken", c.seen), p.Runs[450].Lo < 400, c.leaves)
	}
}
