package reading

// What is kept between one reading and the next. Each stage is a pure function: its result depends on its inputs and on
// nothing else, and is never changed once made. So a result can be handed out again whenever the inputs are the same,
// and a reading after a change of settings makes anew only what depends on the change.

import (
	"context"
	"slices"
	"sync"
)

const (
	// keptPhotos is how many photos a Desk keeps: that of the page, and those that a person goes back and forth between to
	// compare. A decoded photo of 12 million pixels takes 18 MB.
	// TestADeskForgetsTheOldest would notice.
	keptPhotos = 3
	// keptResults is how many results of stages are kept of a photo. A reading of one trace has eight of them, of which
	// the traces and the records are the largest, about 1 MB each on a photo of 12 million pixels: these are the last half
	// a dozen changes. TestADeskForgetsTheOldest would notice.
	keptResults = 48
)

// A Desk keeps the results of the last readings of a few photos. The zero value is ready. It may be used by several
// goroutines; readings of one photo wait for one another.
type Desk struct {
	mu     sync.Mutex
	photos []*shelf // the last one used at the end
}

// A shelf has what is kept of one photo.
type shelf struct {
	of      key
	busy    chan struct{} // has an element while a reading uses the shelf
	results []result      // the last one used at the end
}

// A result is what a stage gave: a value, or the error that it ended with.
type result struct {
	key   key
	value any
	err   error
}

// shelf gives the shelf of a photo, once no other reading uses it. The caller empties busy when done.
func (d *Desk) shelf(ctx context.Context, of key) (*shelf, error) {
	d.mu.Lock()
	i := slices.IndexFunc(d.photos, func(s *shelf) bool { return s.of == of })
	s := &shelf{of: of, busy: make(chan struct{}, 1)}
	if i >= 0 {
		s = d.photos[i]
		d.photos = slices.Delete(d.photos, i, i+1)
	}
	d.photos = append(d.photos, s)
	if len(d.photos) > keptPhotos {
		d.photos = slices.Delete(d.photos, 0, 1)
	}
	d.mu.Unlock()
	select {
	case s.busy <- struct{}{}:
		return s, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// find gives the result that is kept under a key.
func (s *shelf) find(k key) (result, bool) {
	i := slices.IndexFunc(s.results, func(r result) bool { return r.key == k })
	if i < 0 {
		return result{}, false
	}
	r := s.results[i]
	s.results = append(slices.Delete(s.results, i, i+1), r)
	return r, true
}

// keep puts a result on the shelf, in the place of the one that was longest not used if there is no room.
func (s *shelf) keep(r result) {
	s.results = append(s.results, r)
	if len(s.results) > keptResults {
		s.results = slices.Delete(s.results, 0, 1)
	}
}

// made gives the result of a stage for its inputs, as kept, or else as made by work. What a cancelled reading leaves is
// not kept.
func made[T any](c *chain, k key, work func() (T, error)) (T, error) {
	if c.shelf != nil {
		if r, ok := c.shelf.find(k); ok {
			v, _ := r.value.(T)
			return v, r.err
		}
	}
	c.worked = true
	v, err := work()
	if gone := c.ctx.Err(); gone != nil {
		var none T
		return none, gone
	}
	if c.shelf != nil {
		c.shelf.keep(result{k, v, err})
	}
	return v, err
}
