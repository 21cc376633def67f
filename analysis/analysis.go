// Package analysis turns a record in seconds and volts into what the teaching laboratory asks for:
// a time constant three ways, levels, times at levels, each with its budget, and whether independent
// results agree. It knows nothing of pictures.
package analysis

import "quadrille/calibrate/unit"

// A Result is one quantity by one method.
type Result struct {
	Quantity string // "tau", "half_life", "v_start", "v_end", "time_at_level", …
	Method   string // of tau: "curve", "log_line", "half_life", "rc"
	Label    string // for people, e.g. "time from the knee to 5 V"; "" if Quantity says it all
	Value    unit.Value
	// Expanded is U = K·u, with K from the t-distribution at DOF effective degrees of freedom for
	// 95 % (GUM G.6.4). DOF is +Inf when no term of the budget has a finite one.
	Expanded, K, DOF float64
	Budget           []Term
	Doubts           []string
}

// A Term is one line of an uncertainty budget.
type Term struct {
	Source       string  // "noise of the points", "time base", "graticule fit", …
	Value        float64 // of the input quantity, in Unit; NaN if there is none to speak of
	Unit         string  // of Value and Standard
	Distribution string  // "normal", "rectangular", "t"
	Standard     float64 // standard uncertainty of the input quantity
	Sensitivity  float64 // of the result to it
	U            float64 // contribution to u of the result, |Sensitivity|·Standard, in the result's unit
	DOF          float64 // +Inf if known well
	Shared       bool    // the instrument's own, the same in every photo of it at one setting
}

// A Comparison says whether results agree within their uncertainties.
type Comparison struct {
	Title   string
	Results []int // indices into the list of results compared
	Zeta    float64
	Agree   bool
	Says    string // one sentence for the reader
}
