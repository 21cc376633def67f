// Package experiment reads all photos and tables of a notebook, each once and several at a time, and compares what the
// notebook asks for, and each value in it that it does not ask for. What a reading gave is kept, if the caller has a
// place for it, by the photo's bytes, the settings and the program: a second run reads only what has changed.
//
// A photo that cannot be read stops nothing: its document says what is wrong, and the others and all comparisons
// without it are made.
package experiment

import (
	"context"
	"runtime"
	"sync"

	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/notebook"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// mostAtOnce is how many photos are read at the same time at most, whatever the cores: a photo of 12 megapixels takes
// 70 MB while it is read.
const mostAtOnce = 4

// Options say how a notebook is read. The zero value keeps nothing and tells nothing.
type Options struct {
	Kept *Shelf // nil keeps nothing
	// Done, if not nil, is called after each photo with how many are done, one call at a time.
	Done func(done int)
}

// Read reads all photos of n and compares them. The error is that of ctx; what is wrong with a photo is in its
// document.
func Read(ctx context.Context, n *notebook.Notebook, o Options) (*report.Experiment, error) {
	e := &report.Experiment{Title: wire.Text(n.Title), By: wire.Text(n.By), Date: wire.Text(n.Date),
		Photos: make([]report.Part, len(n.Photos)), Compared: []report.Asked{}}
	places := make(chan struct{}, min(mostAtOnce, runtime.GOMAXPROCS(0)))
	var wait sync.WaitGroup
	var count sync.Mutex
	done := 0
	for i := range n.Photos {
		places <- struct{}{}
		if ctx.Err() != nil {
			break
		}
		wait.Go(func() {
			defer func() { <-places }()
			e.Photos[i] = one(ctx, n, i, o)
			count.Lock()
			defer count.Unlock()
			if done++; o.Done != nil {
				o.Done(done)
			}
		})
	}
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, c := range n.Compare {
		e.Compared = append(e.Compared, asked(n, e, c))
	}
	for i := range n.Photos {
		e.Compared = append(e.Compared, unasked(n, e, i)...)
	}
	e.NameFolders()
	return e, nil
}

// one reads the i-th photo.
func one(ctx context.Context, n *notebook.Notebook, i int, o Options) report.Part {
	p := &n.Photos[i]
	given := n.Given(i)
	if given.Readings != "" && given.ReadingsFile == "" {
		given.ReadingsFile = "the notebook"
	}
	out := report.Part{Name: p.Name, File: p.File, Instrument: wire.Text(n.InstrumentOf(i)), Line: p.Line}
	out.Dials = p.Generator.Dials()
	data, err := n.Load(p.File)
	if err != nil {
		out.Document = unread(given, p.File+" cannot be loaded: "+err.Error(), "look whether the file is still there and may be read")
		return out
	}
	out.Document, out.Pictures = o.reading(ctx, data, given)
	if p.Sketch != "" && out.Document.Error == nil {
		out.Sketch = o.held(ctx, n, p, out.Document)
	}
	return out
}

// held holds a drawing against the display of a photo.
func (o *Options) held(ctx context.Context, n *notebook.Notebook, p *notebook.Photo, display *wire.Document) *report.Held {
	h := &report.Held{File: p.Sketch}
	data, err := n.Load(p.Sketch)
	if err != nil {
		h.Error = wire.Text(err.Error() + "; look whether the file is still there and may be read")
		return h
	}
	drawn, pictures := o.reading(ctx, data, wire.Settings{File: p.Sketch, Paper: "yes"})
	if e := drawn.Error; e != nil {
		h.Error = wire.Text(e.Reason) + "; " + e.Hint
		return h
	}
	c, err := check.Of(ctx, drawn, display, p.Placing)
	if err != nil {
		h.Error = wire.Text(err.Error())
		return h
	}
	h.Check = c
	if pictures != nil {
		h.On = report.NewOnDrawing(c, drawn, pictures.Photo)
	}
	return h
}

// reading gives the document and the pictures of a file, as kept or as made anew. Both go through the form in which
// they are kept, so that a run that finds them gives the same bytes.
func (o *Options) reading(ctx context.Context, data []byte, given wire.Settings) (*wire.Document, *report.Pictures) {
	k := o.Kept.key(data, given)
	if d, pictures, ok := o.Kept.find(k); ok {
		return d, pictures
	}
	a := new(wire.Reader).AnswerFile(ctx, data, given)
	text, err := wire.Encode(a.Document)
	if err != nil {
		return a.Document, nil
	}
	d, err := wire.Decode(text)
	if err != nil {
		return a.Document, nil
	}
	pictures := report.Illustrate(a.Reading)
	if e := d.Error; e == nil || e.Kind != "interrupted" && e.Kind != "program" {
		o.Kept.keep(k, d, pictures)
	}
	return d, pictures
}

// unread is the document of a file that did not come as far as being read.
func unread(given wire.Settings, reason, hint string) *wire.Document {
	d := wire.From(&reading.Reading{File: given.File})
	d.Title = wire.Text(given.Title)
	d.Error = &wire.Error{Kind: "file", Reason: reason, Hint: wire.Text(hint)}
	return d
}
