// Package handout has the figures of a reading alone: as SVG, as PNG, and in one PDF, all drawn from one description
// (report.Drawings). It is apart from the pages so that the page's core, which makes no such pictures, need not carry
// what fills letters.
package handout

import (
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// Files gives each figure that d has data for as NAME.svg and NAME.png, and all of them in figures.pdf. The same
// document gives the same bytes.
func Files(d *wire.Document, print report.Print) (map[string][]byte, error) {
	files := report.Handout(d, print)
	for _, f := range report.Drawings(d, print) {
		b, err := picture(f)
		if err != nil {
			return nil, err
		}
		files[f.Name+".png"] = b
	}
	return files, nil
}
