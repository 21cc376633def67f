package report_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

func comparisonOf(t *testing.T, change func(*wire.Document)) *compare.Comparison {
	t.Helper()
	a, b := fixed(t), fixed(t)
	b.Photo.SHA256 = "another"
	change(b)
	c, err := compare.Of([]*wire.Document{a, b}, compare.Options{Title: "Mist timer <twice>"})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The page of a comparison stands alone, holds both values and the verdict, and keeps text from outside as text; its
// sheets are two at most.
func TestPageOfAComparison(t *testing.T) {
	const evil = `"><script>alert(1)</script>`
	c := comparisonOf(t, func(d *wire.Document) {
		d.Photo.File = evil
		for i := range d.Results {
			if d.Results[i].Quantity == "tau" {
				d.Results[i].Value *= 1.2
			}
		}
	})
	files, err := report.ComparedFiles(c, report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	page := string(files["page.html"])
	balanced(t, page)
	for _, bad := range []string{"http:", "https:", "<script", "<twice>", "<link", "url("} {
		if strings.Contains(page, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
	for _, want := range []string{"Mist timer &lt;twice&gt;", "10.34(5) s", "12.41(5) s", "A and B do not agree: 2.07(7) s apart", `class="apart"`, "not the same in all"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %q", want)
		}
	}
	if pages, _ := sheets(t, files["page.pdf"]); pages > 2 {
		t.Errorf("%d sheets", pages)
	}
	if !strings.Contains(string(files["compared.json"]), `"quantity": "tau"`) {
		t.Error("no τ in the JSON")
	}
}

// The text of a comparison fits the terminal, and begins with the answer.
func TestTextOfAComparisonFitsTheTerminal(t *testing.T) {
	c := comparisonOf(t, func(*wire.Document) {})
	for _, width := range []int{40, 60, 80, 200} {
		text := report.ComparedText(c, width)
		if !strings.HasPrefix(text, "Time constant τ: the same within the") {
			t.Errorf("it begins with %.60q", text)
		}
		for line := range strings.Lines(text) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > min(max(width, 50), 80) {
				t.Errorf("width %d: %d columns: %s", width, n, line)
			}
		}
		if !regexp.MustCompile(`= A and B agree: .* apart`).MatchString(text) {
			t.Errorf("no verdict in\n%s", text)
		}
	}
}

// The bar of a height that is hardly known ends where the figure does.
func TestBarsOfHeightsEndInTheFigure(t *testing.T) {
	c := comparisonOf(t, func(*wire.Document) {})
	for i := range c.Same {
		c.Same[i].Trend = &compare.Trend{}
		for k := range c.Same[i].Values {
			v := &c.Same[i].Values[k]
			v.Height, v.UHeight = wire.Number(3+k), 300
		}
	}
	page := string(report.ComparedPage(c))
	_, figure, found := strings.Cut(page, "height of the decays (V)")
	if !found {
		t.Fatal("there is no figure of the heights")
	}
	figure, _, _ = strings.Cut(figure, "</svg>")
	bars := regexp.MustCompile(`class="bars"[^>]* d="M(-?[\d.]+) [-\d.]+L(-?[\d.]+) `).FindAllStringSubmatch(figure, -1)
	for _, m := range bars {
		for _, x := range m[1:] {
			if v, err := strconv.ParseFloat(x, 64); err != nil || v < 52 || v > 448 {
				t.Errorf("a bar goes to %s, and the figure from 52 to 448", x)
			}
		}
	}
	if len(bars) < 4 {
		t.Errorf("%d bars", len(bars))
	}
}
