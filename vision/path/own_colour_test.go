package path

import (
	"math"
	"testing"

	"quadrille/vision/sheet"
)

// Of a path that others cover for most of the width, strokes plainly in a colour of its own make a trace if it is a
// curve that hangs together well.
func TestAColourOfItsOwnIsAPlace(t *testing.T) {
	s := quiet(t)
	slope := func(i int) float64 { return 120 + 0.5*float64(i) }
	for _, c := range []struct {
		name    string
		alone   float64    // share of the columns in which nothing covers it
		quality float64    // of the path
		light   [3]float64 // of its strokes; its tint is red, that of the other path green
		at      func(i int) float64
		none    bool
	}{
		{"a curve", 0.4, 0.9, [3]float64{1, 0, 0}, slope, false},
		{"less of it", 0.3, 0.9, [3]float64{1, 0, 0}, slope, true},
		{"one that hangs together like words", 0.4, 0.8, [3]float64{1, 0, 0}, slope, true},
		{"a level", 0.4, 0.9, [3]float64{1, 0, 0}, atRow(250), true},
		{"strokes 0.5 off, the other's 1.1", 0.4, 0.9, [3]float64{1, 0.55, 0}, slope, false},
		{"strokes 0.6 off, the other's 1", 0.4, 0.9, [3]float64{1, 0.68, 0}, slope, true},
	} {
		p := made(s, 0, s.NX, 5, c.at)
		other := made(s, int(c.alone*float64(s.NX)), s.NX, 5, c.at)
		for i, r := range p.Runs {
			for j := r.Lo; j <= r.Hi; j++ {
				for k := range 3 {
					s.Light[k][i*s.NY+j] = float32(c.light[k])
				}
			}
		}
		mine := &Candidate{Tint: sheet.Tint{1, 0, 0}, Path: p, quality: c.quality}
		says(t, c.name+", without a place", hasNoPlace(mine, s, []*Candidate{{Tint: sheet.Tint{0, 1, 0}, Path: other}}), c.none)
		for i, r := range p.Runs {
			for j := r.Lo; j <= r.Hi; j++ {
				for k := range 3 {
					s.Light[k][i*s.NY+j] = 0
				}
			}
		}
	}
}

// The colour of a run is that of its whole stroke, cells beyond the run with it, but not of what is further off.
func TestTheTintOfAStroke(t *testing.T) {
	s := quiet(t)
	for _, c := range []struct {
		rows int // beyond the run, in green
		want float64
	}{{5, math.Pi / 4}, {9, math.Atan(9.0 / 5)}, {30, math.Atan(2)}} {
		for j := 200; j < 205; j++ {
			s.Light[0][100*s.NY+j] = 1
		}
		for j := 205; j < 205+c.rows; j++ {
			s.Light[1][100*s.NY+j] = 1
		}
		d, ok := strokeTint(s, 100, Run{Lo: 200, Hi: 204})
		if got := d.Angle(sheet.Tint{1, 0, 0}); !ok || math.Abs(got-c.want) > 0.01 {
			t.Errorf("%d rows of green beyond: %.2f from red, want %.2f", c.rows, got, c.want)
		}
	}
	if _, ok := strokeTint(s, 50, Run{Lo: 200, Hi: 204}); ok {
		t.Error("nothing is drawn there, and has a colour")
	}
}
