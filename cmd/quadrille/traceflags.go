package main

import (
	"errors"

	"github.com/spf13/pflag"

	"quadrille/cmd/internal/wire"
)

// traceGroups are the settings that may differ from trace to trace, in the order of the command line: those before the
// first --trace, and then those of each.
type traceGroups struct{ list []wire.TraceFields }

func newTraceGroups() *traceGroups { return &traceGroups{make([]wire.TraceFields, 1)} }

// into puts the groups into s. One --trace is no reason to part them: its settings hold for what else is listed too.
func (g *traceGroups) into(s *wire.Settings) {
	if len(g.list) == 2 {
		s.TraceFields = g.list[1].Over(g.list[0])
		return
	}
	s.TraceFields, s.Traces = g.list[0], g.list[1:]
}

// flags gives the function that makes a flag of a group's field; usual is what the help says of a flag left out.
func (g *traceGroups) flags(f *pflag.FlagSet) func(name, usual, usage string, field func(*wire.TraceFields) *string) {
	return func(name, usual, usage string, field func(*wire.TraceFields) *string) {
		f.Var(fieldFlag{g, usual, field}, name, usage)
	}
}

// errEmpty is of these flags, whose text does not show their value; the words are emptyFlag's.
var errEmpty = errors.New("nothing is given")

// A traceFlag begins a group.
type traceFlag struct{ *traceGroups }

func (t traceFlag) Set(text string) error {
	if isEmpty(text) {
		return errEmpty
	}
	t.list = append(t.list, wire.TraceFields{Trace: text})
	return nil
}
func (t traceFlag) String() string { return "" }
func (t traceFlag) Type() string   { return "string" }

// A fieldFlag sets a field of the last group.
type fieldFlag struct {
	*traceGroups
	usual string
	field func(*wire.TraceFields) *string
}

func (t fieldFlag) Set(text string) error {
	if isEmpty(text) {
		return errEmpty
	}
	*t.field(&t.list[len(t.list)-1]) = text
	return nil
}
func (t fieldFlag) String() string { return t.usual }
func (t fieldFlag) Type() string   { return "string" }
