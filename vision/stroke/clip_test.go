package stroke

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

// A stretch of a way down, so many boxes long, of so many boxes a box; the last goes on.
type stretch struct{ long, slope float64 }

// down is how far below its beginning a way is after so many boxes.
func down(way []stretch, boxes float64) (drop float64) {
	for k, part := range way {
		d := boxes
		if k < len(way)-1 {
			d = min(boxes, part.long)
		}
		drop, boxes = drop+d*part.slope, boxes-d
	}
	return drop
}

// A trace that comes to the highest line with a corner and stays there is clipped; what is near the line for a moment,
// does not touch it, or comes to it without a corner is not.
func TestWhatIsClippedAtTheRim(t *testing.T) {
	corner := []stretch{{1, 2}}
	for _, c := range []struct {
		name    string
		off     float64   // box, from the line, of what lies on it
		length  float64   // box
		hole    int       // columns in its middle that are further off
		step    float64   // box, at once at both ends
		way     []stretch // from there
		clipped bool
	}{
		{"corners at both ends", 0.02, 1, 0, 0, corner, true},
		{"0.04 box off the line", 0.04, 1, 0, 0, corner, true},
		{"0.09 box off the line", 0.09, 1, 0, 0, corner, false},
		{"0.2 box long", 0.02, 0.2, 0, 0, corner, false},
		{"0.36 box long", 0.02, 0.36, 0, 0, corner, true},
		{"noise of two columns in it", 0.02, 0.44, 2, 0, corner, true},
		{"off for four columns", 0.02, 0.44, 4, 0, corner, false},
		{"a slope of 0.4", 0.059, 1, 0, 0, []stretch{{1, 0.4}}, false},
		{"a slope of 0.8", 0.059, 1, 0, 0, []stretch{{1, 0.8}}, true},
		{"rounded over 0.06 box", 0.059, 1, 0, 0, []stretch{{0.06, 0.05}, {1, 0.58}}, true},
		{"rounded over 0.1 box", 0.059, 1, 0, 0, []stretch{{0.1, 0.05}, {1, 0.6}}, false},
		{"a shoulder of 0.2 box", 0.059, 1, 0, 0, []stretch{{0.2, 0.8}, {1, 0}}, true},
		{"a shoulder of 0.1 box", 0.059, 1, 0, 0, []stretch{{0.1, 0.8}, {1, 0}}, false},
		{"a slope after a step of 0.2 box", 0.02, 1, 0, 0.2, []stretch{{1, 1}}, true},
		{"a slope after an edge of 0.4 box", 0.02, 1, 0, 0.4, []stretch{{1, 1}}, false},
	} {
		s := plainSheet()
		s.Frame = geom.Frame{Cols: 10, Rows: 8}
		trace := scattered(0, 0, 500, 1)
		for i := range trace.Y {
			y := 4 - c.off
			if away := math.Abs(s.X(i)) - c.length/2; away > 0 {
				y -= c.step + down(c.way, away)
			}
			if c.hole > 0 && i >= 250-c.hole/2 && i < 250+c.hole/2 {
				y -= 0.2
			}
			trace.Y[i] = max(y, 0)
		}
		trace.clip(s)
		if got := math.IsNaN(trace.Y[250-c.hole/2-2]); got != c.clipped {
			t.Errorf("%s: clipped: %v", c.name, got)
		}
	}
}
