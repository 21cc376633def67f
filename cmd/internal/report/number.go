// Numbers for people, from those of the document. Rounding, prefixes, the minus sign and powers of ten
// are those of calibrate/unit.

package report

import (
	"math"
	"strconv"
	"strings"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// notDetermined stands where a number is not known: never a 0, never a made-up one.
const notDetermined = "not determined"

// measured prints x with its standard uncertainty u as "10.34(6) s", the brackets counting in the last
// digits shown.
func measured(x, u wire.Number, of string) string {
	return unit.Value{X: float64(x), U: float64(u), Unit: of}.String()
}

// result prints the value of r for a table that has its u, or the want of it, in another column.
func result(r wire.Result) string {
	if r.Value.Known() && !r.U.Known() {
		return plain(r.Value, r.Unit, 4)
	}
	return measured(r.Value, r.U, r.Unit)
}

// uncertainty prints an uncertainty of x alone, to two digits, with the prefix that x is printed with.
func uncertainty(u, x wire.Number, of string) string {
	if !u.Known() {
		return notDetermined
	}
	size := math.Abs(float64(u))
	if x.Known() {
		size = math.Max(size, math.Abs(float64(x)))
	}
	factor, symbol := unit.Scale(size, of)
	return joinUnit(significant(float64(u)/factor, 2), symbol)
}

// interval prints the value of r with its expanded uncertainty to two digits, "(10.34 ± 0.12) s".
func interval(r wire.Result) string {
	half := float64(r.Expanded)
	if !r.Expanded.Known() || !r.Value.Known() || half <= 0 {
		return notDetermined
	}
	factor, symbol := unit.Scale(math.Max(math.Abs(float64(r.Value)), half), r.Unit)
	if r.U.Known() { // that of value(u), which stands beside it
		factor, symbol = unit.Value{X: float64(r.Value), U: float64(r.U), Unit: r.Unit}.Scale()
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(half/factor, 'e', 1, 64), 64)
	if err != nil {
		return notDetermined
	}
	place := int(math.Floor(math.Log10(rounded)+1e-9)) - 1 // of the second digit
	decimals := min(max(-place, 0), 12)
	value := float64(r.Value) / factor
	if place > 0 {
		step := math.Pow10(place)
		value = math.Round(value/step) * step
	}
	if math.Abs(value) < math.Pow10(place)/2 {
		value = 0 // and not −0
	}
	both := fixed(value, decimals) + " ± " + fixed(rounded, decimals)
	if symbol == "" {
		return both
	}
	return "(" + both + ") " + symbol
}

// plain prints x to so many significant digits, with its prefix and unit.
func plain(x wire.Number, of string, digits int) string {
	return unit.Engineering(float64(x), digits, of)
}

// timeIn and voltsIn are the units that a trace's times and voltages are in.
func timeIn(tr *wire.Trace) string {
	if tr.TimeUnit == "" {
		return "s"
	}
	return string(tr.TimeUnit)
}

func voltsIn(tr *wire.Trace) string {
	if tr.VoltageUnit == "" {
		return "V"
	}
	return string(tr.VoltageUnit)
}

// lineIn gives both units of a log line.
func lineIn(d *wire.Document, l wire.LogLine) (time, volts string) {
	for _, tr := range chosen(d) {
		if tr.Name == l.Trace {
			return timeIn(tr), voltsIn(tr)
		}
	}
	return "s", "V"
}

// inUnits gives those of the traces that are analysed whose voltages are in the unit of the first one's: they share an
// axis.
func inUnits(d *wire.Document) (list []*wire.Trace) {
	for _, tr := range chosen(d) {
		if len(list) == 0 || voltsIn(tr) == voltsIn(list[0]) {
			list = append(list, tr)
		}
	}
	return list
}

// exact prints a number that a person set, with no digit more than needed.
func exact(x wire.Number, of string) string {
	return unit.Value{X: float64(x), Unit: of}.String()
}

// ends prints both ends of an interval with as many decimals as its width to two digits needs, and one prefix.
func ends(low, high wire.Number, of string) (from, to string) {
	factor, symbol := unit.Scale(math.Max(math.Abs(float64(low)), math.Abs(float64(high))), of)
	a, b := float64(low)/factor, float64(high)/factor
	decimals := min(max(1-int(math.Floor(math.Log10(b-a))), 0), 12)
	return joinUnit(fixed(a, decimals), symbol), joinUnit(fixed(b, decimals), symbol)
}

// significant prints v to so many digits.
func significant(v float64, digits int) string { return unit.Engineering(v, digits, "1") }

// short prints v to four significant digits at most, without zeros at the end.
func short(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	if err != nil {
		return significant(v, 4)
	}
	return exact(wire.Number(rounded), "1")
}

// fixed prints v with so many digits after the point, for the ticks of a scale.
func fixed(v float64, decimals int) string {
	return strings.Replace(strconv.FormatFloat(v, 'f', decimals, 64), "-", "−", 1)
}

func joinUnit(number, symbol string) string {
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}
