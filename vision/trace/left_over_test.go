package trace

import (
	"math"
	"slices"
	"testing"

	"quadrille/calibrate/remark"
)

// A curve that is too short to be listed is told, with its place; words, cursors and a lead are not.
func TestWhatIsLeftOverIsDoubted(t *testing.T) {
	wave := sine(1.5, 2, 0.5)
	short := func(y float64) curve {
		return curve{between(func(x float64) float64 { return y + 1.2*(x-1) }, 1, 2.6), cyan, 0.02}
	}
	for _, c := range []struct {
		name  string
		p     painting
		doubt bool
	}{
		{"the wave alone", with(curve{wave, yellow, 0.02})(), false},
		{"a short curve", with(curve{wave, yellow, 0.02}, short(-3.7))(), true},
		{"words", and(with(curve{wave, yellow, 0.02}), cyan, func(x, y float64) bool {
			return x > -4.2 && x < 1.2 && (letters(x, y+2) || letters(x, y+2.5) || letters(x, y+3))
		})(), false},
		{"cursors", with(curve{wave, yellow, 0.02}, curve{flat(-2.5), cyan, 0.02}, curve{flat(-3.3), cyan, 0.02})(), false},
		{"an upright cursor", and(with(curve{wave, yellow, 0.02}), cyan, func(x, y float64) bool {
			return math.Abs(x-2) < 0.04
		})(), false},
		{"a lead", with(curve{wave, yellow, 0.02},
			curve{between(func(x float64) float64 { return -4.5 + 1.5*math.Sqrt(max(x-2, 0)) }, 2, 3.6), cyan, 0.07})(), false},
	} {
		tr := c.p.only(t)
		k := slices.IndexFunc(tr.Doubts, func(d remark.Remark) bool { return d.Kind == KindLeftOver })
		if got := k >= 0; got != c.doubt {
			t.Errorf("%s: something is left over: %v", c.name, got)
		}
		if k < 0 {
			continue
		}
		d := tr.Doubts[k]
		for _, v := range []struct {
			name string
			want float64
		}{{"from_left_box", 6}, {"to_left_box", 7.6}, {"low_box", -3.7}, {"high_box", -1.8}} {
			if got := d.Number(v.name); !(math.Abs(got-v.want) < 0.15) {
				t.Errorf("%s: %s = %.2f, is %.2f", c.name, v.name, got, v.want)
			}
		}
	}
}
