package words

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"quadrille/calibrate/remark"
)

// What is held against the tolerance is how far a place lies off in all: a sentence that says only how far it is too early
// would give a smaller number than the one that decided.
func TestADepartureSaysTheNumberThatDecides(t *testing.T) {
	for _, way := range [][2]float64{{-0.17, 0.155}, {0.1, -0.19}, {0.3, 0}, {0, -0.25}, {-0.4, 0.002}, {0.15, 0.15}} {
		says := Of(remark.Of("drawing.departs", remark.Number("x_box", 3.2), remark.Number("across_box", way[0]), remark.Number("up_box", way[1]),
			remark.Flag("most", false)))
		if whole := fmt.Sprintf("%.2f box", math.Hypot(way[0], way[1])); !strings.Contains(says, whole) {
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
