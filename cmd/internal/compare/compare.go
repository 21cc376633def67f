// Package compare lays several readings side by side: photos, tables, or documents kept from either. What belongs to
// the circuit and must be one in all of them, the time constant and the frequency, is compared in pairs and together,
// with what the readings share taken off (analysis.CompareRecords); the time constant is laid against the height of its
// decays, which must not change it. Everything else that they have in common stands side by side, with its differences
// and without a verdict: two photos at two drives have two heights.
//
// What they share: a budget marks the terms that are the instrument's own and the same at one setting. Those of two
// readings at the same volts or time a box are one, unless they are said to come from different instruments. A setting
// that is not known, as of a table, is shared with none. Each reading's own ways to one quantity are compared in its
// document already.
package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/analysis"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// Schema is the version of a Comparison as JSON.
const Schema = 1

// Options say what the documents do not.
type Options struct {
	Title            string
	OtherInstruments bool // the readings come from different instruments, which share nothing
	// Instruments names that of each document, where it is known; two of different names share nothing. Nil for one
	// instrument, as are two of no name.
	Instruments []string

	instrument string // of the document at hand
}

// of gives the options for the document of an index.
func (o Options) of(i int) Options {
	if i < len(o.Instruments) {
		o.instrument = o.Instruments[i]
	}
	return o
}

// A Comparison is what Of gives. Numbers that are not known are null.
type Comparison struct {
	Schema  int       `json:"schema"`
	Title   wire.Text `json:"title"`
	Sources []Source  `json:"sources"`
	// Same are the quantities that must be one, each with its values and verdicts.
	Same []Quantity `json:"same"`
	// Beside are the others that at least two of the readings have.
	Beside []Quantity `json:"beside"`
}

// A Source is one reading, named A, B, … in the order given.
type Source struct {
	Name       string    `json:"name"`
	File       string    `json:"file"`
	Title      wire.Text `json:"title"`
	SHA256     wire.Text `json:"sha256"`
	Table      bool      `json:"table"` // a table of readings, not a photo
	Settings   wire.Used `json:"settings"`
	Signal     wire.Text `json:"signal"`
	Doubts     []string  `json:"doubts"`       // of the reading and of what it used
	Apart      int       `json:"apart"`        // of its own comparisons, so many do not agree
	Compared   int       `json:"compared"`     // of so many
	SameFileAs string    `json:"same_file_as"` // the name of an earlier source from the same file, or ""
}

// A Quantity has the values of one quantity. Pairs are of the main values, by their indices; Together is nil for fewer
// than three, Trend where there is nothing to lay them against.
type Quantity struct {
	Quantity string    `json:"quantity"`
	Label    wire.Text `json:"label"`
	Unit     string    `json:"unit"`
	Values   []Value   `json:"values"`
	Pairs    []Pair    `json:"pairs"`
	Together *Together `json:"together"`
	Trend    *Trend    `json:"trend"`
	Agree    bool      `json:"agree"` // of Beside without meaning
}

// A Value is one result. Main says that it enters the comparison: the best way of a reading, and what was given from
// elsewhere; the others are there to be seen.
type Value struct {
	Source   string      `json:"source"` // "" of what was given from elsewhere, such as R × C or a dial
	Trace    string      `json:"trace"`
	Method   wire.Text   `json:"method"`
	Label    wire.Text   `json:"label"`
	Value    wire.Number `json:"value"`
	U        wire.Number `json:"u"`
	Expanded wire.Number `json:"expanded_u"`
	Main     bool        `json:"main"`
	Height   wire.Number `json:"height_v"` // of its decays, for a time constant
	UHeight  wire.Number `json:"u_height_v"`

	common []analysis.Common
}

// A Pair is the difference of value B less value A, indices into Values.
type Pair struct {
	A     int         `json:"a"`
	B     int         `json:"b"`
	Gap   wire.Number `json:"gap"`
	U     wire.Number `json:"u"`
	Zeta  wire.Number `json:"zeta"`
	Agree bool        `json:"agree"`
	Taken []string    `json:"taken_off"` // what both share, and was taken off
}

// Together is the test of all main values for one common value, and their mean.
type Together struct {
	Chi2    wire.Number `json:"chi2"`
	Degrees int         `json:"degrees"`
	Agree   bool        `json:"agree"`
	Mean    wire.Number `json:"mean"`
	U       wire.Number `json:"u"`
}

// A Trend is the slope of the quantity against the height of the decays, per volt.
type Trend struct {
	Slope wire.Number `json:"slope_per_v"`
	U     wire.Number `json:"u"`
	Zeta  wire.Number `json:"zeta"`
	Agree bool        `json:"agree"` // with no slope
}

// A NothingSharedError says that the readings have no quantity in common.
type NothingSharedError struct{ Reason, Hint string }

func (e *NothingSharedError) Error() string { return e.Reason }

// Agree says whether all that must be one is.
func (c *Comparison) Agree() bool {
	return !slices.ContainsFunc(c.Same, func(q Quantity) bool { return !q.Agree })
}

// Doubted says that something is to be looked at: a disagreement, also within a reading, a doubt of one, or one file
// that was given twice.
func (c *Comparison) Doubted() bool {
	return !c.Agree() || slices.ContainsFunc(c.Sources, func(s Source) bool {
		return len(s.Doubts) > 0 || s.Apart > 0 || s.SameFileAs != ""
	})
}

// NameOf gives the name of the source of an index: A to Z, then A2 and so on.
func NameOf(i int) string {
	name := string(rune('A' + i%26))
	if i >= 26 {
		name += fmt.Sprint(i/26 + 1)
	}
	return name
}

// Of compares at least two documents without an error. Its error is a *NothingSharedError.
func Of(documents []*wire.Document, o Options) (*Comparison, error) {
	c := &Comparison{Schema: Schema, Title: wire.Text(o.Title), Sources: []Source{}, Same: []Quantity{}, Beside: []Quantity{}}
	for i, d := range documents {
		c.Sources = append(c.Sources, sourceOf(c.Sources, d, NameOf(i)))
	}
	for _, same := range []struct {
		quantity string
		of       func(*wire.Document, string, Options) []Value
	}{{"tau", constants}, {"frequency", frequencies}} {
		var values []Value
		for i, d := range documents {
			for _, v := range same.of(d, NameOf(i), o.of(i)) {
				if v.Source != "" || !slices.ContainsFunc(values, v.sameAs) { // R × C and a dial are one thing
					values = append(values, v)
				}
			}
		}
		if q, ok := compared(same.quantity, values); ok {
			c.Same = append(c.Same, q)
		}
	}
	c.Beside = beside(documents, o)
	if len(c.Same)+len(c.Beside) == 0 {
		var kinds []string
		for _, s := range c.Sources {
			kinds = append(kinds, s.Name+" "+or(string(s.Signal), "nothing that was worked out"))
		}
		return nil, &NothingSharedError{"the readings have no quantity in common: " + strings.Join(kinds, ", "),
			"compare readings of one kind of signal; give volts and time a box for each photo, and --signal if a kind was taken wrongly"}
	}
	return c, nil
}

func sourceOf(before []Source, d *wire.Document, name string) Source {
	s := Source{Name: name, File: d.Photo.File, Title: d.Title, SHA256: d.Photo.SHA256, Settings: d.Settings, Signal: d.Signal,
		Doubts: doubtsOf(d), Compared: len(d.Comparisons)}
	if d.Table != nil {
		s.File, s.SHA256, s.Table = d.Table.File, d.Table.SHA256, true
	}
	for _, k := range d.Comparisons {
		if !k.Agree {
			s.Apart++
		}
	}
	for _, b := range before {
		if s.SHA256 != "" && b.SHA256 == s.SHA256 {
			s.SameFileAs = b.Name
			break
		}
	}
	return s
}

// doubtsOf gives those of the reading and of what it used, each once.
func doubtsOf(d *wire.Document) []string {
	all := [][]string{d.Doubts, d.Photo.Doubts}
	if d.Graticule != nil {
		all = append(all, d.Graticule.Doubts)
	}
	for _, t := range d.Traces {
		if t.Chosen {
			all = append(all, t.Doubts)
		}
	}
	for _, r := range d.Results {
		all = append(all, r.Doubts)
	}
	out := []string{}
	for _, text := range slices.Concat(all...) {
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

func or(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}

// sameAs says that what was given from elsewhere is the same thing twice.
func (v Value) sameAs(other Value) bool {
	return other.Source == "" && other.Method == v.Method && near(other.Value, v.Value) && near(other.U, v.U)
}

func near(a, b wire.Number) bool { return math.Abs(float64(a-b)) <= 1e-9*math.Abs(float64(a)) }

// compared makes the comparison of the main values; ok is false if fewer than two of them come from readings.
func compared(quantity string, values []Value) (q Quantity, ok bool) {
	q = Quantity{Quantity: quantity, Values: values, Pairs: []Pair{}, Agree: true}
	var main []int
	readings := map[string]bool{}
	for i, v := range values {
		if v.Main {
			main = append(main, i)
			if v.Source != "" {
				readings[v.Source] = true
			}
		}
	}
	if len(readings) < 2 {
		return q, false
	}
	q.Unit = map[string]string{"tau": "s", "frequency": "Hz"}[quantity]
	q.laidAgainst(main)
	return q, true
}

// laidAgainst compares the values at these places, in pairs, together and along the heights of their decays.
func (q *Quantity) laidAgainst(places []int) {
	of, high, at := make([]analysis.Measured, len(places)), []analysis.Measured(nil), []float64(nil)
	for i, k := range places {
		of[i] = q.Values[k].measured()
		if h := q.Values[k].Height; h.Known() && h > 0 && q.Values[k].Source != "" {
			high, at = append(high, of[i]), append(at, float64(h))
		}
	}
	a := analysis.CompareRecords(of)
	q.Agree = a.Agree
	for _, p := range a.Pairs {
		q.Pairs = append(q.Pairs, pairOf(p, places))
	}
	q.Together = &Together{wire.Number(a.Chi2), len(of) - 1, a.Agree, wire.Number(a.Mean.X), wire.Number(a.Mean.U)}
	if t, ok := analysis.Along(high, at); ok {
		q.Trend = &Trend{wire.Number(t.Slope), wire.Number(t.U), wire.Number(t.Zeta), t.Agree}
	}
}

func pairOf(p analysis.Apart, places []int) Pair {
	return Pair{places[p.A], places[p.B], wire.Number(p.Gap.X), wire.Number(p.Gap.U), wire.Number(p.Zeta), p.Agree,
		append([]string{}, p.Taken...)}
}

func (v *Value) measured() analysis.Measured {
	return analysis.Measured{Value: unit.Value{X: float64(v.Value), U: float64(v.U)}, Common: v.common}
}

// valueOf makes a value of a result of a document.
func valueOf(d *wire.Document, source string, r *wire.Result, o Options) Value {
	v := Value{Source: source, Trace: r.Trace, Method: r.Method, Label: r.Label, Value: r.Value, U: r.U, Expanded: r.Expanded,
		Height: unknown, UHeight: unknown}
	if o.OtherInstruments {
		return v
	}
	used := d.Settings
	for i := range d.Traces {
		if t := &d.Traces[i]; t.Name == r.Trace && t.Settings != nil {
			used = *t.Settings
		}
	}
	for _, t := range r.Budget {
		if cause := causeOf(t.Source, &used, o.instrument); t.Shared && cause != "" && t.U.Known() {
			move := float64(t.U)
			if r.Unit == "V" && r.Value < 0 { // a scale moves it away from 0
				move = -move
			}
			v.common = append(v.common, analysis.Common{Cause: cause, Move: move})
		}
	}
	return v
}

var unknown = wire.Number(math.NaN())

// causeOf names what an instrument's own source is at its setting; "" if the setting is not known. instrument is its
// name, or "".
func causeOf(source string, s *wire.Used, instrument string) string {
	of, in := s.VoltsPerBox*s.Probe, "V"
	if source == "time base" {
		of, in = s.TimePerBox, "s"
	}
	if !of.Known() || of <= 0 {
		return ""
	}
	cause := "the " + source + " at " + unit.Value{X: float64(of), Unit: in}.String() + " a box"
	if instrument != "" {
		cause += " of " + instrument
	}
	return cause
}

// usable says that a result can be compared: known with its u, in seconds and volts, and not of one part alone.
func usable(r *wire.Result) bool {
	return r.Value.Known() && r.U.Known() && r.U > 0 && !strings.Contains(r.Unit, unit.Box) &&
		len(r.Traces) < 2 && r.Trace != wire.ReadingsName
}

// constants gives the time constants of each trace; the main one is that of the curve if there is one. R × C stands by
// itself.
func constants(d *wire.Document, source string, o Options) (values []Value) {
	rank := []wire.Text{"curve", "log_line", "half_life"}
	best := map[string]int{} // by trace: the place of its main value
	for i := range d.Results {
		r := &d.Results[i]
		if r.Quantity != "tau" || !usable(r) {
			continue
		}
		v := valueOf(d, source, r, o)
		if r.Method == "rc" {
			v.Source, v.Trace, v.Main, v.common = "", "", true, nil
			values = append(values, v)
			continue
		}
		if r.Label != "" { // one decay of several alone
			continue
		}
		v.Height, v.UHeight = height(d, r.Trace)
		k, seen := best[r.Trace]
		if v.Main = !seen || slices.Index(rank, r.Method) < slices.Index(rank, values[k].Method); v.Main {
			if seen {
				values[k].Main = false
			}
			best[r.Trace] = len(values)
		}
		values = append(values, v)
	}
	return append(values, known(d, "time constant")...)
}

// height of the decays of a trace: from the lowest level that they begin or settle at to the highest, which is the
// drive where they settle. Its u takes the two for independent.
func height(d *wire.Document, trace string) (h, u wire.Number) {
	var low, high *wire.Result
	for i := range d.Results {
		r := &d.Results[i]
		if r.Trace != trace || r.Quantity != "v_start" && r.Quantity != "v_end" || !usable(r) {
			continue
		}
		if low == nil || r.Value < low.Value {
			low = r
		}
		if high == nil || r.Value > high.Value {
			high = r
		}
	}
	if low == nil || low == high {
		return unknown, unknown
	}
	return high.Value - low.Value, wire.Number(math.Hypot(float64(low.U), float64(high.U)))
}

// frequencies gives those of each trace, the main one that of the curve or else the first; of counted boxes that which
// their period makes; and what was given from elsewhere.
func frequencies(d *wire.Document, source string, o Options) (values []Value) {
	main := map[string]bool{}
	for i := range d.Results {
		r := &d.Results[i]
		switch {
		case !usable(r):
		case r.Quantity == "frequency":
			v := valueOf(d, source, r, o)
			v.Main = !main[r.Trace]
			main[r.Trace] = true
			values = append(values, v)
		case r.Quantity == "period" && r.Method == "boxes" && r.Value > 0:
			v := valueOf(d, source, r, o)
			slope := 1 / (v.Value * v.Value)
			v.Value, v.U, v.Expanded = 1/v.Value, v.U*slope, v.Expanded*slope
			values = append(values, v)
		}
	}
	return append(values, known(d, "frequency")...)
}

// known gives what a quantity was said to be from elsewhere: on a generator's dial, by another measurement.
func known(d *wire.Document, quantity string) (values []Value) {
	for _, c := range d.Comparisons {
		of, _ := c.What.Values["of"].(string)
		given, ok := c.What.Values["given"].(float64)
		u, known := c.What.Values["u_given"].(float64)
		if c.What.Kind == "analysis.seen_and_given" && of == quantity && ok && known && u > 0 {
			values = append(values, Value{Method: "given", Value: wire.Number(given), U: wire.Number(u), Expanded: unknown,
				Main: true, Height: unknown, UHeight: unknown})
		}
	}
	return values
}

// beside gives the other quantities that at least two documents have, in the order of the first that has them.
func beside(documents []*wire.Document, o Options) []Quantity {
	out := []Quantity{}
	places := map[string]int{}
	for i, d := range documents {
		seen := map[string]bool{} // of one document the first of a kind
		for k := range d.Results {
			r := &d.Results[k]
			if !usable(r) || slices.Contains([]string{"tau", "half_life", "loop_resistance", "resistance", "capacitance", "time_at_level", "phase"}, r.Quantity) {
				continue
			}
			key := r.Quantity + "/" + string(r.Method) + "/" + withoutNumbers(string(r.Label)) + "/" + r.Unit
			if seen[key] {
				continue
			}
			seen[key] = true
			at, known := places[key]
			if !known {
				at, places[key] = len(out), len(out)
				out = append(out, Quantity{Quantity: r.Quantity, Label: r.Label, Unit: r.Unit, Values: []Value{}, Pairs: []Pair{}})
			}
			v := valueOf(d, NameOf(i), r, o.of(i))
			v.Main = true
			out[at].Values = append(out[at].Values, v)
		}
	}
	frequency := slices.ContainsFunc(out, func(q Quantity) bool { return q.Quantity == "frequency" && len(q.Values) > 1 })
	out = slices.DeleteFunc(out, func(q Quantity) bool {
		return len(q.Values) < 2 || q.Quantity == "frequency" || q.Quantity == "period" && frequency // compared already
	})
	for i := range out {
		q := &out[i]
		places := make([]int, len(q.Values))
		var of []analysis.Measured
		for k := range q.Values {
			places[k], of = k, append(of, q.Values[k].measured())
		}
		for _, p := range analysis.CompareRecords(of).Pairs {
			q.Pairs = append(q.Pairs, pairOf(p, places))
		}
	}
	return out
}

// withoutNumbers gives a label with "…" for each run of digits: labels that differ in these alone are of one kind.
func withoutNumbers(label string) string {
	const digits = "0123456789"
	var b strings.Builder
	for {
		at := strings.IndexAny(label, digits)
		if at < 0 {
			return b.String() + label
		}
		b.WriteString(label[:at] + "…")
		label = strings.TrimLeft(label[at:], digits)
	}
}
