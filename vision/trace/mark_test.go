package trace

import (
	"math"
	"testing"

	"quadrille/vision/sheet"
)

// A shape is the cover of a mark at u boxes right of its tip and v above it.
type shape func(u, v float64) bool

var (
	arrowhead shape = func(u, v float64) bool { return u < 0 && u > -0.15 && math.Abs(v) < -u }
	flag      shape = func(u, v float64) bool { return u < -max(math.Abs(v)-0.02, 0) && u > -0.3 && math.Abs(v) < 0.11 }
	// An arrow with its number, a 1, to the left.
	numbered shape = func(u, v float64) bool {
		return arrowhead(u, v) || u > -0.32 && u < -0.28 && math.Abs(v) < 0.13 || u > -0.36 && u < -0.24 && math.Abs(v+0.12) < 0.02
	}
	// The same with the arrow inside the frame and the number, a plain stroke, outside.
	parted shape = func(u, v float64) bool {
		return u > -0.12 && arrowhead(u, v) || u > -0.27 && u < -0.2 && math.Abs(v) < 0.08
	}
	// The flag upside down or down, its tip where the arrow's would be.
	pinned shape = func(u, v float64) bool { return flag(-v, u+0.2) }
)

// drawn gives the extra of a painting: the shape with its tip at (x, y), cut off outside rows low to high.
func drawn(m shape, x, y, low, high float64) func(x, y float64) ([3]float64, float64) {
	return func(u, v float64) ([3]float64, float64) {
		if v >= low && v <= high && m(u-x, v-y) {
			return yellow, 1
		}
		return yellow, 0
	}
}

func TestGroundMarkIsFound(t *testing.T) {
	for _, c := range []struct {
		name  string
		shape shape
		x     float64 // of the tip; the frame's rim is at -5
		cut   bool    // drawn within the frame's height only
		first float64 // where the trace starts
	}{
		{"arrow", arrowhead, -5.03, false, 1},
		{"flag", flag, -5.05, false, 1},
		{"numbered", numbered, -5.04, false, 1},
		{"cut arrow", arrowhead, -5.03, true, 1},
		{"cut flag", flag, -5.03, true, 1},
		{"arrow inside", func(u, v float64) bool { return arrowhead(u, v) }, -4.83, false, 1},
		{"number outside, arrow inside", parted, -4.87, false, 1},
		{"cut arrow inside", arrowhead, -4.83, true, 1},
		{"arrow at the start", arrowhead, -5.03, false, math.NaN()},
		{"arrow inside at the start", arrowhead, -4.83, false, math.NaN()},
	} {
		levels := []float64{-3.8, 2.5}
		if c.cut {
			levels = []float64{-4, -1.37}
		}
		for _, level := range levels {
			p := plain()
			start, amplitude := c.first, 1.0
			if math.IsNaN(start) {
				start = level
			}
			// The trace stays where it starts for 0.7 boxes.
			p.curves = []curve{{func(x float64) float64 { return start + amplitude*(1-math.Cos(max(x+4.3, 0))) }, yellow, 0.02}}
			p.cut = true
			low, high := -9.0, 9.0
			if c.cut {
				low, high = -4, 4
			}
			p.extra = drawn(c.shape, c.x, level, low, high)
			tr := p.only(t)
			if m := tr.GroundMark; !(math.Abs(m-level) < 0.03) {
				t.Errorf("%s: mark at %.3f, want %.3f", c.name, m, level)
			}
		}
	}
	p := plain()
	p.curves = []curve{{sine(1, 2, 1), yellow, 0.02}}
	if m := p.only(t).GroundMark; !math.IsNaN(m) {
		t.Errorf("mark at %.3f where none is drawn", m)
	}
}

// large is a flag 0.6 boxes high and 0.7 wide.
var large shape = func(u, v float64) bool { return u < -max(math.Abs(v)-0.02, 0) && u > -0.7 && math.Abs(v) < 0.3 }

// A digit in a large flag begins 0.8 boxes outside the frame.
func TestAMarkMayStandFarOut(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(1, 2, 1), yellow, 0.02}}
	p.extra = drawn(large, -5.08, -2.5, -9, 9)
	if m := p.only(t).GroundMark; !(math.Abs(m+2.5) < 0.03) {
		t.Errorf("mark at %.3f, want -2.5", m)
	}
}

// What stands out does so of its surroundings, which must reach further than a large mark, filled or in outline, at the
// lowest line too.
func TestALargeMarkHasSurroundings(t *testing.T) {
	outline := func(u, v float64) bool { return large(u, v) && !large((u+0.05)*1.15, v*1.15) }
	for name, of := range map[string]shape{"filled": large, "outline": outline} {
		for _, y := range []float64{1.5, -3.95} {
			p := plain()
			p.curves = []curve{{sine(1, 2, 1), yellow, 0.02}}
			p.extra = drawn(of, -5.08, y, -9, 9)
			if m := p.only(t).GroundMark; !(math.Abs(m-y) < 0.05) {
				t.Errorf("%s: mark at %.3f, want %g", name, m, y)
			}
		}
	}
}

// A mark in the corner that points down says that the ground line is below the screen. It must never be read as a
// ground line on the screen.
func TestMarkThatPointsOffTheScreen(t *testing.T) {
	for _, y := range []float64{-3.97} {
		p := plain()
		p.curves = []curve{{sine(1, 2, 1), yellow, 0.02}}
		for _, x := range []float64{-4.85, -4.75} { // the pin is 0.2 boxes to the left
			p.extra = drawn(pinned, x-0.2, y, -9, 9)
			if m := p.only(t).GroundMark; !math.IsInf(m, -1) {
				t.Errorf("down at %g, %g: mark at %g, want -Inf", x, y, m)
			}
			p.extra = drawn(func(u, v float64) bool { return pinned(u, -v) }, x-0.2, -y, -9, 9)
			if m := p.only(t).GroundMark; !math.IsInf(m, 1) {
				t.Errorf("up at %g, %g: mark at %g, want +Inf", x, y, m)
			}
		}
	}
}

// What crosses the rim in the trace's colour is no mark.
func TestCableAtTheRimIsNoMark(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(1, 2, 1), yellow, 0.02}}
	p.extra = func(x, y float64) ([3]float64, float64) {
		if x < -4.9 && math.Abs(y+2+0.3*(x+5)) < 0.1 {
			return yellow, 1
		}
		return yellow, 0
	}
	if m := p.only(t).GroundMark; !math.IsNaN(m) {
		t.Errorf("mark at %.3f, want none", m)
	}
}

// Of two traces of one ink either may own a mark.
func TestMarkOfOneOfTwoTracesOfOneInkIsNotGuessed(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(0.7, 2, 2), yellow, 0.02}, {sine(0.7, 1, -2), yellow, 0.02}}
	p.extra = drawn(arrowhead, -5.03, -3, -9, 9)
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil || len(ts) != 2 {
		t.Fatalf("%d traces, error %v", len(ts), err)
	}
	for _, tr := range ts {
		if !math.IsNaN(tr.GroundMark) {
			t.Errorf("trace %s has the mark at %.2f", tr.Name, tr.GroundMark)
		}
	}
}

// A helper line in the ink of a display that draws all in one has no mark of its own; what rests where the mark is may
// be another trace, whose mark it is.
func TestAHelperLineOwnsNoMark(t *testing.T) {
	for _, c := range []struct{ line, want float64 }{{-1.6, -3}, {-3, math.NaN()}} {
		p := plain()
		p.grid = [3]float64{0.2, 0.19, 0.025}
		p.curves = []curve{{sine(0.7, 2, 2), yellow, 0.02}, {flat(c.line), yellow, 0.02}}
		p.extra = drawn(arrowhead, -5.03, -3, -9, 9)
		ph, g := p.paint(t)
		ts, err := Extract(t.Context(), ph, g, nil)
		if err != nil || len(ts) != 2 {
			t.Fatalf("%d traces, error %v", len(ts), err)
		}
		if m := ts[0].GroundMark; ts[0].Line || !(math.Abs(m-c.want) < 0.03) && !(math.IsNaN(m) && math.IsNaN(c.want)) {
			t.Errorf("line at %g: mark at %.2f, want %g", c.line, m, c.want)
		}
	}
}

// A broad mark is brighter than a thin stroke, and so like one of a neighbouring hue: it belongs to the trace whose
// colour is nearest.
func TestAMarkBelongsToTheTraceOfItsColour(t *testing.T) {
	green, blueGreen := [3]float64{0.15, 0.8, 0.2}, [3]float64{0.15, 0.75, 0.6}
	p := plain()
	p.curves = []curve{{sine(0.7, 2, 2), green, 0.012}, {sine(0.7, 1, -2), blueGreen, 0.02}}
	p.extra = func(x, y float64) ([3]float64, float64) {
		if arrowhead(x+5.03, y+2.7) {
			return blueGreen, 1
		}
		return blueGreen, 0
	}
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil || len(ts) != 2 {
		t.Fatalf("%d traces, error %v", len(ts), err)
	}
	own := Nearest(ts, [3]uint8{sheet.ToSRGB(blueGreen[0]), sheet.ToSRGB(blueGreen[1]), sheet.ToSRGB(blueGreen[2])})
	for _, tr := range ts {
		if tr == own && !(math.Abs(tr.GroundMark+2.7) < 0.03) || tr != own && !math.IsNaN(tr.GroundMark) {
			t.Errorf("trace #%02x has the mark at %.2f", tr.Colour, tr.GroundMark)
		}
	}
}

// What is like neither mirror image, such as a piece of a moving pattern on the bezel, is no mark, and does not hide
// one.
func TestAPatchInTheCornerIsNoMark(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(1, 2, 1), yellow, 0.02}}
	arrow := drawn(arrowhead, -5.03, -2.5, -9, 9)
	p.extra = func(x, y float64) ([3]float64, float64) {
		if u, v := x+5.45, y-3.7; u > 0 && u < 0.4 && math.Abs(v-0.45*u) < 0.03 { // a slanting streak
			return yellow, 1
		}
		return arrow(x, y)
	}
	if m := p.only(t).GroundMark; !(math.Abs(m+2.5) < 0.03) {
		t.Errorf("mark at %.3f, want -2.5", m)
	}
}

func TestRestIsTheLowestFlatEnd(t *testing.T) {
	fall := func(x float64) float64 { return -3 + 5*math.Exp(-max(x+3, 0)/0.7) }
	for _, c := range []struct {
		name     string
		truth    func(x float64) float64
		from, to float64 // roughly; equal for none
	}{
		{"before a rise", func(x float64) float64 { return -1.5 - fall(x) }, -5, -3},
		{"after a fall", fall, 0.8, 5},
		{"a fall that has not settled", func(x float64) float64 { return -3 + 5*math.Exp(-max(x+3, 0)/3) }, 0, 0},
		{"a sine", sine(2, 1.5, 0), 0, 0},
		{"a level", flat(1), 0, 0},
	} {
		p := plain()
		p.curves = []curve{{c.truth, yellow, 0.02}}
		r := p.only(t).Rest
		switch {
		case r.Seen() != (c.to > c.from):
			t.Errorf("%s: %+v", c.name, r)
		case r.Seen() && (math.Abs(r.Y-c.truth((r.From+r.To)/2)) > 0.015 || math.Abs(r.From-c.from) > 0.6 || math.Abs(r.To-c.to) > 0.6 || !(r.Sigma < 0.02)):
			t.Errorf("%s: %+v", c.name, r)
		}
	}
}

// A beam begins before the frame. Where a wave's first level is too short to be followed, what is seen of it outside
// is no mark: ground was read on that level.
func TestAWaveThatRunsOnPastTheFrameIsNoMark(t *testing.T) {
	const high, low, stroke = 1.6, -1.7, 0.05
	for _, past := range []float64{0.12, 0.25} {
		p := plain()
		p.curves = []curve{{func(x float64) float64 {
			if math.Mod(x+5+0.35, 1) < 0.5 {
				return high
			}
			return low
		}, yellow, stroke}}
		p.extra = func(u, v float64) ([3]float64, float64) {
			if u > -5 || u < -5-past {
				return yellow, 0
			}
			return yellow, math.Exp(-(v - high) * (v - high) / (2 * stroke * stroke))
		}
		if m := p.only(t).GroundMark; !math.IsNaN(m) {
			t.Errorf("%.2f boxes past the frame: mark at %.3f where none is drawn", past, m)
		}
	}
}
