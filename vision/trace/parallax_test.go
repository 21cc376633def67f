package trace_test

import (
	"math"
	"slices"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// parallaxOf is the effect of parallax on a trace; nil if it has none.
func parallaxOf(tr *trace.Trace) *trace.Effect {
	k := slices.IndexFunc(tr.Effects, func(e trace.Effect) bool { return e.Name == "parallax of the tube" })
	if k < 0 {
		return nil
	}
	return &tr.Effects[k]
}

// A glow 0.15 box behind an engraved graticule is seen drawn together; the effect says by how much, at the most, and
// where to. A panel draws graticule and trace on the same pixels and has no such effect.
func TestParallaxOfATubeIsInTheEffects(t *testing.T) {
	t.Parallel()
	seed := uint64(1)
	for ; ; seed++ {
		if s := synth.Random(seed); s.Display.Kind == synth.Tube && !s.Display.Lit && len(s.Signals) == 1 && s.Signals[0].Form == synth.Decay {
			break
		}
	}
	scene := synth.Random(seed).WithMegapixels(1.2)
	scene.Display.Sag, scene.Display.Depth = 0, 0
	scene.Signals = []synth.Signal{{Form: synth.Level, VStart: 3, Codes: -1}}
	read := func(s synth.Scene) *trace.Trace {
		ph, g, _ := shoot(t, s)
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Fatal(err)
		}
		return traces[0]
	}
	flat := read(scene)
	scene.Display.Depth = 0.15
	deep := read(scene)
	e := parallaxOf(deep)
	if e == nil || parallaxOf(flat) == nil {
		t.Fatalf("no effect of parallax on a tube with an engraved graticule, seed %d", seed)
	}
	// At the limit of the depth, √6 standard deviations if every other tube has none, a level moves by √6 times the
	// effect.
	var off, told []float64
	for i := range deep.Y {
		if d := deep.Y[i] - flat.Y[i]; !math.IsNaN(d) {
			off, told = append(off, d), append(told, math.Sqrt(6)*e.DY[i])
		}
	}
	if moved, says := quantile(off, 0.5), quantile(told, 0.5); math.Abs(moved-says) > 0.2*math.Abs(says) || math.Abs(says) < 0.02 {
		t.Errorf("the trace moved by %.4f box, and the effect says %.4f", moved, says)
	}
	if left, right := e.DX[0], e.DX[len(e.DX)-1]; !(left > 0 && right < 0) {
		t.Errorf("the rims move by %.4f and %.4f box: not together", left, right)
	}
	for _, kind := range []synth.Kind{synth.Colour, synth.Pale} {
		panel := scene
		panel.Display.Kind = kind
		if parallaxOf(read(panel)) != nil {
			t.Errorf("%v: an effect of parallax on a panel", kind)
		}
	}
}

// A sphere's bulge of 0.03 box at the corners, and a panel's few thousandths that noise makes.
func TestACurvedFaceIsATube(t *testing.T) {
	s := synth.Random(3).WithMegapixels(1.2)
	s.Display.Kind, s.Display.Sag, s.Display.Depth = synth.Colour, 0, 0
	s.Signals = []synth.Signal{{Form: synth.Level, VStart: 2, Codes: -1}}
	ph, g, _ := shoot(t, s)
	for _, c := range []struct {
		bulge float64
		want  bool
	}{{0, false}, {0.002, false}, {0.03, true}} {
		g.Face.Half = geom.Box{X: -g.Frame.Left(), Y: -g.Frame.Bottom()}
		g.Face.DX[3], g.Face.DX[5] = -c.bulge/2, -c.bulge/2
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := parallaxOf(traces[0]) != nil; got != c.want {
			t.Errorf("a bulge of %g box: parallax is %v", c.bulge, got)
		}
	}
}

// A lit graticule on a flat face shows no depth: whatever the signal, the effect is there. A panel shows that it is
// one, by its dots, by the steps and the wobble of its record, or by edges as bright as levels. 1.6 megapixels do
// for 3: with three times the raggedness asked for (stroke/beam.go) both fail, with half of it or of byHeight neither.
func TestOnlyWhatIsSurelyAPanelHasNoParallax(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind synth.Kind
		grid synth.Grid
		of   []synth.Form
		want bool
	}{
		{synth.Tube, 0, []synth.Form{synth.Decay, synth.Driven, synth.Sine, synth.Square, synth.Level}, true},
		{synth.Colour, synth.Dotted, []synth.Form{synth.Level}, false},
		{synth.Colour, synth.Solid, []synth.Form{synth.Decay, synth.Sine, synth.Level}, false},
		{synth.Blue, synth.Solid, []synth.Form{synth.Driven, synth.Square}, false},
	} {
		for _, form := range c.of {
			sc := synth.Scene{Seed: 5, Camera: synth.Phone(), Display: synth.Display{Kind: c.kind, Grid: c.grid, Lit: true}}
			var sig synth.Signal
			sig, sc.TimePerBox = synth.Specimen(form, geom.Frame{Cols: 10, Rows: 8})
			sc.Signals = []synth.Signal{sig}
			ph, g, _ := shoot(t, sc.WithMegapixels(0.8))
			traces, err := trace.Extract(t.Context(), ph, g, nil)
			if err != nil {
				t.Errorf("%v on %v: %v", form, c.kind, err)
				continue
			}
			if got := parallaxOf(traces[0]) != nil; got != c.want {
				t.Errorf("%v on %v, %v lines: parallax is %v", form, c.kind, c.grid, got)
			}
		}
	}
}
