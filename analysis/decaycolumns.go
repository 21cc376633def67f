package analysis

// The quantities that are told of a record's decays, each averaged over the pieces that have it with weights that are
// fixed once.

import (
	"fmt"
	"math"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A column is one quantity, made of the numbers of all pieces.
type column struct {
	quantity, method, label, unit string
	role                          Role
	alone                         bool // τ of a single decay, beside the average of all
	of                            func(n *numbers) number
	members                       []int     // the pieces that have it
	weights                       []float64 // of each
	advice                        advice
}

// number averages the quantity over its members.
func (c *column) number(all []numbers) number {
	list := make([]number, len(c.members))
	for k, i := range c.members {
		list[k] = c.of(&all[i])
	}
	return average(list, c.weights)
}

// planColumns lists the results that depend on the record, in the order in which they are told, from the numbers of the
// record as it is.
func (s *scheme) planColumns(base []numbers) []column {
	var list []column
	add := func(c column, takes func(q *piece) bool) {
		if s.join(&c, base, takes); len(c.members) > 0 {
			list = append(list, c)
		}
	}
	every := func(*piece) bool { return true }
	add(column{quantity: "tau", method: "curve", unit: "s", of: func(n *numbers) number { return n.tau }}, every)
	add(column{quantity: "tau", method: "log_line", unit: "s", of: func(n *numbers) number { return n.log }}, every)
	add(column{quantity: "tau", method: "half_life", unit: "s", of: func(n *numbers) number { return blend(n.halfLife.x/math.Ln2, share{1 / math.Ln2, n.halfLife}) }}, every)
	add(column{quantity: "half_life", method: "half_life", unit: "s", of: func(n *numbers) number { return n.halfLife }}, every)
	for _, rises := range s.pieces.ways() {
		for _, c := range s.levelColumns(rises) {
			add(c.column, c.takes)
		}
	}
	for k, w := range s.wanted {
		add(column{quantity: "time_at_level", method: "reading", label: w.label, unit: "s", of: func(n *numbers) number { return n.levels[k] }}, every)
	}
	if len(s.pieces) == 1 {
		for k := range base[0].halves {
			list = append(list, halfColumn(k, base[0].halfVolts, s.points.rec.Axes))
		}
		return list
	}
	for i, q := range s.pieces {
		list = append(list, column{quantity: "tau", method: "curve", label: q.label + " alone", unit: "s", alone: true,
			of: func(n *numbers) number { return n.tau }, members: []int{i}, weights: []float64{1}})
	}
	return list
}

// A limitedColumn is a column of some of the pieces.
type limitedColumn struct {
	column
	takes func(q *piece) bool
}

// levelColumns are the voltages at which the decays that go one way begin and settle.
func (s *scheme) levelColumns(rises bool) []limitedColumn {
	way := map[bool]string{false: "falls", true: "rises"}[rises]
	goes := func(q *piece) bool { return q.rises() == rises }
	start := func(n *numbers) number { return n.start }
	first := column{quantity: "v_start", method: "curve", label: "where the " + way + " begin", unit: "V", role: FirstSeen, of: start}
	for _, rises := range s.pieces.ways() {
		if !s.pieces.anyBegins(rises) {
			counted := len(s.wanted) > 0 // times, from there
			first.advice.tell(counted, remark.Of(KindKneeNotSeen, remark.Flag("with_times", counted)))
			break
		}
	}
	return []limitedColumn{
		{column{quantity: "v_start", method: "level", label: "level before the " + way, unit: "V", role: AtLevel, of: start},
			func(q *piece) bool { return goes(q) && q.level != nil }},
		{first, func(q *piece) bool {
			return goes(q) && q.level == nil && (q.begins() || !s.pieces.anyBegins(rises))
		}},
		{column{quantity: "v_end", method: "curve", label: "level that the " + way + " settle at", unit: "V", role: AtLevel, of: func(n *numbers) number { return n.settles }},
			func(q *piece) bool { return goes(q) && q.fixedC == nil }},
	}
}

// halfColumn is the time of k+1 half-lives of the only decay; volts are those at which its half-lives begin and end.
func halfColumn(k int, volts []float64, in unit.Axes) column {
	return column{quantity: "time_at_level", method: "reading", label: halfLabel(k+1, volts[0], volts[k+1], in.Of("V")), unit: "s",
		members: []int{0}, weights: []float64{1}, of: func(n *numbers) number {
			if k < len(n.halves) {
				return n.halves[k]
			}
			return unread
		}}
}

// halfLabel names the time of n half-lives.
func halfLabel(n int, from, to float64, in string) string {
	lives := "half-lives"
	if n == 1 {
		lives = "half-life"
	}
	return fmt.Sprintf("%d %s, from %s to %s", n, lives, unit.Engineering(from, 3, in), unit.Engineering(to, 3, in))
}

// join finds the pieces that take part in a column and have its quantity, and their weights from the noise of each. u
// of a time constant grows with its value, so weights 1/u² would favour the decays that noise made short; of times that
// is taken out.
func (s *scheme) join(c *column, base []numbers, takes func(q *piece) bool) {
	for i := range base {
		x := c.of(&base[i])
		if !takes(s.pieces[i]) || math.IsNaN(x.x) {
			continue
		}
		w := 1 / s.in.variance(x)
		if x.x > 0 && c.unit == "s" {
			w *= x.x * x.x
		}
		c.members, c.weights = append(c.members, i), append(c.weights, w)
	}
	for _, w := range c.weights {
		if !(w > 0) || math.IsInf(w, 0) { // a value given, not measured
			for k := range c.weights {
				c.weights[k] = 1
			}
			break
		}
	}
}
