package words_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/report/words"
)

const house = "../../../.." // from here to the top of the module

// declared finds every kind that the house declares, and for each a remark with the values that it is made with: those
// in the call of remark.Of, or of whatever function makes it and has the kind for its first argument.
func declared(t *testing.T) map[remark.Kind]remark.Remark {
	var files []*ast.File
	err := filepath.WalkDir(house, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		files = append(files, f)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]remark.Kind{} // by package and name of the constant
	for _, f := range files {
		for _, spec := range kindSpecs(f) {
			for i, name := range spec.Names {
				s, err := strconv.Unquote(spec.Values[i].(*ast.BasicLit).Value)
				if err != nil {
					t.Fatal(err)
				}
				kinds[f.Name.Name+"."+name.Name] = remark.Kind(s)
			}
		}
	}
	samples := map[remark.Kind]remark.Remark{}
	for _, k := range kinds {
		if _, twice := samples[k]; twice {
			t.Errorf("the kind %q is declared twice", k)
		}
		samples[k] = remark.Of(k)
	}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			name := nameOf(call.Args[0])
			if !strings.Contains(name, ".") {
				name = f.Name.Name + "." + name
			}
			if k, ok := kinds[name]; ok {
				samples[k] = filled(samples[k], call.Args[1:])
				samples[k] = filled(samples[k], madeBy(files, f.Name.Name, nameOf(call.Fun)))
			}
			return true
		})
	}
	return samples
}

// madeBy gives what a function of the room gives to remark.Of beside a kind that it was called with.
func madeBy(files []*ast.File, room, called string) (values []ast.Expr) {
	var all []ast.Decl
	for _, f := range files {
		if f.Name.Name == room {
			all = append(all, f.Decls...)
		}
	}
	for _, d := range all {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Name.Name != called[strings.LastIndex(called, ".")+1:] {
			continue
		}
		ast.Inspect(fn, func(n ast.Node) bool {
			if call, ok := n.(*ast.CallExpr); ok && nameOf(call.Fun) == "remark.Of" {
				values = append(values, call.Args[1:]...)
			}
			return true
		})
	}
	return values
}

// kindSpecs gives the constants of a file whose type is a remark's kind.
func kindSpecs(f *ast.File) (list []*ast.ValueSpec) {
	for _, d := range f.Decls {
		if g, ok := d.(*ast.GenDecl); ok && g.Tok == token.CONST {
			for _, s := range g.Specs {
				v := s.(*ast.ValueSpec)
				if of := nameOf(v.Type); of == "remark.Kind" || f.Name.Name == "remark" && of == "Kind" {
					list = append(list, v)
				}
			}
		}
	}
	return list
}

// nameOf is "pkg.Name" or "Name" of an expression that is one, else "".
func nameOf(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		if p, ok := e.X.(*ast.Ident); ok {
			return p.Name + "." + e.Sel.Name
		}
	}
	return ""
}

// filled adds a sample of each value that a call of remark.Of makes and r has not.
func filled(r remark.Remark, args []ast.Expr) remark.Remark {
	for _, a := range args {
		ast.Inspect(a, func(n ast.Node) bool { // the values may stand in a list that is appended to
			if call, ok := n.(*ast.CallExpr); ok && len(call.Args) == 2 {
				r = withSample(r, call)
			}
			return true
		})
	}
	return r
}

// withSample adds a sample of the value that a call makes, if it makes one.
func withSample(r remark.Remark, call *ast.CallExpr) remark.Remark {
	lit, ok := call.Args[0].(*ast.BasicLit)
	if !ok {
		return r
	}
	name, err := strconv.Unquote(lit.Value)
	if err != nil || r.Has(name) {
		return r
	}
	sort := nameOf(call.Fun)
	switch sort[strings.LastIndex(sort, ".")+1:] {
	case "Number":
		r.Values = append(r.Values, remark.Number(name, 1.5))
	case "Count":
		r.Values = append(r.Values, remark.Count(name, 3))
	case "Word":
		r.Values = append(r.Values, remark.Word(name, "some words"))
	case "Flag":
		r.Values = append(r.Values, remark.Flag(name, true))
	}
	return r
}

func TestEveryKindHasWords(t *testing.T) {
	samples := declared(t)
	if len(samples) < 20 {
		t.Fatalf("only %d kinds were found in the source", len(samples))
	}
	all := words.Kinds()
	for k := range samples {
		if !slices.Contains(all, k) {
			t.Errorf("%s has no words", k)
		}
		if room, name, ok := strings.Cut(string(k), "."); !ok || room == "" || strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
			t.Errorf("%q is not named as room.what_it_is", k)
		}
	}
	for _, k := range all {
		if _, ok := samples[k]; !ok {
			t.Errorf("there are words for %s, which no room declares", k)
		}
	}
}

// A wording that asks for a value which its room does not give shows as one of fmt's complaints, as NaN, or as a hole.
func TestWordsAreSentences(t *testing.T) {
	for k, sample := range declared(t) {
		s := words.Of(sample)
		for _, fault := range []string{"%!", "NaN", "nil", "  ", " .", " ,", "..", "()"} {
			if strings.Contains(s, fault) {
				t.Errorf("%s says %q, with %q in it", k, s, fault)
			}
		}
		if s != strings.TrimSpace(s) || len(strings.Fields(s)) < 3 {
			t.Errorf("%s says %q, which is no sentence", k, s)
		}
		if first := []rune(s + " ")[0]; !unicode.IsLetter(first) && !unicode.IsDigit(first) {
			t.Errorf("%s begins with %q: %q", k, first, s)
		}
	}
}

func TestWhatASentenceIsAboutStandsBeforeIt(t *testing.T) {
	for about, want := range map[string]string{"": "It is.", "b": "Trace b: It is.", "readings": "Readings: It is."} {
		if s := words.About(about, "It is."); s != want {
			t.Errorf("about %q: %q", about, s)
		}
	}
}

// On the pages of a notebook no sentence names a flag, and each key that it names is one: the fields of the settings,
// and those of a photo in a notebook, are flags with other dashes.
func TestSentencesNameKeysOfANotebook(t *testing.T) {
	known := map[string]bool{"traces": true, "readings_file": true, "sketch": true, "squares_per_box": true, "origin": true,
		"some": true, "words": true} // of the samples
	for text := range strings.FieldsFuncSeq(settingsSource(t), func(r rune) bool { return r == '"' || r == '`' || r == ',' }) {
		known[text] = true
	}
	named := 0
	for kind, sample := range declared(t) {
		says := words.AsKeys(words.Of(sample))
		for _, bad := range []string{"--", "FOLDER", "first “trace"} {
			if strings.Contains(says, bad) {
				t.Errorf("%s says %q, with %q in it", kind, says, bad)
			}
		}
		for _, key := range regexp.MustCompile(`“([a-z_]+)[”:]`).FindAllStringSubmatch(says, -1) {
			if named++; !known[key[1]] {
				t.Errorf("%s says %q, and there is no key %s", kind, says, key[1])
			}
		}
	}
	if named < 20 {
		t.Errorf("only %d keys were named", named)
	}
}

// settingsSource is the text of the file that has the names of all settings.
func settingsSource(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(house, "cmd", "internal", "wire", "settings.go"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestFlagsBecomeKeys(t *testing.T) {
	for text, want := range map[string]string{
		"Give --turn 90 or 270.":                "Give “turn: 90” or 270.",
		"Say --trace a or --trace b.":           "Say “trace: a” or “trace: b”.",
		"give --volts-per-box and --ground":     "give “volts_per_box” and “ground”",
		"with --ground bottom, centre, or":      "with “ground: bottom”, centre, or",
		"say --readings-begin 5s, or":           "say “readings_begin: 5s”, or",
		"on it with --readings-begin=-5s":       "on it with “readings_begin: -5s”",
		"leave --signal out":                    "leave “signal” out",
		"the page that --out FOLDER makes does": "the photo’s own page does",
		"3 -- 4, and none":                      "3 -- 4, and none",
		"nothing":                               "nothing",
	} {
		if got := words.AsKeys(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}
