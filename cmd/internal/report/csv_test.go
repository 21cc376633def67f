package report_test

import (
	"strconv"
	"strings"
	"testing"

	"quadrille/cmd/internal/report"
)

// Spreadsheets take a cell for a formula that begins with = + - or @ and is no number, whatever the sign that they part
// cells by, and with or without quotes (common practice, no source).
func TestNoCellOfATableIsAFormula(t *testing.T) {
	for _, name := range []string{"=1+1.jpg", "a,=1+1.jpg", `a","=1+1`, "a;@SUM(1)", "a\t-1+1", "+1", "-2+3", "@x", "a,-5", "a\n=1+1,b"} {
		d := fixed(t)
		d.Photo.File = name
		text := string(report.CSV(d))
		if strings.Count(text, "\n") != strings.Count(string(report.CSV(fixed(t))), "\n") {
			t.Errorf("%q breaks a line", name)
		}
		for _, sign := range ",;\t" {
			for line := range strings.Lines(text) {
				for cell := range strings.SplitSeq(strings.TrimSuffix(line, "\n"), string(sign)) {
					cell = strings.TrimLeft(cell, ` "'`)
					if cell == "" || !strings.ContainsRune("=+-@", rune(cell[0])) {
						continue
					}
					if _, err := strconv.ParseFloat(cell, 64); err != nil && !strings.Contains(cell, ",") {
						t.Errorf("%q parted by %q makes a cell %q", name, sign, cell)
					}
				}
			}
		}
	}
}
