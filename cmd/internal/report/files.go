package report

import (
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
	files := Figures(d)
	files["result.json"], files["page.html"], files["page.pdf"] = text, Page(d, pictures, print), PDF(d, pictures, print)
	maps.Copy(files, tables(d))
	return files, nil
}

// Handout gives the figures alone, as SVG files and in one PDF, the display to scale on the first sheet.
func Handout(d *wire.Document, print Print) map[string][]byte {
	files := Figures(d)
	l := leafOf(d, nil, print)
	s := newSheet("Figures of "+l.Title, print)
	if f := l.Paper; f != nil {
		w := print.paperWidth(d.Graticule)
		s.drawing(f.svg, min(sheetMargin, (s.width-w)/2), s.y, w/f.w)
		s.y += w * f.h / f.w
	}
	for _, f := range l.Figures {
		s.goOn(sheetGap)
		s.room(sheetWidth * f.h / f.w)
		s.drawing(f.svg, sheetMargin, s.y, sheetWidth/f.w)
		s.y += sheetWidth * f.h / f.w
	}
	files["figures.pdf"] = s.file()
	return files
}

// MayHold gives the names of files that the folder of d's result may hold, so that a new result can take away what it
// does not write over. d may come from a file that anybody made: no name leads out of the folder.
func MayHold(d *wire.Document) []string {
	names := []string{"result.json", "page.html", "page.pdf", "points.csv", "v-t.svg", "ln-v.svg", "paper.svg", "figures.pdf"}
	for _, t := range d.Traces {
		signal := string(t.Signal)
		names = append(names, "points-"+t.Name+".csv", signal+".svg", signal+"-"+t.Name+".svg")
	}
	return slices.DeleteFunc(names, func(name string) bool { return !filepath.IsLocal(name) || filepath.Base(name) != name })
}
