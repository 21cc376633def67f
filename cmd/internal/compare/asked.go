// Values that a person asks to be compared: of one photo by several ways, of several photos, and from elsewhere. Asked
// picks them and compares them all, with what they share taken off.
//
// Two readings of one instrument at one setting share its volts scale and its time base. So do the values that the
// display prints and those that are read off it by eye: they get these parts from the result of the same photo, in
// proportion. Two ways to read one trace share its points as well, and how much of the difference that takes off is
// known where their document compares the two: from u of both and u of the difference there,
//
//	cov(1, 2) = (u1² + u2² − u²(d)) / 2
//
// (JCGM 100:2008, 5.2.2, turned round).

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

// A Member is one reading and the way to its value.
type Member struct {
	Name       string // of the reading
	Document   *wire.Document
	Instrument string
	// Way is a method (wire.Result), "" for the best one, or the name of where Given comes from.
	Way string
	// Given is a value from elsewhere; nil for one of the document. OnScreen says that it was read off the display, or
	// that the display printed it.
	Given    *unit.Value
	OnScreen bool
}

// A Lacking member has no such value.
type Lacking struct {
	Name   string    `json:"name"`   // of the reading
	Way    string    `json:"way"`    // that was asked for, or ""
	Signal wire.Text `json:"signal"` // what its trace was taken for; null where it could not be read
}

// Asked compares a quantity, which has the unit in, of the members, and names those that lack it. With fewer than two
// values there are no pairs, and Agree says nothing. A member without a document and a given value lacks it, too.
func Asked(quantity, in string, members []Member) (Quantity, []Lacking) {
	q := Quantity{Quantity: quantity, Unit: in, Values: []Value{}, Pairs: []Pair{}, Agree: true}
	missing := []Lacking{}
	var results [][]int // of each value: the document's result, with its member
	for k, m := range members {
		before := len(q.Values)
		if m.Given != nil {
			q.Values = append(q.Values, m.given(quantity))
			results = append(results, []int{k, -1})
			continue
		}
		for _, i := range m.results(quantity) {
			q.Values = append(q.Values, m.value(quantity, i))
			results = append(results, []int{k, i})
		}
		if len(q.Values) == before {
			l := Lacking{Name: m.Name, Way: m.Way}
			if m.Document != nil {
				l.Signal = m.Document.Signal
			}
			missing = append(missing, l)
		}
	}
	if len(q.Values) < 2 {
		return q, missing
	}
	for j := range q.Values {
		for i := range j {
			a, b := results[i], results[j]
			if a[1] >= 0 && b[1] >= 0 && members[a[0]].Document == members[b[0]].Document {
				samePoints(members[a[0]].Document, a[1], b[1], &q.Values[i], &q.Values[j])
			}
		}
	}
	q.laidAgainst(places(len(q.Values)))
	for k := range q.Pairs {
		p := &q.Pairs[k]
		if slices.ContainsFunc(p.Taken, func(cause string) bool { return strings.HasPrefix(cause, pointsCause) }) {
			p.Taken = []string{pointsCause} // and with them all that moves them
		}
		if !p.Zeta.Known() { // both are said to be exact, or one holds all that the other does
			p.U, p.Zeta, p.Agree = unknown, unknown, p.Gap == 0
			q.Agree = p.Agree && (q.Agree || len(q.Pairs) == 1)
		}
	}
	return q, missing
}

// places are those of so many values, all of them.
func places(n int) []int {
	all := make([]int, n)
	for k := range all {
		all[k] = k
	}
	return all
}

// ranks are methods from the best on; of other quantities the document has the best first.
var ranks = map[string][]wire.Text{"tau": {"curve", "log_line", "half_life", "rc"}}

// results gives the index of the document's result that a member means: of several traces it is that of the first which
// has the quantity. There is none, or one.
func (m *Member) results(quantity string) []int {
	best := -1
	for _, i := range m.having(quantity) {
		r := &m.Document.Results[i]
		switch rank := ranks[quantity]; {
		case m.Way != "" && string(r.Method) != m.Way, m.Way == "" && (m.turnedOver(quantity, r) || r.Method == "rc"):
		case best < 0, slices.Contains(rank, r.Method) && slices.Index(rank, r.Method) < slices.Index(rank, m.Document.Results[best].Method):
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	return []int{best}
}

// having gives the indices of the results that have a quantity, of one trace, and of the circuit.
func (m *Member) having(quantity string) (list []int) {
	if m.Document == nil {
		return nil
	}
	trace := ""
	for i := range m.Document.Results {
		r := &m.Document.Results[i]
		switch {
		case !measured(r), r.Quantity != quantity && !m.turnedOver(quantity, r):
		case quantity == "tau" && r.Label != "" && r.Method != "rc": // one decay of several alone
		case trace != "" && r.Trace != trace:
		default:
			trace = r.Trace
			list = append(list, i)
		}
	}
	return list
}

// measured is usable, but two traces together may have a value as well.
func measured(r *wire.Result) bool {
	alone := *r
	alone.Traces = nil
	return usable(&alone)
}

// turnedOver says that a result is the period of counted boxes, where a frequency is asked for: those have none of
// their own.
func (m *Member) turnedOver(quantity string, r *wire.Result) bool {
	return quantity == "frequency" && r.Quantity == "period" && r.Method == "boxes" && r.Value > 0
}

// AllWays gives a member for each way in which its document has a quantity, or the member itself if there is only one.
func (m Member) AllWays(quantity string) []Member {
	var out []Member
	for _, i := range m.having(quantity) {
		way := string(m.Document.Results[i].Method)
		if way == "" || slices.ContainsFunc(out, func(o Member) bool { return o.Way == way }) {
			continue
		}
		one := m
		one.Way = way
		out = append(out, one)
	}
	if len(out) < 2 {
		return []Member{m}
	}
	return out
}

// value makes a value of the i-th result.
func (m *Member) value(quantity string, i int) Value {
	r := &m.Document.Results[i]
	v := valueOf(m.Document, m.Name, r, Options{instrument: m.Instrument})
	v.Main = true
	if r.Quantity != quantity {
		slope := 1 / (v.Value * v.Value)
		v.Value, v.U, v.Expanded = 1/v.Value, v.U*slope, v.Expanded*slope
		for k := range v.common {
			v.common[k].Move *= float64(slope)
		}
	}
	if quantity == "tau" && r.Method != "rc" {
		v.Height, v.UHeight = height(m.Document, r.Trace)
	}
	return v
}

// given makes a value of one from elsewhere.
func (m *Member) given(quantity string) Value {
	v := Value{Source: m.Name, Method: wire.Text(m.Way), Value: wire.Number(m.Given.X), U: wire.Number(m.Given.U),
		Main: true, Height: unknown, UHeight: unknown}
	if m.OnScreen {
		m.withInstrument(quantity, &v)
	}
	v.Expanded = usualK * v.U
	return v
}

// usualK is the coverage factor of a value whose degrees of freedom nobody stated (JCGM 100:2008, 6.3.3).
const usualK = 2

// withInstrument adds what the instrument itself does to a value on its screen, as it does it to the result beside it.
func (m *Member) withInstrument(quantity string, v *Value) {
	best := Member{Name: m.Name, Document: m.Document, Instrument: m.Instrument}
	for _, i := range best.results(quantity) {
		beside := best.value(quantity, i)
		if !(math.Abs(float64(beside.Value)) > 0) {
			continue
		}
		for _, c := range beside.common {
			c.Move *= float64(v.Value / beside.Value)
			v.common = append(v.common, c)
			v.U = wire.Number(math.Hypot(float64(v.U), c.Move))
		}
		return
	}
}

// pointsCause is what two ways to read one trace share beside the instrument.
const pointsCause = "the points that both are read from"

// samePoints lets two results of one document share what their comparison there takes off.
func samePoints(d *wire.Document, i, j int, a, b *Value) {
	for _, c := range d.Comparisons {
		if len(c.Results) != 2 || !slices.Contains(c.Results, i) || !slices.Contains(c.Results, j) {
			continue
		}
		gap, known := c.What.Values["u_gap"].(float64)
		if !known || d.Results[i].Quantity != d.Results[j].Quantity {
			return
		}
		cov := (float64(a.U)*float64(a.U) + float64(b.U)*float64(b.U) - gap*gap) / 2
		for _, x := range a.common {
			for _, y := range b.common {
				if x.Cause == y.Cause {
					cov -= x.Move * y.Move
				}
			}
		}
		if !(cov > 0) {
			return
		}
		// Each pair has a cause of its own: a third way shares other amounts with each of the two.
		cause := fmt.Sprintf("%s, %d and %d", pointsCause, i, j)
		a.common = append(a.common, analysis.Common{Cause: cause, Move: math.Sqrt(cov)})
		b.common = append(b.common, analysis.Common{Cause: cause, Move: math.Sqrt(cov)})
		return
	}
}
