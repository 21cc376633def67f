package analysis

import (
	"math"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// strokedSquare gives a record of a square wave of 0 and 4 V with strokes 0.05 V high, edges as tall as they are, and
// effects of the scale and of ground.
func strokedSquare() *calibrate.Record {
	rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 50}
	for i := range 500 {
		v, h, u := 0.0, 0.05, 0.005
		switch {
		case i%100 == 0 || i%100 == 50:
			v, h, u = 2, 4.05, 1
		case i%100 > 50:
			v = 4
		}
		rec.T, rec.V, rec.Sigma, rec.Stroke = append(rec.T, float64(i)), append(rec.V, v), append(rec.Sigma, u), append(rec.Stroke, h)
	}
	with(rec, "volts scale", true, func(_, v float64) (float64, float64) { return 0, 0.02 * v })
	return with(rec, "ground line", false, func(_, _ float64) (float64, float64) { return 0, 0.1 })
}

func outermostOf(t *testing.T, rec *calibrate.Record) (Result, *Findings) {
	t.Helper()
	f, err := Analyse(t.Context(), rec, &Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range f.Results {
		if r.Method == methodOutermost {
			return r, f
		}
	}
	t.Fatal("no height of the outermost strokes")
	return Result{}, nil
}

// The scale moves the ends of a tall stroke, not its middle, and ground moves both ends alike.
func TestScaleMovesTheOutermostStrokes(t *testing.T) {
	r, _ := outermostOf(t, strokedSquare())
	terms := map[string]float64{}
	for _, b := range r.Budget {
		terms[b.Source] = b.U
	}
	if math.Abs(r.Value.X-4) > 1e-9 || math.Abs(terms["volts scale"]-0.08) > 1e-9 || terms["ground line"] != 0 || len(r.Doubts) != 0 {
		t.Errorf("%v, volts scale %g, ground line %g, doubts %q", r.Value, terms["volts scale"], terms["ground line"], r.Doubts)
	}
}

// A stroke that reaches further than all others is doubted; one that comes again, or a crest, is not.
func TestALoneStrokeIsDoubted(t *testing.T) {
	for _, c := range []struct {
		at   []int
		want bool
	}{{[]int{225}, true}, {[]int{125, 225, 325}, false}} {
		rec := strokedSquare()
		for _, i := range c.at {
			rec.Stroke[i] += 2
		}
		r, f := outermostOf(t, rec)
		if doubted := remark.Any(r.Doubts, KindLoneStroke); doubted != c.want {
			t.Errorf("strokes at %v: doubts %q, notes %q", c.at, r.Doubts, f.Notes)
		}
	}
}

// Overshoot stands a little beyond the levels; what stands far beyond them may be words that touch the trace.
func TestWhatStandsFarBeyondTheLevelsIsDoubted(t *testing.T) {
	for _, c := range []struct {
		more float64 // V
		want bool
	}{{1.2, false}, {2, true}} {
		rec := strokedSquare()
		for _, i := range []int{125, 225, 325} {
			rec.Stroke[i] += c.more // half of it beyond the low level, of 4 V in all
		}
		r, _ := outermostOf(t, rec)
		if doubted := remark.Any(r.Doubts, KindBeyondLevels); doubted != c.want {
			t.Errorf("%g V beyond: doubts %q", c.more/2, r.Doubts)
		}
	}
}

// A table has no strokes, and so no height of them; its level still has its extremes.
func TestATableHasNoOutermostStrokes(t *testing.T) {
	rec := strokedSquare()
	rec.Stroke = nil
	f, err := Analyse(t.Context(), rec, &Settings{Signal: SignalLevel})
	if err != nil {
		t.Fatal(err)
	}
	extremes := false
	for _, r := range f.Results {
		extremes = extremes || r.Method == "extremes"
		if r.Method == methodOutermost {
			t.Errorf("%v from a table", r.Value)
		}
	}
	if !extremes {
		t.Error("no extremes")
	}
}

// The end of an edge's stroke stands at the level beside it: blur takes nothing off it, though the other neighbour lies
// at the other level. That made U as wide as the height. A peak of one column loses as much as it stands out.
func TestAnEdgeIsNoBluntCrest(t *testing.T) {
	for _, c := range []struct {
		name        string
		high        func(i int) bool
		edge        float64 // V, of the edge's stroke; the rest of the way to the high level is drawn in no column
		least, most float64 // V, u of the height
	}{
		{"square", func(i int) bool { return i%100 > 50 }, 4.15, 0, 0.2},
		{"square with edges of two columns", func(i int) bool { return i%100 > 50 }, 3.2, 0, 0.05},
		{"peaks", func(i int) bool { return i%100 == 50 }, 4.15, 1, 20},
	} {
		rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 50}
		for i := range 500 {
			v, h := 0.0, 0.05
			if c.high(i) {
				v = 4
			}
			if c.high(i) && !c.high(i-1) {
				h = c.edge // drawn in the column of the level: a little beyond it, or short of it by almost a quarter
				v = (c.edge - 0.05) / 2
			}
			rec.T, rec.V, rec.Sigma, rec.Stroke = append(rec.T, float64(i)), append(rec.V, v), append(rec.Sigma, 0.005), append(rec.Stroke, h)
		}
		r, _ := outermostOf(t, rec)
		if r.Value.U < c.least || r.Value.U > c.most {
			t.Errorf("%s: %v", c.name, r.Value)
		}
	}
}
