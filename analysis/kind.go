package analysis

// The kinds of signal. Each has a row in kinds and a file that fits it; whatever is asked of all of them alike (which
// of them a record holds, what it gives, how trials make it anew) goes through signal. To add a kind: its file, its row
// here, and its words in report.

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// A signal is the points of a record, fitted as one kind.
type signal interface {
	// account tells what the fit leaves of every point, for recognise to hold against other kinds; nil if nobody would
	// take the points for this kind unasked.
	account() *account
	// findings gives the results with their budgets and with what makes them anew in a trial (Findings.again), the curves
	// through the record, comparisons, and what to doubt. Once ctx is done they are not whole. The error is a
	// *NotFoundError if all that was fitted tells nothing.
	findings(ctx context.Context) (*Findings, error)
}

// An account is what a kind makes of the points.
type account struct {
	r       []float64       // whitened residuals, 0 where a point is left unexplained
	numbers float64         // fitted ones
	silent  float64         // points left unexplained
	price   float64         // what these are worth of sure points: an unsure one says little, whoever explains it
	drawn   float64         // what the steps that a trace is drawn in leave of any such shape, a share of the height, rms
	high    float64         // V, of the shape; 0 of what has none
	doubts  []remark.Remark // of a shape that was recognised and not asked for
}

// leave leaves point i unexplained.
func (a *account) leave(p *points, i int) {
	a.r[i] = 0
	a.silent++
	a.price += math.Min(1, p.w[i]*p.typical)
}

// A kind is one kind of signal.
type kind struct {
	name string // in settings and documents
	// fit fits the points. Its errors are *NotFoundError if they hold no such signal and *calibrate.SetupError if a
	// setting of the kind cannot be meant.
	fit func(ctx context.Context, p *points, s *Settings) (signal, error)
	// leaves is the share of the height, rms, that such a signal may leave of a trace that is taken for one unasked,
	// whatever the points' uncertainty; without end for what has no shape that a trace could leave.
	leaves float64
	// runsThrough says that the curve runs through the trace, so that one that misses it is of another kind.
	runsThrough bool
	// turns says that upside down it is still one of its kind.
	turns bool
}

// shapeless says that the kind is that of what has no shape.
func (k *kind) shapeless() bool { return math.IsInf(k.leaves, 1) }

// kinds are all that there are. The last, a steady level, is what every other one must explain more than.
var kinds = []kind{
	{name: SignalDecay, fit: fitDecay, leaves: acceptedDecay, runsThrough: true},
	{name: SignalSine, fit: fitSine, leaves: acceptedSine, runsThrough: true, turns: true},
	{name: SignalTriangle, fit: fitTriangle, leaves: acceptedShare, runsThrough: true, turns: true},
	{name: SignalRamp, fit: fitRamp, leaves: acceptedShare, runsThrough: true, turns: true},
	{name: SignalStates, fit: fitStates, leaves: acceptedShare, turns: true},
	{name: SignalPulses, fit: fitPulses, leaves: acceptedShare, turns: true},
	{name: SignalNoise, fit: fitNoise, leaves: math.Inf(1), turns: true},
	{name: SignalLevel, fit: fitLevel, leaves: acceptedShare, turns: true},
}

// Kinds gives the names of the kinds of signal, without SignalAuto.
func Kinds() (names []string) {
	for _, k := range kinds {
		names = append(names, k.name)
	}
	return names
}

// TurnsIntoItself says that a signal of the kind named is still one of its kind when the photo is upside down.
func TurnsIntoItself(name string) bool {
	return slices.ContainsFunc(kinds, func(k kind) bool { return k.name == name && k.turns })
}

// trialsSeed makes every Monte Carlo calculation repeatable; any is as good, and nothing changes from 1 to 1000.
const trialsSeed = 1

// Analyse gives the findings of rec. Its errors are *NotFoundError and *calibrate.SetupError. A signal of a
// kind that was asked for is fitted as that kind or refused; one that is to be recognised and fits no
// kind is measured as a level, with a doubt. When ctx is done it ends at once with the error of ctx.
func Analyse(ctx context.Context, rec *calibrate.Record, s *Settings) (*Findings, error) {
	if s == nil {
		s = &Settings{}
	}
	given := s
	s, _ = given.within(rec.Axes)
	s = s.withTolerances()
	p, err := choose(rec, s)
	if err != nil {
		return nil, err
	}
	var f *Findings
	if s.Signal == "" || s.Signal == SignalAuto {
		f, err = recognise(ctx, p, s)
	} else {
		f, err = asAsked(ctx, p, s)
	}
	if err != nil {
		return nil, err
	}
	f.Doubts = append(f.upsideDown(ctx, p), f.Doubts...)
	f.axes = rec.Axes
	f.Notes = append(f.Notes, f.unused(given, f.compareKnown(s))...)
	f.addOutermost(p)
	for i := range f.Results {
		inUnits(&f.Results[i], rec.Axes)
	}
	f.again.settings = s
	f.propagate(ctx, s.Trials, trialsSeed)
	f.Notes = append(f.Notes, f.missing(given)...)
	f.tellUnits(rec.Axes)
	if err := ctx.Err(); err != nil { // what was made since then is not whole
		return nil, err
	}
	return f, nil
}

// asAsked gives the findings of the points as the kind that the settings name.
func asAsked(ctx context.Context, p *points, s *Settings) (*Findings, error) {
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.name == s.Signal })
	if i < 0 {
		return nil, &calibrate.SetupError{Field: "signal",
			Reason: fmt.Sprintf("%q is not a kind of signal", s.Signal),
			Hint:   "Choose " + strings.Join(Kinds(), ", ") + " or auto."}
	}
	fitted, err := kinds[i].fit(ctx, p, s)
	if err != nil {
		return nil, err
	}
	f, err := fitted.findings(ctx)
	if err != nil {
		return nil, err
	}
	f.Signal, f.Told = s.Signal, Told{How: Given}
	if kinds[i].runsThrough && f.missesTrace(p) {
		f.Doubts = append(anotherKind(ctx, p, s), f.Doubts...)
	}
	return f, nil
}

// missesTrace tells that the curves leave more of the trace than any shape that is recognised may.
func (f *Findings) missesTrace(p *points) bool {
	sum, n := 0.0, 0
	for _, fit := range f.Fits {
		for _, off := range fit.Off {
			sum, n = sum+off*off, n+1
		}
	}
	height := slices.Max(p.v) - slices.Min(p.v)
	return n > 0 && math.Sqrt(sum/float64(n)) > acceptedShare*height
}

// anotherKind doubts the kind that was asked for if another one is recognised.
func anotherKind(ctx context.Context, p *points, s *Settings) []remark.Remark {
	auto := *s
	auto.Signal = SignalAuto
	g, err := recognise(ctx, p, &auto)
	if err != nil || g.Signal == s.Signal || g.Told.How != Recognised {
		return nil
	}
	return []remark.Remark{remark.Of(KindAnotherKind, append(g.Told.values(), remark.Word("asked", s.Signal))...)}
}
