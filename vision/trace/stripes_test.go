package trace_test

import (
	"slices"
	"testing"

	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// A pale panel and a tube have no colour stripes; a colour panel has.
func TestAPalePanelHasNoColourStripes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind synth.Kind
		want bool
	}{{synth.Pale, false}, {synth.Tube, false}, {synth.Colour, true}} {
		for seed := range uint64(2) {
			sc := flatFace(synth.Random(60 + seed).WithMegapixels(0.8))
			level := synth.Signal{Form: synth.Level, VStart: 1.3, VoltsPerBox: 1, Noise: 0.02}
			sc.Display.Kind, sc.Signals = c.kind, []synth.Signal{level}
			ph, g, _ := shoot(t, sc)
			traces, err := trace.Extract(t.Context(), ph, g, nil)
			if err != nil {
				t.Fatal(err)
			}
			has := slices.ContainsFunc(traces[0].Effects, func(e trace.Effect) bool { return e.Name == "colour stripes of the display" })
			if has != c.want {
				t.Errorf("%s, seed %d: colour stripes %v", c.kind, seed, has)
			}
		}
	}
}
