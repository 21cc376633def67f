package reading_test

import (
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/synth"
)

// sheetOf is a small photo of a drawing on a piece of paper.
func sheetOf(seed uint64, ruling, columns, rows int) []byte {
	pen := synth.Pens()[0]
	img, _ := synth.Sketch{Seed: seed, Ruling: synth.Rulings()[ruling], Cols: columns, Rows: rows, Pen: pen, Lines: pen,
		Form: synth.SketchDecay, From: 2, To: 12, Zero: 2.3, High: 6, Tau: 3, Wobble: 0.02,
		Width: 800, Height: 600, Tilt: 4, Roll: 1, Blur: 0.7, Noise: 0.008, Quality: 90, Zoom: 0.95}.Shoot()
	return encoded(img)
}

func remarkKinds(list []remark.Remark) (out []remark.Kind) {
	for _, r := range list {
		out = append(out, r.Kind)
	}
	return out
}

// A sheet goes on where a display ends.
func TestPaperReadAsADisplayIsAskedAbout(t *testing.T) {
	display, _ := synth.Scene{Seed: 5, Camera: synth.Phone()}.WithMegapixels(0.6).Shoot()
	for name, c := range map[string]struct {
		photo []byte
		asked bool
	}{
		"sheet":   {sheetOf(3, 0, 22, 16), true},
		"display": {encoded(display), false},
	} {
		r, err := reading.Read(t.Context(), c.photo, &reading.Settings{})
		if got := remark.Any(r.Doubts, reading.KindMayBePaper); got != c.asked {
			t.Errorf("%s: asked %v (%v; %v)", name, got, remarkKinds(r.Doubts), err)
		}
	}
}

// Whoever reads a display with the setting of a drawing is told, be it refused or read.
func TestADisplayReadAsPaperIsAskedAbout(t *testing.T) {
	display, _ := synth.Scene{Seed: 5, Camera: synth.Phone()}.WithMegapixels(0.6).Shoot()
	for name, c := range map[string]struct {
		photo []byte
		asked bool
	}{
		"display": {encoded(display), true}, "a small sheet": {sheetOf(3, 0, 17, 13), false},
		"a piece of graph paper": {sheetOf(3, 2, 12, 9), false},
	} {
		r, err := reading.Read(t.Context(), c.photo, &reading.Settings{Paper: true})
		if got := remark.Any(r.Doubts, reading.KindMayBeDisplay); got != c.asked || !c.asked && err != nil {
			t.Errorf("%s: asked %v (%v; %v)", name, got, remarkKinds(r.Doubts), err)
		}
	}
}
