package reading

import (
	"image"
	"math"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
)

// Whatever changes in the inputs of a stage changes its key; equal inputs have one.
func TestKeysTellInputsApart(t *testing.T) {
	at := func(x float64) *float64 { return &x }
	seen := map[key]int{}
	for i, in := range []any{
		analysis.Settings{}, analysis.Settings{Signal: "sine"}, analysis.Settings{From: at(1)}, analysis.Settings{To: at(1)}, analysis.Settings{To: at(0)},
		analysis.Settings{Levels: []float64{1, 2}}, analysis.Settings{Levels: []float64{12}}, analysis.Settings{Trials: 1},
		analysis.Settings{Resistance: unit.Value{X: 1}}, analysis.Settings{Capacitance: unit.Value{X: 1}}, analysis.Settings{Capacitance: unit.Value{U: 1}},
		calibrate.Setup{}, calibrate.Setup{GroundBox: 1}, calibrate.Setup{GroundBox: math.NaN()}, calibrate.Setup{VoltsPerBox: unit.Value{X: 1, Unit: "V"}},
		graticule.Options{}, graticule.Options{Frame: geom.Frame{Cols: 10}}, graticule.Options{Corners: &[4]geom.Pixel{}}, graticule.Options{Corners: &[4]geom.Pixel{{X: 1}}},
		"", "a", "b", []string{"a", "b"}, []string{"ab"}, []string{"", "ab"},
	} {
		k := keyOf("stage", in)
		if before, same := seen[k]; same {
			t.Errorf("inputs %d and %d have one key", before, i)
		}
		seen[k] = i
	}
	if keyOf("a", 1) == keyOf("b", 1) {
		t.Error("two stages have one key")
	}
	one, two := analysis.Settings{From: at(3)}, analysis.Settings{From: at(3)}
	if keyOf("stage", one) != keyOf("stage", two) {
		t.Error("equal numbers at two places have two keys")
	}
	if keyOf("stage", graticule.Options{}) != keyOf("stage", graticule.Options{Stage: func(string, image.Image) {}}) {
		t.Error("who looks on is a part of the key")
	}
}
