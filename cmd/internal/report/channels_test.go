package report_test

import (
	"bytes"
	"image/color"
	"image/jpeg"
	"math"
	"strings"
	"testing"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/trace"
)

// Of a display with bars as long as words in the colours of its traces, each trace gets its own and no mark, lamp or
// coloured plastic, whatever light falls on it; a white trace gets none, and two of about one colour get the same.
func TestTheRimIsShownByChannel(t *testing.T) {
	yellow, cyan, white := [3]uint8{240, 224, 96}, [3]uint8{90, 224, 240}, [3]uint8{250, 252, 255}
	bars := []struct {
		at         geom.Box
		long, high float64
		c          color.RGBA
	}{
		{geom.Box{X: -3.4, Y: -4.7}, 0.4, 0.3, color.RGBA{170, 150, 30, 255}}, // a dim yellow word of two letters
		{geom.Box{X: -2.6, Y: -4.7}, 0.4, 0.3, color.RGBA{170, 150, 30, 255}},
		{geom.Box{X: 1, Y: -4.7}, 1.4, 0.3, color.RGBA{60, 160, 190, 255}},   // a dim blue-green one, 5° off its trace
		{geom.Box{X: -5.4, Y: 1}, 0.4, 0.3, color.RGBA{240, 224, 96, 255}},   // a mark
		{geom.Box{X: -5.4, Y: -1}, 0.45, 0.2, color.RGBA{90, 224, 240, 255}}, // an arrow
		{geom.Box{X: 6.2, Y: 0}, 1.5, 2.0, color.RGBA{230, 200, 60, 255}},    // plastic
		{geom.Box{X: 4, Y: -4.7}, 1.2, 0.3, color.RGBA{220, 220, 225, 255}},  // a white word
	}
	ph, g := scene(t, 1600, 1200, func(b geom.Box) color.RGBA {
		for _, w := range bars {
			if math.Abs(b.X-w.at.X) < w.long/2 && math.Abs(b.Y-w.at.Y) < w.high/2 {
				return w.c
			}
		}
		return color.RGBA{30, 34, 40, 255}
	})
	tr := func(name string, c [3]uint8) *trace.Trace {
		return &trace.Trace{Name: name, Colour: c, GroundMark: math.NaN()}
	}
	channels := report.Channels(ph, g, []*trace.Trace{tr("a", yellow), tr("b", cyan), tr("c", white), tr("d", [3]uint8{96, 212, 240})})
	if len(channels) != 4 {
		t.Fatalf("%d channels of 4 traces", len(channels))
	}
	for i, want := range []struct {
		hue  string
		long float64 // of the bar in boxes; 0 for none
	}{{"yellow", 1.2}, {"blue-green", 1.4}, {"white", 0}, {"blue-green", 1.4}} {
		c := channels[i]
		if c.Hue != want.hue || len(c.Scale) != map[bool]int{true: 1}[want.long > 0] {
			t.Errorf("trace %s is %s with %d parts of the rims, want %s", c.Name, c.Hue, len(c.Scale), want.hue)
			continue
		}
		if want.long == 0 {
			continue
		}
		img, err := jpeg.Decode(bytes.NewReader(c.Scale[0].JPEG))
		if err != nil {
			t.Fatal(err)
		}
		left, right := img.Bounds().Dx(), 0
		y := img.Bounds().Dy() / 2
		for x := range img.Bounds().Dx() {
			r, gr, b, _ := img.At(x, y).RGBA()
			if max(r, gr, b) > 0x6000 {
				left, right = min(left, x), max(right, x)
			}
		}
		if long := float64(right-left) / pixels(g); math.Abs(long-want.long) > 0.1 {
			t.Errorf("trace %s: the word is %.2f boxes long in its part of the rim, want %.1f", c.Name, long, want.long)
		}
	}
	if c := report.Channels(ph, g, []*trace.Trace{tr("a", yellow)}); c != nil {
		t.Errorf("%d channels of one trace", len(c))
	}
}

// The page says of each trace where its ground mark is and which number it got, and how to give one to those without.
func TestThePageTellsChannelsApart(t *testing.T) {
	d := fixed(t)
	d.Traces[0].Name, d.Traces[0].Chosen = "a", true
	d.Traces[0].Settings = &wire.Used{VoltsPerBox: 2}
	p := &report.Pictures{
		Margins: []report.Picture{{Name: "above, left half", JPEG: []byte{1}, W: 3, H: 2}},
		Channels: []report.Channel{
			{Name: "a", Hue: "yellow", Colour: [3]uint8{240, 224, 96}, GroundMark: -1.5, Scale: []report.Picture{{Name: "x", JPEG: []byte{1}, W: 3, H: 2}}},
			{Name: "b", Hue: "white", Colour: [3]uint8{250, 252, 255}, GroundMark: math.Inf(1)},
		},
	}
	b := report.Page(d, p, report.Print{})
	page := string(b)
	balanced(t, page)
	for _, s := range []string{
		`<span class="swatch" style="background: #f0e060"></span><strong>trace a, yellow:</strong> its ground mark is at the rim 1.5 boxes below the centre; it was read with 2 V a box.`,
		`alt="Part of the rim: x"`,
		`<strong>trace b, white:</strong> its ground mark points off the screen, at the top; it has no volts per box of its own.`,
		`<code>--trace b --volts-per-box …</code>`, `Its colour does not tell its words from others`,
	} {
		if !strings.Contains(page, s) {
			t.Errorf("%q is not on the page", s)
		}
	}
}

// The names are those of everyday speech for colours of displays as cameras see them.
func TestColoursHaveNames(t *testing.T) {
	for c, want := range map[[3]uint8]string{
		{0xf4, 0xf0, 0x80}: "yellow", {0x28, 0xd8, 0xe6}: "blue-green", {0xd2, 0x8c, 0xe6}: "violet", {0x1e, 0x6b, 0xf2}: "blue",
		{0xff, 0x30, 0x20}: "red", {0xff, 0x20, 0x50}: "red", {0xee, 0xb8, 0x77}: "orange", {0x40, 0xe0, 0x40}: "green",
		{0x90, 0xf0, 0x06}: "yellow-green", {0xff, 0x60, 0xd0}: "purple", {0xec, 0xf8, 0xff}: "white", {0xff, 0xf3, 0xe8}: "white",
		{0x90, 0x92, 0x94}: "grey", {0x20, 0x20, 0x22}: "black",
	} {
		if got := words.Colour(c); got != want {
			t.Errorf("#%02x is %s, want %s", c, got, want)
		}
	}
}
