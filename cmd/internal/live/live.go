// Package live answers a page on which a person changes settings and drags corners: what it shows after each change, as
// JSON, and what it keeps, as files. It is the same behind a server and in a browser's own worker.
package live

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math"

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
// page has, "" for none. Once ctx is cancelled the work ends within 50 ms, with status 503.
func (r *Room) Answer(ctx context.Context, photo, settings []byte, have string) *Answer {
	read := r.reader.AnswerJSON(ctx, photo, settings)
	text, err := wire.Encode(read.Document)
	if err != nil {
		panic("live: a document cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
	}
	page, err := report.Page(read.Document, nil)
	if err != nil {
		panic("live: " + err.Error()) // the page's template is part of the program
	}
	a := &Answer{Status: read.Status(), Document: text, Page: string(page)}
	if read.Reading.Photo == nil {
		return a
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
		p := report.Illustrate(read.Reading)
		for _, m := range append([]report.Picture{p.Photo}, p.Margins...) {
			if m.JPEG != nil {
				a.Pictures = append(a.Pictures, Picture{m.Name, m.Tall, "data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(m.JPEG), m.W, m.H})
			}
		}
	}
	return a
}

// Files gives what a reading leaves in a folder, by file name; report.Files tells which. The status is that of Answer,
// and there are no files but with 200.
func (r *Room) Files(ctx context.Context, photo, settings []byte) (files map[string][]byte, status int) {
	read := r.reader.AnswerJSON(ctx, photo, settings)
	if status = read.Status(); status != 200 {
		return nil, status
	}
	files, err := report.Files(read.Document, read.Reading, report.Print{})
	if err != nil {
		panic("live: " + err.Error()) // templates and fonts are part of the program
	}
	return files, status
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
