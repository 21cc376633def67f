package frame

import (
	"slices"
	"testing"

	"quadrille/vision/geom"
)

// asked are counts that a person may know, whole or in part.
var asked = []geom.Frame{{}, {Cols: 10, Rows: 8}, {Cols: 15, Rows: 10}, {Cols: 8}, {Rows: 12}, {Cols: 7, Rows: 9}, {Cols: 9, Rows: 7}, {Cols: 6, Rows: 4}}

// A size that is asked for in full is always offered, once, and nothing is offered that is not asked for.
func TestSizesAreThoseAskedFor(t *testing.T) {
	for name, of := range map[string]func(geom.Frame) []Size{"ruled": Sizes, "marked": MarkedSizes} {
		for _, want := range asked {
			list := of(want)
			if want.Cols > 0 && want.Rows > 0 && len(list) == 0 {
				t.Errorf("%s: nothing is offered for %v", name, want)
			}
			for i, z := range list {
				if want.Cols > 0 && z.Cols != want.Cols || want.Rows > 0 && z.Rows != want.Rows || z.Boxes() != (geom.Frame{Cols: z.Cols, Rows: z.Rows}) {
					t.Errorf("%s: %+v is offered for %v", name, z, want)
				}
				if z.Cost < 0 || z.Centred && z.Cols%2 == 0 {
					t.Errorf("%s: %+v cannot be", name, z)
				}
				if slices.ContainsFunc(list[:i], func(k Size) bool { return k.Cols == z.Cols && k.Rows == z.Rows && k.Centred == z.Centred }) {
					t.Errorf("%s: %+v is offered twice", name, z)
				}
			}
		}
	}
}

// Usual sizes come first and cost least; an odd count of columns has half boxes at its rims, or whole ones if it must.
func TestTheUsualSizesCostLeast(t *testing.T) {
	all := Sizes(geom.Frame{})
	if first := all[0]; first != (Size{Cols: 10, Rows: 8}) {
		t.Errorf("the first size is %+v", first)
	}
	for _, z := range all {
		switch usual := z.Cols >= z.Rows && z.Cols < 18; {
		case usual && z.Cost > clearCost && z.Cols != z.Rows:
			t.Errorf("%+v costs more than a clear frame may", z)
		case z.Cols < z.Rows && z.Cost < clearCost:
			t.Errorf("%+v, on its side, costs less", z)
		}
	}
	if got := Sizes(geom.Frame{Cols: 7, Rows: 9}); len(got) != 2 || got[0].Centred || !got[1].Centred {
		t.Errorf("7 × 9: %+v", got)
	}
	if got := Sizes(geom.Frame{Cols: 7}); len(got) != 0 {
		t.Errorf("7 columns and nobody knows how many rows: %+v", got)
	}
}

// Marks count more sizes than lines do: the same ones, rarer ones, and each on its side, which costs more.
func TestMarkedSizesAreAllThatMarksMayCount(t *testing.T) {
	all := MarkedSizes(geom.Frame{})
	find := func(cols, rows int, centred bool) *Size {
		for i := range all {
			if all[i].Cols == cols && all[i].Rows == rows && all[i].Centred == centred {
				return &all[i]
			}
		}
		t.Errorf("%d × %d, centred %v, is not offered", cols, rows, centred)
		return &Size{}
	}
	if ruled := Sizes(geom.Frame{}); !slices.Equal(all[:len(ruled)], ruled) {
		t.Errorf("the sizes of ruled lines are %+v, and first of all are %+v", ruled, all[:len(ruled)])
	}
	for _, z := range slices.Concat(sizes, rareSizes) {
		upright := find(z.Cols, z.Rows, z.Centred)
		if z.Centred {
			find(z.Cols, z.Rows, false)
		} else if side := find(z.Rows, z.Cols, false); side.Cost <= upright.Cost && z.Cols > z.Rows {
			t.Errorf("%+v costs no more than %+v", side, upright)
		}
	}
	if ruled := Sizes(geom.Frame{Cols: 12, Rows: 12}); len(ruled) != 1 || ruled[0].Cost != 0 {
		t.Errorf("ruled 12 × 12, as asked for: %+v", ruled)
	}
}
