package notebook_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"quadrille/cmd/internal/notebook"
)

// folder has files of these names, each with something in it, and a notebook.
func folder(text string, names ...string) fstest.MapFS {
	files := fstest.MapFS{"book.yaml": {Data: []byte(text)}}
	for _, name := range names {
		files[name] = &fstest.MapFile{Data: []byte("something")}
	}
	return files
}

// The templates are read without a fault, and say what each part of the exercise needs.
func TestTemplatesAreRead(t *testing.T) {
	for _, name := range notebook.Templates() {
		n, err := notebook.Read(folder(string(notebook.Template(name)), "level.jpg", "sine.jpg", "slow.jpg", "low.jpg",
			"high.jpg"), "book.yaml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if n.Title == "" || n.By == "" || n.Date != "2026-11-30" || len(n.Photos) == 0 || len(n.Compare) == 0 {
			t.Errorf("%s: %+v", name, n)
		}
	}
	if notebook.Template("../read.go") != nil || notebook.NearestTemplate("slow-dischrage") != "slow-discharge" {
		t.Error("names of templates are not kept apart from files")
	}
}

// faults reads a notebook that must have some.
func faults(t *testing.T, files fstest.MapFS, name string) notebook.Faults {
	t.Helper()
	n, err := notebook.Read(files, name)
	var f notebook.Faults
	if !errors.As(err, &f) || n != nil {
		t.Fatalf("no faults but %v, %v", err, n)
	}
	return f
}

const begin = "notebook: 1\nphotos:\n  - file: low.jpg\n"

// Whatever is wrong is named where it stands, with what to do; the marker « stands in the text before that place.
func TestASlipIsNamedWithItsPlace(t *testing.T) {
	for _, c := range []struct{ name, text, reason, hint string }{
		{"an unknown key", "«titel: x\n" + begin, "titel", "write title"},
		{"a misspelt notebook", "«notebok: 1\nphotos: [{file: low.jpg}]\n", "notebok", "write notebook"},
		{"an unknown key of a photo", begin + "    «volts_per_bx: 1V\n", "volts_per_bx", "write volts_per_box"},
		{"a flag in the place of a key", begin + "    «volts-per-box: 1V\n", "volts-per-box", "write volts_per_box"},
		{"a key in the wrong block", begin + "    «frequency: 5Hz\n", "frequency", "generator"},
		{"a setting of a photo in a generator", begin + "    generator: {«volts_per_box: 1V}\n", "volts_per_box",
			"settings of a photo"},
		{"a wrong unit", begin + "    time_per_box: «5V\n", "5V", "2.5s"},
		{"a wrong unit for all", "notebook: 1\nsettings:\n  resistance: «5V\nphotos: [{file: low.jpg}]\n", "5V", "4k7"},
		{"a wrong unit of a trace", begin + "    traces:\n      - {trace: a, volts_per_box: «5s}\n", "5s", "2V"},
		{"a bare time", begin + "    time_per_box: «5\n", "no unit", "write 5s, 5ms or 5us"},
		{"a bare voltage", begin + "    volts_per_box: «1\n", "no unit", "write 1V or 1mV"},
		{"a missing file", "notebook: 1\nphotos:\n  - file: «lwo.jpg\n", "no file lwo.jpg", "nearest is low.jpg"},
		{"a missing sketch", begin + "    sketch: «low.png\n", "no file low.png", "nearest is low.jpg"},
		{"no drawing to be placed", begin + "    origin: «3,4\n", "there is none", "name the drawing"},
		{"a drawing placed nowhere", begin + "    sketch: low.jpg\n    origin: «3\n", "no place on the paper", "3,4"},
		{"a drawing in squares of no count", begin + "    sketch: low.jpg\n    squares_per_box: «2 mm\n", "2 mm", "squares"},
		{"a missing table", begin + "    readings_file: «hand.csv\n", "no file hand.csv", "beside the notebook"},
		{"a file that leads out", "notebook: 1\nphotos:\n  - file: «../low.jpg\n", "out of", "beside the notebook"},
		{"a file of one computer", "notebook: 1\nphotos:\n  - file: «/home/low.jpg\n", "one computer", "beside the notebook"},
		{"no file", "notebook: 1\nphotos:\n  - «name: low\n", "no file", "add file:"},
		{"a duplicate key", begin + "    ground: 3\n    «ground: 4\n", "line 4", "leave one"},
		{"a duplicate name", begin + "  - file: high.jpg\n    name: «low\n", `"low"`, "of its own"},
		{"one file twice without names", begin + "  - «file: low.jpg\n", `"low"`, "of its own"},
		{"a list for a value", begin + "    signal: «[decay]\n", "a list", "one value"},
		{"a value for a list", "notebook: 1\nphotos: «low.jpg\n", "a list", "dash"},
		{"a value for a block", begin + "    generator: «50Hz\n", "block of keys", "key: value"},
		{"a quantity by its other name", begin + "compare:\n  - quantity: «time constant\n", "time constant", "write tau"},
		{"a way cut short", begin + "compare:\n  - quantity: tau\n    of: [low/curve, «low/hand]\n", "hand", "write by_hand"},
		{"a key cut short", begin + "    display: {«freq: 5Hz}\n", "freq", "write frequency"},
		{"a kind by its other name", begin + "    signal: «discharge\n", "discharge", "write decay"},
		{"a block below the sketch", begin + "    sketch: «{file: low.jpg}\n", "sketch is the name of a file", "stand beside it"},
		{"a block for a value", begin + "    title: «{x: 1}\n", "title is a text or a number, not a block", "one value"},
		{"an unknown key for all", "notebook: 1\nsettings: {«colour: red}\nphotos: [{file: low.jpg}]\n", "have no key", "the keys here are"},
		{"limits without their unit", begin + "    by_hand: {tau: «4.7 ms +- 0.2}\n", "unit", "write 4.7ms ± 0.2ms"},
		{"two values without ±", begin + "    by_hand: {v_mean: «9V 0.2V}\n", "two values", "9V ± 0.2V"},
		{"an unknown kind", begin + "    signal: «saw\n", "saw", "ramp"},
		{"a way that is none", begin + "compare:\n  - quantity: tau\n    of: [low/curve, «low/curv]\n", "curv",
			"write curve"},
		{"a photo that is none", begin + "compare:\n  - quantity: tau\n    of: [low, «lov]\n", "lov", "write low"},
		{"a quantity that is none", begin + "compare:\n  - quantity: «tua\n", "tua", "write tau"},
		{"one value alone", begin + "compare:\n  - quantity: tau\n    of: «[low/curve]\n", "one value", "two or more"},
		{"a readout that was not given", begin + "compare:\n  - quantity: frequency\n    of: «[low, low/display]\n",
			"display", "leave low/display out"},
		{"a comparison of nothing", begin + "compare:\n  - «of: [low]\n", "of what", "quantity: tau"},
		{"a reading without its uncertainty", begin + "    by_hand: {period: «20ms}\n", "how well", "±"},
		{"a readout in a wrong unit", begin + "    display: {frequency: «5s}\n", "5s", "50Hz"},
		{"the same twice", begin + "    known_drive: «3V\n    generator: {drive: 3V}\n", "twice", "leave one"},
		{"to be found from nothing", begin + "    time_per_box: «find\n", "“time_per_box: find” needs “known_frequency”",
			"give both"},
		{"two traces without a name", begin + "    traces:\n      «- volts_per_box: 1V\n      - volts_per_box: 1V\n",
			"no name", "a and b"},
		{"another version", "notebook: «2\nphotos: [{file: low.jpg}]\n", `"2"`, "notebook: 1"},
		{"no photos", "notebook: 1\nphotos: «[]\n", "no photos", "- file:"},
		{"a list at the top", "«- low.jpg\n", "a list", "key: value"},
		{"a table with a wrong cell", begin + "    readings: |\n      t (s), V (V)\n      0, 1\n«      1, x\n", "x", ""},
		{"a table without a head", begin + "    readings: «x\n", "", ""},
		{"an anchor", "notebook: 1\ntitle: «&a x\nphotos: [{file: low.jpg}]\n", "anchors", "write the value out"},
		{"a tag", "notebook: 1\ntitle: «!!binary aGk=\nphotos: [{file: low.jpg}]\n", "tags", "leave the tag out"},
		{"a colon in a value", "notebook: 1\ntitle: a«: b\n", "colon", "quotes"},
		{"a line that does not line up", begin + "   «name: low\n", "line up", "same number of spaces"},
		{"a tab", "notebook: 1\nphotos:\n«\t- file: low.jpg\n", "tab", "spaces"},
		{"a quote that is not closed", "notebook: 1\ntitle: \"a\n«", "line 2", "close it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			before, after, marked := strings.Cut(c.text, "«")
			if !marked {
				t.Fatal("no place is marked")
			}
			lines := strings.Split(before, "\n")
			line, column := len(lines), len([]rune(lines[len(lines)-1]))+1
			got := faults(t, folder(before+after, "low.jpg", "high.jpg"), "book.yaml")
			if len(got) != 1 {
				t.Errorf("%d faults: %v", len(got), got)
			}
			f := got[0]
			if f.Line != line || f.Column != column && f.Column > 0 {
				t.Errorf("at %d:%d, want %d:%d", f.Line, f.Column, line, column)
			}
			if !strings.Contains(f.Reason, c.reason) || !strings.Contains(f.Hint, c.hint) {
				t.Errorf("%s -> %s, want %q and %q", f.Reason, f.Hint, c.reason, c.hint)
			}
		})
	}
}

// A photo in the place of a notebook is named as one.
func TestAPhotoIsNoNotebook(t *testing.T) {
	got := faults(t, fstest.MapFS{"low.jpg": {Data: []byte("\xff\xd8\xff\xe0x")}}, "low.jpg")
	if len(got) != 1 || got[0].Where() != "low.jpg" || !strings.Contains(got[0].Reason, "this is a photo") || !strings.Contains(got[0].Hint, "give the notebook") {
		t.Errorf("%+v", got)
	}
}

// What the help lists as the keys of a photo are those that the reader knows, and the values those of a display.
func TestTheHelpListsTheKeysThereAre(t *testing.T) {
	known := func(text string) string {
		return faults(t, folder(text, "low.jpg"), "book.yaml")[0].Hint
	}
	groups := notebook.PhotoKeys()
	var keys []string
	for _, g := range groups[:len(groups)-1] {
		keys = append(keys, g.Keys...)
	}
	slices.Sort(keys)
	if got, want := "the keys here are "+strings.Join(keys, ", "), known(begin+"    qqqqqqqqqqqq: 1\n"); got != want {
		t.Errorf("listed\n%s, known\n%s", got, want)
	}
	values := groups[len(groups)-1].Keys
	if got, want := "the keys here are "+strings.Join(values, ", "), known(begin+"    display: {qqqqqqqqqqqq: 1}\n"); got != want {
		t.Errorf("listed\n%s, known\n%s", got, want)
	}
}

// All faults are told at once, in the order of the file.
func TestAllFaultsAreTold(t *testing.T) {
	text := "titel: x\nphotos:\n  - file: lwo.jpg\n    time_per_box: 5V\n  - file: high.jpg\n    volts_per_box: find\ncompare:\n  - quantity: tua\n"
	var at []string
	for _, f := range faults(t, folder(text, "low.jpg", "high.jpg"), "book.yaml") {
		at = append(at, f.Where())
	}
	want := "book.yaml:1:1 book.yaml:1:1 book.yaml:3:11 book.yaml:4:19 book.yaml:6:20 book.yaml:8:15"
	if got := strings.Join(at, " "); got != want {
		t.Errorf("at %s, want %s", got, want)
	}
}

// A photo's own settings go over those of all, its traces' over both, and what the generator says counts as known.
func TestSettingsGoOverEachOther(t *testing.T) {
	text := "notebook: 1\nsettings: {ground: bottom, time_per_box: 5ms, known_drive: 1V}\nphotos:\n" +
		"  - file: low.jpg\n    title: One\n    ground: -3\n    generator: {frequency: 50Hz, drive: 3V, source_resistance: 50ohm}\n" +
		"    readings_file: hand.csv\n  - file: high.jpg\n    traces:\n      - {trace: a, volts_per_box: 1V}\n      - {trace: b, volts_per_box: 2V}\n"
	files := folder(text, "low.jpg", "high.jpg")
	files["hand.csv"] = &fstest.MapFile{Data: []byte("t (s), V (V)\n0, 1\n1, 2\n2, 3\n3, 4\n4, 5\n")}
	n, err := notebook.Read(files, "book.yaml")
	if err != nil {
		t.Fatal(err)
	}
	one, two := n.Given(0), n.Given(1)
	if one.Ground != "-3" || one.TimePerBox != "5ms" || one.KnownFrequency != "50Hz" || one.KnownDrive != "3V" ||
		one.SourceResistance != "50ohm" ||
		one.File != "low.jpg" || one.Title != "One" || !strings.HasPrefix(one.Readings, "t (s)") ||
		one.ReadingsFile != "hand.csv" {
		t.Errorf("the first has %+v", one)
	}
	if two.Ground != "bottom" || two.KnownDrive != "1V" || len(two.Traces) != 2 || two.Traces[1].VoltsPerBox != "2V" ||
		two.Title != "" {
		t.Errorf("the second has %+v", two)
	}
	if b, err := n.Load("low.jpg"); err != nil || string(b) != "something" {
		t.Errorf("the first photo is %q, %v", b, err)
	}
}

// What is wrong with a table in a file of its own is told with that file's name and line.
func TestATableIsNamedWithItsLine(t *testing.T) {
	files := folder(begin+"    readings_file: hand.csv\n", "low.jpg")
	files["hand.csv"] = &fstest.MapFile{Data: []byte("t (s), V (V)\n0, 1\n1, much\n")}
	if f := faults(t, files, "book.yaml"); len(f) != 1 || f[0].Where() != "hand.csv:3" || f[0].Hint == "" {
		t.Error(f)
	}
	files["hand.csv"].Data = bytes.Repeat([]byte("0, 1\n"), 1<<20)
	if f := faults(t, files, "book.yaml"); len(f) != 1 || f[0].Where() != "book.yaml:4:20" ||
		!strings.Contains(f[0].Reason, "larger than 4 MB") {
		t.Error(f)
	}
}

// A readout without a stated uncertainty is good to one step of its last digit: u = 0.01 Hz/√3.
func TestReadoutsAreGoodToTheirLastDigit(t *testing.T) {
	n, err := notebook.Read(folder(begin+"    display: {frequency: 49.98Hz, v_pp: 6.5V ± 0.2V, duty_factor: 48%}\n",
		"low.jpg"), "book.yaml")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][2]float64{"frequency": {49.98, 0.0057735}, "v_pp": {6.5, 0.11547},
		"duty_factor": {0.48, 0.0057735}}
	for _, q := range n.Photos[0].Display {
		w := want[q.Quantity]
		if math.Abs(q.Value.X-w[0]) > 1e-9 || math.Abs(q.Value.U-w[1]) > 1e-5 {
			t.Errorf("%s: %g, u %g, want %g, %g", q.Quantity, q.Value.X, q.Value.U, w[0], w[1])
		}
	}
	if len(n.Photos[0].Display) != 3 {
		t.Errorf("%d readouts", len(n.Photos[0].Display))
	}
}

// Limits: what is too much is refused with its reason, and does not take long.
func TestLimits(t *testing.T) {
	for _, c := range []struct{ name, text, reason string }{
		{"size", begin + strings.Repeat("# a comment\n", 30000), "larger than 256 kB"},
		{"depth", "a: " + strings.Repeat("[", 5000) + strings.Repeat("]", 5000), "too deep"},
		{"depth of blocks", strings.Repeat("- ", 5000), "too deep"},
		{"photos", "notebook: 1\nphotos:\n" + strings.Repeat(" - {}\n", 201), "more than 200 photos"},
		{"traces", begin + "    traces:\n" + strings.Repeat("     - {trace: a}\n", 9), "more than 8 traces"},
		{"a table", begin + "    readings: |\n" + strings.Repeat("      0, 1\n", 14000), "larger than 64 kB"},
		{"comparisons", begin + "compare:\n" + strings.Repeat(" - {quantity: tau}\n", 201), "more than 200 comparisons"},
		{"aliases", "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n", "anchors"},
		{"a long text", "notebook: 1\ntitle: " + strings.Repeat("x", 201) + "\nphotos: [{file: low.jpg}]\n", "too long"},
		{"no text", "notebook: 1\ntitle: \"a\\tb\"\nphotos: [{file: low.jpg}]\n", "not printed"},
		{"many faults", "notebook: 1\n" + strings.Repeat("x", 3) + ": 1\n" + manyKeys(100) + "photos: [{file: low.jpg}]\n",
			"more"},
		{"keys", "notebook: 1\n" + manyKeys(200), "more than 120 keys"},
		{"two notebooks", begin + "---\n" + begin, "behind the notebook's end"},
		{"no UTF-8", "notebook: 1\ntitle: \xff\xfe\n", "UTF-8"},
		{"nothing", "# only a comment\n", "empty"},
	} {
		got := faults(t, folder(c.text, "low.jpg"), "book.yaml")
		if all := got.Error(); !strings.Contains(all, c.reason) || len(got) > 51 {
			t.Errorf("%s: %d faults: %.300s", c.name, len(got), all)
		}
	}
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "zzz%d: 1\n", i)
	}
	return b.String()
}

// Whatever the text is, reading it ends without a panic, and what was read can be written and read again.
func FuzzRead(f *testing.F) {
	for _, name := range notebook.Templates() {
		f.Add(notebook.Template(name))
	}
	f.Add([]byte(begin + "    traces: [{trace: a, volts_per_box: 1V}]\n    display: {frequency: 50Hz}\n    readings: |\n      t,V\n      1,2\n"))
	f.Add([]byte("notebook: 1\ntitle: 'null'\nby: \"~\"\nphotos: [{file: low.jpg, name: '- a'}]\n"))
	f.Add([]byte("a: &a [*a]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		files := folder(string(text), "level.jpg", "sine.jpg", "slow.jpg", "low.jpg", "high.jpg")
		first, err := notebook.Read(files, "book.yaml")
		if err != nil {
			return
		}
		written, err := first.Encode()
		if err != nil {
			t.Fatal(err)
		}
		files["book.yaml"].Data = written
		second, err := notebook.Read(files, "book.yaml")
		if err != nil {
			t.Fatalf("%v in\n%s", err, written)
		}
		if diff := different(first, second); diff != "" {
			t.Fatalf("%s in\n%s", diff, written)
		}
	})
}
