package report_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// experiment has the fixed document twice, once as slow by a twentieth, and a photo that was not read; of stands in
// every text that comes from a notebook.
func experiment(t testing.TB, of string) *report.Experiment {
	t.Helper()
	slow, unread := fixed(t), fixed(t)
	for i := range slow.Results {
		if r := &slow.Results[i]; r.Quantity == "tau" {
			r.Value *= 1.05
		}
	}
	slow.Doubts = []string{"Look at it with --ground bottom: " + of}
	*unread = wire.Document{Error: &wire.Error{Kind: "graticule", Reason: "there is no grid on " + of, Hint: "give --corners"}}
	first := fixed(t)
	first.Title = wire.Text(of)
	names := []string{"low" + of, "high" + of, "gone" + of}
	e := &report.Experiment{Notebook: "book.yaml", Title: wire.Text("Two drives " + of), By: wire.Text("A. Student " + of), Date: "2026-11-30",
		Photos: []report.Part{{Name: names[0], File: "low.jpg" + of, Document: first}, {Name: names[1], File: "high.jpg", Document: slow},
			{Name: names[2], File: "gone.jpg", Document: unread}}}
	e.Photos[1].Sketch = &report.Held{File: "drawn.png" + of, Error: wire.Text("there are no squares " + of)}
	e.NameFolders()
	members := []compare.Member{{Name: names[0], Document: first}, {Name: names[1], Document: slow}, {Name: names[2]}}
	for _, list := range [][]compare.Member{members, members[:1], compare.Member{Name: names[0], Document: first}.AllWays("tau")} {
		q, lacking := compare.Asked("tau", "s", list)
		e.Compared = append(e.Compared, report.Asked{Quantity: q, Lacking: lacking})
	}
	return e
}

// The terminal has each photo's answer, what was compared and what is to be looked at.
func TestExperimentOnATerminal(t *testing.T) {
	golden(t, "experiment.txt", []byte(report.ExperimentText(experiment(t, ""), 80)))
}

// A setting that the notebook gives as what the generator says is named so.
func TestDialsAreNamedAsTheNotebookHasThem(t *testing.T) {
	for _, dials := range [][][2]string{nil, {{"known_frequency", "frequency"}}} {
		e := experiment(t, "")
		e.Photos[0].Document.Notes, e.Photos[0].Dials = []string{"Not used: --known-frequency."}, dials
		page := string(report.ExperimentPage(e, report.Print{}))
		if dialled := strings.Contains(page, "Not used: “generator: frequency”"); dialled != (dials != nil) {
			t.Errorf("given by the dials %v, it is named so: %v", dials, dialled)
		}
	}
}

// Of many comparisons one beyond 2 is no doubt, one beyond the limit of all of them is; either stays marked and is
// told.
func TestChanceIsNoDoubt(t *testing.T) {
	for _, c := range []struct {
		of      int
		zeta    wire.Number
		doubted bool
		says    string
	}{
		{1, 2.3, true, "its one comparison does not agree"},
		{16, 2.3, false, "1 of 16 comparisons is more than 2 standard uncertainties apart"},
		{16, 3.1, true, "1 of 16 comparisons does not agree"},
		{60, 3.1, false, "more than 3.4 of its standard uncertainties apart in 1 case of 22 by chance alone"},
	} {
		e := experiment(t, "")
		d := &wire.Document{Comparisons: slices.Repeat([]wire.Comparison{{Agree: true, Short: "one and another"}}, c.of)}
		d.Comparisons[c.of/2] = wire.Comparison{Zeta: c.zeta, Short: "curve and meters"}
		e.Photos, e.Compared = []report.Part{{Name: "low", File: "low.jpg", Document: d}}, nil
		if e.Doubted() != c.doubted {
			t.Errorf("%d comparisons and a zeta of %v: doubted %v", c.of, c.zeta, !c.doubted)
		}
		page := string(report.ExperimentPage(e, report.Print{}))
		if !strings.Contains(page, c.says) || strings.Contains(report.ExperimentText(e, 80), "not agree") != c.doubted ||
			strings.Contains(page, "The results agree") == c.doubted {
			t.Errorf("%d comparisons and a zeta of %v: the page does not say %q, or\n%s", c.of, c.zeta, c.says, report.ExperimentText(e, 80))
		}
	}
}

// Of many values not every pair is told that agrees.
func TestManyPairsAreCounted(t *testing.T) {
	e := experiment(t, "")
	members := []compare.Member{{Name: "low", Document: e.Photos[0].Document}}
	for _, x := range []float64{10.3, 10.35, 10.4, 12} {
		members = append(members, compare.Member{Name: "low", Way: "by_hand", Given: &unit.Value{X: x, U: 0.1}})
	}
	q, _ := compare.Asked("tau", "s", members)
	e.Compared = []report.Asked{{Quantity: q}}
	page := string(report.ExperimentPage(e, report.Print{}))
	if !strings.Contains(page, "6 of the 10 pairs agree") || strings.Count(page, "read by hand do not agree: ") != 4 || !strings.Contains(page, "all 5 together do not agree") {
		t.Error(regexp.MustCompile(`<li[^<]*`).FindAllString(page, -1))
	}
}

// One page holds all photos: its headings have names of their own, it asks nobody for anything, and it links to what
// lies beside it.
func TestExperimentPageStandsAlone(t *testing.T) {
	page := report.ExperimentPage(experiment(t, ""), report.Print{})
	root, err := html.Parse(strings.NewReader(string(page)))
	if err != nil {
		t.Fatal(err)
	}
	ids, named, links := map[string]bool{}, []string{}, []string{}
	for n := range root.Descendants() {
		for _, a := range n.Attr {
			switch a.Key {
			case "id":
				if ids[a.Val] {
					t.Errorf("two are called %s", a.Val)
				}
				ids[a.Val] = true
			case "aria-labelledby", "for":
				named = append(named, a.Val)
			case "href":
				links = append(links, a.Val)
			case "src":
				if !strings.HasPrefix(a.Val, "data:") {
					t.Errorf("it loads %s", a.Val)
				}
			}
		}
	}
	for _, id := range named {
		if !ids[id] {
			t.Errorf("nothing is called %s", id)
		}
	}
	if !slices.Equal(links, []string{"low/page.html", "high/page.html"}) {
		t.Errorf("it links to %v", links)
	}
	text := string(page)
	balanced(t, text)
	for _, has := range []string{"gone was not read", "“ground: bottom”", "Not read to the end", "drawn.png was not held against the photo: there are no squares", "Before you touch the circuit"} {
		if !strings.Contains(text, has) {
			t.Errorf("it does not say %q", has)
		}
	}
	if regexp.MustCompile(`--[a-z]+-?[a-z]*[ :]`).MatchString(strings.Join(regexp.MustCompile(`<li>[^<]*`).FindAllString(text, -1), "")) {
		t.Error("it names flags, and not the keys of a notebook")
	}
}

// Whatever a notebook's texts are, they stay text.
func TestNoTextOfANotebookBecomesMarkup(t *testing.T) {
	plain := skeleton(t, report.ExperimentPage(experiment(t, "plain"), report.Print{}))
	link := regexp.MustCompile(`^a href .*`)
	for _, of := range hostile {
		got := skeleton(t, report.ExperimentPage(experiment(t, of), report.Print{}))
		for _, l := range [][]string{plain, got} {
			for i := range l {
				l[i] = link.ReplaceAllString(l[i], "a")
			}
		}
		if !slices.Equal(got, plain) {
			t.Errorf("%q changes the page", of)
		}
	}
}

// The sheets begin with the answers, and each photo and the appendix on a page of their own.
func TestExperimentPDFIsAWholeFile(t *testing.T) {
	for _, of := range []string{"", "漢字 𝜏 \x00 \xff", strings.Repeat("longwithoutspaces", 50)} {
		if pages, _ := sheets(t, report.ExperimentPDF(experiment(t, of), report.Print{})); pages < 5 {
			t.Errorf("%d pages, want 5 at least", pages)
		}
	}
}

// Folders are called as their photos are, in letters that every file system has, and no two alike.
func TestFoldersOfAnExperiment(t *testing.T) {
	e := &report.Experiment{}
	for _, name := range []string{"low drive", "Low/Drive", "../..", "τ at 3 V", "con:", "", strings.Repeat("x", 99)} {
		e.Photos = append(e.Photos, report.Part{Name: name})
	}
	e.NameFolders()
	var got []string
	for _, p := range e.Photos {
		got = append(got, p.Folder)
	}
	want := []string{"low-drive", "Low-Drive-2", "photo", "τ-at-3-V", "photo-con", "photo-2", strings.Repeat("x", 40)}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

// Neither the sheet nor the pages of its photos name a flag: who reads them has the notebook.
func TestPagesOfANotebookNameItsKeys(t *testing.T) {
	files, err := report.ExperimentFiles(experiment(t, ""), report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	pages := 0
	for name, b := range files {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		pages++
		body := string(b[strings.Index(string(b), "<main>"):])
		says := html.UnescapeString(regexp.MustCompile(`(?s)<[^>]*>`).ReplaceAllString(body, ""))
		if i := strings.Index(says, "--"); i >= 0 {
			t.Errorf("%s says …%s…", name, says[max(0, i-60):min(len(says), i+60)])
		}
		if !strings.Contains(says, "“trace: a” or “trace: b”") && !strings.Contains(says, "“ground: bottom”") {
			t.Errorf("%s names no key", name)
		}
	}
	if pages != 3 {
		t.Errorf("%d pages", pages)
	}
}

// Of one photo the first page has all: the answer, the sentence and the display to scale, and no part of it twice.
func TestOnePhotoIsAnsweredOnTheFirstPage(t *testing.T) {
	e := experiment(t, "")
	e.Photos, e.Compared = e.Photos[:1], e.Compared[2:]
	page := string(report.ExperimentPage(e, report.Print{}))
	balanced(t, page)
	at := 0
	for _, want := range []string{"1 of 2 comparisons does not agree", "The answers", "time constant τ (10.340 ± 0.099) s", `id="h-p1-paper"`,
		"Time constant τ of low in ", `class="photo-part alone"`} {
		i := strings.Index(page[at:], want)
		if i < 0 {
			t.Fatalf("%q does not follow", want)
		}
		at += i
	}
	for _, once := range []string{`id="h-p1-paper"`, "1 of 2 comparisons does not agree:", "The file’s SHA-256"} {
		if n := strings.Count(page, once); n > 1 {
			t.Errorf("%q stands there %d times", once, n)
		}
	}
	alone, _ := sheets(t, report.ExperimentPDF(e, report.Print{}))
	both, _ := sheets(t, report.ExperimentPDF(experiment(t, ""), report.Print{}))
	if alone > 5 || alone >= both {
		t.Errorf("%d sheets of one photo, %d of two", alone, both)
	}
}

// Where little is compared the first photo begins on the first page, as far as its figure has room there.
func TestTheFirstPageIsUsed(t *testing.T) {
	e := experiment(t, "")
	e.Photos, e.Compared = e.Photos[:2], nil
	for i := range e.Photos {
		d := e.Photos[i].Document
		*d = wire.Document{Photo: wire.Photo{File: d.Photo.File}, Graticule: d.Graticule, Traces: d.Traces, Results: d.Results, Settings: d.Settings}
		d.Graticule.Doubts, d.Graticule.DoubtKinds = nil, nil
		for k := range d.Traces {
			d.Traces[k].Doubts, d.Traces[k].DoubtKinds = nil, nil
		}
		for k := range d.Results {
			d.Results[k].Doubts, d.Results[k].DoubtKinds = nil, nil
		}
	}
	e.Photos[1].Sketch = nil
	calm, _ := sheets(t, report.ExperimentPDF(e, report.Print{}))
	e.Photos[0].Document.Doubts = []string{"Look at the grid."} // who looks at this finds the photo on a page of its own
	doubted, _ := sheets(t, report.ExperimentPDF(e, report.Print{}))
	if calm >= doubted {
		t.Errorf("%d sheets, %d where the first photo has one of its own", calm, doubted)
	}
}
