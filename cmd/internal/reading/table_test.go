package reading_test

import (
	"math"
	"os"
	"slices"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// The points that a photo leaves behind give the photo's own results: to a tenth of u, for the nine digits of the table
// are the only loss.
func TestTableOfAPhotoGivesThePhotosResults(t *testing.T) {
	for _, c := range []struct {
		photo                  string
		volts, seconds, ground float64
	}{{"slow-pale.jpg", 1.5, 5, -4}, {"sine-colour.jpg", 1, 5e-3, 0}} {
		data, err := os.ReadFile("../../../testdata/photos/" + c.photo)
		if err != nil {
			t.Fatal(err)
		}
		s := &reading.Settings{Traces: []reading.TraceSettings{{Setup: calibrate.Setup{Ground: calibrate.GroundGiven, GroundBox: c.ground,
			VoltsPerBox: unit.Value{X: c.volts, Unit: "V"}, TimePerBox: unit.Value{X: c.seconds, Unit: "s"}}}}}
		r, err := reading.Read(t.Context(), data, s)
		if err != nil {
			t.Fatal(err)
		}
		again, err := reading.FromTable(t.Context(), report.CSV(wire.From(r)), s)
		if err != nil {
			t.Fatal(err)
		}
		got := again.Findings.Results
		// A table has no boxes to be counted, and no strokes.
		want := slices.DeleteFunc(slices.Clone(r.Findings.Results), func(r analysis.Result) bool { return r.Method == "boxes" || r.Method == "outermost" })
		if len(want) != len(got) || len(got) == 0 || r.Findings.Signal != again.Findings.Signal {
			t.Fatalf("%s: %d results of a %s, from its table %d of a %s", c.photo, len(want), r.Findings.Signal, len(got), again.Findings.Signal)
		}
		for i, w := range want {
			if g := got[i]; g.Quantity != w.Quantity || !(math.Abs(g.Value.X-w.Value.X) < 0.1*w.Value.U) || g.Value.U > 1.01*w.Value.U {
				t.Errorf("%s: %s %s is %v, from its table %v", c.photo, w.Quantity, w.Method, w.Value, g.Value)
			}
		}
	}
}
