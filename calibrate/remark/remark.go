// Package remark has what the rooms tell a reader beside their numbers, as data: a doubt or a note is a
// kind with its values. Decisions go by kinds and values; the sentence is made where a person reads it,
// so that it can be worded anew, or in another language, and nothing else changes.
//
// Each room declares its kinds as constants, named for the room: "calibrate.ground_against_mark".
package remark

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Kind names one thing that a reader can be told. Once published it never changes, for readers of the
// JSON document go by it.
type Kind string

// A Value is one number, count, word or yes-or-no that a remark speaks of. X is a float64 in SI units, or
// in boxes or pixels where Name says so, which may be NaN; an int; a string; or a bool.
type Value struct {
	Name string
	X    any
}

// SecondsIn and VoltsIn name the words of a remark that say in which unit its times, or its voltages, are, where that
// is not seconds, or volts: "box".
const (
	SecondsIn = "seconds_in"
	VoltsIn   = "volts_in"
)

// A Remark is one doubt or one note. Its values keep the order in which they were given.
type Remark struct {
	Kind   Kind
	Values []Value
}

// Of makes a remark.
func Of(k Kind, v ...Value) Remark { return Remark{k, v} }

// Number is a measured value.
func Number(name string, x float64) Value { return Value{name, x} }

// Count is a whole number of things.
func Count(name string, n int) Value { return Value{name, n} }

// Word is a name or a choice of a few words: of a trace, of a kind of signal, of a side.
func Word(name, s string) Value { return Value{name, s} }

// Flag is a yes or no.
func Flag(name string, b bool) Value { return Value{name, b} }

// Number gives the number called name, or the count as a number; NaN without one.
func (r Remark) Number(name string) float64 {
	switch x := r.Value(name).(type) {
	case float64:
		return x
	case int:
		return float64(x)
	}
	return math.NaN()
}

// Count gives the count called name; 0 without one.
func (r Remark) Count(name string) int {
	n, _ := r.Value(name).(int)
	return n
}

// Word gives the word called name; "" without one.
func (r Remark) Word(name string) string {
	s, _ := r.Value(name).(string)
	return s
}

// Flag gives the yes or no called name; false without one.
func (r Remark) Flag(name string) bool {
	b, _ := r.Value(name).(bool)
	return b
}

// Has says that there is a value called name, be it NaN, 0 or false.
func (r Remark) Has(name string) bool { return r.Value(name) != nil }

// Value gives what is called name, of whatever sort; nil without one.
func (r Remark) Value(name string) any {
	for _, v := range r.Values {
		if v.Name == name {
			return v.X
		}
	}
	return nil
}

// Equal says that both tell the same: one kind and the same values in the same order, NaN being the
// same as NaN.
func (r Remark) Equal(o Remark) bool {
	return r.Kind == o.Kind && slices.EqualFunc(r.Values, o.Values, func(a, b Value) bool {
		x, one := a.X.(float64)
		y, two := b.X.(float64)
		return a.Name == b.Name && (a.X == b.X || one && two && math.IsNaN(x) && math.IsNaN(y))
	})
}

// String is for people who write this program: the kind and its values. What a reader sees is worded
// elsewhere.
func (r Remark) String() string {
	var b strings.Builder
	b.WriteString(string(r.Kind))
	for _, v := range r.Values {
		fmt.Fprintf(&b, " %s=%v", v.Name, v.X)
	}
	return b.String()
}

// Any says that one of the list is of the kind.
func Any(list []Remark, k Kind) bool {
	return slices.ContainsFunc(list, func(r Remark) bool { return r.Kind == k })
}
