package remark_test

import (
	"math"
	"testing"

	"quadrille/calibrate/remark"
)

const odd remark.Kind = "test.odd"

func TestValuesAreFoundByTheirNames(t *testing.T) {
	r := remark.Of(odd, remark.Number("height", 1.5), remark.Count("rows", 8), remark.Word("side", "left"), remark.Flag("cut", true))
	if r.Number("height") != 1.5 || r.Count("rows") != 8 || r.Word("side") != "left" || !r.Flag("cut") {
		t.Errorf("%v", r)
	}
	if r.Number("rows") != 8 {
		t.Errorf("a count is a number too: %v", r.Number("rows"))
	}
	if !math.IsNaN(r.Number("side")) || r.Count("height") != 0 || r.Word("rows") != "" || r.Flag("none") {
		t.Errorf("what is not there, or of another sort, is not nothing: %v", r)
	}
	if !r.Has("cut") || r.Has("none") {
		t.Errorf("cut: %v, none: %v", r.Has("cut"), r.Has("none"))
	}
	if s := r.String(); s != "test.odd height=1.5 rows=8 side=left cut=true" {
		t.Error(s)
	}
}

func TestRemarksAreEqualByKindAndValues(t *testing.T) {
	nan := remark.Of(odd, remark.Number("x", math.NaN()))
	for _, c := range []struct {
		a, b remark.Remark
		same bool
	}{
		{nan, remark.Of(odd, remark.Number("x", math.NaN())), true},
		{nan, remark.Of(odd, remark.Number("x", 1)), false},
		{nan, remark.Of("test.other", remark.Number("x", math.NaN())), false},
		{nan, remark.Of(odd), false},
		{remark.Of(odd, remark.Count("x", 1)), remark.Of(odd, remark.Number("x", 1)), false},
		{remark.Of(odd, remark.Word("x", "1")), remark.Of(odd, remark.Word("y", "1")), false},
		{remark.Of(odd), remark.Of(odd), true},
	} {
		if c.a.Equal(c.b) != c.same || c.b.Equal(c.a) != c.same {
			t.Errorf("%v and %v: equal %v", c.a, c.b, !c.same)
		}
	}
}

func TestAnyLooksForAKind(t *testing.T) {
	list := []remark.Remark{remark.Of(odd)}
	if !remark.Any(list, odd) || remark.Any(list, "test.even") || remark.Any(nil, odd) {
		t.Error(list)
	}
}
