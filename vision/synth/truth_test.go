package synth

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// ready gives the scene with its defaults, and where its camera sees things.
func ready(t testing.TB, s Scene) (Scene, *view) {
	t.Helper()
	s = s.withDefaults()
	v, err := newView(s)
	if err != nil {
		t.Fatal(err)
	}
	return s, v
}

// greenLight gives the green light on the sensor, before the file's 8 bits.
func greenLight(t *testing.T, s Scene) *raster.Plane {
	s, v := ready(t, s)
	return expose(s, v, panelOf(s, v))[1]
}

// centreOf gives the centre, near p, of the light by which two pictures differ, over a window of
// 2·halfX+1 by 2·halfY+1 pixels.
func centreOf(img, without *raster.Plane, p geom.Pixel, halfX, halfY int) geom.Pixel {
	x0, y0 := int(p.X)-halfX, int(p.Y)-halfY
	var s, sx, sy float64
	for y := y0; y <= y0+2*halfY; y++ {
		for x := x0; x <= x0+2*halfX; x++ {
			w := float64(img.Row(y)[x] - without.Row(y)[x])
			s += w
			sx += w * (float64(x) + 0.5)
			sy += w * (float64(y) + 0.5)
		}
	}
	return geom.Pixel{X: sx / s, Y: sy / s}
}

var tiltedCamera = Camera{Yaw: 0.15, Pitch: -0.1, Roll: 0.05, K1: -0.03, Blur: 0.6, Width: 800, Height: 600}

// A dot of the grid stands on every node of a panel; its centre of light must be the truth's.
func TestDotsShineWhereTheTruthSays(t *testing.T) {
	for _, kind := range []Kind{Colour, Pale, Blue} {
		s := Scene{Seed: 3, Signals: []Signal{{Form: Level, VStart: 0.5}}, Camera: tiltedCamera}
		s.Display.Kind, s.Display.GridLight = kind, 1
		truth, err := s.Truth()
		if err != nil {
			t.Fatal(err)
		}
		img := greenLight(t, s)
		s.Display.GridLight = 1e-9
		bare := greenLight(t, s)
		for _, at := range [][2]int{{2, 2}, {8, 2}, {2, 6}, {7, 7}, {4, 1}} {
			want := truth.NodesPx[at[1]][at[0]]
			got := centreOf(img, bare, geom.Pixel{X: want[0], Y: want[1]}, 4, 4)
			if d := math.Hypot(got.X-want[0], got.Y-want[1]); !(d < 0.02) {
				t.Errorf("%v: node %v: light centred at (%.3f, %.3f), truth (%.3f, %.3f)", kind, at, got.X, got.Y, want[0], want[1])
			}
		}
	}
}

// The lines of a tube cross at the nodes, also on a curved face: a row of pixels across an upright
// line, half a box from the nodes above and below, is centred where view puts the line.
func TestEngravedLinesLieWhereTheTruthSays(t *testing.T) {
	for _, sag := range []float64{0, 0.02} {
		s := Scene{Seed: 3, Signals: []Signal{{Form: Level, VStart: 9}}, Camera: tiltedCamera} // off the screen
		s.Display = Display{Kind: Tube, Sag: sag, GridLight: 0.5, Lit: true}
		_, v := ready(t, s)
		img := greenLight(t, s)
		s.Display.GridLight = 1e-9
		bare := greenLight(t, s)
		for _, b := range []geom.Box{{X: -3, Y: -2.5}, {X: 4, Y: 3.5}, {X: 1, Y: 0.5}, {X: -4, Y: 2.5}} {
			// Where the line crosses the middle of the row of pixels that b lies in.
			y := math.Floor(v.pixel(b).Y) + 0.5
			up, down := v.pixel(geom.Box{X: b.X, Y: b.Y + 0.1}), v.pixel(geom.Box{X: b.X, Y: b.Y - 0.1})
			want := up.X + (down.X-up.X)*(y-up.Y)/(down.Y-up.Y)
			got := centreOf(img, bare, geom.Pixel{X: want, Y: y}, 6, 0)
			if math.Abs(got.X-want) > 0.05 {
				t.Errorf("sag %g: line at %v: light centred at x = %.3f, truth %.3f", sag, b, got.X, want)
			}
		}
	}
}

// A level line on an odd count of picture elements is centred on its voltage, on panel and tube.
func TestLevelTraceShinesAtItsVoltage(t *testing.T) {
	for _, d := range []Display{{Kind: Colour}, {Kind: Pale, PixelsPerBox: 50, Stroke: 1}, {Kind: Blue, PixelsPerBox: 50}, {Kind: Tube}} {
		s := Scene{Display: d, Signals: []Signal{{Form: Level, VStart: 1.52, VoltsPerBox: 1}}, Camera: tiltedCamera}
		_, v := ready(t, s)
		img := greenLight(t, s)
		s.Signals[0].VStart = -1.48
		bare := greenLight(t, s)
		for _, x := range []float64{-3.5, 0.5, 4.5} {
			at := v.pixel(geom.Box{X: x, Y: 1.52})
			col := math.Floor(at.X) + 0.5
			side := v.pixel(geom.Box{X: x + 0.1, Y: 1.52})
			want := at.Y + (side.Y-at.Y)*(col-at.X)/(side.X-at.X)
			got := centreOf(img, bare, geom.Pixel{X: col, Y: want}, 0, 8)
			if math.Abs(got.Y-want) > 0.05 {
				t.Errorf("%v: trace at x = %g box: light centred at y = %.3f px, truth %.3f", d.Kind, x, got.Y, want)
			}
		}
	}
}

func TestTruthSurvivesItsJSON(t *testing.T) {
	for seed := range uint64(20) {
		s, v := ready(t, Random(seed))
		want := truthOf(s, v)
		b, err := want.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if !json.Valid(b) {
			t.Fatal("not JSON")
		}
		got, err := DecodeTruth(b)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("seed %d:\n%s", seed, d)
		}
	}
}

// Nothing of the trace is seen where the truth says that the graticule is covered.
func TestTablesAndMenusCoverWhatTheTruthSays(t *testing.T) {
	s, v := ready(t, Scene{Display: Display{Table: true, Menu: true}, Signals: []Signal{{Form: Sine, VStart: 3.9, Frequency: 0.1}}})
	covered := truthOf(s, v).CoveredBox
	if len(covered) != 2 {
		t.Fatalf("covered: %v", covered)
	}
	l := newLCD(s)
	table, menu := covered[0], covered[1]
	for j := range l.h {
		for i := range l.w {
			x, y, c := (float64(i)-l.centreX)/l.perBox, (l.centreY-float64(j))/l.perBox, l.pix[j*l.w+i]
			if x >= menu[0] && x <= menu[2] && y >= menu[1] && y < table[1] && c == l.ink.traces[0] {
				t.Fatalf("the trace shows through the menu at (%g, %g)", x, y)
			}
			if x >= table[0] && x <= table[2] && y >= table[1] && y <= table[3] && c == l.ink.grid {
				t.Fatalf("the grid shows through the table at (%g, %g)", x, y)
			}
		}
	}
}

func TestDecodeTruthRefusesOtherText(t *testing.T) {
	for _, text := range []string{"", "[]", "{}", `{"columns": "ten"}`, `{"columns": 1, "rows": 1, "nodes_px": [[[0, 0], [1, 0]]]}`} {
		if _, err := DecodeTruth([]byte(text)); err == nil {
			t.Errorf("%q was taken for a truth", text)
		}
	}
}

// The corners are the outermost nodes, whatever the scene, and the homography with the lens gives
// every node of a flat display.
func TestNodesCornersAndHomographyAgree(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := Random(rapid.Uint64().Draw(rt, "seed"))
		s.Display.Sag, s.Camera.K2 = 0, 0
		truth, err := s.Truth()
		if err != nil {
			t.Fatal(err)
		}
		top, right := truth.Rows, truth.Columns
		if want := [4][2]float64{truth.NodesPx[top][0], truth.NodesPx[top][right], truth.NodesPx[0][right], truth.NodesPx[0][0]}; want != truth.CornersPx {
			rt.Fatalf("corners %v, outermost nodes %v", truth.CornersPx, want)
		}
		f, lens := truth.Frame(), truth.Lens()
		for j, row := range truth.NodesPx {
			for i, p := range row {
				q := lens.Bend(truth.Homography.Pixel(geom.Box{X: f.Left() + float64(i), Y: f.Bottom() + float64(j)}))
				if math.Hypot(q.X-p[0], q.Y-p[1]) > 1e-9 {
					rt.Fatalf("node %d, %d: %v, by the homography %v", i, j, p, q)
				}
			}
		}
	})
}

// Whatever DecodeTruth takes, it takes again from its own Encode.
func FuzzDecodeTruth(f *testing.F) {
	f.Add([]byte(`{"columns": 1, "rows": 1, "nodes_px": [[[0, 9], [9, 9]], [[0, 0], [9, 0]]], "traces": [{"x_box": [0], "y_box": [1], "tau_s": 2}]}`))
	f.Add([]byte(`{"columns": 1, "rows": -1}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		first, err := DecodeTruth(text)
		if err != nil {
			return
		}
		again, err := first.Encode()
		if err != nil {
			t.Fatal(err)
		}
		second, err := DecodeTruth(again)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(first, second, cmpopts.EquateEmpty()); d != "" {
			t.Error(d)
		}
	})
}
