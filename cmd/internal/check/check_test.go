package check_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
)

// displays are the documents of displayOf, which no test changes.
var displays = map[string]*wire.Document{}

// displayOf reads one of the simulated photos, once.
func displayOf(t testing.TB, file string, s wire.Settings) *wire.Document {
	t.Helper()
	if d := displays[file]; d != nil {
		return d
	}
	data, err := os.ReadFile("../../../testdata/photos/" + file)
	if err != nil {
		t.Fatal(err)
	}
	s.File = file
	d := new(wire.Reader).Answer(context.Background(), data, s).Document
	if d.Error != nil {
		t.Fatal(d.Error.Reason)
	}
	displays[file] = d
	return d
}

// slow is the mist timer's slow discharge, and fast its driven one.
func slow(t *testing.T) *wire.Document {
	return displayOf(t, "slow-pale.jpg", wire.Settings{TimePerBox: "5s", TraceFields: wire.TraceFields{VoltsPerBox: "1.5V", Ground: "bottom"}})
}

func fast(t *testing.T) *wire.Document {
	return displayOf(t, "fast-blue.jpg", wire.Settings{TimePerBox: "20ms", TraceFields: wire.TraceFields{VoltsPerBox: "0.5V", Ground: "-3"}})
}

// drawnFrom is a document as of a drawing of a display's trace on 24 × 20 squares, two squares a box and the screen's
// corner at 2, 2, by a steady hand that is wrong in the way that is given.
func drawnFrom(display *wire.Document, wrong func(x, y float64) (float64, float64)) *wire.Document {
	const cols, rows, per, corner = 24, 20, 2.0, 2.0
	d := &wire.Document{Schema: wire.Schema, Photo: wire.Photo{File: "sketch.jpg", SHA256: "abc", Width: 1000, Height: 840}}
	d.Graticule = &wire.Graticule{Columns: cols, Rows: rows}
	for j := range rows + 1 {
		row := make([]wire.Point, cols+1)
		for i := range row {
			row[i] = wire.Point{wire.Number(20 + 40*i), wire.Number(820 - 40*j)}
		}
		d.Graticule.Nodes = append(d.Graticule.Nodes, row)
	}
	from := display.Traces[0]
	rng := rand.New(rand.NewPCG(1, 2))
	tr := wire.Trace{Name: "a", Colour: "#404448", Chosen: true}
	halfX, halfY := float64(display.Graticule.Columns)/2, float64(display.Graticule.Rows)/2
	for i := 0; i < len(from.X); i += 3 {
		x, y := from.X[i], from.Y[i]
		if math.IsNaN(y) {
			continue
		}
		if wrong != nil {
			x, y = wrong(x, y)
		}
		tr.X, tr.Y = append(tr.X, corner+per*(x+halfX)-cols/2), append(tr.Y, corner+per*(y+halfY+0.01*rng.NormFloat64())-rows/2)
		tr.Sigma = append(tr.Sigma, 0.05)
	}
	d.Traces = []wire.Trace{tr}
	return d
}

// where says where the screen is on these drawings.
var where = check.Settings{SquaresPerBox: "2", Origin: "2,2"}

func of(t *testing.T, drawn, display *wire.Document, s check.Settings) *check.Check {
	t.Helper()
	c, err := check.Of(t.Context(), drawn, display, s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A right drawing holds, and says the same as the display: τ and the half-life to 2 % where τ is two boxes, to 6 %
// where it is a quarter of one.
func TestARightDrawingSaysTheSame(t *testing.T) {
	for name, display := range map[string]*wire.Document{"slow": slow(t), "fast": fast(t)} {
		share := map[string]float64{"slow": 0.02, "fast": 0.06}[name]
		c := of(t, drawnFrom(display, nil), display, check.Settings{})
		if !c.Within || c.Doubted() || c.Placement.SquaresPerBox != 2 || c.Placement.Corner != [2]wire.Number{2, 2} || c.Coverage < 0.95 {
			t.Errorf("%s: within %v, doubts %q, placed %+v, coverage %.2f", name, c.Within, c.Doubts, c.Placement, float64(c.Coverage))
		}
		seen := map[string]bool{}
		for _, q := range c.Quantities {
			seen[q.Quantity] = true
			if (q.Quantity == "tau" || q.Quantity == "half_life") && math.Abs(float64(q.Share)) > share {
				t.Errorf("%s: %s of the display %g, of the drawing %g", name, q.Quantity, float64(q.Display), float64(q.Drawing))
			}
		}
		for _, want := range []string{"tau", "half_life", "v_start", "v_end"} {
			if !seen[want] {
				t.Errorf("%s: no %s", name, want)
			}
		}
		if d := c.Start.Drawing - c.Start.Display; math.Abs(float64(d)) > 0.05 {
			t.Errorf("%s: it begins %.2f box off", name, float64(d))
		}
	}
}

// What is wrong is told in words that one can act on, and in numbers; what it does to τ as well.
func TestAWrongDrawingIsToldInWords(t *testing.T) {
	display := slow(t)
	const knee = -4.0 // of the mist timer: 5 s from the left rim
	for name, c := range map[string]struct {
		wrong func(x, y float64) (float64, float64)
		says  []string
		share float64 // of τ
	}{
		"early": {func(x, y float64) (float64, float64) { return x - 0.5, y }, []string{"0.50 box too far to the left: everything comes too early", "(", "s)"}, 0},
		"high":  {func(x, y float64) (float64, float64) { return x, y + 0.4 }, []string{"lies 0.40 box too high", "boxes from the left rim"}, 0},
		"start": {func(x, y float64) (float64, float64) { return x, -4 + 0.93*(y+4) }, []string{"begins 0.42 box too low"}, 0},
		"tau": {func(x, y float64) (float64, float64) {
			if x > knee {
				x = knee + 1.2*(x-knee)
			}
			return x, y
		}, []string{"decays too slowly: its time constant is 20 % too long", "half way down or up at 2.4 boxes from the left rim, and is so at 2.7"}, 0.2},
	} {
		held := of(t, drawnFrom(display, c.wrong), display, where)
		all := strings.Join(held.Verdict, " ")
		for _, says := range c.says {
			if !strings.Contains(all, says) {
				t.Errorf("%s: the verdict does not say %q: %s", name, says, all)
			}
		}
		if held.Within || !held.Doubted() || len(held.Verdict) != len(held.VerdictData) {
			t.Errorf("%s: it holds", name)
		}
		for _, q := range held.Quantities {
			if q.Quantity == "tau" && math.Abs(float64(q.Share)-c.share) > 0.03 {
				t.Errorf("%s: τ is off by %.1f %%, want %.0f %%", name, 100*float64(q.Share), 100*c.share)
			}
		}
	}
}

// A slow sweep that is still being drawn shows the one before it right of the pen. Who draws no more than the new one
// lacks nothing; a label that hides a part of the trace is no pen.
func TestTheSweepBeforeIsNotAskedFor(t *testing.T) {
	display := displayOf(t, "slow-colour.jpg", wire.Settings{TimePerBox: "5s", TraceFields: wire.TraceFields{VoltsPerBox: "1.5V", Ground: "bottom"}})
	drawn := drawnFrom(display, nil)
	tr := &drawn.Traces[0]
	n := slices.IndexFunc(tr.X, func(x float64) bool { return (x+12-2)/2 > 9.2 }) // squares from the paper's centre
	tr.X, tr.Y, tr.Sigma = tr.X[:n], tr.Y[:n], tr.Sigma[:n]
	for name, s := range map[string]check.Settings{"placed": where, "by the paper": {}} {
		c := of(t, drawn, display, s)
		if !c.Within || len(c.Missing) > 0 || !told(c.NoteKinds, check.KindSweepBefore) || len(c.Trace.X) != len(display.Traces[0].X) {
			t.Errorf("%s: %q, missing %v, notes %q", name, c.Verdict, c.Missing, c.Notes)
		}
	}
	// Right of the pen something else: so many boxes away, by so much of the swing of 6 boxes above where the pen stands.
	for _, c := range []struct {
		gap, share float64
		before     bool
	}{{0.3, 1, true}, {0.14, 1, false}, {0.4, 0.4, true}, {0.4, 0.15, false}} {
		other := *display
		other.Traces = slices.Clone(display.Traces)
		x, y := display.Traces[0].X, slices.Clone(display.Traces[0].Y)
		pen := slices.IndexFunc(y, math.IsNaN) - 1
		for i := pen + 1; i < len(y); i++ {
			if y[i] = math.NaN(); x[i] > x[pen]+c.gap {
				y[i] = y[pen] + 6*c.share
			}
		}
		other.Traces[0].Y = y
		if told(of(t, drawn, &other, where).NoteKinds, check.KindSweepBefore) != c.before {
			t.Errorf("%+v: it is otherwise", c)
		}
	}
	hidden := *slow(t)
	hidden.Traces = slices.Clone(hidden.Traces)
	y := slices.Clone(hidden.Traces[0].Y)
	for i, x := range hidden.Traces[0].X {
		if x > 3.5 && x < 4.2 {
			y[i] = math.NaN()
		}
	}
	hidden.Traces[0].Y = y
	if c := of(t, drawnFrom(slow(t), nil), &hidden, where); !c.Within || told(c.NoteKinds, check.KindSweepBefore) {
		t.Errorf("hidden: %q, notes %q", c.Verdict, c.Notes)
	}
}

func told(list []wire.Remark, kind remark.Kind) bool {
	return slices.ContainsFunc(list, func(r wire.Remark) bool { return r.Kind == string(kind) })
}

// What the two readings doubt themselves is not lost.
func TestDoubtsOfTheReadingsAreTold(t *testing.T) {
	display := slow(t)
	drawn := drawnFrom(display, nil)
	drawn.DoubtKinds = []wire.Remark{{Kind: "analysis.kind_for_want", Text: "of no matter"}, {Kind: "sketch.curled", Text: "one"}}
	drawn.Traces[0].DoubtKinds = []wire.Remark{{Kind: "sketch.broken", Text: "two"}}
	if c := of(t, drawn, display, check.Settings{}); !c.Within || !c.Doubted() || len(c.DoubtKinds) != 2 || c.Doubts[0] != "The drawing: one" || c.Doubts[1] != "The drawing: two" {
		t.Errorf("doubts: %+v", c.DoubtKinds)
	}
}

// What looks like paper as the display, or like a display as the drawing, is asked once, before all else.
func TestSwappedPhotosAreAskedAbout(t *testing.T) {
	display := *slow(t)
	drawn := drawnFrom(&display, nil)
	display.DoubtKinds = []wire.Remark{{Kind: string(reading.KindMayBePaper), Text: "read it with --paper"}}
	drawn.DoubtKinds = []wire.Remark{{Kind: string(reading.KindMayBeDisplay), Text: "leave out --paper"}}
	for _, pair := range [][2]*wire.Document{{drawn, slow(t)}, {drawnFrom(&display, nil), &display}, {drawn, &display}} {
		c := of(t, pair[0], pair[1], check.Settings{})
		if len(c.DoubtKinds) != 1 || c.DoubtKinds[0].Kind != string(check.KindSwapped) || !strings.Contains(string(c.Doubts[0]), "swapped") {
			t.Errorf("doubts: %+v", c.DoubtKinds)
		}
	}
}

// Lines that are shorter than the axes, or than the curve, are edges, dimension lines or columns of letters: they place
// no screen.
func TestShortLinesAreNoAxes(t *testing.T) {
	display := fast(t)
	drawn := drawnFrom(display, nil)
	line := func(level bool, x0, y0, x1, y1 float64) wire.Axis { // squares from the corner
		half := func(x, y float64) wire.Point { return wire.Point{wire.Number(x - 12), wire.Number(y - 10)} }
		return wire.Axis{Level: level, From: half(x0, y0), To: half(x1, y1)}
	}
	long := []wire.Axis{line(true, 1, 2, 23, 2), line(false, 2, 1, 2, 19)}
	for name, short := range map[string]wire.Axis{"column": line(false, 1, 0, 1, 8), "edge": line(false, 3.3, 4, 3.3, 13.5),
		"dimension": line(true, 5, 17, 11, 17)} {
		drawn.Paper = &wire.Paper{Axes: append([]wire.Axis{short}, long...)}
		c := of(t, drawn, display, check.Settings{})
		p := c.Placement
		if p.Corner != [2]wire.Number{2, 2} || p.From != "axes" || len(p.Upright) != 1 || len(p.Level) != 1 || c.Doubted() {
			t.Errorf("%s: placed %+v, doubts %q", name, p, c.Doubts)
		}
	}
	// An edge alone is no axis either.
	drawn.Paper = &wire.Paper{Axes: []wire.Axis{line(false, 3.3, 4, 3.3, 12)}}
	if c := of(t, drawn, display, check.Settings{}); c.Placement.From != "paper" || c.Placement.Corner != [2]wire.Number{2, 2} {
		t.Errorf("an edge alone: placed %+v", c.Placement)
	}
}

// The only level line of a page may be an axis: as the curve it is doubted.
func TestTheOnlyLevelLineIsDoubtedAsACurve(t *testing.T) {
	display := *slow(t)
	level := display.Traces[0]
	level.Y = slices.Clone(level.Y)
	for i := range level.Y {
		level.Y[i] = 1
	}
	display.Traces, display.Fits, display.Results, display.Signal = []wire.Trace{level}, nil, nil, "level"
	drawn := drawnFrom(&display, nil)
	drawn.Traces, drawn.Error = nil, &wire.Error{Kind: "trace", Reason: "no curve"}
	curve := wire.Axis{Level: true, From: wire.Point{-10, 2}, To: wire.Point{10, 2}}
	axis := wire.Axis{Level: true, From: wire.Point{-11, -8}, To: wire.Point{11, -8}}
	for name, lines := range map[string][]wire.Axis{"alone": {curve}, "both": {axis, curve, {From: wire.Point{-10, -9}, To: wire.Point{-10, 9}}}} {
		drawn.Paper = &wire.Paper{Axes: lines}
		c := of(t, drawn, &display, check.Settings{})
		if told(c.DoubtKinds, check.KindLineIsCurve) != (name == "alone") || !c.Within {
			t.Errorf("%s: within %v, doubts %q, verdict %q", name, c.Within, c.Doubts, c.Verdict)
		}
	}
}

// A document that is none of a picture is refused, and it is said which.
func TestWhatIsNoDrawingIsRefused(t *testing.T) {
	display := slow(t)
	for name, change := range map[string]func(*wire.Document){
		"error":     func(d *wire.Document) { d.Error = &wire.Error{Kind: "file", Reason: "it is broken", Hint: "mend it"} },
		"table":     func(d *wire.Document) { d.Table = &wire.Table{} },
		"no grid":   func(d *wire.Document) { d.Graticule = nil },
		"no curve":  func(d *wire.Document) { d.Traces = nil },
		"huge":      func(d *wire.Document) { d.Graticule = &wire.Graticule{Columns: 1e9, Rows: 8} },
		"too short": func(d *wire.Document) { d.Traces[0].X, d.Traces[0].Y = wire.Numbers{1, 2}, wire.Numbers{1, 2} },
	} {
		broken := drawnFrom(display, nil)
		change(broken)
		var no *check.Error
		if _, err := check.Of(t.Context(), broken, display, check.Settings{}); !errors.As(err, &no) || no.Of != "drawing" || no.Hint == "" {
			t.Errorf("%s: %v", name, err)
		}
		other := *display
		other.Traces = []wire.Trace{display.Traces[0]}
		change(&other)
		if _, err := check.Of(t.Context(), drawnFrom(display, nil), &other, check.Settings{}); !errors.As(err, &no) || no.Of != "display" && name != "too short" {
			t.Errorf("the display, %s: %v", name, err)
		}
	}
}

func TestWrongSettingsAreRefused(t *testing.T) {
	for _, s := range []check.Settings{{Tolerance: "box"}, {Tolerance: "0.2V"}, {SquaresPerBox: "0"}, {SquaresPerBox: "two"}, {SquaresPerBox: "100"}, {Tolerance: "-1"}, {Tolerance: "0.2±0.1"},
		{Origin: "3"}, {Origin: "3,4,5"}, {Origin: "a,b"}, {Origin: "1e9,0"}, {Origin: "NaN,0"}} {
		var no *reading.SettingError
		if _, err := s.Options(); !errors.As(err, &no) || no.Hint == "" {
			t.Errorf("%+v: %v", s, err)
		}
	}
	o, err := check.Settings{SquaresPerBox: "2", Origin: "-1.5, 4", Tolerance: "0.3"}.Options()
	if err != nil || o.SquaresPerBox != 2 || o.Corner.X != -1.5 || o.Corner.Y != 4 || o.Tolerance != 0.3 {
		t.Errorf("%+v, %v", o, err)
	}
	// As they are printed, and as they are said.
	o, err = check.Settings{Origin: "−1.5, 4", Tolerance: "0.3 boxes"}.Options()
	if err != nil || o.Corner.X != -1.5 || o.Corner.Y != 4 || o.Tolerance != 0.3 {
		t.Errorf("%+v, %v", o, err)
	}
}
