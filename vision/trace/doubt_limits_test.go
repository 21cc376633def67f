package trace

// What the limits of doubts and of the rest decide, on traces made by hand: each case lies a little to one side of a
// limit.

import (
	"math"
	"slices"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

func always(v float64) func(float64) float64 { return func(float64) float64 { return v } }

func never(float64) bool { return false }

// doubted says whether the trace is doubted in this way.
func doubted(t *Trace, kind remark.Kind) bool {
	p := &path.Path{Runs: make([]path.Run, len(t.X))}
	for i := range p.Runs {
		p.Runs[i].Hi = -1
	}
	return slices.ContainsFunc(t.doubts(&sheet.Sheet{}, &path.Candidate{Path: p}), func(r remark.Remark) bool { return r.Kind == kind })
}

// A trace leaves the screen where it goes up to the rim and is not seen for a while after that.
func TestWhatLeavesTheScreen(t *testing.T) {
	for _, c := range []struct {
		name     string
		end, gap float64 // box: the last height, which it has beyond the gap as well; the width of the gap
		slope    float64 // boxes a box, before
		leaves   bool
	}{
		{"up to 0.08 box from the rim", 3.9, 0.3, 2, true},
		{"up to 0.18 box from it", 3.8, 0.3, 2, false},
		{"for 0.06 box", 3.9, 0.06, 2, false},
		{"for 0.16 box", 3.9, 0.16, 2, true},
		{"by 0.06 box in 0.4", 3.9, 0.3, 0.15, false},
		{"by 0.12 box in 0.4", 3.9, 0.3, 0.3, true},
	} {
		trace := drawnWith(func(x float64) float64 { return c.end - max(-x, 0)*c.slope }, always(0.05), func(x float64) bool { return x > 0 && x < c.gap })
		if got := doubted(trace, KindLeavesTop); got != c.leaves {
			t.Errorf("%s: leaves the screen: %v", c.name, got)
		}
	}
}

func TestHowMuchOfATraceIsHidden(t *testing.T) {
	for _, c := range []struct {
		coverage float64
		doubted  bool
	}{{0.3, true}, {0.45, true}, {0.6, false}, {1, false}} {
		trace := drawnWith(always(0), always(0.05), never)
		trace.Coverage = c.coverage
		if got := doubted(trace, KindMostlyHidden); got != c.doubted {
			t.Errorf("%g of a trace is seen: mostly hidden: %v", c.coverage, got)
		}
	}
}

func TestHowThickABandIs(t *testing.T) {
	for _, c := range []struct {
		thick float64
		band  bool
	}{{0.05, false}, {0.2, false}, {0.35, true}} {
		if got := len(drawnWith(always(0), always(c.thick), never).notes()) > 0; got != c.band {
			t.Errorf("%g box thick: a band: %v", c.thick, got)
		}
	}
}

// A jump that no stroke joins parts two curves when their strokes differ, if the trace does not jump all the time.
func TestWhichJumpChangesTheStroke(t *testing.T) {
	for _, c := range []struct {
		name    string
		gap     float64 // box, where nothing is drawn
		jump    float64 // box
		jumps   int     // a box apart
		thick   float64 // box, for which it is thick after the first
		shown   float64 // box, of the trace after the first
		changes bool
	}{
		{"a jump to a cable", 0.1, 3, 1, 9, 9, true},
		{"after 0.22 box", 0.22, 3, 1, 9, 9, true},
		{"after 0.4 box", 0.4, 3, 1, 9, 9, false},
		{"a step of 0.55 box, with the strokes", 0.1, 0.55, 1, 9, 9, false},
		{"a step of 1 box", 0.1, 1, 1, 9, 9, true},
		{"three jumps", 0.1, 1.5, 3, 9, 9, true},
		{"five jumps", 0.1, 1.5, 5, 9, 9, false},
		{"thick for 0.36 box", 0.1, 3, 1, 0.36, 9, false},
		{"thick for 0.8 box", 0.1, 3, 1, 0.8, 9, true},
		{"a piece of 0.2 box", 0.1, 3, 1, 9, 0.2, false},
		{"a piece of 0.26 box", 0.1, 3, 1, 9, 0.26, true},
	} {
		height := func(x float64) float64 { // a stair whose steps are never passed
			if x < 0 {
				return -3 - 0.1*x
			}
			return -3 + c.jump*min(math.Floor(x)+1, float64(c.jumps))
		}
		thick := func(x float64) float64 {
			if x >= 0 && x < c.gap/2+c.thick {
				return 0.3
			}
			return 0.06
		}
		trace := drawnWith(height, thick, func(x float64) bool {
			near := x - math.Round(x)
			return math.Abs(near) < c.gap/2 && x > -0.5 && x < float64(c.jumps)-0.5 || x > c.gap/2+c.shown
		})
		if _, got := trace.changes(); got != c.changes {
			t.Errorf("%s: changes its stroke: %v", c.name, got)
		}
	}
}

// A trace on the highest line whose mark says that its ground is further down may be cut off there.
func TestWhatMayBeCutAtTheRim(t *testing.T) {
	for _, c := range []struct {
		name   string
		length float64 // box
		mark   float64 // box below the line
		cut    bool
	}{
		{"0.36 box long", 0.36, 4, false}, {"0.8 box long", 0.8, 4, true}, {"its mark 0.08 box off", 0.8, 0.08, false}, {"its mark 0.18 box off", 0.8, 0.18, true},
	} {
		trace := drawnWith(func(x float64) float64 { return max(0, 4*math.Ceil(c.length/2-math.Abs(x))) }, always(0.05), never)
		for i, y := range trace.Y {
			trace.Y[i] = min(y, 4)
		}
		trace.GroundMark = 4 - c.mark
		if _, got := trace.mayBeCut(); got != c.cut {
			t.Errorf("%s: may be cut: %v", c.name, got)
		}
	}
}

// Where two traces are drawn on each other, a sample may lie anywhere in the stroke: a standard deviation of 1/√12.
func TestTracesOnEachOtherAreWide(t *testing.T) {
	a, b := drawnWith(always(0), always(0.12), never), drawnWith(always(0.05), always(0.12), never)
	for _, tr := range []*Trace{a, b} {
		tr.Sigma = make([]float64, len(tr.X))
	}
	widenNearOthers([]*Trace{a, b})
	if u, want := a.Sigma[100], 0.12/math.Sqrt(12); math.Abs(u-want) > 0.1*want {
		t.Errorf("sigma %.4f, want %.4f", u, want)
	}
}

// A trace rests where it is level at an end of the screen, at its lowest height.
func TestWhereATraceRests(t *testing.T) {
	level := func(x float64) float64 { return 0 }
	for _, c := range []struct {
		name   string
		length float64                 // box, from the left
		y      func(x float64) float64 // there, x from the left; box
		hidden float64                 // box, in its middle
		rise   float64                 // box, of the rest of the trace
		dip    float64                 // box, to which it goes down last
		rests  bool
	}{
		{"level", 2, level, 0, 3, 0, true},
		{"0.44 box long", 0.44, level, 0, 3, 0, false},
		{"0.9 box long", 0.9, level, 0, 3, 0, true},
		{"with bumps of 0.06 box", 2, func(x float64) float64 { return 0.06 * math.Floor(math.Mod(x, 0.4)/0.28) }, 0, 3, 0, true},
		{"with bumps of 0.12 box", 2, func(x float64) float64 { return 0.12 * math.Floor(math.Mod(x, 0.4)/0.28) }, 0, 3, 0, false},
		{"rising by 0.016 box", 2, func(x float64) float64 { return 0.008 * x }, 0, 3, 0, true},
		{"rising by 0.04 box", 2, func(x float64) float64 { return 0.02 * x }, 0, 3, 0, false},
		{"0.06 box above the lowest", 2, level, 0, 3, -0.06, true},
		{"0.12 box above the lowest", 2, level, 0, 3, -0.12, false},
		{"of a trace that rises by 0.4 box", 2, level, 0, 0.4, 0, false},
		{"of one that rises by 0.8 box", 2, level, 0, 0.8, 0, true},
		{"three samples hidden", 0.9, level, 0.06, 3, 0, true},
		{"five samples hidden", 0.9, level, 0.1, 3, 0, false},
	} {
		trace := drawnWith(func(x float64) float64 {
			switch {
			case x+5 < c.length:
				return c.y(x + 5)
			case x > 3:
				return c.dip
			}
			return c.rise
		}, always(0.05), func(x float64) bool { return math.Abs(x+5-c.length/2) < c.hidden/2 })
		if got := trace.restLevel(0); (got.Seen() && got.From < 0) != c.rests {
			t.Errorf("%s: rests at %+v", c.name, got)
		}
	}
}

// A trace that changes its stroke at a jump goes the same way elsewhere if it passes there near to both of its heights.
func TestWhatGoesTheSameWay(t *testing.T) {
	for _, c := range []struct {
		off     float64 // share of the jump, by which the other way stays off both heights
		changes bool
	}{{0, false}, {0.1, false}, {0.2, true}} {
		height := func(x float64) float64 {
			switch {
			case x < -2:
				return 3 * (c.off + (1-2*c.off)*(x+5)/3)
			case x < 0:
				return 0
			}
			return 3
		}
		thick := func(x float64) float64 { return 0.06 + 0.24*math.Floor(math.Min(x+5, 5)/5) }
		trace := drawnWith(height, thick, func(x float64) bool { return math.Abs(x) < 0.05 || math.Abs(x+2) < 0.05 })
		if _, got := trace.changes(); got != c.changes {
			t.Errorf("%g of the jump off: changes its stroke: %v", c.off, got)
		}
	}
}

// Yellow half bleached is yellow, green is not.
func TestWhichColourIsNear(t *testing.T) {
	yellow, white := [3]uint8{200, 200, 0}, [3]uint8{230, 230, 230}
	for _, c := range []struct {
		wanted, colour [3]uint8
		near           bool
	}{
		{yellow, [3]uint8{255, 255, 0}, true},
		{yellow, [3]uint8{255, 255, 140}, true},
		{yellow, [3]uint8{255, 195, 40}, true},   // 16° of hue off
		{yellow, [3]uint8{255, 140, 0}, false},   // 27° off
		{yellow, [3]uint8{0, 255, 0}, false},     // 60° off
		{yellow, [3]uint8{255, 240, 230}, false}, // too near to grey
		{white, [3]uint8{255, 240, 230}, true},
		{white, [3]uint8{255, 180, 90}, true},
		{[3]uint8{230, 230, 205}, [3]uint8{255, 205, 205}, true}, // hues of what has next to none
		{[3]uint8{230, 230, 180}, [3]uint8{255, 200, 200}, false},
	} {
		if got := Nearest([]*Trace{{Colour: c.colour}}, c.wanted); (got != nil) != c.near {
			t.Errorf("%v is near to %v: %v", c.colour, c.wanted, got != nil)
		}
	}
}

// Of two traces that are as broad and as bright the taller is the more prominent; a level is not without prominence,
// and a line from rim to rim stays behind.
func TestOfTwoAlikeTheTallerComesFirst(t *testing.T) {
	wave := func(height float64) func(x float64) float64 {
		return func(x float64) float64 { return height / 2 * math.Sin(3*x) }
	}
	for _, c := range []struct {
		name          string
		first, second float64 // heights in boxes
		light         float64 // prominence of the first over that of the second, by light and breadth
		swapped       bool
	}{
		{"equal", 2, 2, 1.01, false},
		{"the second is taller", 1, 3, 1.1, true},
		{"it is taller, and much dimmer", 1, 3, 2, false},
		{"a bright level before a small wave", 0, 0.5, 1.2, true},
		{"a brighter level", 0, 0.5, 1.6, false},
	} {
		a, b := drawnWith(wave(c.first), always(0.05), never), drawnWith(wave(c.second), always(0.05), never)
		a.Prominence, b.Prominence = c.light, 1
		traces, of := []*Trace{a, b}, []*path.Candidate{{}, {}}
		behind := of[1]
		tallestFirst(traces, of)
		if swapped := traces[0] == b; swapped != c.swapped || (of[0] == behind) != swapped {
			t.Errorf("%s: swapped: %v", c.name, swapped)
		}
	}
	line, curve := drawnWith(always(0), always(0.05), never), drawnWith(wave(3), always(0.05), never)
	line.Line, line.Prominence, curve.Prominence = true, 9, 1
	traces, of := []*Trace{curve, line}, []*path.Candidate{{}, {}}
	if tallestFirst(traces, of); traces[0] != curve {
		t.Error("a line comes before a curve")
	}
}
