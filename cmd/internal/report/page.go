// The notebook page: one HTML file that needs nothing else, read from top to bottom. The words and the
// order are in page.html, the looks in page.css; this file prepares what the template prints.

package report

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
)

//go:embed page.html
var pageText string

//go:embed page.css
var pageStyle string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// Page is the notebook page of d. p may be nil: the page then has no photo. The file loads nothing from
// anywhere, and its policy forbids it to.
func Page(d *wire.Document, p *Pictures) ([]byte, error) {
	v := webView{view: viewOf(d), Style: template.CSS(pageStyle)}
	if d.Graticule != nil {
		v.PaperWidth = template.CSS(fmt.Sprintf("%.2fmm", paperWidth(d.Graticule)))
	}
	if p != nil {
		v.Photo, v.Overlay = p.Photo.url(), overlay(d, p)
		for _, m := range p.Margins {
			if m.JPEG != nil {
				v.Margins = append(v.Margins, stripOf(m))
			}
		}
		for _, c := range p.Channels {
			of := channelStrips{channelEntry: c.entry(d), Swatch: template.CSS(fmt.Sprintf("#%02x%02x%02x", c.Colour[0], c.Colour[1], c.Colour[2]))}
			for _, m := range c.Scale {
				of.Strips = append(of.Strips, stripOf(m))
			}
			if len(of.Strips) == 0 {
				of.Nowhere = c.nowhere()
			}
			v.Channels = append(v.Channels, of)
		}
	}
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, v); err != nil {
		return nil, fmt.Errorf("making the page: %w", err)
	}
	return b.Bytes(), nil
}

// A webView is what the template prints: the view, and what only a browser needs.
type webView struct {
	view
	Style      template.CSS
	Photo      template.URL
	Overlay    template.HTML
	Margins    []strip
	Channels   []channelStrips
	PaperWidth template.CSS // on paper
}

type strip struct {
	Name string
	URL  template.URL
	W, H int
	Tall bool
}

func stripOf(m Picture) strip { return strip{m.Name, m.url(), m.W, m.H, m.Tall} }

// channelStrips are a trace's own parts of the rims; Nowhere says why there are none.
type channelStrips struct {
	channelEntry
	Swatch  template.CSS
	Strips  []strip
	Nowhere string
}

// HTML is the figure for the page.
func (f figure) HTML() template.HTML {
	return template.HTML(f.inner(f.Title)) // made by this package, which escapes all text in it
}

func (p Picture) url() template.URL {
	if p.JPEG == nil {
		return ""
	}
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(p.JPEG))
}

// overlay draws the found lines and traces over the photo, in the photo's own pixels.
func overlay(d *wire.Document, p *Pictures) template.HTML {
	if !d.Photo.Width.Known() || !d.Photo.Height.Known() {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="over" viewBox="0 0 %.0f %.0f" aria-hidden="true">`, d.Photo.Width, d.Photo.Height)
	var lattice strings.Builder
	for _, l := range p.Lattice {
		lattice.WriteString(route(l))
	}
	fmt.Fprintf(&b, `<path class="under" d="%[1]s"/><path class="lattice" d="%[1]s"/>`, lattice.String())
	for _, l := range p.Lines {
		var path strings.Builder
		for _, piece := range l.Pieces {
			path.WriteString(route(piece))
		}
		if several(d) { // in their own colours, to tell which is which
			fmt.Fprintf(&b, `<path class="under dark" d="%[1]s"/><path class="found" style="stroke:#%[2]x" d="%[1]s"/>`, path.String(), l.Colour)
			continue
		}
		fmt.Fprintf(&b, `<path class="under" d="%[1]s"/><path class="found" d="%[1]s"/>`, path.String())
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) // numbers only
}

// route is the path through places of the photo.
func route(l []geom.Pixel) string {
	x, y := make([]float64, len(l)), make([]float64, len(l))
	for i, q := range l {
		x[i], y[i] = q.X, q.Y
	}
	same := func(v float64) float64 { return v }
	return curve(x, y, same, same)
}
