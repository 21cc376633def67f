package reading_test

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// A curve of no kind that is known, or hardly of one, is no reason to look again, as long as its squares stand for
// nothing: any graph is drawn on squared paper. With volts and seconds its numbers are wanted, and then it is one.
func TestTheKindOfACurveOnPaperIsDoubtedOnlyWithItsScales(t *testing.T) {
	pen := synth.Pens()[0]
	s := synth.Sketch{Seed: 3, Ruling: synth.Rulings()[0], Cols: 14, Rows: 10, Pen: pen, Lines: pen,
		From: 2, To: 12, Zero: 2.3, High: 6, Wobble: 0.02,
		Width: 1200, Height: 900, Tilt: 4, Roll: 1, Blur: 0.7, Noise: 0.008, Quality: 90, Zoom: 0.95}
	for x := 2.0; x <= 12; x += 0.02 { // two levels, and as many places on the slopes between them
		s.Meant = append(s.Meant, geom.Box{X: x, Y: 5 + 3*min(max(1.9*math.Sin(2*math.Pi*(x-2)/4.2), -1), 1)})
	}
	img, _ := s.Shoot()
	var file bytes.Buffer
	if err := png.Encode(&file, img); err != nil {
		t.Fatal(err)
	}
	var desk reading.Desk
	for _, scaled := range []bool{false, true} {
		var s reading.Settings
		s.Paper = true
		one := reading.TraceSettings{}
		if scaled {
			one.Setup.VoltsPerBox, one.Setup.TimePerBox = unit.Value{X: 1, Unit: "V"}, unit.Value{X: 1, Unit: "s"}
		}
		s.Traces = []reading.TraceSettings{one}
		r, err := desk.Read(t.Context(), file.Bytes(), &s)
		if err != nil {
			t.Fatal(err)
		}
		doubts := 0
		for _, d := range r.Findings.Doubts {
			t.Log(scaled, d.Kind)
			doubts++
		}
		if scaled != (doubts > 0) {
			t.Errorf("scaled %v: %d doubts of the findings", scaled, doubts)
		}
	}
}
