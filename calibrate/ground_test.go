package calibrate_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/vision/trace"
)

func TestGroundComesFromTheMark(t *testing.T) {
	s := bench()
	s.Ground = calibrate.GroundAuto
	tr := wave()
	tr.GroundMark = -2.3
	rec := apply(t, s, tr)
	given := s
	given.Ground, given.GroundBox = calibrate.GroundGiven, -2.3
	if g := apply(t, given, tr); !same(rec.V, g.V, 10) || rec.GroundBox != -2.3 {
		t.Errorf("ground by the mark differs from the same ground given")
	}
	if rec.Ground != "the mark at the rim" || rec.Doubts != nil {
		t.Errorf("ground from %q, doubts %q", rec.Ground, rec.Doubts)
	}
	// A tenth of a box as a limit and the mark's own 0.03 boxes, at 2 V a box.
	if u, want := -rec.Effects[2].DV[0], 2*math.Sqrt(0.01/3+0.0009); math.Abs(u-want) > 1e-12 {
		t.Errorf("the ground line is good to %v V, want %v", u, want)
	}
}

// Its uncertainty says all there is to doubt where a tube shows no marks; a panel of pixels has one, which was missed.
func TestGroundWithoutAMarkIsWideAndTold(t *testing.T) {
	s := bench()
	s.Ground = calibrate.GroundAuto
	for _, mark := range []float64{math.NaN(), 4.1} {
		for _, beam := range []bool{true, false} {
			tr := wave()
			tr.GroundMark, tr.Beam = mark, beam
			rec := apply(t, s, tr)
			told, other, kind := rec.Notes, rec.Doubts, calibrate.KindGroundUnknown
			if !beam {
				told, other, kind = other, told, calibrate.KindGroundMarkMissed
			}
			if rec.GroundKnown() || rec.GroundBox != 0 || len(other) > 0 || len(told) != 1 || told[0].Kind != kind ||
				!strings.Contains(rec.Ground, "for want of a mark") {
				t.Errorf("mark %v, beam %v: ground %v from %q, doubts %q, notes %q", mark, beam, rec.GroundBox, rec.Ground, rec.Doubts, rec.Notes)
			}
			// Anywhere on 8 boxes of 2 V: limits ±8 V.
			if u, want := -rec.Effects[2].DV[0], 8/math.Sqrt(3); math.Abs(u-want) > 1e-12 {
				t.Errorf("mark %v: the ground line is good to %v V, want %v", mark, u, want)
			}
		}
	}
}

// The flat stretch is told as what it is, a guess: with a doubt.
func TestGroundFromWhereTheTraceRestsIsDoubted(t *testing.T) {
	s := bench()
	s.Ground = calibrate.GroundAuto
	tr := wave()
	tr.Rest = trace.Stretch{From: -5, To: -3.5, Y: -3.9, Sigma: 0.01}
	rec := apply(t, s, tr)
	if rec.GroundBox != -3.9 || len(rec.Doubts) != 1 || !strings.Contains(rec.Ground, "rests") || rec.Doubts[0].Kind != calibrate.KindGroundAtRest {
		t.Errorf("ground %v from %q, doubts %q", rec.GroundBox, rec.Ground, rec.Doubts)
	}
	// A tenth of a box as a limit and the stretch's own 0.01 boxes, at 2 V a box.
	if u, want := -rec.Effects[2].DV[0], 2*math.Sqrt(0.01/3+0.0001); math.Abs(u-want) > 1e-12 {
		t.Errorf("the ground line is good to %v V, want %v", u, want)
	}
	tr.GroundMark = -3
	if rec = apply(t, s, tr); rec.GroundBox != -3 || rec.Doubts != nil {
		t.Errorf("with a mark: ground %v, doubts %q", rec.GroundBox, rec.Doubts)
	}
}

// A right ground line looks wrong on a grid with too few rows: the grid is doubted first, and the reading goes on. One
// that no display has is refused, with both hints.
func TestGroundBesideTheGridDoubtsTheCount(t *testing.T) {
	s := bench()
	s.Ground, s.GroundBox = calibrate.GroundGiven, -4.6
	rec := apply(t, s, wave())
	if rec.GroundBox != -4.6 || len(rec.Doubts) != 1 || rec.Doubts[0].Kind != calibrate.KindGroundOffGrid {
		t.Errorf("ground %v, doubts %q", rec.GroundBox, rec.Doubts)
	}
	s.GroundBox = -35
	_, err := s.Apply(wave())
	var setup *calibrate.SetupError
	if !errors.As(err, &setup) || !strings.Contains(setup.Hint, "--boxes") || !strings.Contains(setup.Hint, "-3.5") {
		t.Errorf("%+v", err)
	}
}

// A mark that points off the screen never gives a ground line on it, and lets one off it be given.
func TestGroundOffTheScreen(t *testing.T) {
	s := bench()
	for _, c := range []struct {
		from     calibrate.GroundFrom
		box      float64
		mark     float64
		refused  bool
		told     remark.Kind // a note if ground is to be found, for its uncertainty covers the screen, else a doubt
		side     string
		wantUBox float64
	}{
		{calibrate.GroundAuto, 0, math.Inf(-1), false, calibrate.KindGroundOffScreen, "below", 8 / math.Sqrt(3)},
		{calibrate.GroundAuto, 0, math.Inf(1), false, calibrate.KindGroundOffScreen, "above", 8 / math.Sqrt(3)},
		{calibrate.GroundBottom, 0, math.Inf(-1), false, calibrate.KindGroundAgainstPointer, "below", 0.1 / math.Sqrt(3)},
		{calibrate.GroundGiven, -9.5, math.Inf(-1), false, "", "", 0.1 / math.Sqrt(3)},
		{calibrate.GroundGiven, -9.5, math.Inf(1), true, "", "", 0},
		{calibrate.GroundGiven, -9.5, math.NaN(), true, "", "", 0},
		{calibrate.GroundGiven, -200, math.Inf(-1), true, "", "", 0},
	} {
		tr := wave()
		s.Ground, s.GroundBox, tr.GroundMark = c.from, c.box, c.mark
		rec, err := s.Apply(tr)
		if (err != nil) != c.refused {
			t.Errorf("%+v: error %v", c, err)
		}
		if err != nil {
			continue
		}
		if rec.GroundKnown() == (c.from == calibrate.GroundAuto) {
			t.Errorf("%+v: ground known: %v", c, rec.GroundKnown())
		}
		told, empty := rec.Doubts, rec.Notes
		if c.from == calibrate.GroundAuto {
			told, empty = empty, told
		}
		if len(empty) > 0 || c.told == "" && len(told) > 0 || c.told != "" && (len(told) != 1 || told[0].Kind != c.told || told[0].Word("side") != c.side) {
			t.Errorf("%+v: doubts %q, notes %q", c, rec.Doubts, rec.Notes)
		}
		if u := -rec.Effects[2].DV[0] / 2; math.Abs(u-c.wantUBox) > 1e-12 {
			t.Errorf("%+v: the ground line is good to %v boxes", c, u)
		}
	}
}

// Of two marks that may be the trace's the likelier is taken, and doubted; of two at one height there is nothing to
// doubt. A mark that may be another's is not taken, and told.
func TestASecondMarkIsADoubt(t *testing.T) {
	unclear, shared, off := calibrate.KindGroundMarkUnclear, calibrate.KindGroundMarkShared, math.Inf(-1)
	for _, c := range []struct {
		mark, rival float64
		doubt       remark.Kind
		known       bool
	}{
		{-3, math.NaN(), "", true}, {-3, 2, unclear, true}, {-3, -2.8, "", true}, {-3, -2.69, unclear, true}, {-3, off, unclear, true},
		{off, -3, unclear, false}, {off, off, "", false},
		{math.NaN(), -3, shared, false}, {math.NaN(), off, shared, false},
	} {
		tr := wave()
		tr.GroundMark, tr.GroundRival = c.mark, c.rival
		s := bench()
		s.Ground = calibrate.GroundAuto
		rec := apply(t, s, tr)
		if c.doubt == "" && rec.Doubts != nil || c.doubt != "" && (len(rec.Doubts) != 1 || rec.Doubts[0].Kind != c.doubt) || rec.GroundKnown() != c.known {
			t.Errorf("mark at %g, rival at %g: doubts %q, known %v", c.mark, c.rival, rec.Doubts, rec.GroundKnown())
		}
	}
}

func TestGroundUncertaintyCanBeGiven(t *testing.T) {
	s := bench()
	s.GroundU = 0.02
	if u := -apply(t, s, wave()).Effects[2].DV[0]; math.Abs(u-0.04) > 1e-15 {
		t.Errorf("the ground line is good to %v V, want 0.04", u)
	}
}

func TestGroundThatContradictsTheMarkIsDoubted(t *testing.T) {
	s := bench() // ground at -4
	for mark, doubted := range map[float64]bool{-3.7: false, math.Nextafter(-3.7, 0): true, -4: false, 1: true, 5: false, math.NaN(): false} {
		tr := wave()
		tr.GroundMark = mark
		rec := apply(t, s, tr)
		if (len(rec.Doubts) == 1) != doubted || rec.GroundBox != -4 {
			t.Errorf("mark at %v: ground %v, doubts %q", mark, rec.GroundBox, rec.Doubts)
		}
	}
}

func TestParseGround(t *testing.T) {
	for text, want := range map[string]struct {
		from calibrate.GroundFrom
		box  float64
	}{
		"auto": {calibrate.GroundAuto, 0}, "bottom": {calibrate.GroundBottom, 0}, "Centre": {calibrate.GroundCentre, 0},
		" center ": {calibrate.GroundCentre, 0}, "-3.5": {calibrate.GroundGiven, -3.5}, "1.2 boxes": {calibrate.GroundGiven, 1.2},
		"0": {calibrate.GroundGiven, 0},
	} {
		if from, box, err := calibrate.ParseGround(text); err != nil || from != want.from || box != want.box {
			t.Errorf("ParseGround(%q) = %v, %v, %v; want %+v", text, from, box, err, want)
		}
	}
	for _, text := range []string{"", "top", "1.2s", "NaN", "1e9", "-"} {
		_, _, err := calibrate.ParseGround(text)
		var bad *calibrate.SetupError
		if !errors.As(err, &bad) || bad.Field != "ground" || !strings.Contains(bad.Reason, fmt.Sprintf("%q", text)) || bad.Hint == "" {
			t.Errorf("ParseGround(%q): %v; want a *SetupError of ground", text, err)
		}
	}
}
