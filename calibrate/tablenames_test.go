package calibrate

import (
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// The forms of cells, each as a regular expression of the standard library: the naive twins of the functions that read
// them, which the browser's core has in their place because a tenth of a megabyte is too dear for it.
var headPatterns = [...]*regexp.Regexp{
	regexp.MustCompile(`^(.*?)\s*[(\[]\s*([^()\[\]]*?)\s*[)\]]$`), // t (ms), time [s]
	regexp.MustCompile(`^(.*?)\s*/\s*(.*)$`),                      // V / mV
	regexp.MustCompile(`^(.*?)\s+in\s+(.*)$`),                     // voltage in V
	regexp.MustCompile(`^(.*?)\s*,\s*(.*)$`),                      // time, s
	regexp.MustCompile(`^(.*)[_\s]+([^_\s]+)$`),                   // t_s, time ms
}

var (
	timeByPattern     = regexp.MustCompile(`(?i)^(t|times?|elapsed|seconds?)([ _0-9].*)?$`)
	voltsByPattern    = regexp.MustCompile(`^(U|(?i:v|volts?|voltage|level|signal|channel|ch))([ _0-9].*)?$`)
	uByPattern        = regexp.MustCompile(`^(?:u$|u[_(]|s_|(?i:sigma|σ|err(?:or)?s?|uncertaint(?:y|ies)|std|±|u of ))[ _(]*(?:of )?(.*?)\)?$`)
	bareU             = regexp.MustCompile(`^U\b`)
	bareSmallU        = regexp.MustCompile(`^u([^A-Za-z0-9]|$)`)
	unitText          = regexp.MustCompile(`^[A-Za-zµ\x{3bc}]+$`)
	sByPattern        = regexp.MustCompile(`^[munpµ\x{3bc}]?S$`)
	megaByPattern     = regexp.MustCompile(`^M[sSvV]$`)
	quantityByPattern = regexp.MustCompile(`(?i)^\s*(u|s|sigma|σ|err|error)\s*[_(]\s*[vs]\s*\)?\s*$`)
	threeBehind       = regexp.MustCompile(`^[-+\x{2212}]?[1-9][0-9]{0,2},[0-9]{3}\b`)
	unitBehind        = regexp.MustCompile(`^([-+\x{2212}]?[0-9.,]+(?:[eE][-+]?[0-9]+)?)\s*([pnuµ\x{3bc}mkM]?)(s|V)?$`)
)

// A form is a function with its twin, and what texts are made of in which both agree; they give "" of a text that has
// not the form. Cells are of one line.
type form struct {
	name           string
	pieces         []string
	function, twin func(text string) string
}

func forms() []form {
	head := []string{"t", "V", "ms", "time", "a_b", "_", "(", ")", "[", "]", "(V)", "[s]", "/", ",", "in", " in ", "i", "n", "é", "\xff",
		" ", "  ", "\t", "\f", "\v", "\u00a0"}
	words := append(strings.Fields("t T time Times elapsed second SECONDS tim U u v V volts Voltage level signal channel CH ch \u017fignal \u017f "+
		"sigma Σ ς σ err error errors errs erro ors uncertainty uncertainties std S ± s_ u_ u( U_ of ( ) _ 1 9 é a"),
		" ", "u of ", " of ", "of ", "\t", "\xff", "u_V", " u ( v ) ")
	short := []string{"s", "S", "v", "V", "\u017f", "m", "M", "u", "n", "p", "k", "\u00b5", "\u03bc", "é", "1", " ", "\xff", "mS", "Ms"}
	cells := []string{"0", "1", "12", "123", "500", "1,500", ".", ",", "-", "+", "\u2212", "e", "E-3", "e3", "m", "\u00b5", "\u03bc", "k", "M", "p",
		"s", "V", "x", "_", " ", "\t", "\v", "\u00a0", "é", "\xff", "5 ms", "1.2u"}
	all := []form{
		{"time", words, when(namesTime), when(timeByPattern.MatchString)},
		{"voltage", words, when(namesVolts), when(voltsByPattern.MatchString)},
		{"uncertainty", words, func(s string) string { return given(uncertaintyOf(s)) }, func(s string) string {
			if m := uByPattern.FindStringSubmatch(s); m != nil {
				return given(m[1], true)
			}
			return ""
		}},
		{"capital U", words, when(isCapitalU), when(bareU.MatchString)},
		{"small u", words, when(isSmallU), when(bareSmallU.MatchString)},
		{"quantity", words, when(namesQuantity), when(quantityByPattern.MatchString)},
		{"unit", short, when(isUnitText), when(unitText.MatchString)},
		{"seconds by S", short, when(secondsByS), when(sByPattern.MatchString)},
		{"millions", short, when(func(s string) bool { return slices.Contains(millions, s) }), when(megaByPattern.MatchString)},
		{"thousands", cells, when(mayPartThousands), when(threeBehind.MatchString)},
		{"number and unit", cells, func(s string) string {
			if x, in, ok := withUnit(s); ok {
				return fmt.Sprint(x, in)
			}
			return ""
		}, func(s string) string {
			m := unitBehind.FindStringSubmatch(s)
			if m == nil || m[2]+m[3] == "" {
				return ""
			}
			x, ok := number(m[1])
			if !ok {
				return ""
			}
			if prefix, _ := utf8.DecodeRuneInString(m[2]); m[2] != "" {
				x *= prefixes[prefix]
			}
			return fmt.Sprint(x, m[3])
		}},
	}
	for i, pattern := range headPatterns {
		all = append(all, form{fmt.Sprint("head form ", i), head, func(s string) string {
			name, in, ok := headForms[i](s)
			if !ok {
				return ""
			}
			return fmt.Sprintf("%q, %q", name, in)
		}, func(s string) string {
			m := pattern.FindStringSubmatch(s)
			if m == nil {
				return ""
			}
			return fmt.Sprintf("%q, %q", m[1], m[2])
		}})
	}
	return all
}

func when(is func(string) bool) func(string) string {
	return func(s string) string {
		if is(s) {
			return "so"
		}
		return ""
	}
}

func given(what string, ok bool) string {
	if !ok {
		return ""
	}
	return fmt.Sprintf("%q", what)
}

// Every function gives what its pattern gives: of the cells of the other tests, and of random texts made of what the
// pattern is made of, some of which have the form and some not.
func TestCellsAreReadAsByTheirPatterns(t *testing.T) {
	const texts = 30_000
	r := rand.New(rand.NewPCG(1, 2))
	cells := cellsIn(t, "table_test.go", "tables_test.go")
	for _, f := range forms() {
		for _, text := range cells {
			f.same(t, text)
		}
		with := 0
		for range texts {
			text := ""
			for range r.IntN(6) {
				text += f.pieces[r.IntN(len(f.pieces))]
			}
			if f.same(t, text) != "" {
				with++
			}
		}
		if with < 100 || with > texts-100 {
			t.Errorf("%s: %d of %d texts have the form", f.name, with, texts)
		}
	}
}

func (f form) same(t *testing.T, text string) (what string) {
	t.Helper()
	got, want := f.function(text), f.twin(text)
	if got != want {
		t.Errorf("%s: of %q %s, by the pattern %s", f.name, text, got, want)
	}
	return want
}

// cellsIn gives what stands between quotes and signs in test files, as written there.
func cellsIn(t *testing.T, files ...string) (cells []string) {
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for text := range strings.SplitSeq(strings.NewReplacer(`\n`, "\n", `\t`, "\n", `"`, "\n").Replace(string(b)), "\n") {
			cells = append(cells, text)
			cells = append(cells, strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;|", r) })...)
		}
	}
	if len(cells) < 1000 {
		t.Fatalf("the tests have %d cells", len(cells))
	}
	return cells
}

// FuzzCells holds the functions against their patterns on any cell.
func FuzzCells(f *testing.F) {
	for _, s := range []string{"t (ms)", "U / mV", "voltage in V", "time, s", "u_v", "sigma of v)", "1,500", "5 ms", "−1e3µV", "Ms", "uS"} {
		f.Add(s)
	}
	all := forms()
	f.Fuzz(func(t *testing.T, text string) {
		for _, form := range all {
			if !strings.Contains(text, "\n") {
				form.same(t, text)
			}
		}
	})
}
