// Package unit has values with uncertainty and unit: it reads them as people write them ("500 mV",
// "4k7", "21.9kΩ±0.3%") and prints them as physicists do ("10.34(6) s").
//
// Parse reads a setting, which is above zero; ParseSigned any number; Value.String prints. Inside
// the program a Value is in SI base units: prefixes exist only in the text read and printed.
//
// Two ways of writing an uncertainty mean two different things, as they do on a data sheet and in a
// notebook:
//
//	9.00(3) V     the digits in parentheses are the standard uncertainty, u = 0.03 V (JCGM 100:2008, 7.2.2)
//	10 V ± 0.2 V  limits: the value lies anywhere between them, a rectangular distribution of
//	21.9k ± 0.3%  half-width a, so that u = a/√3 (JCGM 100:2008, 4.3.7); so is a meter's accuracy,
//	              21.9k ± (0.5% + 2), a share of the reading and 2 steps of its last digit
package unit

import "math"

// A Value is a quantity in SI base units with its standard uncertainty.
type Value struct {
	X    float64
	U    float64 // standard uncertainty (k = 1), in the unit of X; 0 is exact or not stated, NaN unknown
	Unit string  // "V", "s", "Hz", "Ω", "F", "1"
	// Rectangular says that U was stated as limits ±Limit() of a rectangular distribution.
	Rectangular bool
}

// Limit is the half-width √3·U of the rectangular distribution whose standard deviation is U.
func (v Value) Limit() float64 { return math.Sqrt(3) * v.U }

// Limits gives the value x that lies anywhere within ±a, both in the base unit.
func Limits(x, a float64, unit string) Value {
	return Value{X: x, U: a / math.Sqrt(3), Unit: unit, Rectangular: true}
}

// A ParseError says what was read and what is expected.
type ParseError struct {
	Text   string // as given
	Reason string // begins with the text read, in quotes
	Hint   string // what to write instead, with an example
}

func (e *ParseError) Error() string { return e.Reason }

// A quantity is one kind of value that can be asked for.
type quantity struct {
	symbol   string   // SI, as in Value.Unit
	word     string   // for messages
	names    []string // spellings accepted, case as written
	prefixes string   // printed, smallest first; the space is none
	meant    []string // what a number without unit and prefix may be meant in; none where it needs no unit
	example  string
}

// Prefixes printed are those in common use with the unit: no kiloseconds, no kilofarads.
var quantities = []quantity{
	{"V", "a voltage", []string{"V", "v", "volt", "volts", "Volt", "Volts"}, "nµm kM", []string{"V", "mV"}, "500mV or 2V"},
	{"s", "a time", []string{"s", "sec", "second", "seconds"}, "pnµm ", []string{"s", "ms", "us"}, "2.5s or 250us"},
	{"Hz", "a frequency", []string{"Hz", "hertz", "Hertz"}, "µm kMG", []string{"Hz", "kHz"}, "50Hz or 1.2kHz"},
	{"Ω", "a resistance", []string{"Ω", "R", "ohm", "ohms", "Ohm", "Ohms"}, "µm kMGT", []string{"ohm", "k"}, "4k7, 1M or 21.9kΩ±0.3%"},
	{"F", "a capacitance", []string{"F", "f", "farad", "farads", "Farad", "Farads"}, "pnµm ", []string{"uF", "nF"}, "470u or 470uF±20%"},
	{"1", "a plain number", nil, " ", nil, "10"},
}

// strangers are units that nothing here is measured in, known for the sake of the message.
var strangers = []quantity{
	{"A", "a current", []string{"A"}, "", nil, ""},
	{"W", "a power", []string{"W"}, "", nil, ""},
	{"H", "an inductance", []string{"H"}, "", nil, ""},
	{"min", "a count of minutes", []string{"min"}, "", nil, ""},
	{"%", "a percentage", []string{"%", "ppm"}, "", nil, ""},
	{"box", "a count of boxes", []string{"box", "boxes", "div"}, "", nil, ""},
}

// prefixPowers are the powers of ten of the SI prefixes as read. K is what people write for k; u is
// µ on a keyboard without it.
var prefixPowers = map[string]int{
	"p": -12, "n": -9, "u": -6, "µ": -6, "m": -3, "k": 3, "K": 3, "M": 6, "G": 9, "T": 12,
}

// quantityOf looks a unit up; ok is false for one that Parse does not read.
func quantityOf(symbol string) (q quantity, ok bool) {
	for _, q := range quantities {
		if q.symbol == symbol {
			return q, true
		}
	}
	return quantity{symbol: symbol, prefixes: " "}, false
}
