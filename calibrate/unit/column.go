package unit

// Columns of a table, in which all numbers have one unit.

import "math"

// A Column prints values of one unit with one prefix: that of the largest of them.
type Column struct {
	unit    string
	largest float64
	all     []float64
}

// ColumnOf makes the column of the given values, in the base unit; those that are not finite do not count.
func ColumnOf(unit string, values ...float64) Column {
	c := Column{unit: unit}
	for _, x := range values {
		if finite(x) {
			c.largest = max(c.largest, math.Abs(x))
			c.all = append(c.all, x)
		}
	}
	return c
}

// Of prints v as Value.String does, with the prefix of the column.
func (c Column) Of(v Value) string {
	if c.largest == 0 || !finite(v.X) || !finite(v.U) || v.U < 0 {
		return v.String()
	}
	l := c.with(layoutOf(v.X, v.U, c.unit))
	if l.exact {
		return l.number(v.X) + l.power() + l.suffix
	}
	return l.number(v.X) + "(" + l.bracket(v.U) + ")" + l.power() + l.suffix
}

// Plain prints x with as many decimals as all others: the largest has the given significant digits, and more if the
// others lose more than half a per cent of themselves, up to most.
func (c Column) Plain(x float64, digits, most int) string {
	const lost = 0.005
	if c.largest == 0 || !finite(x) {
		return Engineering(x, digits, c.unit)
	}
	at := place(c.largest) - digits + 1
	for ; digits < most && c.loses(math.Pow10(at), lost); digits++ {
		at--
	}
	l := layoutAt(c.largest, at, c.unit)
	return l.number(x) + l.power() + l.suffix
}

// loses says that rounding to steps takes more than a share of any value.
func (c Column) loses(step, share float64) bool {
	for _, x := range c.all {
		if math.Abs(math.Round(x/step)*step-x) > share*math.Abs(x) {
			return true
		}
	}
	return false
}

// with gives a layout the prefix of the column.
func (c Column) with(l layout) layout {
	of := layoutAt(c.largest, min(l.place, place(c.largest)), c.unit)
	l.shift, l.exponent, l.suffix = of.shift, of.exponent, of.suffix
	return l
}
