// Package live answers a page on which a person changes settings and drags corners: what it shows after each change, as
// JSON, and what it keeps, as files. It is the same behind a server and in a browser's own worker.
package live

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"sync"

	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
)

// A Room answers for one page, or for all pages of a server. The zero value is ready, and may be used by several
// goroutines.
type Room struct{ reader wire.Reader }

// An Answer is what the page shows. Points are in pixels of the upright photo.
type Answer struct {
	Status   int             `json:"status"`   // of HTTP, as wire.Read tells it
	Document json.RawMessage `json:"document"` // wire.Document: everything, for programs
	Page     string          `json:"page"`     // the notebook page as HTML without pictures; the screen shows its sections
	Grid     string          `json:"grid"`     // a key of the photo and its graticule, "" without a photo
	Lattice  [][][2]float64  `json:"lattice"`  // the graticule's lines
	Traces   []Trace         `json:"traces"`
	Graph    *Graph          `json:"graph"` // nil without the figure of voltage against time
	// Pictures are the photo and the rims of the display. They are left out where the page has those of this grid.
	Pictures []Picture `json:"pictures,omitempty"`
}

// A Trace as it lies on the photo; hidden stretches part its pieces.
type Trace struct {
	Name   string         `json:"name"`
	Colour string         `json:"colour"` // #rrggbb
	Pieces [][][2]float64 `json:"pieces"`
}

// A Picture is a JPEG as a data URL, W by H pixels.
type Picture struct {
	Name string `json:"name"` // "photo", or which rim
	Tall bool   `json:"tall"` // a rim at a side of the display
	URL  string `json:"url"`
	W    int    `json:"w"`
	H    int    `json:"h"`
}

// Answer reads a photo with settings, a JSON object of texts (wire.Settings). have is the Grid of the pictures that the
// page has, "" for none. begin, if not nil, is called with the name of each stage as it begins (those of the document's
// stages). Once ctx is cancelled the work ends within 50 ms, with status 503.
func (r *Room) Answer(ctx context.Context, photo, settings []byte, have string, begin func(stage string)) *Answer {
	given, err := wire.DecodeSettings(settings)
	if err != nil {
		return Refusal(400, *wire.ErrorOf(err))
	}
	given.Begin = begin
	read := r.reader.Answer(ctx, photo, given)
	if err := ctx.Err(); err != nil { // nobody will look at it
		return Refusal(503, *wire.ErrorOf(err))
	}
	a := answer(read.Status(), read.Document)
	if read.Reading.Photo == nil {
		return a
	}
	if asked, err := given.Parse(); err == nil {
		a.Graph = graphOf(read.Document, read.Reading, asked)
	}
	a.Grid = fmt.Sprint(read.Document.Photo.SHA256, " ", read.Document.Photo.Turned)
	if g := read.Reading.Graticule; g != nil {
		a.Grid += fmt.Sprintf(" %x %v", g.H, g.Frame)
		a.Lattice = pointsOf(report.Lattice(g))
		for _, l := range report.Lines(g, read.Reading.Traces) {
			a.Traces = append(a.Traces, Trace{l.Name, fmt.Sprintf("#%x", l.Colour), pointsOf(l.Pieces)})
		}
	}
	if a.Grid != have {
		a.Pictures = picturesOf(ctx, read.Reading)
	}
	return a
}

// picturesOf makes the photo small, and meanwhile the rims of the display; once ctx is cancelled it begins no other.
func picturesOf(ctx context.Context, r *reading.Reading) (out []Picture) {
	var photo report.Picture
	var wait sync.WaitGroup
	wait.Go(func() { photo = report.Small(r.Photo) })
	var margins []report.Picture
	if r.Graticule != nil {
		margins = report.Margins(ctx, r.Photo, r.Graticule)
	}
	wait.Wait()
	for _, m := range append([]report.Picture{photo}, margins...) {
		if m.JPEG != nil {
			out = append(out, Picture{m.Name, m.Tall, "data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(m.JPEG), m.W, m.H})
		}
	}
	return out
}

// Refusal is the answer of one who does not read the photo at all, and why.
func Refusal(status int, why wire.Error) *Answer {
	d := wire.From(new(reading.Reading))
	d.Error = &why
	return answer(status, d)
}

// answer has the document, and the page of it without pictures.
func answer(status int, d *wire.Document) *Answer {
	text, err := wire.Encode(d)
	if err != nil {
		panic("live: a document cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
	}
	return &Answer{Status: status, Document: text, Page: string(report.Page(d, nil, report.Print{}))}
}

// All is the name of the archive of all files.
const All = "result.zip"

// File gives one of the files that a reading leaves in a folder (report.Files), by name, or all of them in one archive.
// The status is that of Answer, or 404 for a name that there is not; only with 200 is there a file.
func (r *Room) File(ctx context.Context, photo, settings []byte, name string) (file []byte, status int) {
	read := r.reader.AnswerJSON(ctx, photo, settings)
	if status = read.Status(); status != 200 {
		return nil, status
	}
	files, err := report.Files(read.Document, read.Reading, report.Print{})
	if err != nil {
		panic("live: " + err.Error()) // the letters of the PDF are part of the program
	}
	if name == All {
		return archive(files), 200
	}
	if file, ok := files[name]; ok {
		return file, 200
	}
	return nil, 404
}

// archive packs files in the order of their names, without times, so that the same reading gives the same bytes.
func archive(files map[string][]byte) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(files[name])
		}
		if err != nil {
			panic("live: packing " + name + ": " + err.Error()) // a buffer takes everything
		}
	}
	if err := z.Close(); err != nil {
		panic("live: packing: " + err.Error())
	}
	return b.Bytes()
}

func pointsOf(lines [][]geom.Pixel) [][][2]float64 {
	out := make([][][2]float64, len(lines))
	for i, l := range lines {
		out[i] = make([][2]float64, len(l))
		for k, p := range l {
			out[i][k] = pointOf(p)
		}
	}
	return out
}

// pointOf rounds to hundredths of a pixel: more than a screen shows, and half the bytes.
func pointOf(p geom.Pixel) [2]float64 {
	return [2]float64{math.Round(p.X*100) / 100, math.Round(p.Y*100) / 100}
}
