package synth

import (
	"fmt"
	"math"
	"math/rand/v2"

	"quadrille/vision/geom"
)

// Random draws an ordinary scene, the photo that a student takes who was told how: any kind of
// display, tilted by at most 12 degrees, the whole frame in the picture, a little blur, noise and
// reflection, JPEG from quality 80 on, 3 to 12 megapixels. Every seed is another scene.
func Random(seed uint64) Scene {
	rng := rand.New(rand.NewPCG(seed, streamRandom))
	s := Scene{Seed: seed}
	s.Display = randomDisplay(rng)
	randomSignals(&s, rng)
	s.Camera = randomCamera(rng)
	s.Cables = rng.IntN(3)
	s.meter()
	for !s.framed() {
		s.Camera.Fill *= 0.95
	}
	return s
}

// meter exposes the display as a phone would.
func (s *Scene) meter() {
	switch s.Display.Kind {
	case Tube:
		s.Camera.Exposure *= 1.2
	case Pale, Blue:
		s.Camera.Exposure *= 0.7
	}
}

// framed says whether the whole frame is in the picture, with a hundredth of it to spare.
func (s Scene) framed() bool {
	t, err := s.Truth()
	if err != nil {
		return false
	}
	w, h := float64(t.WidthPx), float64(t.HeightPx)
	for _, p := range t.CornersPx {
		if !(p[0] > 0.01*w && p[0] < 0.99*w && p[1] > 0.01*h && p[1] < 0.99*h) {
			return false
		}
	}
	return true
}

// RandomBlank draws a photo that shows no graticule: a screen without anything on it, on a bench or
// on a ruled mat. It must be refused, or read with a doubt.
func RandomBlank(seed uint64) Scene {
	s := Random(seed)
	s.Display.Blank, s.Mat = true, seed%2 == 0
	return s
}

func oneOf[T any](rng *rand.Rand, of ...T) T      { return of[rng.IntN(len(of))] }
func within(rng *rand.Rand, a, b float64) float64 { return a + (b-a)*rng.Float64() }
func chance(rng *rand.Rand, p float64) bool       { return rng.Float64() < p }

// gauss2 is a Gaussian that never leaves two standard deviations.
func gauss2(rng *rand.Rand, sd float64) float64 {
	for {
		if g := rng.NormFloat64(); math.Abs(g) <= 2 {
			return g * sd
		}
	}
}

const degree = math.Pi / 180

func randomDisplay(rng *rand.Rand) Display {
	d := Display{Kind: oneOf(rng, Colour, Colour, Colour, Colour, Colour, Tube, Tube, Pale, Pale, Blue)}
	d.Frame = oneOf(rng, geom.Frame{Cols: 10, Rows: 8}, geom.Frame{Cols: 10, Rows: 8}, geom.Frame{Cols: 10, Rows: 8},
		geom.Frame{Cols: 12, Rows: 8}, geom.Frame{Cols: 14, Rows: 8}, geom.Frame{Cols: 15, Rows: 10}, geom.Frame{Cols: 10, Rows: 10})
	if d.Kind == Tube {
		d.Frame = oneOf(rng, geom.Frame{Cols: 10, Rows: 8}, geom.Frame{Cols: 10, Rows: 8}, geom.Frame{Cols: 10, Rows: 8},
			geom.Frame{Cols: 8, Rows: 10}, geom.Frame{Cols: 10, Rows: 10})
	}
	d.Centred = d.Frame.Cols%2 == 1
	d.Minor = oneOf(rng, 5, 5, 5, 5, 5, 5, 5, 4, -1)
	d.Grid = oneOf(rng, Dotted, Dotted, Fine, Solid)
	if d.Minor < 0 && d.Grid == Dotted {
		d.Grid = Fine
	}
	d.PixelsPerBox = oneOf(rng, 25, 25, 30, 40, 50, 50, 60)
	d.GridLight = within(rng, 0.15, 0.6)
	if d.Kind == Pale || d.Kind == Blue {
		d.PixelsPerBox = oneOf(rng, 25, 25, 25, 30, 40)
		d.GridLight = within(rng, 0.4, 1)
	}
	if d.Frame.Cols%2 == 1 && d.PixelsPerBox == 25 {
		d.PixelsPerBox = 26
	}
	d.Stroke = oneOf(rng, 1, 1, 3)
	if d.PixelsPerBox >= 40 {
		d.Stroke = 3
	}
	d.Aspect = oneOf(rng, 1, 1, 1, within(rng, 0.88, 1.12))
	d.Graded = d.PixelsPerBox >= 40 && chance(rng, 0.4)
	d.MinorDots = d.Minor == 5 && chance(rng, 0.1)
	d.Margins = [4]float64{within(rng, 0.35, 1), within(rng, 0.2, 1), within(rng, 0.3, 1), within(rng, 0.3, 1.3)}
	if chance(rng, 0.25) {
		d.Margins[1] += 1.5
	}
	d.GridColour = oneOf(rng, [3]float32{}, [3]float32{0.62, 0.66, 0.62}, [3]float32{0.40, 0.55, 0.85}, [3]float32{0.75, 0.66, 0.5})
	d.BarColour = oneOf(rng, [3]float32{}, [3]float32{0.006, 0.007, 0.010}, [3]float32{0.02, 0.05, 0.06}, [3]float32{0.08, 0.03, 0.07}, [3]float32{0.10, 0.11, 0.11},
		[3]float32{0.02, 0.16, 0.14}, [3]float32{0.12, 0.05, 0.16})
	d.BeamWidth = within(rng, 0.015, 0.032)
	d.Sag = oneOf(rng, 0, 0, within(rng, 0, 0.012))
	d.Depth = oneOf(rng, 0, 0, within(rng, 0, 0.15))
	d.Lit = chance(rng, 0.25)
	return d
}

// The steps of an attenuator and of a time base: 1, 2, 5, 10…
func oneTwoFive(v float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{5, 2, 1} {
		if v >= m*decade*0.999 {
			return m * decade
		}
	}
	return decade
}

func randomSignals(s *Scene, rng *rand.Rand) {
	f := s.Display.Frame
	cols, rows := float64(f.Cols), float64(f.Rows)
	s.TimePerBox = oneTwoFive(math.Pow(10, within(rng, -5, 1)))
	form := oneOf(rng, Decay, Decay, Decay, Decay, Driven, Driven, Sine, Sine, Square, Level)
	sig := Signal{Form: form, VoltsPerBox: oneTwoFive(math.Pow(10, within(rng, -1, 1))), Noise: within(rng, 0.005, 0.035),
		Colour: oneOf(rng, tracePalette[0], tracePalette[0], tracePalette[1], tracePalette[2], tracePalette[3])}
	high := within(rng, 0.55, 0.9) * rows // boxes
	sig.GroundBox = f.Bottom() + oneOf(rng, 0, 1, within(rng, 0, rows-high))
	if sig.GroundBox+high > -f.Bottom()-0.1 {
		sig.GroundBox = f.Bottom()
	}
	sig.VStart = high * sig.VoltsPerBox
	span := cols * s.TimePerBox
	switch form {
	case Decay:
		sig.Tau = within(rng, 0.1, 0.3) * span
		sig.Knee = within(rng, 0.03, 0.25) * span
		if chance(rng, 0.25) {
			sig.VStart, sig.VEnd = 0, sig.VStart
		}
	case Driven:
		sig.Frequency = within(rng, 1.2, 3) / span
		sig.Tau = within(rng, 0.08, 0.14) / sig.Frequency
		sig.Knee = rng.Float64() * span
	case Sine:
		sig.GroundBox = within(rng, -0.5, 0.5)
		sig.VStart = within(rng, 0.25, 0.45) * rows * sig.VoltsPerBox
		sig.Frequency = within(rng, 1.2, 7) / span
		sig.Knee = rng.Float64() * span
	case Square:
		sig.Frequency = within(rng, 1.2, 5) / span
		sig.Duty = oneOf(rng, 0.5, within(rng, 0.2, 0.8))
		sig.Knee = rng.Float64() * span
	}
	s.Signals = []Signal{sig}
	if form == Decay && s.TimePerBox >= 0.5 && chance(rng, 0.4) {
		s.Pen, s.GapBoxes = within(rng, 0.1, 0.45)*cols, within(rng, 0.2, 0.6)
	}
	if chance(rng, 0.15) {
		second := Signal{Form: oneOf(rng, Level, Square, Sine), VoltsPerBox: sig.VoltsPerBox, Noise: sig.Noise,
			Frequency: within(rng, 1, 4) / span, GroundBox: f.Bottom() + within(rng, 0.1, 0.4)*rows,
			Colour: oneOf(rng, tracePalette[1:]...)}
		second.VStart = within(rng, 0.1, 0.3) * rows * second.VoltsPerBox
		s.Signals = append(s.Signals, second)
	}
}

func randomCamera(rng *rand.Rand) Camera {
	c := Camera{
		Fill: within(rng, 0.5, 0.85), Roll: gauss2(rng, 0.025), OffX: gauss2(rng, 0.02), OffY: gauss2(rng, 0.02),
		Focal: within(rng, 0.68, 0.85), K1: within(rng, -0.03, 0.02), K2: within(rng, -0.008, 0.008),
		Blur: within(rng, 0.4, 1.1), Halo: within(rng, 0.01, 0.06), Glare: within(rng, 0, 0.08), Veil: within(rng, 0.001, 0.02),
		Lamps: oneOf(rng, 0, 0, 1), Dust: rng.IntN(60), Vignette: within(rng, 0, 0.35), Mixing: within(rng, 0.02, 0.1), Exposure: within(rng, 0.8, 1.7),
		FullWell: within(rng, 1500, 10000), ReadNoise: within(rng, 2, 6), Mosaic: true,
		Sharpen: within(rng, 0.1, 0.7), Contrast: within(rng, 0, 0.2),
		Quality: 80 + rng.IntN(16), Orientation: oneOf(rng, 1, 1, 1, 1, 1, 6, 3, 8),
	}
	tilt, towards := within(rng, 0, 12)*degree, within(rng, 0, 2*math.Pi)
	c.Yaw, c.Pitch = tilt*math.Cos(towards), tilt*math.Sin(towards)
	warm := gauss2(rng, 0.07)
	c.Balance = [3]float64{1 + warm, 1, 1 - 1.3*warm}
	mp, aspect := within(rng, 3, 12), oneOf(rng, 4./3, 4./3, 4./3, 16./9)
	return resized(c, mp, aspect)
}

// resized gives the camera mp megapixels of width over height aspect, whole to 8.
func resized(c Camera, mp, aspect float64) Camera {
	h := math.Sqrt(mp * 1e6 / aspect)
	c.Height = 8 * int(math.Round(h/8))
	c.Width = 8 * int(math.Round(h*aspect/8))
	return c
}

// WithMegapixels gives the scene another size of photo, of the same shape; blur keeps its pixels.
func (s Scene) WithMegapixels(mp float64) Scene {
	c := s.withDefaults().Camera
	s.Camera = resized(s.Camera, mp, float64(c.Width)/float64(c.Height))
	return s
}

var troubles = []struct {
	name  string
	apply func(s *Scene)
}{
	{"tilt20", func(s *Scene) { s.Camera.tilt(20) }},
	{"tilt30", func(s *Scene) { s.Camera.tilt(30) }},
	{"roll10", func(s *Scene) {
		s.Camera.Roll = math.Copysign(10*degree, s.Camera.Roll)
		s.Camera.Fill = min(s.Camera.Fill, 0.65)
	}},
	{"glare", func(s *Scene) { s.Camera.Glare, s.Camera.Veil = 0.8, 0.05 }},
	{"lamps", func(s *Scene) { s.Camera.Lamps, s.Camera.Glare = 3, 0.3 }},
	{"mat", func(s *Scene) { s.Mat = true }},
	{"cable", func(s *Scene) { s.CableAcross = true }},
	{"blur2", func(s *Scene) { s.Camera.Blur = 2 }},
	{"defocus4", func(s *Scene) { s.Camera.Disc = 4 }},
	{"dim", func(s *Scene) { s.Camera.Exposure = 0.12; s.Camera.FullWell = 1500 }},
	{"bright", func(s *Scene) { s.Camera.Exposure *= 2.2 }},
	{"noisy", func(s *Scene) { s.Camera.FullWell, s.Camera.ReadNoise = 250, 6 }},
	{"jpeg60", func(s *Scene) { s.Camera.Quality = 60 }},
	{"jpeg30", func(s *Scene) { s.Camera.Quality = 30 }},
	{"small", func(s *Scene) { s.Camera.Fill = 0.25 }},
	{"close", func(s *Scene) {
		s.Camera.OffX, s.Camera.OffY, s.Camera.Fill = 0, 0, 1.1
		for !s.framed() {
			s.Camera.Fill *= 0.98
		}
	}},
	{"cut", (*Scene).cut},
	{"menu", func(s *Scene) { s.Display.Menu = true; s.Display.Kind = Colour }},
	{"table", func(s *Scene) { s.Display.Table = true; s.Display.Kind = Colour }},
	{"helpers", func(s *Scene) { s.Display.Helpers = true; s.Display.Kind = Colour }},
	{"faint", func(s *Scene) { s.Display.GridLight = 0.06 }},
	{"barrel", func(s *Scene) { s.Camera.K1 = -0.1 }},
	{"curved", func(s *Scene) { s.Display.Kind, s.Display.Sag, s.Display.Depth = Tube, 0.03, 0.2 }},
	{"moire", func(s *Scene) { s.Display.Kind, s.Display.PixelsPerBox = Colour, 100; s.Camera.Blur = 0.3 }},
	{"overlay", (*Scene).overlay},
}

// overlay gives a colour panel of 15 × 10 boxes with faint lines that count from the centre. Over its right side, where
// the half box at the rim would tell the count, lies a menu or a column of readings in boxes of their own, inside the
// rim or over it.
func (s *Scene) overlay() {
	rng := rand.New(rand.NewPCG(s.Seed, streamOverlay))
	d := &s.Display
	d.Kind, d.Grid, d.GridLight = Colour, oneOf(rng, Dotted, Fine, Solid), within(rng, 0.05, 0.12)
	d.Frame, d.Centred, d.Minor = geom.Frame{Cols: 15, Rows: 10}, true, oneOf(rng, 5, -1)
	d.PixelsPerBox += d.PixelsPerBox % 2 // half a box is whole elements
	top := -d.Frame.Bottom()
	p := Panel{Left: -d.Frame.Left() - within(rng, 1.4, 3.2), Right: -d.Frame.Left() + within(rng, -0.1, 0.5), Bottom: -top, Top: top,
		Words: []string{"input", "", "", "slope", "", "", "smooth", "", "", "keep"}}
	if chance(rng, 0.5) {
		d.Panels = []Panel{p}
	} else {
		const height, step = 1.6, 2.0 // boxes
		p.Words = []string{"2.71 V", "0.34 V"}
		for p.Top = top - 0.3; p.Top > step-top; p.Top -= step {
			p.Bottom = p.Top - height
			d.Panels = append(d.Panels, p)
		}
	}
	d.Margins[1] = max(d.Margins[1], 0.6) // beside the rim, for what lies over it
	for !s.framed() {
		s.Camera.Fill *= 0.95
	}
}

// tilt turns the display by so many degrees to the side that it was turned to, seen from further off.
func (c *Camera) tilt(degrees float64) {
	towards := math.Atan2(c.Pitch, c.Yaw)
	c.Yaw, c.Pitch = degrees*degree*math.Cos(towards), degrees*degree*math.Sin(towards)
	c.Fill = min(c.Fill, 0.6)
}

// cut moves the display to the left until the photo's rim cuts off about a box.
func (s *Scene) cut() {
	for s.Camera.OffX > -1 {
		t, err := s.Truth()
		if err != nil {
			return
		}
		if box := t.NodesPx[0][1][0] - t.NodesPx[0][0][0]; t.CornersPx[0][0] < -box && t.CornersPx[3][0] < 0 {
			return
		}
		s.Camera.OffX -= 0.01
	}
}

// Troubles names what WithTrouble can do.
func Troubles() (names []string) {
	for _, t := range troubles {
		names = append(names, t.name)
	}
	return names
}

// WithTrouble gives an otherwise ordinary scene one trouble: a name of Troubles.
func (s Scene) WithTrouble(name string) (Scene, error) {
	for _, t := range troubles {
		if t.name == name {
			t.apply(&s)
			return s, nil
		}
	}
	return s, fmt.Errorf("trouble %q is none of %q", name, Troubles())
}
