package report

import (
	"fmt"

	"quadrille/cmd/internal/wire"
)

// source names the file that d was read from, a photo or a table, and its SHA-256 in hex, "" if not known.
func source(d *wire.Document) (name, sum string) {
	if d.Table != nil {
		return d.Table.File, string(d.Table.SHA256)
	}
	return d.Photo.File, string(d.Photo.SHA256)
}

func tableLine(t *wire.Table) string { return joinNonEmpty(", ", t.File, tableSize(t)) }

func tableSize(t *wire.Table) string {
	if !t.Readings.Known() {
		return "not read"
	}
	s := counted(float64(t.Readings), "reading")
	if t.Gaps > 0 {
		s += ", " + counted(float64(t.Gaps), "gap")
	}
	return s
}

func counted(n float64, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%.0f %s", n, what)
}
