// Package analysis turns a record in seconds and volts into what the teaching laboratory asks for:
// a time constant three ways, levels, times at levels, each with its budget, and whether independent
// results agree. It knows nothing of pictures.
package analysis

import (
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// Signal kinds that Analyse knows.
const (
	SignalAuto     = "auto" // recognised from the record, and the choice is told
	SignalDecay    = "decay"
	SignalSine     = "sine"
	SignalTriangle = "triangle"
	SignalRamp     = "ramp"
	SignalStates   = "states"
	SignalPulses   = "pulses"
	SignalNoise    = "noise"
	SignalLevel    = "level"
)

// Settles tells what a decay settles at.
type Settles int

const (
	SettlesFree   Settles = iota // found by the fit
	SettlesGround                // 0 V
	SettlesGiven                 // Settings.SettlesAt
)

// Settings steers Analyse. The zero value recognises the signal and finds everything itself.
type Settings struct {
	Signal    string    // one of the kinds above; "" means SignalAuto
	From, To  *float64  // s, the part of the record to use; nil means found
	Settles   Settles   // of a decay
	SettlesAt float64   // V, with SettlesGiven
	SettlesU  float64   // V, its standard uncertainty; 0 is exact
	Levels    []float64 // V, levels at which the time since the knee is asked for
	// LevelShares are further ones, as shares of the voltage at the start, above 0 and below 1.
	LevelShares []float64
	// Parts of the circuit; X = 0 means not given. U is the standard uncertainty.
	Resistance, Capacitance, InputResistance, SourceResistance unit.Value
	Known                                                      Known      // of the signal, from elsewhere
	usual                                                      [2]float64 // relative limits taken for R and C, which were given without; else 0
	// Trials is the number of a Monte Carlo calculation beside the budgets; 0 means none.
	Trials int
}

// Findings is all that a record gave.
type Findings struct {
	Signal      string // the kind that was used, never "auto"
	Told        Told   // how that was told
	Results     []Result
	Comparisons []Comparison
	WhatIfs     []remark.Remark // what the usual mistakes would do to a decay
	Fits        []Fit           // curves drawn through the record, one a cycle
	Lines       []LogLine       // straight lines through ln|V - V∞|, one a cycle of a decay
	Doubts      []remark.Remark
	Notes       []remark.Remark // what is worth knowing but puts no number in question
	again       *replay         // how to make the results once more
	axes        unit.Axes       // the units that all this is in
	sine        *fittedSine     // of a sine, for a comparison with another; else nil
	drive       drive           // what it may be to another trace
}

// A drive is the part of a signal beside another that drives it or is driven by it.
type drive int

const (
	noDrive  drive = iota
	drives         // two levels, between which it steps
	isDriven       // a capacitor, charged and discharged through a resistor
)

// A Fit is a curve through part of a record.
type Fit struct {
	Label       string    // "decay 1", "sine"
	Formula     string    // with numbers, for people: "V = 0.02 V + 8.97 V · exp(-(t - 3.2 s) / 10.3 s)"
	T, V        []float64 // s, V: the curve, dense enough to draw
	AtT, Off    []float64 // s, V: the samples used and how far each lies above the curve
	EffectiveN  float64   // samples' worth of independent information, after their correlation
	Correlation float64   // of neighbouring residuals, -1..1
}

// A LogLine is the graph that the lab sheet asks for: ln(|V - VInf| / 1 V) against t and the weighted
// straight line through it.
type LogLine struct {
	Label            string
	T, LnV, U        []float64 // s, 1, 1: points and their standard uncertainties
	Slope, Intercept float64   // 1/s, 1
	VInf             float64   // V, taken off before the logarithm
}

// A Result is one quantity by one method.
type Result struct {
	Quantity string // "tau", "half_life", "v_start", "v_end", "time_at_level", …
	Method   string // of tau: "curve", "log_line", "half_life", "rc"
	Label    string // for people, e.g. "time from the knee to 5 V"; "" if Quantity says it all
	Role     Role
	Value    unit.Value
	// Expanded is U = K·u, with K from the t-distribution at DOF effective degrees of freedom for
	// 95 % (GUM G.6.4). DOF is +Inf when no term of the budget has a finite one.
	Expanded, K, DOF float64
	Budget           []Term
	Trials           *Trials   // nil without a Monte Carlo calculation
	Interval         *Interval // of τ from a short decay, where ± U does not tell how far it may be off on each side; else nil
	Doubts           []remark.Remark
	Notes            []remark.Remark // what is worth knowing but does not put the value in question
}

// A Role is what a result is to its signal, whatever kind that is and whatever the quantity is called.
type Role int

const (
	NoRole    Role = iota
	AtLevel        // a voltage at which the signal rests, or to which it goes
	FirstSeen      // the voltage that a decay is first seen at, which it may have passed through on its way
	FullSwing      // from the lowest to the highest voltage of a curve that rests nowhere, as a generator's knob says it
)

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
	What    remark.Remark // what is compared, with the values that its sentence needs
	Results []int         // indices into the list of results compared
	Zeta    float64
	Agree   bool
	Causes  []remark.Remark // of a disagreement, the one that could explain most of it first; with its share, if that is known
}

// A NotFoundError says that the record does not hold what was asked for, and what to do.
type NotFoundError struct{ Reason, Hint string }

func (e *NotFoundError) Error() string { return e.Reason }
