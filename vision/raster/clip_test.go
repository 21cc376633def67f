package raster_test

import (
	"math"
	"testing"

	"quadrille/vision/raster"
)

func TestClipKeepsWhatLiesBetween(t *testing.T) {
	for _, c := range []struct{ v, want float64 }{{-3, -1}, {-1, -1}, {0.5, 0.5}, {2, 2}, {7, 2}, {math.Inf(1), 2}, {math.Inf(-1), -1}} {
		if got := raster.Clip(c.v, -1, 2); got != c.want {
			t.Errorf("%g is %g, not %g", c.v, got, c.want)
		}
	}
	if !math.IsNaN(raster.Clip(math.NaN(), -1, 2)) {
		t.Error("NaN did not stay")
	}
}
