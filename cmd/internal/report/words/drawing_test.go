package words

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"quadrille/calibrate/remark"
)

// What is held against the tolerance is how far a place lies off in all: a sentence that says only how far it is too
// early would give a smaller number than the one that decided.
func TestADepartureSaysTheNumberThatDecides(t *testing.T) {
	for _, way := range [][2]float64{{-0.17, 0.155}, {0.1, -0.19}, {0.3, 0}, {0, -0.25}, {-0.4, 0.002}, {0.15, 0.15}} {
		says := Of(remark.Of("drawing.departs", remark.Number("x_box", 3.2), remark.Number("across_box", way[0]), remark.Number("up_box", way[1]),
			remark.Flag("most", false)))
		if whole := fmt.Sprintf("%.2f box", math.Abs(way[0])+math.Abs(way[1])); !strings.Contains(says, whole) {
			t.Errorf("%v: %q does not say %s", way, says, whole)
		}
		if early := way[0] < -0.005; early != strings.Contains(says, "too early") {
			t.Errorf("%v: %q", way, says)
		}
	}
	at := Of(remark.Of("drawing.assumed", remark.Number("corner_x_squares", -10), remark.Number("corner_y_squares", 8)))
	if !strings.Contains(at, "−10, 8 squares") {
		t.Errorf("%q has another minus than the rest of the page", at)
	}
}

// A difference of more than 2 of its standard uncertainties never looks like one of 2, which agrees.
func TestZetaShowsWhatDecides(t *testing.T) {
	for z, want := range map[float64]string{-0.04: "0.0", 1.96: "2.0", 2: "2.0", 2.04: "2.04", 2.004: "2.004", 2.00001: "2.001", 2.06: "2.1", -2.06: "2.1", 20: "20.0", 480.2: "480"} {
		if got := Zeta(z); got != want {
			t.Errorf("%v is printed as %s, want %s", z, got, want)
		}
	}
}
