package graticule

import (
	"context"
	"slices"

	"quadrille/vision/photo"
)

// Ways are the names of the ways and why they are gone.
func Ways() (names, whys []string) {
	for _, w := range ways {
		names, whys = append(names, w.name), append(whys, w.why)
	}
	return names, whys
}

// FindWithout is Find when the ways of those names are not in the table.
func FindWithout(ctx context.Context, ph *photo.Photo, without ...string) (*Graticule, error) {
	left := slices.DeleteFunc(slices.Clone(ways), func(w way) bool { return slices.Contains(without, w.name) })
	s := &search{Finder: NewFinder(ph), ctx: ctx, o: &Options{}, ways: left}
	return s.find()
}
