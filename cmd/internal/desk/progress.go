// Telling of a reading while it is made: lines of JSON in one response, {"stage": "graticule"} as each stage begins and
// the live.Answer at the end, for a page that shows how far the work is.

package desk

import (
	"fmt"
	"net/http"

	"quadrille/cmd/internal/live"
)

// lines is the kind of a response that is one JSON value a line.
const lines = "application/x-ndjson"

type progress struct {
	w      http.ResponseWriter
	wanted bool // by the request
	begun  bool // a line was sent, and with it the status 200: what the reading comes to is the status in its answer
}

// begin tells of a stage. A request that is refused before the first of them keeps its own status.
func (p *progress) begin(stage string) {
	if !p.wanted {
		return
	}
	if !p.begun {
		p.begun = true
		p.w.Header().Set("Content-Type", lines)
		p.w.WriteHeader(http.StatusOK)
	}
	fmt.Fprintf(p.w, "{\"stage\":%q}\n", stage) // whoever has gone cannot be told
	_ = http.NewResponseController(p.w).Flush() // nor in time, where the connection does not know how
}

// end sends the answer.
func (p *progress) end(r *http.Request, a *live.Answer) {
	if !p.begun {
		answer(p.w, r, a)
		return
	}
	_, _ = p.w.Write(lineOf(a))
}
