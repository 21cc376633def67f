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

// Promise gives what the lattice that Find takes promised before any frame was looked for, over the least promise of
// one that is surveyed; 0 if none was taken.
func Promise(ctx context.Context, ph *photo.Photo) float64 {
	s := &search{Finder: NewFinder(ph), ctx: ctx, o: &Options{}, ways: ways}
	if _, err := s.find(); err != nil || s.leader.candidate == nil {
		return 0
	}
	g := s.leader.candidate.Survey.Lattice
	most := 0.0
	for _, k := range s.pools[poolOf(s.leader.view)].grown[s.leader.view] {
		most = max(most, k.Promise())
	}
	return g.Promise() / max(leastPromise, promiseShare*most)
}
