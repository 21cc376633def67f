package report

import (
	"bytes"
	"fmt"
	"maps"
	"path/filepath"
	"slices"

	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
)

// Files gives all that a reading leaves in a folder, by file name, for package save. r is the reading that d
// was made from; it has the photo for the pictures. The same d and r, but for the times of d's stages, give the same
// bytes, other than those of result.json.
func Files(d *wire.Document, r *reading.Reading, print Print) (map[string][]byte, error) {
	return FilesOf(d, Illustrate(r), print)
}

// FilesOf is Files for a document whose pictures were made before; nil for none.
func FilesOf(d *wire.Document, pictures *Pictures, print Print) (map[string][]byte, error) {
	text, err := wire.Encode(d)
	if err != nil {
		return nil, err
	}
	files := Figures(d, print)
	files["result.json"], files["page.html"], files["page.pdf"] = text, Page(d, pictures, print), PDF(d, pictures, print)
	maps.Copy(files, tables(d))
	return files, nil
}

// Handout gives the figures alone, as SVG files and in one PDF, the display to scale on the first sheet. Package
// handout has them as pictures too.
func Handout(d *wire.Document, print Print) map[string][]byte {
	files := Figures(d, print)
	s := newSheet("Figures of "+leafOf(d, nil, print).Title, print)
	for i, f := range Drawings(d, print) {
		if i > 0 {
			s.goOn(sheetGap)
		}
		s.room(f.Height)
		s.drawing(f.of, min(sheetMargin, (s.width-f.Width)/2), s.y, f.Width/f.of.w)
		s.y += f.Height
	}
	s.of = inputOf(d)
	files["figures.pdf"] = s.file()
	return files
}

// inputOf is the SHA-256 of the photo or table that d was made of; "" if it is not known.
func inputOf(d *wire.Document) string {
	if d.Table != nil {
		return string(d.Table.SHA256)
	}
	return string(d.Photo.SHA256)
}

// SameHandout says that a figures.pdf that Handout made earlier is of the photo or table that d is of.
func SameHandout(pdf []byte, d *wire.Document) bool {
	of := inputOf(d)
	return of != "" && bytes.Contains(pdf, fmt.Appendf(nil, "/Keywords <%x>", of))
}

// MayHold gives the names of files that the folder of d's result may hold, so that a new result can take away what it
// does not write over. d may come from a file that anybody made: no name leads out of the folder.
func MayHold(d *wire.Document) []string {
	names := []string{"result.json", "page.html", "page.pdf", "points.csv", "figures.pdf"}
	figures := []string{"v-t", "ln-v", "paper", "tau", "tau-boxes"}
	for _, t := range append(slices.Clone(d.Traces), wire.Trace{Name: wire.ReadingsName}) {
		signal := string(t.Signal)
		names = append(names, "points-"+t.Name+".csv")
		figures = append(figures, signal, signal+"-"+t.Name, "tau-"+t.Name, "tau-boxes-"+t.Name)
	}
	for _, f := range figures {
		names = append(names, f+".svg", f+".png")
	}
	return slices.DeleteFunc(names, func(name string) bool { return !filepath.IsLocal(name) || filepath.Base(name) != name })
}
