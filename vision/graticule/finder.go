package graticule

import (
	"context"
	"sync"

	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

// A Finder finds the graticule of one photo, and keeps what it has seen: another count of boxes or other corners are
// answered without searching again, and as they would be without what was kept. It may
// be used by several goroutines; they wait for each other.
type Finder struct {
	mu    sync.Mutex
	scene *scene.Scene
	pools [2]pool // of the photo's own light, limited or not, and of the colourless picture
	want  geom.Frame
}

// A pool has the lattices that were found in views whose candidates can be held against each other.
type pool struct {
	after      map[rung][]*frame.Candidate // what the pool had when a picture had been searched
	seeds      []lattice.Seed
	grown      map[scene.View][]*lattice.Grown
	candidates []*frame.Candidate // the foremost first
	view       map[*frame.Candidate]scene.View
	varied     map[*lattice.Grown]bool
	closer     map[*lattice.Grown]bool
	fitted     map[*frame.Candidate]*hypothesis // nil where the fit came to nothing
}

// A rung is one picture that is searched for seeds.
type rung struct {
	view  scene.View
	level scene.Level
	dots  bool // the way by dots, which looks at no picture of its own
}

// NewFinder gives the finder of a photo. Nothing is computed yet.
func NewFinder(ph *photo.Photo) *Finder {
	f := &Finder{scene: scene.Of(ph)}
	f.forget()
	return f
}

// forget drops what depends on the count of boxes.
func (f *Finder) forget() {
	for i := range f.pools {
		p := &f.pools[i]
		p.after, p.candidates, p.seeds = map[rung][]*frame.Candidate{}, nil, nil
		p.grown, p.view = map[scene.View][]*lattice.Grown{}, map[*frame.Candidate]scene.View{}
		p.varied, p.closer, p.fitted = map[*lattice.Grown]bool{}, map[*lattice.Grown]bool{}, map[*frame.Candidate]*hypothesis{}
	}
}

// Find gives the graticule of the finder's photo; errors are as those of the function Find.
func (f *Finder) Find(ctx context.Context, o *Options) (*Graticule, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if o == nil {
		o = &Options{}
	}
	if err := o.check(f.scene.Photo); err != nil {
		return nil, err
	}
	if o.Frame != f.want {
		f.want = o.Frame
		f.forget()
	}
	s := &search{Finder: f, ctx: ctx, o: o, ways: ways}
	g, err := s.find()
	f.scene.Rest() // a page has several photos open
	if ctx.Err() != nil {
		f.forget() // a search that was broken off is not the same as a whole one
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	g = g.weighed()
	if o.Stage != nil {
		o.Stage("found", drawFound(f.scene.Photo, g))
	}
	return g, nil
}
