package reading

// The stages in their order. Each finds its result on the shelf by its key or makes it (see Desk); what it tells of the
// reading as a whole is put together anew each time.

import (
	"context"
	"crypto/sha256"
	"errors"
	"slices"
	"time"

	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/trace"
)

// Read makes a reading of a photo's bytes. Its error is a *StageError; the reading beside it is never nil and holds
// what the stages before the failing one made. A photo on which no trace is found is still a reading, with a doubt: its
// grid and its margins are of use to a person. Once ctx is cancelled the work ends within 50 ms, with an error that
// wraps that of ctx.
func Read(ctx context.Context, data []byte, s *Settings) (*Reading, error) {
	return read(ctx, data, keyOfFile(data, s), s, nil)
}

// Read is the function Read, but takes what it can from earlier readings: the reading is the same but for its stages'
// times. With s.Stage, which must see each stage, all is made anew.
func (d *Desk) Read(ctx context.Context, data []byte, s *Settings) (*Reading, error) {
	if s.Stage != nil {
		return Read(ctx, data, s)
	}
	of := keyOfFile(data, s)
	kept, err := d.shelf(ctx, of)
	if err != nil {
		return begun(s), &StageError{"photo", err}
	}
	defer func() { <-kept.busy }()
	return read(ctx, data, of, s, kept)
}

func keyOfFile(data []byte, s *Settings) key { return keyOf("photo", sha256.Sum256(data), s.Photo) }

func begun(s *Settings) *Reading {
	return &Reading{File: s.File, Analysed: Analysed{Setup: s.wanted()[0].Setup}}
}

// A chain is a reading in the making.
type chain struct {
	ctx          context.Context
	s            *Settings
	wanted       []TraceSettings
	shelf        *shelf // nil keeps nothing
	worked       bool   // the present stage made a result
	r            *Reading
	view         view
	grid, traces key   // of r.Graticule and of r.Traces
	records      []key // one a trace
	findings     []key // one a trace that is analysed
}

// A view is a photo as it is turned.
type view struct {
	*photo.Photo
	key key
}

// turned gives the view after a turn of a photo as it was decoded.
func (v view) turned(degrees int) view {
	if degrees == 0 {
		return v
	}
	return view{v.Clockwise(degrees), keyOf("turn", v.key, degrees)}
}

func read(ctx context.Context, data []byte, of key, s *Settings, kept *shelf) (*Reading, error) {
	c := &chain{ctx: ctx, s: s, wanted: s.wanted(), shelf: kept, r: begun(s)}
	stages := []step{
		{"photo", func() error { return c.decode(data, of) }},
		{"graticule", func() (err error) {
			if c.r.Graticule, c.grid, err = c.find(c.view); err != nil {
				return err
			}
			return c.askPaper()
		}},
		{"upright", c.stand},
		{"trace", c.extract},
		{"settings", c.recover},
		{"calibrate", c.apply},
		{"analysis", func() error {
			err := c.analyse()
			if !s.Paper {
				c.noteStance()
			}
			return err
		}},
	}
	if s.Paper {
		stages = slices.Concat(stages[:1], []step{{"drawing", c.draw}}, stages[4:])
	}
	if s.Readings != nil {
		stages = append(stages, step{"readings", c.layBeside})
	}
	return c.r, c.run(stages)
}

// run goes through the stages in order and ends at the first that fails.
func (c *chain) run(stages []step) error {
	for _, st := range stages {
		if err := c.ctx.Err(); err != nil {
			return &StageError{st.name, err}
		}
		if c.s.Begin != nil {
			c.s.Begin(st.name)
		}
		begun := time.Now()
		c.worked = false
		err := st.run()
		c.r.Stages = append(c.r.Stages, Stage{st.name, time.Since(begun), c.worked})
		if errors.Is(err, errEnough) {
			return nil
		}
		if err != nil {
			return &StageError{st.name, err}
		}
	}
	return nil
}

// A step is one stage of a pipeline.
type step struct {
	name string
	run  func() error
}

// errEnough ends a reading that went as far as it can, and tells why in its doubts.
var errEnough = errors.New("no further stage applies")

// decode gives the photo, turned as a person said.
func (c *chain) decode(data []byte, of key) error {
	turn := 0
	if c.s.Turn != nil {
		if turn = *c.s.Turn; turn < 0 || turn > 270 || turn%90 != 0 {
			return &SettingError{"turn", "a photo is turned by quarters only", "give the clockwise turn that makes it upright: 0, 90, 180 or 270"}
		}
	}
	ph, err := made(c, of, func() (*photo.Photo, error) { return photo.Decode(c.ctx, data, &c.s.Photo) })
	if err != nil {
		return err
	}
	c.view = view{ph, of}.turned(turn)
	c.r.Photo = c.view.Photo
	return nil
}

// find gives the graticule on a view, with its key.
func (c *chain) find(v view) (*graticule.Graticule, key, error) {
	o := c.s.Graticule
	o.Stage = c.s.Stage
	k := keyOf("graticule", v.key, o)
	g, err := made(c, k, func() (*graticule.Graticule, error) {
		finder, err := made(c, keyOf("finder", v.key), func() (*graticule.Finder, error) { return graticule.NewFinder(v.Photo), nil })
		if err != nil {
			return nil, err
		}
		return finder.Find(c.ctx, &o)
	})
	return g, k, err
}

// tracesOn gives the traces on a graticule.
func (c *chain) tracesOn() ([]*trace.Trace, error) {
	o := c.s.Trace
	o.Stage = c.s.Stage
	c.traces = keyOf("traces", c.grid, o)
	return made(c, c.traces, func() ([]*trace.Trace, error) { return trace.Extract(c.ctx, c.r.Photo, c.r.Graticule, &o) })
}
