package report_test

import (
	"encoding/xml"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// A label is a text of a figure as placed.
type label struct {
	X      float64 `xml:"x,attr"`
	Y      float64 `xml:"y,attr"`
	Anchor string  `xml:"text-anchor,attr"`
	Words  string  `xml:",chardata"`
}

// Whatever the scales, no two labels of a figure lie on each other and none leaves the figure. Widths
// are those of a sans-serif face: 0.56 of the height for a digit.
func TestLabelsAreApart(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		d := fixed(t)
		volts := math.Pow(10, rapid.Float64Range(-4, 3).Draw(r, "volts"))
		seconds := math.Pow(10, rapid.Float64Range(-9, 3).Draw(r, "seconds"))
		offset := rapid.Float64Range(-30, 30).Draw(r, "offset")
		tr := &d.Traces[0]
		for i := range tr.T {
			tr.T[i] *= seconds
			tr.V[i] = (tr.V[i] + offset) * volts
		}
		f := &d.Fits[0]
		for i := range f.T {
			f.T[i] *= seconds
			f.V[i] = (f.V[i] + offset) * volts
		}
		for i := range f.AtT {
			f.AtT[i] *= seconds
			f.Off[i] *= volts
		}
		for i := range d.LogLines[0].T {
			d.LogLines[0].T[i] *= seconds
			d.LogLines[0].LnV[i] += math.Log(volts)
		}
		d.LogLines[0].Slope /= wire.Number(seconds)
		d.Graticule.Columns = rapid.IntRange(4, 16).Draw(r, "columns")
		d.Graticule.Rows = rapid.IntRange(4, 12).Draw(r, "rows")
		d.Settings.GroundBox = wire.Number(rapid.Float64Range(-8, 8).Draw(r, "ground"))
		figures := report.Figures(d, report.Print{Box: rapid.Float64Range(2, 25).Draw(r, "box"), Letter: rapid.Bool().Draw(r, "letter")})
		for _, name := range []string{"v-t.svg", "ln-v.svg", "paper.svg"} {
			apart(r, name, figures[name])
		}
	})
}

func apart(t rapid.TB, name string, svg []byte) {
	t.Helper()
	var figure struct {
		View  string  `xml:"viewBox,attr"`
		Texts []label `xml:"text"`
	}
	if err := xml.Unmarshal(svg, &figure); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var wide, high float64
	if _, err := fmt.Sscanf(figure.View, "0 0 %g %g", &wide, &high); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	type box struct{ x0, y0, x1, y1 float64 }
	var boxes []box
	for _, l := range figure.Texts {
		w := 13 * 0.56 * float64(utf8.RuneCountInString(l.Words))
		x := l.X
		switch l.Anchor {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		boxes = append(boxes, box{x, l.Y - 10, x + w, l.Y})
	}
	for i, a := range boxes {
		if a.x0 < -1 || a.y0 < -1 || a.x1 > wide+1 || a.y1 > high+1 {
			t.Fatalf("%s: %q leaves the figure", name, figure.Texts[i].Words)
		}
		for j, b := range boxes[:i] {
			if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
				t.Fatalf("%s: %q lies on %q", name, figure.Texts[i].Words, figure.Texts[j].Words)
			}
		}
	}
	if len(boxes) < 4 {
		t.Fatalf("%s has %d labels", name, len(boxes))
	}
}

// A figure draws every sample that is seen, and no hidden one.
func TestFigureDrawsEverySample(t *testing.T) {
	d := fixed(t)
	seen := 0
	for _, v := range d.Traces[0].V {
		if !math.IsNaN(v) {
			seen++
		}
	}
	svg := string(report.Figures(d, report.Print{})["v-t.svg"])
	_, after, _ := strings.Cut(svg, `class="own"`)
	dots, _, _ := strings.Cut(after, "/>")
	if got := strings.Count(dots, "h0"); got != seen || seen == len(d.Traces[0].V) {
		t.Errorf("%d dots for %d samples of %d seen", got, seen, len(d.Traces[0].V))
	}
}

// Bars of points as unsure as the whole height end at the edges of their panels, whose bottoms are the lines of the
// scale of time.
func TestErrorBarsEndAtTheirPanel(t *testing.T) {
	d := fixed(t)
	for i := range d.Traces[0].U {
		d.Traces[0].U[i] = 100
	}
	var figure struct {
		Paths []struct {
			Class string `xml:"class,attr"`
			D     string `xml:"d,attr"`
		} `xml:"path"`
	}
	if err := xml.Unmarshal(report.Figures(d, report.Print{})["v-t.svg"], &figure); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, p := range figure.Paths {
		if p.Class != "bars" {
			continue
		}
		n++
		low, high := math.Inf(1), math.Inf(-1)
		for _, at := range regexp.MustCompile(`[ ,](-?[0-9.]+)V(-?[0-9.]+)`).FindAllStringSubmatch(p.D, -1) {
			for _, text := range at[1:] {
				y, err := strconv.ParseFloat(text, 64)
				if err != nil {
					t.Fatal(err)
				}
				low, high = math.Min(low, y), math.Max(high, y)
			}
		}
		if !(high-low > 50 && high-low < 300) {
			t.Errorf("bars reach from %g to %g", low, high)
		}
	}
	if n != 2 {
		t.Errorf("%d sets of bars", n)
	}
}

// Of a thousand points not each has a bar, which would be a grey band, and the page says so; of a hundred each has.
func TestBarsOfManyPointsStandApart(t *testing.T) {
	for n, want := range map[int]int{100: 100, 1000: 125} {
		d := fixed(t)
		tr := &d.Traces[0]
		tr.T, tr.V, tr.U = make(wire.Numbers, n), make(wire.Numbers, n), make(wire.Numbers, n)
		for i := range n {
			tr.T[i], tr.V[i], tr.U[i] = float64(i), 5, 0.1
		}
		d.Fits = nil
		svg := string(report.Figures(d, report.Print{})["v-t.svg"])
		_, bars, _ := strings.Cut(svg, `class="bars"`)
		bars, _, _ = strings.Cut(bars, "/>")
		if got := strings.Count(bars, "V"); got != want {
			t.Errorf("%d bars of %d points, want %d", got, n, want)
		}
		if page := string(report.Page(d, nil, report.Print{})); strings.Contains(page, "bars, at one point in 8,") != (n > want) {
			t.Errorf("%d points: the caption does not tell which have bars", n)
		}
	}
}
