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

// A second lead that hangs beside the first is looked past as well, and a trace that is torn once goes on; one torn
// into short pieces does not.
func TestLeadsBehindLeads(t *testing.T) {
	for _, c := range []struct {
		leads, tear int // leads; columns between tears of the trace, each one column at another height
		leaves      bool
	}{{1, 100, true}, {2, 100, true}, {3, 100, true}, {5, 100, false}, {1, 50, true}, {1, 12, false}} {
		s := framed()
		p, runs := levelPath(s, 300)
		for i := 400; i < 500; i++ {
			runs[i] = nil
			for k := range c.leads {
				runs[i] = append(runs[i], Run{Lo: 500 + 40*k, Hi: 520 + 40*k, Peak: 2})
			}
			p.Runs[i] = runs[i][0]
			y := 300
			if (i-399)/c.tear%2 == 1 {
				y = 380
			}
			runs[i] = append(runs[i], Run{Lo: y - 2, Hi: y + 2, Peak: 0.4})
		}
		p.leaveLeads(s, runs)
		says(t, fmt.Sprintf("%d leads, torn after %d columns, the trace is taken", c.leads, c.tear), p.Runs[410].Lo < 400, c.leaves)
	}
}
