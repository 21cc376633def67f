package report

import (
	"maps"

	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
)

// Files gives all that a reading leaves in a folder, by file name, for Save. r is the reading that d
// was made from; it has the photo for the pictures.
func Files(d *wire.Document, r *reading.Reading, print Print) (map[string][]byte, error) {
	text, err := wire.Encode(d)
	if err != nil {
		return nil, err
	}
	pictures := Illustrate(r)
	page, err := Page(d, pictures)
	if err != nil {
		return nil, err
	}
	sheets, err := PDF(d, pictures, print)
	if err != nil {
		return nil, err
	}
	files := Figures(d)
	files["result.json"], files["page.html"], files["page.pdf"] = text, page, sheets
	maps.Copy(files, tables(d))
	return files, nil
}
