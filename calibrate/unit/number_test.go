package unit

import (
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// The forms of texts, each as a regular expression of the standard library: the naive twins of the functions that read
// them, which the browser's core has in their place because a tenth of a megabyte is too dear for it.
var (
	plainNumber = regexp.MustCompile(`^([+-]?)([0-9]{1,3}(?: [0-9]{3})+|[0-9]+)?` +
		`(?:([.,])([0-9]{3}(?: [0-9]{3})* [0-9]{1,3}|[0-9]+)?)?` +
		`(?:\(([0-9][0-9 .,]*)\))?(?:[eE]([+-]?[0-9]{1,3}))? *(.*)$`)
	rkmNumber = regexp.MustCompile(`^([+-]?)([0-9]*)([pnuµmkKMGTRΩVsF])([0-9]+) *(.*)$`)
	tenToThe  = regexp.MustCompile(` *[×x·*] *10(\^[+-]?[0-9]{1,3}|[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3})`)
	meterForm = regexp.MustCompile(`^\(?([^+()]*%) *\+ *([0-9]{1,4}) *(?:d|dgt|dgts|digit|digits|count|counts)?\)?$`)
	apart     = regexp.MustCompile(`([A-Za-z%])\s+([-+−]?[0-9])`)
)

func takeByPattern(s string) (n number, reason string) {
	if m := rkmNumber.FindStringSubmatch(s); m != nil {
		n = number{sign: m[1], whole: m[2], fraction: m[4], unit: m[3] + m[5]}
		return n, ""
	}
	m := plainNumber.FindStringSubmatch(s)
	if m == nil || m[2] == "" && m[4] == "" {
		return n, "does not begin with a number"
	}
	n = number{sign: m[1], whole: strings.ReplaceAll(m[2], " ", ""), bracket: m[5], unit: m[7]}
	n.fraction = strings.ReplaceAll(m[4], " ", "")
	if m[3] == "," && thousands(n.whole, m[4]) {
		return n, fmt.Sprintf("can be read in two ways, as %s.%s or as %[1]s%[2]s", n.whole, n.fraction)
	}
	if m[6] != "" {
		n.power, _ = strconv.Atoi(m[6]) // at most three digits
	}
	return n, ""
}

func cleanByPattern(text string) string {
	return tenToThe.ReplaceAllStringFunc(strings.TrimSpace(cleaner.Replace(text)), func(s string) string {
		_, power, _ := strings.Cut(s, "10")
		return "e" + strings.ReplaceAll(lowered.Replace(power), "^", "")
	})
}

func meterByPattern(spread string) (share, digits string, ok bool) {
	m := meterForm.FindStringSubmatch(spread)
	if m == nil || strings.HasPrefix(spread, "(") != strings.HasSuffix(spread, ")") {
		return "", "", false
	}
	return strings.TrimSpace(m[1]), m[2], true
}

// forms are the functions with their twins, and what texts are made of in which they agree.
var forms = []struct {
	name           string
	pieces         []string
	function, twin func(string) string
	none           func(string) string // what both give of a text that has not the form
}{
	{"number", []string{"0", "1", "12", "123", " 456", " 7", " ", ".", ",", "(", ")", "(3)", "(0,000 35)", "()", "+", "-", "\u2212", "e", "E",
		"e-3", "V", "k", "K", "u", "\u00b5", "\u03bc", "m", "R", "Ω", "F", "s", "%", "é", "\xff", "\n", "12 345.678 9", "4k7", "1,500"},
		func(s string) string {
			n, reason := take(s)
			if reason != "" {
				return reason
			}
			return fmt.Sprintf("%+v", n)
		}, func(s string) string {
			n, reason := takeByPattern(s)
			if reason != "" {
				return reason
			}
			return fmt.Sprintf("%+v", n)
		}, func(string) string { return "does not begin with a number" }},
	{"power of ten", []string{"3", "10", "1", "0", " ", "×", "x", "·", "*", "^", "+", "-", "\u2212", "⁺", "⁻", "⁰", "³", "⁹", "1234", "²³⁴⁵", " s",
		"x10^", "× 10⁻³", " *10^-12", "\u03bc", "\xff"}, clean, cleanByPattern,
		func(s string) string { return strings.TrimSpace(cleaner.Replace(s)) }},
	{"meter's accuracy", []string{"(", ")", "0.5", "%", " ", "+", "2", "12", "12345", "d", "dgt", "dgts", "digit", "digits", "count", "counts",
		"-", "\t", "\n", "\xff", "(0.5 % + 2 digits)", "1%+3", " %  +10 d"},
		func(s string) string { return fmt.Sprint(meterAccuracy(s)) }, func(s string) string { return fmt.Sprint(meterByPattern(s)) },
		func(string) string { return fmt.Sprint("", "", false) }},
	{"next number", []string{"9", "V", "%", "mV", "Z", "a", "é", " ", "\t", "\n", "\f", "\r", "\v", "\u00a0", "-", "+", "\u2212", ",", ";", ".5", "\xff",
		"9V 7V", "50% -1"}, parted, func(s string) string { return apart.ReplaceAllString(s, "$1;$2") }, func(s string) string { return s }},
}

// Every function gives what its pattern gives: of the texts of the other tests, and of random ones made of what the
// pattern is made of, many of which have the form and many not.
func TestFormsAreThoseOfTheirPatterns(t *testing.T) {
	for _, text := range append(textsIn(t, "parse_test.go", "settings_test.go"), seeds...) {
		sameByPattern(t, text)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for _, f := range forms {
		with := 0
		for range texts {
			text := ""
			for range r.IntN(8) {
				text += f.pieces[r.IntN(len(f.pieces))]
			}
			got, want := f.function(text), f.twin(text)
			if got != want {
				t.Fatalf("%s: of %q %s, by the pattern %s", f.name, text, got, want)
			}
			if want != f.none(text) {
				with++
			}
		}
		if with < 100 || with > texts-100 {
			t.Errorf("%s: %d of %d texts have the form", f.name, with, texts)
		}
	}
}

const texts = 30_000

func sameByPattern(t *testing.T, text string) {
	t.Helper()
	for _, f := range forms {
		if got, want := f.function(text), f.twin(text); got != want {
			t.Errorf("%s: of %q %s, by the pattern %s", f.name, text, got, want)
		}
	}
}

// textsIn gives the strings of test files.
func textsIn(t *testing.T, files ...string) (all []string) {
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, quoted := range regexp.MustCompile(`"(\\.|[^"\\\n])*"`).FindAllString(string(b), -1) {
			if text, err := strconv.Unquote(quoted); err == nil {
				all = append(all, text)
			}
		}
	}
	if len(all) < 100 {
		t.Fatalf("the tests have %d texts", len(all))
	}
	return all
}

// FuzzForms holds the functions against their patterns on any text.
func FuzzForms(f *testing.F) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) { sameByPattern(t, text) })
}
