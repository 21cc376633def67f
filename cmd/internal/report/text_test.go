package report_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

func TestTextOfAFixedDocument(t *testing.T) {
	golden(t, "decay.txt", []byte(report.Text(fixed(t), 80)))
	golden(t, "brief.txt", []byte(report.Brief(fixed(t), 80, "")))
}

func TestPlotOfAFixedDocument(t *testing.T) {
	golden(t, "decay-plot.txt", []byte(report.Plot(fixed(t), 76, 18)))
}

// No line is wider than the terminal, however long the names and sentences in the document are.
func TestTextFitsTheTerminal(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		d := fixed(t)
		words := rapid.StringOfN(rapid.RuneFrom([]rune("ab τΩ-/.\t\n\x1b\"\u202e漢")), 0, 300, -1)
		d.Photo.File = words.Draw(r, "file")
		d.Doubts = append(d.Doubts, words.Draw(r, "doubt"))
		d.Results[0].Label = wire.Text(words.Draw(r, "label"))
		d.Results[1].Value = wire.Number(rapid.Float64().Draw(r, "value"))
		d.Results[1].U = wire.Number(math.Abs(rapid.Float64().Draw(r, "u")))
		d.Error = &wire.Error{Reason: words.Draw(r, "reason"), Hint: wire.Text(words.Draw(r, "hint"))}
		width := rapid.IntRange(0, 200).Draw(r, "width")
		text := report.Text(d, width) + report.Brief(d, width, "") + report.Plot(d, max(30, min(width, 80)), 12)
		for l := range strings.Lines(text) {
			l = strings.TrimSuffix(l, "\n")
			if n := utf8.RuneCountInString(l) + strings.Count(l, "漢"); n > max(50, min(width, 80)) {
				r.Fatalf("width %d: a line of %d columns: %q", width, n, l)
			}
			if strings.ContainsAny(l, "\x1b\t\r\u202e") {
				r.Fatalf("a control character came through: %q", l)
			}
		}
	})
}

// The table reads back with an ordinary CSV reader to the numbers of the document.
func TestCSVReadsBack(t *testing.T) {
	d := fixed(t)
	d.Photo.File = "two\nlines,\"quoted\".jpg"
	r := csv.NewReader(bytes.NewReader(report.CSV(d)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(rows[0], ","); got != "t_s,v_V,u_V,x_box,y_box,sigma_box" {
		t.Errorf("columns %s", got)
	}
	tr := d.Traces[0]
	if len(rows)-1 != len(tr.X) {
		t.Fatalf("%d rows for %d samples", len(rows)-1, len(tr.X))
	}
	hidden := 0
	for i, row := range rows[1:] {
		for c, want := range []float64{tr.T[i], tr.V[i], tr.U[i], tr.X[i], tr.Y[i], tr.Sigma[i]} {
			if math.IsNaN(tr.Y[i]) && c != 0 && c != 3 {
				if row[c] != "" {
					t.Errorf("row %d, column %d: %q where the trace is hidden", i, c, row[c])
				}
				hidden++
				continue
			}
			got, err := strconv.ParseFloat(row[c], 64)
			if err != nil || got != want {
				t.Errorf("row %d, column %d: %q, want %v", i, c, row[c], want)
			}
		}
	}
	if hidden == 0 {
		t.Error("the fixed document has no hidden sample, and this test tells nothing of them")
	}
}

func TestCSVOfAFixedDocument(t *testing.T) {
	golden(t, "points.csv", report.CSV(fixed(t)))
}

// What a terminal would obey: C0, DEL, C1 as characters and as bytes, and what turns the direction of writing.
func TestCleanTakesOutWhatATerminalObeys(t *testing.T) {
	for in, want := range map[string]string{
		"mist.jpg": "mist.jpg", "Übung τ 漢字.jpg": "Übung τ 漢字.jpg", "a\x1b[2Jb\r\n\tc\x00\x7f": "a [2Jb   c  ",
		"a\u009b31mb\u0085": "a 31mb ", "a\x9b31m": "a\ufffd31m",
		"a\u202egpj.exe": "a gpj.exe", "a\u2066b\u2069\u200f\u200e\u061cc\u2028": "a b    c ",
	} {
		if got := report.Clean(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}
