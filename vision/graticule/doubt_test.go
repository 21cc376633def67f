package graticule

import (
	"image"
	"math"
	"slices"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/marks"
	"quadrille/vision/photo"
)

// kindsOf are the kinds of a list of doubts.
func kindsOf(list []remark.Remark) (kinds []remark.Kind) {
	for _, r := range list {
		kinds = append(kinds, r.Kind)
	}
	return kinds
}

// What is doubted of a graticule of ruled lines, and from where on: of each pair the first is sound.
func TestWhatIsDoubtedOfRuledLines(t *testing.T) {
	stops := func(l, r, b, t float64) [4]float64 { return [4]float64{l, r, b, t} }
	for _, c := range []struct {
		name  string
		kind  remark.Kind
		sound func(v *verdict)
		doubt func(v *verdict)
	}{
		{"most lines seen", FewLines, func(v *verdict) { v.share = 0.65 }, func(v *verdict) { v.share = 0.55 }},
		{"ends hardly seen", FewLines, func(v *verdict) { v.share, v.stops = 0.8, stops(0.6, 0.6, 0.6, 0.6) },
			func(v *verdict) { v.share, v.stops = 0.7, stops(0.6, 0.6, 0.6, 0.6) }},
		{"lines off", LinesOff, func(v *verdict) { v.rms = 0.018 }, func(v *verdict) { v.rms = 0.03 }},
		{"bent, lines missing", FaceBends, func(v *verdict) { v.share, v.bend = 0.7, 0.04 }, func(v *verdict) { v.share, v.bend = 0.7, 0.07 }},
		{"bent, lines seen", FaceBends, func(v *verdict) { v.bend = 0.13 }, func(v *verdict) { v.bend = 0.18 }},
		{"bent, lines off", FaceBends, func(v *verdict) { v.bend, v.rms = 0.1, 0.008 }, func(v *verdict) { v.bend, v.rms = 0.1, 0.015 }},
		{"another frame", OtherFrame, func(v *verdict) { v.margin = 6 }, func(v *verdict) { v.margin = 4 }},
		{"ends", EndsUnclear, func(v *verdict) { v.stops = stops(0.6, 0.6, 0.6, 0.6) }, func(v *verdict) { v.stops = stops(0.45, 0.45, 0.45, 0.45) }},
		{"ends of one pair", EndsUnclear, func(v *verdict) { v.stops = stops(0.48, 0.48, 0.9, 0.9) }, func(v *verdict) { v.stops = stops(0.35, 0.35, 0.9, 0.9) }},
		{"a rim", RimUnseen, func(v *verdict) { v.stops[1] = 0.25 }, func(v *verdict) { v.stops[1] = 0.15 }},
		{"half boxes", RimsOff, func(v *verdict) { v.rimOff = 0.05 }, func(v *verdict) { v.rimOff = 0.08 }},
		{"a rival", OtherGrid, func(v *verdict) { v.rival = 0.5 }, func(v *verdict) { v.rival = 0.7 }},
		{"wide boxes", BoxUnusual, func(v *verdict) { v.aspect = 1.3 }, func(v *verdict) { v.aspect = 1.5 }},
		{"narrow boxes", BoxUnusual, func(v *verdict) { v.aspect = 0.75 }, func(v *verdict) { v.aspect = 0.65 }},
	} {
		for _, doubted := range []bool{false, true} {
			v := verdict{share: 0.95, margin: 13, rms: 0.004, bend: 0.01, aspect: 1, second: 1, stops: stops(0.9, 0.9, 0.9, 0.9)}
			change := c.sound
			if doubted {
				change = c.doubt
			}
			change(&v)
			if kinds := kindsOf(v.remarks(geom.Frame{})); doubted != slices.Contains(kinds, c.kind) || !doubted && len(kinds) > 0 {
				t.Errorf("%s, to be doubted: %v; doubts %q", c.name, doubted, kinds)
			}
		}
	}
}

// What is no graticule at all.
func TestWhatIsRefused(t *testing.T) {
	for name, c := range map[string][2]verdict{
		"few lines": {{share: 0.4, second: 1}, {share: 0.3, second: 1}},
		"lines off": {{share: 1, second: 1, rms: 0.05}, {share: 1, second: 1, rms: 0.07}},
		"bent":      {{share: 1, second: 1, bend: 0.2}, {share: 1, second: 1, bend: 0.3}},
	} {
		for i, v := range c {
			if reason, hint := v.refusal(); (reason != "") != (i == 1) || (hint != "") != (i == 1) {
				t.Errorf("%s, %d: refused with %q, %q", name, i, reason, hint)
			}
		}
	}
}

// What is doubted of a frame that was found by its marks, and how it stands.
func TestWhatIsDoubtedOfMarks(t *testing.T) {
	s := &search{Finder: NewFinder(photo.New(image.NewGray(image.Rect(0, 0, 600, 500))))}
	for _, c := range []struct {
		name  string
		kind  remark.Kind
		sound func(f *marks.Found)
		doubt func(f *marks.Found)
	}{
		{"ticks", MarksFew, func(f *marks.Found) { f.Sight.Ticks[1] = 0.65 }, func(f *marks.Found) { f.Sight.Ticks[1] = 0.55 }},
		{"crosses", MarksFew, func(f *marks.Found) { f.Sight.Ticks, f.Sight.Crosses, f.Sight.Nodes = [2]float64{}, 0.65, 20 },
			func(f *marks.Found) { f.Sight.Ticks, f.Sight.Crosses, f.Sight.Nodes = [2]float64{}, 0.55, 20 }},
		{"few crosses", MarksFew, func(f *marks.Found) { f.Sight.Ticks, f.Sight.Crosses, f.Sight.Nodes = [2]float64{}, 0.8, 18 },
			func(f *marks.Found) { f.Sight.Ticks, f.Sight.Crosses, f.Sight.Nodes = [2]float64{}, 0.8, 12 }},
		{"one rim", MarksOneSided, func(f *marks.Found) { f.Sight.Strips[0] = 0.45 }, func(f *marks.Found) { f.Sight.Strips[0] = 0.35 }},
		{"ends", MarksEnd, func(f *marks.Found) { f.Sight.Ends = 0.35 }, func(f *marks.Found) { f.Sight.Ends = 0.25 }},
		{"past the rims", MarksGoOn, func(f *marks.Found) { f.Sight.Past = 0.5 }, func(f *marks.Found) { f.Sight.Past = 0.7 }},
		{"another count", OtherCount, func(f *marks.Found) { f.Sight.Rival = 0.7 }, func(f *marks.Found) { f.Sight.Rival = 0.8 }},
		{"longer ticks", OtherCount, func(f *marks.Found) { f.Sight.Rival, f.Sight.Longer = 0.9, 0.5 }, func(f *marks.Found) { f.Sight.Rival, f.Sight.Longer = 0.9, 0.4 }},
		{"lines across", LinesAcross, func(f *marks.Found) { f.Across = 0.55 }, func(f *marks.Found) { f.Across = 0.65 }},
		{"a rim", RimUnseen, func(f *marks.Found) { f.Rims[2] = 0.55 }, func(f *marks.Found) { f.Rims[2] = 0.45 }},
	} {
		for _, doubted := range []bool{false, true} {
			frameOf := geom.Frame{Cols: 10, Rows: 8}
			f := &marks.Found{Frame: frameOf, Rims: [4]float64{1, 1, 1, 1},
				Sight: marks.Sight{Score: 8, Ticks: [2]float64{0.9, 0.9}, Strips: [2]float64{0.8, 0.8}, Ends: 0.8}}
			f.Fit.Model = *fit.New(600, 500, geom.Homography{40, 0, 300, 0, -40, 250, 0, 0, 1}, frameOf)
			f.Fit.Seen, f.Fit.Pieces = 95, 100
			change := c.sound
			if doubted {
				change = c.doubt
			}
			change(f)
			want := markedClearly
			if doubted {
				want = markedWeakly
			}
			h := s.reading(f)
			if kinds := kindsOf(h.Doubts); doubted != slices.Contains(kinds, c.kind) || !doubted && len(kinds) > 0 || h.standing != want {
				t.Errorf("%s, to be doubted: %v; doubts %q, standing %d", c.name, doubted, kinds, h.standing)
			}
			if f.Sight.Score = 10; doubted && s.reading(f).standing != markedSurely {
				t.Errorf("%s: with many marks the frame is not sure", c.name)
			}
		}
	}
}

// A corner set by hand is good to a finger on a phone, 4 px of 1000; it may be off by 3 % of the photo's width, and lie
// half a photo outside.
func TestHowFarAHandMayBeOff(t *testing.T) {
	ph := photo.New(image.NewGray(image.Rect(0, 0, 1000, 800)))
	at := [4]geom.Pixel{{X: 100, Y: 100}, {X: 900, Y: 100}, {X: 900, Y: 700}, {X: 100, Y: 700}} // a diagonal of 1000
	o := &Options{Frame: geom.Frame{Cols: 16, Rows: 12}, Corners: &at}
	g, err := asGiven(ph, o)
	if err != nil {
		t.Fatal(err)
	}
	ux := 0.0
	for _, m := range g.Moves([]geom.Box{{X: 8, Y: 6}}) {
		ux += m.DX[0] * m.DX[0]
	}
	// The lens adds to what a box of 50 px makes of 4 px.
	if u := 50 * math.Sqrt(ux); u < 3.6 || u > 12 {
		t.Errorf("a corner is claimed to %.1f px", u)
	}
	if s := g.Doubts[0].Number("sigma_px"); s < 3.6 || s > 4.4 {
		t.Errorf("a corner is told to be good to %.1f px", s)
	}
	for off, near := range map[float64]bool{0: true, 33: true, 37: false} {
		moved := at
		moved[2].Y += off
		if got := (&Options{Corners: &moved}).near(g, ph); got != near {
			t.Errorf("%g px off: near is %v", off, got)
		}
	}
	for out, allowed := range map[float64]bool{0: true, 400: true, 600: false} {
		moved := at
		moved[0].X, moved[3].X = -out, -out
		if err := (&Options{Corners: &moved}).check(ph); (err == nil) != allowed {
			t.Errorf("corners %g px outside: %v", out, err)
		}
	}
	for n, allowed := range map[int]bool{2: true, 38: true, 45: false} {
		if err := (&Options{Frame: geom.Frame{Cols: n}}).check(ph); (err == nil) != allowed {
			t.Errorf("%d columns: %v", n, err)
		}
	}
}

// Four candidates are fitted before a view is given up, and twelve are kept.
func TestHowManyCandidatesAreTried(t *testing.T) {
	for good, found := range map[int]bool{0: true, 3: true, 4: false} {
		s := &search{Finder: NewFinder(photo.New(image.NewGray(image.Rect(0, 0, 64, 48)))), ctx: t.Context(), o: &Options{}}
		for i := range 20 {
			c := &frame.Candidate{Survey: &frame.Survey{Lattice: &lattice.Grown{Map: lattice.Map{10, 0, 0, 0, -10, 0, 0, 0, 1}}}, Quality: float64(100 - i)}
			s.pools[0].candidates = append(s.pools[0].candidates, c)
			s.pools[0].fitted[c] = nil
			if i == good {
				s.pools[0].fitted[c] = &hypothesis{Graticule: &Graticule{}, verdict: verdict{share: 1, second: 1}, candidate: c}
			}
		}
		s.shown[0] = s.pools[0].candidates
		if h := s.foremost(0); (h != nil) != found {
			t.Errorf("candidate %d is a graticule: found is %v", good, h != nil)
		}
		if s.pools[0].prune(); len(s.pools[0].candidates) != 12 {
			t.Errorf("%d candidates are kept", len(s.pools[0].candidates))
		}
	}
}

// Pictures for people are 1600 pixels wide at most and show a curved line as a curve.
func TestPicturesForPeopleAreOfUse(t *testing.T) {
	for side, want := range map[int]int{1500: 1500, 2600: 1300} {
		if c := canvasOf(photo.New(image.NewGray(image.Rect(0, 0, side, 60)))); c.Rect.Dx() != want {
			t.Errorf("of a photo %d wide: %d", side, c.Rect.Dx())
		}
	}
	c := canvasOf(photo.New(image.NewGray(image.Rect(0, 0, 600, 200))))
	bow := func(x float64) float64 { return 20 + 160*(x-300)*(x-300)/(300*300) }
	c.curve(func(b geom.Box) geom.Pixel { return geom.Pixel{X: b.X, Y: bow(b.X)} }, geom.Box{X: 0}, geom.Box{X: 600}, inkFound)
	for y := range 200 {
		for x := range 600 {
			slope := math.Abs(bow(float64(x)+1) - bow(float64(x)))
			if c.RGBAAt(x, y) == inkFound && math.Abs(bow(float64(x)+0.5)-float64(y)-0.5) > 1.5+slope {
				t.Fatalf("the curve is drawn at (%d, %d)", x, y)
			}
		}
	}
}

// A piece that lies a hundredth of a box off the grid is drawn a fifth of a box beside it.
func TestPiecesAreDrawnTwentyTimesAsFarOff(t *testing.T) {
	ph := photo.New(image.NewGray(image.Rect(0, 0, 1200, 1000)))
	f := geom.Frame{Cols: 10, Rows: 8}
	m := fit.New(1200, 1000, geom.Homography{100, 0, 600, 0, -100, 500, 0, 0, 1}, f)
	g := &Graticule{H: m.H, Lens: m.Lens, Face: m.Face, Frame: f}
	o := fit.Observation{Piece: lattice.Piece{Of: lattice.Upright, Line: 5, Cell: 4}, At: 0, Place: geom.Pixel{X: 601, Y: 450}, Weight: 1}
	img := drawPieces(ph, g, []fit.Observation{o}).(canvas)
	if got := img.RGBAAt(int(620/img.k), int(450/img.k)); got != inkSeed {
		t.Errorf("at a fifth of a box there is %v", got)
	}
}
