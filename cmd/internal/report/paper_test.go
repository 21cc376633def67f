package report_test

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// The figure on squared paper is printed at the scale that its caption says, on the page and in the PDF: 10 mm a box
// unless the display is too wide for a sheet.
func TestPaperIsPrintedAtTheScaleItSays(t *testing.T) {
	for _, c := range []struct {
		columns, rows int
		want          float64 // mm a box; of those that do not fit less than 10
	}{{8, 8, 10}, {10, 8, 10}, {14, 8, 10}, {16, 8, 10}, {22, 8, 0}, {10, 30, 0}} {
		d := fixed(t)
		columns := c.columns
		d.Graticule.Columns, d.Graticule.Rows = columns, c.rows
		page := pageOf(t, d)
		says := number(t, page, `one square, ([\d.]+) mm`)
		if c.want > 0 && says != c.want || says > 10 || says < 5 {
			t.Errorf("%d × %d boxes: the caption says %g mm", c.columns, c.rows, says)
		}
		width := number(t, page, `--on-paper: ([\d.]+)mm`)
		units := number(t, page, `--on-paper: [\d.]+mm"><svg viewBox="0 0 ([\d.]+)`)
		_, paper, _ := strings.Cut(page, "--on-paper: ")
		first := number(t, paper, `class="grid" stroke-width="1.2" d="M([\d.]+)`)
		last := number(t, paper, fmt.Sprintf(`class="grid" stroke-width="1.2" d="(?:M[-\d. ]+V[\d.]+){%d}M([\d.]+)`, columns))
		if got := (last - first) / float64(columns) * width / units; math.Abs(got-says) > 0.006 {
			t.Errorf("%d × %d boxes: %.3f mm a box on the page, and the caption says %g", c.columns, c.rows, got, says)
		}
		if width > 186.01 {
			t.Errorf("%d × %d boxes: %g mm do not fit on the sheet", c.columns, c.rows, width)
		}
		b := report.PDF(d, nil, report.Print{})
		step := says / 5 * 72 / 25.4 // of the fine lines, points
		if n := evenly(strokesOf(t, b), step); n < 5*c.columns-1 {
			t.Errorf("%d × %d boxes: %d lines of the PDF stand %.2f points apart, want %d", c.columns, c.rows, n, step, 5*c.columns+1)
		}
	}
}

// A box has the size that was asked for, measured between the lines of the PDF, to 0.05 mm, on either paper.
func TestABoxIsAsLargeAsWanted(t *testing.T) {
	for _, p := range []report.Print{{}, {Letter: true}, {Box: 5}, {Box: 6.35, Letter: true}} {
		want := p.Box
		if want == 0 {
			want = 10
		}
		d := fixed(t)
		for name, b := range map[string][]byte{"page": report.PDF(d, nil, p), "handout": report.Handout(d, p)["figures.pdf"]} {
			x := strokesOf(t, b)
			best := math.Inf(1) // how far the lines of all boxes are off, mm
			for _, first := range x {
				off := 0.0
				for k := 1; k <= 5*d.Graticule.Columns; k++ {
					at := first + float64(k)*want/5*72/25.4
					near := slices.MinFunc(x, func(a, b float64) int { return cmp.Compare(math.Abs(a-at), math.Abs(b-at)) })
					off = max(off, math.Abs(near-at)*25.4/72)
				}
				best = min(best, off)
			}
			if best > 0.05 {
				t.Errorf("%s, %+v: the lines are %.3f mm off their places", name, p, best)
			}
		}
	}
}

func number(t *testing.T, text, pattern string) float64 {
	t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("no %s", pattern)
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// strokesOf gives the places, in points from the left, at which upright lines of the PDF are drawn.
func strokesOf(t *testing.T, pdf []byte) (x []float64) {
	t.Helper()
	upright := regexp.MustCompile(`([\d.]+) [\d.]+ m\s+([\d.]+) [\d.]+ l`)
	for _, m := range regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`).FindAllSubmatch(pdf, -1) {
		r, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue // a picture
		}
		text, _ := io.ReadAll(r)
		for _, l := range upright.FindAllSubmatch(text, -1) {
			if string(l[1]) == string(l[2]) {
				v, _ := strconv.ParseFloat(string(l[1]), 64)
				x = append(x, v)
			}
		}
	}
	slices.Sort(x)
	return slices.Compact(x)
}

// evenly counts the longest run of places that are a step apart.
func evenly(x []float64, step float64) (longest int) {
	for i := range x {
		n := 1
		for slices.ContainsFunc(x, func(v float64) bool { return math.Abs(v-x[i]-float64(n)*step) < 0.06 }) {
			n++
		}
		longest = max(longest, n)
	}
	return longest
}

// Seconds stand at the lines from the left rim, volts a box apart from the ground line, wherever that lies; what is not
// known is counted in boxes.
func TestPaperHasVoltsAndSeconds(t *testing.T) {
	d := fixed(t)
	d.Settings.TimePerBox, d.Settings.VoltsPerBox, d.Settings.Probe, d.Settings.GroundBox = 0.02, 0.5, 10, -2.9
	svg := string(report.Figures(d, report.Print{})["paper.svg"])
	for _, want := range []string{">time (ms)<", ">voltage (V)<", ">0<", ">20<", fmt.Sprintf(">%d<", 20*d.Graticule.Columns), ">5<", ">30<"} {
		if !strings.Contains(svg, want) {
			t.Errorf("the paper has no %s", want)
		}
	}
	d.Settings.TimePerBox, d.Settings.VoltsPerBox = wire.Number(math.NaN()), wire.Number(math.NaN())
	if svg := string(report.Figures(d, report.Print{})["paper.svg"]); strings.Count(svg, ">boxes from the centre<") != 2 || strings.Contains(svg, "voltage") {
		t.Error("without scales the paper does not count in boxes")
	}
}
