package synth

import (
	"fmt"
	"math"
	"testing"

	"quadrille/vision/geom"
)

func TestImpossibleScenesAreRefused(t *testing.T) {
	for name, spoil := range map[string]func(s *Scene){
		"kind":            func(s *Scene) { s.Display.Kind = 9 },
		"frame":           func(s *Scene) { s.Display.Frame = geom.Frame{Cols: 200, Rows: 8} },
		"elements":        func(s *Scene) { s.Display.PixelsPerBox = 3 },
		"half an element": func(s *Scene) { s.Display.PixelsPerBox = 25; s.Display.Frame = geom.Frame{Cols: 15, Rows: 10} },
		"even stroke":     func(s *Scene) { s.Display.Stroke = 2 },
		"aspect":          func(s *Scene) { s.Display.Aspect = 9 },
		"margins":         func(s *Scene) { s.Display.Margins = [4]float64{-1, 1, 1, 1} },
		"time":            func(s *Scene) { s.TimePerBox = -1 },
		"not a number":    func(s *Scene) { s.Camera.Yaw = math.NaN() },
		"size":            func(s *Scene) { s.Camera.Width = 1 << 20; s.Camera.Height = 1 << 20 },
		"edge-on":         func(s *Scene) { s.Camera.Yaw = 1.57 },
		"through":         func(s *Scene) { s.Camera.Fill = 3.9; s.Camera.Focal = 0.25; s.Camera.Pitch = 1.1 },
		"lens":            func(s *Scene) { s.Camera.K1 = 1 },
		"quality":         func(s *Scene) { s.Camera.Quality = 101 },
		"orientation":     func(s *Scene) { s.Camera.Orientation = 9 },
		"mixing":          func(s *Scene) { s.Camera.Mixing = 1 },
		"dust":            func(s *Scene) { s.Camera.Dust = -1 },
		"tau":             func(s *Scene) { s.Signals = []Signal{{Form: Decay}} },
		"frequency":       func(s *Scene) { s.Signals = []Signal{{Form: Sine}} },
		"duty":            func(s *Scene) { s.Signals = []Signal{{Form: Square, Frequency: 1, Duty: 2}} },
		"traces":          func(s *Scene) { s.Signals = make([]Signal, 9) },
	} {
		var s Scene
		spoil(&s)
		if err := s.Validate(); err == nil {
			t.Errorf("%s: taken", name)
		}
		if _, _, err := s.JPEG(); err == nil {
			t.Errorf("%s: shot", name)
		}
	}
	if err := (Scene{}).Validate(); err != nil {
		t.Errorf("the zero scene: %v", err)
	}
	if err := (Scene{Camera: Phone()}).Validate(); err != nil {
		t.Errorf("the ordinary phone: %v", err)
	}
}

// Ordinary means: tilted by at most 12 degrees, the whole frame in the picture, quality 80 or more,
// 3 to 12 megapixels; and every kind of display and signal turns up.
func TestRandomScenesAreOrdinary(t *testing.T) {
	kinds, forms, sizes := map[Kind]int{}, map[Form]int{}, map[geom.Frame]int{}
	for seed := range uint64(400) {
		s := Random(seed)
		if err := s.Validate(); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		s, v := ready(t, s)
		truth := truthOf(s, v)
		for _, p := range truth.CornersPx {
			if p[0] < 5 || p[1] < 5 || p[0] > float64(truth.WidthPx)-5 || p[1] > float64(truth.HeightPx)-5 {
				t.Errorf("seed %d: a corner at %v of %d × %d", seed, p, truth.WidthPx, truth.HeightPx)
			}
		}
		if tilt := math.Acos(math.Cos(s.Camera.Yaw) * math.Cos(s.Camera.Pitch)); tilt > 12.01*math.Pi/180 {
			t.Errorf("seed %d: tilted by %g degrees", seed, tilt*180/math.Pi)
		}
		if mp := float64(truth.WidthPx*truth.HeightPx) / 1e6; mp < 2.9 || mp > 12.2 || s.Camera.Quality < 80 {
			t.Errorf("seed %d: %g megapixels, quality %d", seed, mp, s.Camera.Quality)
		}
		if len(truth.Traces[0].XBox) < 100 {
			t.Errorf("seed %d: only %d points of the ideal curve are on the screen", seed, len(truth.Traces[0].XBox))
		}
		kinds[s.Display.Kind]++
		forms[s.Signals[0].Form]++
		sizes[s.Display.Frame]++
	}
	if len(kinds) != len(kindNames) || len(forms) != 5 || len(sizes) < 6 {
		t.Errorf("in 400 scenes: displays %v, signals %v, frames %v", kinds, forms, sizes)
	}
}

func TestTroublesKeepTheSceneTakeable(t *testing.T) {
	for _, name := range Troubles() {
		for seed := range uint64(50) {
			s, err := Random(seed).WithTrouble(name)
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Validate(); err != nil {
				t.Errorf("%s, seed %d: %v", name, seed, err)
			}
		}
	}
	if _, err := Random(1).WithTrouble("thunder"); err == nil {
		t.Error("an unknown trouble was taken")
	}
}

// A display that is cut off has its left corners outside the photo and its right ones inside.
func TestCutFramesAreCut(t *testing.T) {
	for seed := range uint64(30) {
		s, err := Random(seed).WithTrouble("cut")
		if err != nil {
			t.Fatal(err)
		}
		truth, err := s.Truth()
		if err != nil {
			t.Fatal(err)
		}
		c := truth.CornersPx
		if c[0][0] >= 0 || c[3][0] >= 0 || c[1][0] <= 0 || c[1][0] >= float64(truth.WidthPx) || c[2][0] <= 0 || c[2][0] >= float64(truth.WidthPx) {
			t.Errorf("seed %d: corners at %v of %d px", seed, c, truth.WidthPx)
		}
	}
}

// What an overlay covers lies over the right side, and leaves most of the graticule to be seen.
func TestAnOverlayLiesOverTheRightSide(t *testing.T) {
	menus := 0
	for seed := range uint64(30) {
		s, err := Random(seed).WithTrouble("overlay")
		if err != nil {
			t.Fatal(err)
		}
		truth, err := s.Truth()
		if err != nil {
			t.Fatal(err)
		}
		if truth.Columns != 15 || truth.Rows != 10 || !truth.Centred || len(truth.CoveredBox) == 0 {
			t.Fatalf("seed %d: %d × %d boxes, %d covered", seed, truth.Columns, truth.Rows, len(truth.CoveredBox))
		}
		if len(truth.CoveredBox) == 1 {
			menus++
		}
		for _, c := range truth.CoveredBox {
			if c[0] < 7.5-3.2 || c[0] > 6.2 || c[2] < 7.3 || c[2] > 8.1 || c[1] < -5 || c[3] > 5 {
				t.Errorf("seed %d: covered from (%.2f, %.2f) to (%.2f, %.2f)", seed, c[0], c[1], c[2], c[3])
			}
		}
	}
	if menus < 5 || menus > 25 {
		t.Errorf("%d of 30 have a menu, the others readings", menus)
	}
}

func BenchmarkShoot(b *testing.B) {
	for _, mp := range []float64{3, 12} {
		for _, kind := range []Kind{Colour, Tube} {
			b.Run(fmt.Sprintf("mp=%g/display=%v", mp, kind), func(b *testing.B) {
				s := Scene{Camera: Phone()}
				s.Display.Kind = kind
				s = s.WithMegapixels(mp)
				for b.Loop() {
					s.Shoot()
				}
			})
		}
	}
}

func Example() {
	var s Scene
	s.Display.Kind = Tube
	s.Camera = Phone()
	s.Camera.Orientation = 6
	photo, truth, err := s.WithMegapixels(0.2).JPEG()
	if err != nil {
		fmt.Println(err)
		return
	}
	trace := truth.Traces[0]
	fmt.Printf("a JPEG file: %v\n", len(photo) > 1000)
	fmt.Printf("%d × %d boxes, τ = %.2f s\n", truth.Columns, truth.Rows, *trace.TauS)
	// Output:
	// a JPEG file: true
	// 10 × 8 boxes, τ = 10.34 s
}
