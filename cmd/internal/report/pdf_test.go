package report_test

import (
	"bytes"
	"compress/zlib"
	"encoding/xml"
	"fmt"
	"image/color"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/trace"
)

// sheets checks the frame of a PDF file (ISO 32000-1, 7.5: header, cross-reference table, trailer) and
// gives its count of pages and of JPEG pictures.
func sheets(t *testing.T, b []byte) (pages, pictures int) {
	t.Helper()
	if !bytes.HasPrefix(b, []byte("%PDF-1.")) || !bytes.HasSuffix(bytes.TrimSpace(b), []byte("%%EOF")) {
		t.Fatal("no header or no end of a PDF")
	}
	m := regexp.MustCompile(`startxref\s+(\d+)\s+%%EOF`).FindSubmatch(b)
	if m == nil {
		t.Fatal("no place of the cross-reference table")
	}
	at, _ := strconv.Atoi(string(m[1]))
	if at >= len(b) || !bytes.HasPrefix(b[at:], []byte("xref\n")) {
		t.Fatal("the cross-reference table is not where the trailer says")
	}
	for i, m := range regexp.MustCompile(`(?m)^(\d{10}) \d{5} n`).FindAllSubmatch(b[at:], -1) {
		place, _ := strconv.Atoi(string(m[1]))
		if want := fmt.Sprintf("%d 0 obj", i+1); !bytes.HasPrefix(b[place:], []byte(want)) {
			t.Fatalf("object %d is not where the table says", i+1)
		}
	}
	return bytes.Count(b, []byte("/Type /Page\n")), bytes.Count(b, []byte("/Filter /DCTDecode"))
}

func TestPDFIsAWholeFile(t *testing.T) {
	d := fixed(t)
	ph, g := scene(t, int(d.Photo.Width), int(d.Photo.Height), func(b geom.Box) color.RGBA {
		return color.RGBA{uint8(20 * math.Abs(b.X)), uint8(20 * math.Abs(b.Y)), 90, 255}
	})
	tr := &trace.Trace{Name: "a", X: d.Traces[0].X, Y: d.Traces[0].Y}
	p := report.Illustrate(&reading.Reading{Photo: ph, Graticule: g, Traces: []*trace.Trace{tr}})
	b := report.PDF(d, p, report.Print{})
	pages, pictures := sheets(t, b)
	if pages < 2 || pages > 4 {
		t.Errorf("%d pages, want 2 to 4: what a student hands in", pages)
	}
	full := report.PDF(d, p, report.Print{Budgets: true})
	if more, _ := sheets(t, full); more <= pages {
		t.Errorf("%d pages with the budgets in full, and %d without", more, pages)
	}
	if pictures != 1+len(p.Margins) {
		t.Errorf("%d pictures, want the photo and %d margins", pictures, len(p.Margins))
	}
}

// Any text from outside, and whatever a failed reading left, still makes a file.
func TestPDFOfOddDocuments(t *testing.T) {
	d := fixed(t)
	d.Error = &wire.Error{Kind: "analysis", Reason: "no decay (was) found \\", Hint: "give the kind"}
	d.Photo.File = "漢字 𝜏 \x00 \xff (1).jpg"
	d.Doubts = append(d.Doubts, strings.Repeat("longwithoutspaces", 100), "")
	d.Results[0].Budget[0].Source = strings.Repeat("a source of many words ", 40)
	for _, cut := range []func(){
		func() {},
		func() { d.Results, d.Comparisons, d.Fits, d.LogLines = nil, nil, nil, nil },
		func() { d.Traces[0].T, d.Traces[0].V, d.Traces[0].U = nil, nil, nil },
		func() { d.Traces = nil },
		func() { d.Graticule = nil },
		func() { *d = wire.Document{} },
	} {
		cut()
		b := report.PDF(d, nil, report.Print{Budgets: true})
		if pages, _ := sheets(t, b); pages < 1 {
			t.Error("no page")
		}
	}
}

// The PDF draws the same figures from their SVG, of which it knows these elements and verbs only.
func TestFiguresUseOnlyWhatThePDFDraws(t *testing.T) {
	verbs := regexp.MustCompile(`^(?:[MLVHmvh][-0-9. ]+)*$`)
	for name, f := range report.Figures(fixed(t), report.Print{}) {
		d := xml.NewDecoder(bytes.NewReader(f))
		for {
			token, err := d.Token()
			if err != nil {
				break
			}
			e, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			switch e.Name.Local {
			case "svg", "title", "style", "rect", "text", "circle":
			case "path":
				for _, a := range e.Attr {
					if a.Name.Local == "d" && !verbs.MatchString(a.Value) {
						t.Errorf("%s: a path with %.60q", name, a.Value)
					}
				}
			default:
				t.Errorf("%s: an element %s", name, e.Name.Local)
			}
		}
	}
}

// The same reading makes the same bytes, whenever and how fast it was made. A photo has several pictures of one width,
// which the PDF writer would order by chance.
func TestTheSameReadingMakesTheSameBytes(t *testing.T) {
	d := fixed(t)
	ph, g := scene(t, int(d.Photo.Width), int(d.Photo.Height), func(b geom.Box) color.RGBA {
		return color.RGBA{uint8(20 * math.Abs(b.X)), uint8(20 * math.Abs(b.Y)), 90, 255}
	})
	r := &reading.Reading{Photo: ph, Graticule: g, Traces: []*trace.Trace{{Name: "a", X: d.Traces[0].X, Y: d.Traces[0].Y}}}
	first, err := report.Files(d, r, report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	for run := range 8 {
		for i := range d.Stages {
			d.Stages[i].Seconds *= 1.5
		}
		again, err := report.Files(d, r, report.Print{})
		if err != nil {
			t.Fatal(err)
		}
		for name, b := range again {
			if !bytes.Equal(b, first[name]) && name != "result.json" {
				t.Errorf("run %d: %s differs", run, name)
			}
		}
	}
	if bytes.Contains(first["page.pdf"], []byte("Date")) {
		t.Error("the PDF has a date")
	}
	sheets(t, first["page.pdf"])
}

// What goes on over the end of a page is written in the same letters, not in those of the page's number.
func TestAPageGoesOnInTheSameLetters(t *testing.T) {
	d := fixed(t)
	for i := range 90 {
		d.Doubts = append(d.Doubts, fmt.Sprint("doubt number ", i))
	}
	pages := 0
	for _, m := range regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`).FindAllSubmatch(report.PDF(d, nil, report.Print{}), -1) {
		r, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue
		}
		text, _ := io.ReadAll(r)
		first := regexp.MustCompile(`/\w+ ([\d.]+) Tf`).FindSubmatch(text)
		if first == nil {
			continue
		}
		if pages++; pages == 2 && string(first[1]) != "9.5" {
			t.Errorf("page 2 begins with letters of %s points, want 9.5", first[1])
		}
	}
	if pages < 3 {
		t.Errorf("%d pages", pages)
	}
}
