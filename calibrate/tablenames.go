package calibrate

// The words of a table's head: where the name in a cell ends and its unit begins, which names people give to times, to
// voltages and to uncertainties, and which units they are in. A cell is of one line.

import (
	"slices"
	"strings"
	"unicode/utf8"

	"quadrille/calibrate/unit"
)

const (
	figures = "0123456789"
	space   = "\t\n\f\r "
)

// sureForms is how many of headForms, the first, surely have a unit behind the name.
// TestTableRefuses would notice.
const sureForms = 2

// The ways to write a name and a unit in one cell, the surest first. Each parts them, without the space between.
var headForms = [...]func(cell string) (name, in string, ok bool){
	bracketed, // t (ms), time [s]
	func(cell string) (name, in string, ok bool) { return cutSpaced(cell, "/") }, // V / mV
	cutIn, // voltage in V
	func(cell string) (name, in string, ok bool) { return cutSpaced(cell, ",") }, // time, s
	lastWord, // t_s, time ms
}

// bracketed parts a name and a unit in brackets, round or square, at the end of the cell.
func bracketed(cell string) (name, in string, ok bool) {
	end := len(cell) - 1
	if end < 0 || cell[end] != ')' && cell[end] != ']' {
		return "", "", false
	}
	at := strings.LastIndexAny(cell[:end], "()[]")
	if at < 0 || cell[at] != '(' && cell[at] != '[' {
		return "", "", false
	}
	return strings.TrimRight(cell[:at], space), strings.Trim(cell[at+1:end], space), true
}

// cutSpaced parts a name and a unit at the first sign.
func cutSpaced(cell, sign string) (name, in string, ok bool) {
	name, in, ok = strings.Cut(cell, sign)
	return strings.TrimRight(name, space), strings.TrimLeft(in, space), ok
}

// cutIn parts a name and a unit at the first "in" with space on both sides.
func cutIn(cell string) (name, in string, ok bool) {
	for at := 0; ; at += len("in") {
		next := strings.Index(cell[at:], "in")
		if next < 0 {
			return "", "", false
		}
		at += next
		before, behind := cell[:at], cell[at+len("in"):]
		name, in = strings.TrimRight(before, space), strings.TrimLeft(behind, space)
		if name != before && in != behind {
			return name, in, true
		}
	}
}

// lastWord parts a name and what follows its last space or underline.
func lastWord(cell string) (name, in string, ok bool) {
	at := strings.LastIndexAny(cell, "_"+space)
	if at < 0 || at+1 == len(cell) {
		return "", "", false
	}
	return cell[:at], cell[at+1:], true
}

// Names that people give to columns, in capitals or not. A small u is an uncertainty (JCGM 100:2008, 2.3.1), a capital
// U a voltage (ISO 80000-6).
var (
	timeNames  = []string{"t", "time", "times", "elapsed", "second", "seconds"}
	voltsNames = []string{"v", "volt", "volts", "voltage", "level", "signal", "channel", "ch"}
	uBegins    = []string{"u_", "u(", "s_"} // these as they are
	uNames     = []string{"sigma", "σ", "errors", "error", "errs", "err", "uncertainty", "uncertainties", "std", "±", "u of "}
	symbolsOfU = []string{"u", "s", "sigma", "σ", "err", "error"}
)

// millions are units that no bench has: they are mistyped.
var millions = []string{"Ms", "MS", "Mv", "MV"}

// secondsByS tells seconds, with a prefix or none, that are written with a capital letter.
func secondsByS(in string) bool {
	prefix, ok := strings.CutSuffix(in, "S")
	return ok && slices.Contains([]string{"", "m", "u", "n", "p", "µ", "\u03bc"}, prefix)
}

// namesTime and namesVolts say whether a name begins with a word for it: the word ends with the name, or before a
// space, an underline or a digit.
func namesTime(name string) bool { return oneOf(timeNames, firstWord(name)) }

func namesVolts(name string) bool {
	return firstWord(name) == "U" || oneOf(voltsNames, firstWord(name))
}

func firstWord(name string) string {
	if end := strings.IndexAny(name, " _"+figures); end >= 0 {
		return name[:end]
	}
	return name
}

// oneOf reports whether word is one of words, in capitals or not.
func oneOf(words []string, word string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return strings.EqualFold(w, word) })
}

// uncertaintyOf gives what the uncertainty is of that a name begins with: v of "u(v)", "sigma_v" and "err of v",
// nothing of "u" alone.
func uncertaintyOf(name string) (of string, ok bool) {
	of, ok = "", name == "u"
	for _, begin := range uBegins {
		if !ok {
			of, ok = strings.CutPrefix(name, begin)
		}
	}
	for _, word := range uNames {
		if !ok {
			of, ok = cutPrefixFold(name, word)
		}
	}
	if !ok {
		return "", false
	}
	of = strings.TrimPrefix(strings.TrimLeft(of, " _("), "of ")
	return strings.TrimSuffix(of, ")"), true
}

// cutPrefixFold is strings.CutPrefix without regard to case. A letter may have another length in the other case.
func cutPrefixFold(s, prefix string) (after string, found bool) {
	end := 0
	for range prefix {
		_, size := utf8.DecodeRuneInString(s[end:])
		end += size
	}
	return s[end:], strings.EqualFold(s[:end], prefix)
}

// isCapitalU and isSmallU tell a U or u that no letter or digit follows; an underline may follow the small one.
func isCapitalU(name string) bool {
	rest, ok := strings.CutPrefix(name, "U")
	return ok && !beginsWithLetter(rest) && strings.TrimLeft(rest, figures+"_") == rest
}

func isSmallU(name string) bool {
	rest, ok := strings.CutPrefix(name, "u")
	return ok && !beginsWithLetter(rest) && strings.TrimLeft(rest, figures) == rest
}

func beginsWithLetter(s string) bool { return s != "" && isLetter(rune(s[0])) }

func isLetter(r rune) bool { return 'A' <= r && r <= 'Z' || 'a' <= r && r <= 'z' }

// isUnitText reports whether text is of Latin letters and µ, of which there are two.
func isUnitText(text string) bool {
	return text != "" && strings.TrimFunc(text, func(r rune) bool { return isLetter(r) || r == 'µ' || r == '\u03bc' }) == ""
}

// namesQuantity tells "u_V" and "u(V)", where V is the voltage's symbol as well as its unit.
func namesQuantity(name string) bool {
	at := strings.IndexAny(name, "_(")
	if at < 0 {
		return false
	}
	of := strings.TrimRight(strings.TrimSuffix(strings.Trim(name[at+1:], space), ")"), space)
	return oneOf(symbolsOfU, strings.Trim(name[:at], space)) && oneOf([]string{"v", "s"}, of)
}

// nameKind is what a name by itself says; other if nothing.
func nameKind(name string) kind {
	name = strings.Trim(name, " _")
	if of, ok := uncertaintyOf(name); ok {
		switch rest := strings.Trim(of, " _"); {
		case rest == "":
			return isAnyU
		case namesTime(rest):
			return isTimeU
		case namesVolts(rest):
			return isVoltsU
		}
		return isSomeU
	}
	switch {
	case namesTime(name):
		return isTime
	case namesVolts(name):
		return isVolts
	}
	return other
}

// unitWords are units written out.
var unitWords = map[string]struct {
	kind  kind
	scale float64
}{
	"min": {isTime, 60}, "minutes": {isTime, 60}, "h": {isTime, 3600}, "hours": {isTime, 3600},
	"sec": {isTime, 1}, "secs": {isTime, 1}, "second": {isTime, 1}, "seconds": {isTime, 1},
	"msec": {isTime, 1e-3}, "millisecond": {isTime, 1e-3}, "milliseconds": {isTime, 1e-3}, "usec": {isTime, 1e-6}, "µsec": {isTime, 1e-6},
	"microseconds": {isTime, 1e-6}, "nsec": {isTime, 1e-9}, "nanoseconds": {isTime, 1e-9},
	"volt": {isVolts, 1}, "volts": {isVolts, 1}, "millivolt": {isVolts, 1e-3}, "millivolts": {isVolts, 1e-3},
}

// unitOf gives the kind of quantity that a unit is of, and how many base units it is; other if it is not a unit of
// time or voltage.
func unitOf(text string) (kind, float64) {
	if w, ok := unitWords[strings.ToLower(text)]; ok {
		return w.kind, w.scale
	}
	if !isUnitText(text) {
		return other, 1
	}
	if v, err := unit.Parse("1 "+text, "s"); err == nil && strings.Contains(text, "s") { // a prefix alone is no unit here
		return isTime, v.X
	}
	if v, err := unit.Parse("1 "+text, "V"); err == nil && strings.ContainsAny(text, "Vv") {
		return isVolts, v.X
	}
	return other, 1
}
