package report_test

import (
	"encoding/xml"
	"fmt"
	"html"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

func pageOf(t testing.TB, d *wire.Document) string {
	t.Helper()
	return string(report.Page(d, nil, report.Print{}))
}

func TestPageOfAFixedDocument(t *testing.T) {
	golden(t, "decay.html", []byte(pageOf(t, fixed(t))))
}

func TestFiguresOfAFixedDocument(t *testing.T) {
	figures := report.Figures(fixed(t), report.Print{})
	for _, name := range []string{"v-t.svg", "ln-v.svg", "paper.svg"} {
		golden(t, name, figures[name])
		wellFormed(t, name, string(figures[name]))
	}
}

// Every number that the document gives of a result is on the page, to the digits printed.
func TestPageHoldsEveryNumber(t *testing.T) {
	d := fixed(t)
	page := pageOf(t, d)
	text := html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page[strings.Index(page, "<main>"):], " "))
	printed := numbers(text)
	want := func(what string, x wire.Number) {
		t.Helper()
		if !x.Known() {
			return
		}
		for _, p := range printed {
			for _, power := range []float64{1, 1e-9, 1e-6, 1e-3, 1e3, 1e6, 100, 1e-2} { // prefixes, per cent
				if math.Abs(p.value*power-float64(x)) <= 0.51*p.step*power {
					return
				}
			}
		}
		t.Errorf("%s: %v is not on the page", what, float64(x))
	}
	for _, r := range d.Results {
		name := r.Quantity + " " + string(r.Method)
		want(name, r.Value)
		want(name+" u", r.U)
		want(name+" U", r.Expanded)
		want(name+" k", r.K)
		want(name+" dof", r.DOF)
		for _, b := range r.Budget {
			want(name+" value of "+b.Source, b.Value)
			want(name+" standard of "+b.Source, b.Standard)
			want(name+" sensitivity to "+b.Source, b.Sensitivity)
			want(name+" contribution of "+b.Source, b.U)
			want(name+" dof of "+b.Source, b.DOF)
		}
	}
	want("volts per box", d.Settings.VoltsPerBox)
	want("time per box", d.Settings.TimePerBox)
	want("residual", d.Graticule.Residual)
	want("slope", -d.LogLines[0].Slope)
	want("effective n", d.Fits[0].EffectiveN)
	for _, s := range []string{d.Comparisons[0].Says, d.Doubts[0], string(d.Photo.SHA256), d.Fits[0].Formula} {
		if !strings.Contains(text, s) {
			t.Errorf("%q is not on the page", s)
		}
	}
}

type printed struct{ value, step float64 }

// numbers finds the numbers in a text, with the step of their last digit: "10.34(5)" is 10.34 ± 0.01.
func numbers(text string) []printed {
	var out []printed
	plain := strings.NewReplacer("⁻", "-", "⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9")
	for _, m := range regexp.MustCompile(`(−?\d+(?:\.\d+)?)(?: × 10([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?`).FindAllStringSubmatch(text, -1) {
		digits := strings.Replace(m[1], "−", "-", 1)
		v, _ := strconv.ParseFloat(digits, 64)
		step := 1.0
		if _, after, ok := strings.Cut(digits, "."); ok {
			step = math.Pow10(-len(after))
		}
		if m[2] != "" {
			power, _ := strconv.Atoi(plain.Replace(m[2]))
			v, step = v*math.Pow10(power), step*math.Pow10(power)
		}
		out = append(out, printed{v, step})
	}
	return out
}

// The page asks nothing of any other place, and holds no script.
func TestPageStandsAlone(t *testing.T) {
	page := pageOf(t, fixed(t))
	for _, bad := range []string{"http:", "https:", "//", "<script", "<link", "@import", "url("} {
		if i := strings.Index(strings.ToLower(page), bad); i >= 0 {
			t.Errorf("the page has %q: …%.60s…", bad, page[max(0, i-20):])
		}
	}
	for _, m := range regexp.MustCompile(`(?:src|href)\s*=\s*"([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if !strings.HasPrefix(m[1], "data:") {
			t.Errorf("the page refers to %q", m[1])
		}
	}
}

// Text from outside stays text, in the page and in the figures.
func TestPageEscapesWhatComesFromOutside(t *testing.T) {
	const evil = `"><script>alert(1)</script><img src=x onerror='a()'>&amp;`
	d := fixed(t)
	d.Photo.File, d.Photo.Taken, d.Photo.SHA256 = evil, evil, evil
	d.Doubts, d.Settings.GroundFrom, d.Signal, d.SignalFrom = []string{evil}, evil, evil, evil
	d.Error = &wire.Error{Reason: evil, Hint: evil}
	for i := range d.Traces {
		d.Traces[i].Name, d.Traces[i].Colour = evil, evil
		d.Traces[i].Effects = []wire.Effect{{Source: evil}}
	}
	for i := range d.Results {
		d.Results[i].Label, d.Results[i].Method, d.Results[i].Unit = evil, evil, evil
		d.Results[i].Budget = []wire.Term{{Source: evil, Unit: evil, Distribution: evil}}
	}
	d.Fits[0].Label, d.Fits[0].Formula, d.LogLines[0].Label = evil, evil, evil
	d.Comparisons[0].Says = evil
	d.Graticule.Found = evil
	page := pageOf(t, d)
	if strings.Contains(page, "<script") || strings.Contains(page, "<img") {
		t.Error("markup from the document reached the page")
	}
	balanced(t, page)
	for name, f := range report.Figures(d, report.Print{}) {
		wellFormed(t, name, string(f))
	}
}

// A page is made of whatever a failed reading left.
func TestPageOfAPartialDocument(t *testing.T) {
	d := fixed(t)
	d.Error = &wire.Error{Kind: "analysis", Reason: "no decay was found", Hint: "give the kind of signal"}
	for _, cut := range []func(){
		func() { d.Results, d.Comparisons, d.Fits, d.LogLines = nil, nil, nil, nil },
		func() { d.Traces[0].T, d.Traces[0].V, d.Traces[0].U = nil, nil, nil },
		func() { d.Traces = nil },
		func() { d.Graticule = nil },
		func() { *d = wire.Document{Error: d.Error} },
	} {
		cut()
		page := pageOf(t, d)
		balanced(t, page)
		for _, s := range []string{"no decay was found", "give the kind of signal", "Discharge it through a resistor"} {
			if !strings.Contains(page, s) {
				t.Errorf("%q is missing", s)
			}
		}
		if strings.Contains(page, "NaN") || strings.Contains(page, "Inf") {
			t.Error("the page shows a NaN or an infinity")
		}
	}
}

// balanced checks that every element of a page is closed, in order, and its drawings are XML.
func balanced(t *testing.T, page string) {
	t.Helper()
	void := map[string]bool{"meta": true, "input": true, "img": true, "br": true, "path": true, "circle": true}
	var open []string
	body := page[strings.Index(page, "</style>"):]
	for _, m := range regexp.MustCompile(`<(/?)([a-z0-9]+)(?:\s+[a-zA-Z-]+(?:="[^"<>]*")?)*\s*/?>`).FindAllStringSubmatch("<style>"+body, -1) {
		switch {
		case void[m[2]]:
		case m[1] == "":
			open = append(open, m[2])
		case len(open) == 0 || open[len(open)-1] != m[2]:
			if m[2] != "head" && m[2] != "body" && m[2] != "html" {
				t.Errorf("</%s> closes %v", m[2], open)
				return
			}
		default:
			open = open[:len(open)-1]
		}
	}
	if n := strings.Count(body, "<"); n != len(regexp.MustCompile(`<(/?)([a-z0-9]+)(?:\s+[a-zA-Z-]+(?:="[^"<>]*")?)*\s*/?>`).FindAllString(body, -1)) {
		t.Error("a < stands outside of the elements")
	}
	for _, f := range regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAllString(page, -1) {
		wellFormed(t, "figure on the page", f)
	}
}

func wellFormed(t *testing.T, name, text string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		_, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
	}
}

// WCAG 2.2, success criterion 1.4.3: text has a contrast of at least 4.5 to 1 with its ground, in
// light, dark and print. The formula is that of its definition of relative luminance.
func TestTextHasContrast(t *testing.T) {
	css, err := os.ReadFile("page.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllStringSubmatch(string(css), -1)
	if len(blocks) != 3 {
		t.Fatalf("%d sets of colours, want light, dark and print", len(blocks))
	}
	for i, b := range blocks {
		colours := map[string]string{}
		for _, m := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]+);`).FindAllStringSubmatch(b[1], -1) {
			colours[m[1]] = m[2]
		}
		for _, pair := range [][2]string{{"ink", "paper"}, {"quiet", "paper"}, {"ink", "doubt"}, {"ink", "alarm"}} {
			if c := contrast(t, colours[pair[0]], colours[pair[1]]); c < 4.5 {
				t.Errorf("set %d: %s on %s has a contrast of %.2f", i, pair[0], pair[1], c)
			}
		}
		// 1.4.11: lines that carry meaning need 3 to 1.
		for _, line := range []string{"fit", "bars", "doubt-rim", "alarm-rim", "good"} {
			if c := contrast(t, colours[line], colours["paper"]); c < 3 {
				t.Errorf("set %d: %s has a contrast of %.2f", i, line, c)
			}
		}
	}
}

func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func luminance(t *testing.T, c string) float64 {
	t.Helper()
	if len(c) == 4 {
		c = "#" + strings.Repeat(c[1:2], 2) + strings.Repeat(c[2:3], 2) + strings.Repeat(c[3:4], 2)
	}
	var rgb [3]uint8
	if _, err := fmt.Sscanf(c, "#%02x%02x%02x", &rgb[0], &rgb[1], &rgb[2]); err != nil {
		t.Fatalf("colour %q: %v", c, err)
	}
	sum := 0.0
	for i, share := range []float64{0.2126, 0.7152, 0.0722} {
		v := float64(rgb[i]) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		sum += share * v
	}
	return sum
}

// The heading is the title that a person gave, with the first value ± U below it; the file's name stays on the page.
func TestHeadingIsTheTitleWithItsValue(t *testing.T) {
	d := fixed(t)
	d.Title = "Mist timer, third try"
	page := pageOf(t, d)
	for _, want := range []string{"<h1>Mist timer, third try</h1>\n<p class=\"short\"><strong>time constant τ (10.340 ± 0.099) s</strong>", "File: mist-timer-3.jpg."} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q on the page", want)
		}
	}
	if strings.Contains(pageOf(t, fixed(t)), "File:") {
		t.Error("without a title the file is named twice")
	}
}

// A source that has no size of its own, as the scatter of the points, shows none: no "1.00" with a sensitivity that is
// the contribution again. A scale's accuracy is in percent or ppm, and no budget is open unless a person opens it.
func TestBudgetsAreInWords(t *testing.T) {
	page := pageOf(t, fixed(t))
	_, budgets, ok := strings.Cut(page, `id="h-budgets"`)
	if !ok {
		t.Fatal("no budgets")
	}
	for _, bad := range []string{"sensitivity", "standard uncertainty", `<td data-name="known to (u)">1.00</td>`, "<details open", ">rectangular<"} {
		if strings.Contains(budgets, bad) {
			t.Errorf("a budget has %q", bad)
		}
	}
	for _, want := range []string{"anywhere within limits", " for 1 %", "<span class=\"quiet\">from "} {
		if !strings.Contains(budgets, want) {
			t.Errorf("no budget has %q", want)
		}
	}
}
