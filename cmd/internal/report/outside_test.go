//go:build outside

// Pages and figures as programs from elsewhere see them: qpdf says whether a PDF is what ISO 32000 asks for,
// pdftotext what is copied from it, html-validate whether a page is HTML, pdftoppm and chromium what is printed. Where
// one of them is missing the tests fail.

package report_test

import (
	"bytes"
	"context"
	"fmt"
	"image/color"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"quadrille/cmd/internal/handout"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/trace"
)

// run gives what a program of this machine prints; its complaints are a failure.
func run(t *testing.T, program string, args ...string) []byte {
	t.Helper()
	c := exec.CommandContext(t.Context(), program, args...)
	var errs bytes.Buffer
	c.Stderr = &errs
	out, err := c.Output()
	if err != nil || errs.Len() > 0 {
		t.Fatalf("%s %s: %v\n%s%s", program, strings.Join(args, " "), err, out, errs.Bytes())
	}
	return out
}

// kept writes a file for a program from elsewhere.
func kept(t *testing.T, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// illustrated is the fixed document with pictures, and with the signs that are hard to copy.
func illustrated(t *testing.T) (*wire.Document, *report.Pictures) {
	t.Helper()
	d := fixed(t)
	ph, g := scene(t, int(d.Photo.Width), int(d.Photo.Height), func(b geom.Box) color.RGBA {
		return color.RGBA{uint8(20 * math.Abs(b.X)), uint8(20 * math.Abs(b.Y)), 90, 255}
	})
	tr := &trace.Trace{Name: "a", X: d.Traces[0].X, Y: d.Traces[0].Y}
	d.Notes = append(d.Notes, "It was worked out with 470 µF ± 20 % and 21.9 kΩ.")
	return d, report.Illustrate(&reading.Reading{Photo: ph, Graticule: g, Traces: []*trace.Trace{tr}})
}

// everyPDF makes one of each kind that the program makes.
func everyPDF(t *testing.T, print report.Print) map[string][]byte {
	t.Helper()
	d, p := illustrated(t)
	held, drawn := checkOf(t, "0.5")
	checked, err := report.CheckedFiles(held, report.NewOnDrawing(held, drawn, grey(t)), print)
	if err != nil {
		t.Fatal(err)
	}
	compared, err := report.ComparedFiles(comparisonOf(t, func(*wire.Document) {}), print)
	if err != nil {
		t.Fatal(err)
	}
	figures, err := handout.Files(d, print)
	if err != nil {
		t.Fatal(err)
	}
	return map[string][]byte{"read": report.PDF(d, p, print), "sheet": report.ExperimentPDF(experiment(t, ""), print),
		"check": checked["page.pdf"], "compare": compared["page.pdf"], "figures-only": figures["figures.pdf"]}
}

// Every kind of PDF is whole, has the sheets that were asked for, and fonts that it carries itself.
func TestEveryPDFIsAsTheStandardWants(t *testing.T) {
	for _, print := range []report.Print{{}, {Letter: true, Budgets: true}} {
		size := "595.276 x 841.89 pts (A4)" // ISO 216
		if print.Letter {
			size = "612 x 792 pts (letter)"
		}
		for name, b := range everyPDF(t, print) {
			path := kept(t, name+".pdf", b)
			if said := string(run(t, "qpdf", "--check", path)); !strings.Contains(said, "No syntax or stream encoding errors") {
				t.Errorf("%s: qpdf says\n%s", name, said)
			}
			if said := string(run(t, "pdfinfo", path)); !strings.Contains(said, size) {
				t.Errorf("%s: want sheets of %s\n%s", name, size, said)
			}
			fonts := strings.Split(strings.TrimSpace(string(run(t, "pdffonts", path))), "\n")[2:] // below the head
			for _, l := range fonts {
				if !regexp.MustCompile(` yes yes yes +\d+ +\d+$`).MatchString(strings.TrimSpace(l)) {
					t.Errorf("%s: a font %s", name, l)
				}
			}
			if len(fonts) == 0 {
				t.Errorf("%s has no fonts", name)
			}
		}
	}
}

// Copied text has the signs of physics as they are, in the order in which a person reads the page, and a line of a
// table as a line.
func TestTextIsCopiedAsItIsRead(t *testing.T) {
	text := map[string]string{}
	for name, b := range everyPDF(t, report.Print{}) {
		text[name] = string(run(t, "pdftotext", "-layout", kept(t, name+".pdf", b), "-"))
		if strings.Contains(text[name], "\ufffd") {
			t.Errorf("%s has signs that cannot be copied", name)
		}
	}
	for _, sign := range []string{"470 µF ± 20 %", "21.9 kΩ", "τ", "−1/τ",
		"ln(|V − V∞| / 1 V)", "u², %", "R × C", "ν = ∞"} {
		if !strings.Contains(text["read"], sign) {
			t.Errorf("read: no %q", sign)
		}
	}
	for name, order := range map[string][]string{
		"read": {"time constant τ", "1 of 2 comparisons does not agree", "Look at this before", "voltage (V)",
			"On squared paper", "The photo. Settings", "volts per box", "The trace", "points − fit", "Results", "quantity",
			"Do they agree?", "Worth knowing", "Appendix", "share of u²", "Before you touch the circuit", "SHA-256"},
		"sheet": {"Two drives", "A. Student", "Look at this before", "The answers", "Time constant τ of", "reading",
			"Appendix", "Before you touch the circuit", "Where the numbers come from"},
		"check": {"Mist timer", "The drawing departs", "Both on the display’s boxes", "The display laid on the drawing",
			"How far off", "What each says", "Before you touch the circuit"},
		"compare": {"Mist timer", "Time constant τ: the same", "What is compared", "Time constant τ", "A and B agree",
			"Before you"},
		"figures-only": {"voltage (V)", "time (s)", "points − fit", "ln(|V − V∞| / 1 V)", "τ (s)"},
	} {
		at := 0
		for _, words := range order {
			i := strings.Index(text[name][at:], words)
			if i < 0 {
				t.Errorf("%s: %q does not follow, in\n%s", name, words, text[name][at:min(at+1500, len(text[name]))])
				break
			}
			at += i + len(words)
		}
	}
	// The name of a result stands in the line of its values.
	line := regexp.MustCompile(`(?m)curve through the points +10\.34\(5\) s +0\.049 s +\(10\.340 ± 0\.099\) s`)
	if !line.MatchString(text["read"]) {
		t.Errorf("read: a line of the table is not one:\n%s", text["read"])
	}
}

// A box of the display is printed as wide and as high as was asked for, to 0.05 mm, from the PDF and from what a
// browser prints of the page and of the figure's file.
func TestABoxIsPrintedToScale(t *testing.T) {
	d, p := illustrated(t)
	for _, print := range []report.Print{{}, {Letter: true}, {Box: 5}, {Box: 25.4 / 4, Letter: true}} {
		want := print.Box
		if want == 0 {
			want = 10
		}
		folder := t.TempDir()
		files := report.Figures(d, print)
		files["page.html"] = report.Page(d, p, print)
		for name, b := range files {
			if err := os.WriteFile(filepath.Join(folder, name), b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		printed := map[string][]byte{"page.pdf": report.PDF(d, p, print),
			"page.html": byBrowser(t, filepath.Join(folder, "page.html"))}
		if !print.Letter { // where the sheet makes no difference
			printed["figures.pdf"] = report.Handout(d, print)["figures.pdf"]
			printed["paper.svg"] = byBrowser(t, filepath.Join(folder, "paper.svg"))
		}
		for _, name := range slices.Sorted(maps.Keys(printed)) {
			across, up := boxes(t, name, printed[name], d.Graticule.Columns, d.Graticule.Rows)
			t.Logf("%+v, %s: %.3f × %.3f mm", print, name, across, up)
			if math.Abs(across-want) > 0.05 || math.Abs(up-want) > 0.05 {
				t.Errorf("%+v, %s: a box is %.3f × %.3f mm, want %g", print, name, across, up, want)
			}
		}
	}
}

// Every kind of page is valid HTML. HTMLVALIDATE is the path of the program of the npm package html-validate.
func TestEveryPageIsValid(t *testing.T) {
	program := os.Getenv("HTMLVALIDATE")
	if program == "" {
		t.Fatal("HTMLVALIDATE is not set")
	}
	d, p := illustrated(t)
	held, drawn := checkOf(t, "0.5")
	checked, err := report.CheckedFiles(held, report.NewOnDrawing(held, drawn, grey(t)), report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for name, b := range map[string][]byte{".htmlvalidate.json": []byte(`{"extends": ["html-validate:standard"]}`),
		"read.html":  report.Page(d, p, report.Print{}),
		"sheet.html": report.ExperimentPage(experiment(t, ""), report.Print{}),
		"check.html": checked["page.html"], "compare.html": report.ComparedPage(comparisonOf(t, func(*wire.Document) {}))} {
		if err := os.WriteFile(filepath.Join(folder, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	run(t, program, "--config", filepath.Join(folder, ".htmlvalidate.json"), folder)
}

var browser = sync.OnceValues(func() (context.Context, error) {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU)
	ctx, _ := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ = chromedp.NewContext(ctx)
	return ctx, chromedp.Do(ctx)
})

// byBrowser is a file as a browser prints it, on the sheets that it asks for.
func byBrowser(t *testing.T, path string) []byte {
	t.Helper()
	parent, err := browser()
	if err != nil {
		t.Fatal("the browser could not be started: ", err)
	}
	ctx, cancel := chromedp.NewContext(parent)
	defer cancel()
	ctx, cancel = context.WithTimeout(ctx, time.Minute)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+path)); err != nil {
		t.Fatal(err)
	}
	b, err := chromedp.Run(ctx, chromedp.PrintToPDF(func(p *page.PrintToPDFParams) { p.PreferCSSPageSize = new(true) }))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// boxes measures the squares of the display's boxes on the sheet of a PDF that has so many of them, mm: the widest
// squares whose lines are all there, in both directions.
func boxes(t *testing.T, name string, pdf []byte, columns, rows int) (across, up float64) {
	t.Helper()
	const dotsAnInch = 200.0
	path := kept(t, "a.pdf", pdf)
	for sheet := 1; sheet <= 3; sheet++ {
		n := strconv.Itoa(sheet)
		picture := run(t, "pdftoppm", "-r", fmt.Sprint(dotsAnInch), "-gray", "-f", n, "-l", n, path)
		var w, h, most int
		if _, err := fmt.Sscanf(string(picture[:min(40, len(picture))]), "P5\n%d %d\n%d", &w, &h, &most); err != nil {
			t.Fatal(err)
		}
		light := func(x, y int) byte { return picture[len(picture)-w*h+y*w+x] }
		ups := steps(ruled(h, w, func(y, x int) byte { return light(x, y) }), rows)
		for _, x := range steps(ruled(w, h, light), columns) {
			for _, y := range ups {
				if math.Abs(x-y) < 1 && x > across*dotsAnInch/25.4 {
					across, up = x/dotsAnInch*25.4, y/dotsAnInch*25.4
				}
			}
		}
		if across > 0 {
			return across, up
		}
	}
	t.Fatalf("%s: %d × %d boxes are on none of the first sheets", name, columns, rows)
	return 0, 0
}

// ruled gives the middles, in dots, of the straight lines along y that go through a band of 20 mm, for bands all over
// the sheet: a photo beside the lines must not hide them.
func ruled(w, h int, light func(x, y int) byte) (bands [][]float64) {
	const pale, band = 240, 158 // lines are darker; dots
	for top := 0; top+band <= h; top += band / 2 {
		var middles []float64
		from := -1
		for x := range w {
			dark := true
			for y := top; y < top+band && dark; y++ {
				dark = light(x, y) < pale
			}
			switch {
			case dark && from < 0:
				from = x
			case !dark && from >= 0:
				middles = append(middles, float64(from+x)/2)
				from = -1
			}
		}
		bands = append(bands, middles)
	}
	return bands
}

// steps gives, by least squares, how far apart evenly spaced lines are that part a stretch into n, for each stretch for
// which all of them are there to a dot and a half. What lies between them does no harm.
func steps(bands [][]float64, n int) (list []float64) {
	for _, lines := range bands {
		list = append(list, stepsIn(lines, n)...)
	}
	return list
}

func stepsIn(lines []float64, n int) (list []float64) {
	for i, first := range lines {
		for _, last := range lines[i+1:] {
			sum, weighed, there := 0.0, 0.0, true
			for k := 0; k <= n && there; k++ {
				want := first + float64(k)/float64(n)*(last-first)
				at := slices.IndexFunc(lines, func(x float64) bool { return math.Abs(x-want) <= 1.5 })
				if there = at >= 0; there {
					from := float64(k) - float64(n)/2
					sum, weighed = sum+from*from, weighed+from*lines[at]
				}
			}
			if there {
				list = append(list, weighed/sum)
			}
		}
	}
	return list
}
