// Package notebook reads the file that describes a whole experiment: photos with their settings, what meters, a
// generator and the display itself said, what was read by hand, and what is to be compared. It is YAML, written by hand
// or by the page, alone beside its photos or packed with them into one ZIP:
//
//	notebook: 1
//	title: The delay of a mist timer
//	by: A. Student
//	date: 2026-11-30
//	settings:                       # for all photos
//	  input_resistance: 1M
//	photos:
//	  - file: low.jpg
//	    name: low drive
//	    volts_per_box: 0.5V         # any setting, by the name of its flag with _ for -
//	    time_per_box: 20ms
//	    generator: {frequency: 5Hz, drive: 3V, source_resistance: 50ohm}
//	    display: {frequency: 5.000Hz}
//	    by_hand: {half_life: 3.3ms±0.3ms}
//	compare:
//	  - quantity: tau
//	    of: [low drive, high drive]
//
// Values are texts as people write them; a bare number counts as its text. The reader is strict: whatever it does not
// know, cannot find or cannot read as what it must be is a Fault with its line, its column and what to do, and all
// faults are told at once. Nothing here opens files by itself: they come through an fs.FS.
package notebook

import (
	"reflect"
	"slices"

	"go.yaml.in/yaml/v4"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/wire"
)

// Version is what stands behind "notebook:".
const Version = "1"

// A Notebook is an experiment. Texts are "" where nothing was given.
type Notebook struct {
	Title, By, Date string
	Instrument      string        // for all photos
	Settings        wire.Settings // for all photos, over which each photo's own go
	Photos          []Photo
	Compare         []Comparison

	where   place      // of the files that it names
	written *yaml.Node // as it was read, for its comments; nil of one made anew
}

// A Photo is one photo, or one table of readings in its place, and what belongs to it.
type Photo struct {
	File string // relative to the notebook, with / between folders
	Name string // what comparisons call it: one a photo, the file's without its ending where none was given
	// Instrument names what it was taken from. Readings of different instruments share no scale and no time base.
	Instrument string
	Title      string
	Settings   wire.Settings // its own only; see Given
	Generator  Generator
	Display    []Quantity     // readouts copied from the screen, in the order of the file
	ByHand     []Quantity     // read by hand, each with its uncertainty
	Sketch     string         // a drawing to be held against the photo, a file as File is; "" for none
	Placing    check.Settings // how it was drawn; without a title
	Line       int            // where it stands in the file, 0 of one made anew

	named    bool   // the name stands in the file
	readings string // the text of Settings.ReadingsFile
}

// A Generator is what its dials said, as texts.
type Generator struct{ Frequency, Drive, SourceResistance string }

// Dials are the settings that a generator gives, each with the dial that says it.
func (g Generator) Dials() (list [][2]string) {
	for _, d := range [][3]string{
		{"known_frequency", "frequency", g.Frequency}, {"known_drive", "drive", g.Drive},
		{"source_resistance", "source_resistance", g.SourceResistance},
	} {
		if d[2] != "" {
			list = append(list, [2]string{d[0], d[1]})
		}
	}
	return list
}

// A Quantity is one value from elsewhere, by its name in the document (wire.Result). Of a readout without a stated
// uncertainty, Value.U is that of one step of its last digit to either side, rectangular (common practice, no source).
type Quantity struct {
	Quantity, Text string
	Value          unit.Value
}

// A Comparison asks whether a quantity is the same in all its members.
type Comparison struct {
	Quantity string
	Of       []Member
	Line     int
	all      bool // no members were named
}

// A Member is a photo, by its name, and the way in which its value is found: one of its methods (wire.Result), or
// "generator", "display", "by_hand" or "known"; "" for the best.
type Member struct{ Photo, Way string }

// Given are the settings of photo i with those of all photos under them, and with what its generator says. File and
// Title are the photo's own.
func (n *Notebook) Given(i int) wire.Settings {
	p := &n.Photos[i]
	s := over(p.Settings, n.Settings)
	if len(p.Settings.Traces) > 0 {
		s.Traces = append([]wire.TraceFields{}, p.Settings.Traces...)
	}
	for _, given := range []struct {
		to   *string
		from string
	}{
		{&s.KnownFrequency, p.Generator.Frequency}, {&s.KnownDrive, p.Generator.Drive},
		{&s.SourceResistance, p.Generator.SourceResistance},
	} {
		if given.from != "" {
			*given.to = given.from
		}
	}
	if p.readings != "" {
		s.Readings = p.readings
	}
	s.File, s.Title = p.File, p.Title
	return s
}

// InstrumentOf names the instrument of photo i.
func (n *Notebook) InstrumentOf(i int) string {
	if own := n.Photos[i].Instrument; own != "" {
		return own
	}
	return n.Instrument
}

// Asks says whether a comparison of the notebook takes up a value: names it, or all that one photo has.
func (n *Notebook) Asks(quantity string, m Member) bool {
	return slices.ContainsFunc(n.Compare, func(c Comparison) bool {
		return c.Quantity == quantity && (slices.Contains(c.Of, m) || len(c.Of) == 1 && c.Of[0].Photo == m.Photo)
	})
}

// Load gives the bytes of a file that the notebook names, such as a photo.
func (n *Notebook) Load(name string) ([]byte, error) { return n.where.load(name, maxFile) }

// over gives the texts of own, and those of common where own has none.
func over(own, common wire.Settings) wire.Settings {
	for _, f := range settings {
		if to := f.in(&own); to.String() == "" {
			to.SetString(f.in(&common).String())
		}
	}
	return own
}

// A setting is one text of wire.Settings, by its JSON name.
type setting struct {
	key   string
	index []int // for reflect
	trace bool  // of wire.TraceFields
}

func (f setting) in(s *wire.Settings) reflect.Value {
	return reflect.ValueOf(s).Elem().FieldByIndex(f.index)
}

// inTrace is in for one of several traces; only for settings of a trace.
func (f setting) inTrace(t *wire.TraceFields) reflect.Value {
	return reflect.ValueOf(t).Elem().FieldByIndex(f.index[1:])
}

// settings are all of them but the file's name and title, which a photo has itself, in the order of wire.
var settings = func() (list []setting) {
	var walk func(t reflect.Type, index []int)
	walk = func(t reflect.Type, index []int) {
		for i := range t.NumField() {
			f, at := t.Field(i), append(append([]int{}, index...), i)
			key := f.Tag.Get("json")
			switch {
			case f.Anonymous:
				walk(f.Type, at)
			case f.Type.Kind() == reflect.String && key != "file" && key != "title":
				list = append(list, setting{key, at, len(index) > 0})
			}
		}
	}
	walk(reflect.TypeFor[wire.Settings](), nil)
	return list
}()

func settingOf(key string) (setting, bool) {
	for _, f := range settings {
		if f.key == key {
			return f, true
		}
	}
	return setting{}, false
}
