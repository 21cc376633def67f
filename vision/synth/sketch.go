package synth

// Drawings on squared paper: a curve by hand, its axes and letters, photographed with a phone.

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"math/rand/v2"

	"quadrille/vision/geom"
)

// A Ruling is how a sheet is printed.
type Ruling struct {
	Name   string
	Square float64 // mm, between heavy lines
	Thin   int     // thin squares side by side in a heavy one; 1 without thin lines
	Colour [3]float64
	// Heavy and Fine are the peak absorbances of the lines, in the colour that they absorb most; Width is a heavy
	// line's, in mm.
	Heavy, Fine, Width float64
}

// Rulings are those that shops sell: 5 mm and 1/4 inch squares, and 1 mm graph paper with heavy lines every 5 or 10 mm,
// printed in blue, green, orange or grey (common practice, no source). Colour is the share of each colour's light that
// a line takes.
func Rulings() []Ruling {
	blue, green, orange, grey := [3]float64{1, 0.6, 0.25}, [3]float64{0.9, 0.3, 0.8}, [3]float64{0.15, 0.6, 1}, [3]float64{1, 1, 1}
	var out []Ruling
	for _, c := range []struct {
		name  string
		share [3]float64
	}{{"blue", blue}, {"green", green}, {"orange", orange}, {"grey", grey}} {
		out = append(out,
			Ruling{c.name + " 5 mm", 5, 1, c.share, 0.45, 0, 0.18},
			Ruling{c.name + " 1/4 inch", 6.35, 1, c.share, 0.4, 0, 0.2},
			Ruling{c.name + " 1 mm, heavy 5 mm", 5, 5, c.share, 0.75, 0.35, 0.22},
			Ruling{c.name + " 1 mm, heavy 10 mm", 10, 10, c.share, 0.75, 0.35, 0.25})
	}
	return out
}

// A Pen draws a curve.
type Pen struct {
	Name   string
	Width  float64 // mm
	Dark   float64 // absorbance in the colour that it absorbs most
	Colour [3]float64
	Grain  float64 // 0..1, how much of the stroke the paper's grain leaves out
}

// Pens are a pencil, pressed lightly or hard, and ballpoints.
func Pens() []Pen {
	return []Pen{
		{"pencil", 0.5, 0.9, [3]float64{1, 1, 1}, 0.5},
		{"hard pencil", 0.4, 0.55, [3]float64{1, 1, 1}, 0.45},
		{"soft pencil", 0.7, 1.3, [3]float64{1, 1, 1}, 0.4},
		{"black pen", 0.45, 1.9, [3]float64{1, 1, 0.95}, 0.05},
		{"blue pen", 0.45, 1.6, [3]float64{1, 0.75, 0.25}, 0.08},
		{"red pen", 0.45, 1.3, [3]float64{0.1, 1, 0.8}, 0.08},
	}
}

// A Sketch is a drawing on a sheet of squared paper and the photo of it. Places are in squares from the lower left
// corner of the ruled part.
type Sketch struct {
	Seed       uint64
	Ruling     Ruling
	Cols, Rows int // squares of the ruled part
	Pen, Lines Pen // of the curve, and of axes and letters
	Form       SketchForm
	// The curve goes from From to To, about the level Zero, up to High above it; Tau is a decay's time constant or a
	// third of a wave's period, in squares.
	From, To, Zero, High, Tau float64
	// Meant is the curve as meant, from left to right, in place of a form's; nil without. The upright axis is then at
	// From.
	Meant []geom.Box
	// Wobble is the standard deviation in squares of the hand about the curve.
	Wobble float64
	// What is drawn beside it.
	Axes, Ticks, Letters, Dimension, Second bool
	BackPage, Smudge, Shadow                float64 // 0..1
	// Rim is how far beyond the ruled part the sheet is cut, in squares, and Table the light of what it lies on, white
	// paper having 0.78; 0 for a rim of 16 mm and dark wood.
	Rim, Table float64
	// The photo.
	Width, Height    int
	Tilt, Lean, Roll float64 // degrees
	Curl             float64 // square, how far the paper bends
	Blur             float64 // px, standard deviation
	Noise            float64 // of the light, at white
	Quality          int     // of the JPEG
	Zoom             float64 // 1 shows the ruled part whole; less cuts it
}

// A SketchForm is the shape of the curve.
type SketchForm int

// The shapes.
const (
	SketchDecay SketchForm = iota
	SketchRise
	SketchSine
	SketchDamped
	SketchSquare
	SketchCycles // charge and discharge by turns
	sketchForms
)

// A SketchTruth is what is on the photo.
type SketchTruth struct {
	Cols, Rows int
	Thin       int
	// Nodes has rows+1 lists, the bottom first, of cols+1 places on the photo.
	Nodes [][]geom.Pixel
	// Curve is the middle of the stroke as the hand drew it, from left to right, and Ideal what it was meant to be; a
	// second one may be there. In squares from the lower left corner of the ruled part.
	Curve, Ideal, Other []geom.Box
	// Level and Upright are where the axes lie; NaN without.
	Level, Upright float64

	pixel func(geom.Box) geom.Pixel
}

// Pixel gives where a place of the sheet is on the photo; only for a truth that Shoot gave.
func (t *SketchTruth) Pixel(b geom.Box) geom.Pixel { return t.pixel(b) }

// MistSketch is the mist timer's slow discharge, as MistSlow shows it on 10 by 8 boxes, drawn by hand on squares of 5
// mm: two a box, the screen's corner at 2, 2, the curve so many boxes too high.
func MistSketch(high float64) Sketch {
	s := RandomSketch(0)
	s.Ruling = Rulings()[0]
	s.Cols, s.Rows, s.From, s.To, s.Zero, s.High = 24, 20, 2, 22, 2, 15
	s.Axes, s.Ticks, s.Letters, s.Second, s.Dimension, s.BackPage, s.Shadow, s.Smudge = true, true, false, false, false, 0, 0, 0
	s.Rim, s.Table = 0, 0
	s.Wobble, s.Zoom, s.Width, s.Height = 0.02, 0.95, 2000, 1500
	sig := MistSlow(geom.Frame{Cols: 10, Rows: 8})
	for x := 0.0; x <= 10; x += 0.01 {
		s.Meant = append(s.Meant, geom.Box{X: 2 + 2*x, Y: 2 + 2*(4+sig.GroundBox+sig.Volts(5*x)/sig.VoltsPerBox+high)})
	}
	return s
}

// RandomSketch gives a sketch of the ordinary kind; the same for the same seed.
func RandomSketch(seed uint64) Sketch {
	rng := rand.New(rand.NewPCG(seed, streamSketch))
	rulings := Rulings()
	s := Sketch{Seed: seed, Ruling: rulings[int(seed)%len(rulings)]}
	s.Cols, s.Rows = 16+rng.IntN(14), 11+rng.IntN(10)
	if s.Ruling.Square == 10 {
		s.Cols, s.Rows = 12+rng.IntN(14), 9+rng.IntN(9)
	}
	pens := Pens()
	s.Pen = pens[rng.IntN(len(pens))]
	s.Lines = s.Pen
	if chance(rng, 0.4) {
		s.Lines = pens[rng.IntN(len(pens))]
	}
	s.Form = SketchForm(rng.IntN(int(sketchForms)))
	cols, rows := float64(s.Cols), float64(s.Rows)
	s.From = within(rng, 1, 3)
	s.To = s.From + within(rng, 0.6, 0.95)*(cols-1.5-s.From)
	s.High = within(rng, 0.3, 0.8) * (rows - 3)
	s.Zero = within(rng, 1.2, rows-1.2-s.High)
	if s.Form == SketchSine || s.Form == SketchDamped {
		s.High /= 2
		s.Zero = within(rng, 1.2+s.High, rows-1.2-s.High)
	}
	s.Tau = (s.To - s.From) * within(rng, 0.08, 0.3)
	s.Wobble = within(rng, 0.005, 0.05)
	s.Axes, s.Ticks, s.Letters = chance(rng, 0.75), chance(rng, 0.5), chance(rng, 0.7)
	s.Dimension, s.Second = chance(rng, 0.25), chance(rng, 0.15)
	if chance(rng, 0.3) {
		s.BackPage = within(rng, 0.2, 1)
	}
	if chance(rng, 0.3) {
		s.Smudge = within(rng, 0.2, 1)
	}
	if chance(rng, 0.4) {
		s.Shadow = within(rng, 0.2, 0.8)
	}
	s.Width, s.Height = oneOf(rng, 1600, 2000, 2400), 0
	s.Height = s.Width * 3 / 4
	s.Tilt, s.Lean, s.Roll = gauss2(rng, 5), gauss2(rng, 5), gauss2(rng, 1.5)
	s.Curl = within(rng, 0, 0.5)
	if chance(rng, 0.3) {
		s.Curl = 0
	}
	s.Blur, s.Noise, s.Quality = within(rng, 0.4, 1.2), within(rng, 0.003, 0.02), 75+rng.IntN(21)
	s.Zoom = within(rng, 0.75, 1.0)
	if chance(rng, 0.25) {
		s.Zoom = within(rng, 1.0, 1.1) // cut at the photo's edges
	}
	if rng := rand.New(rand.NewPCG(seed, streamSketch+4)); chance(rng, 0.4) {
		s.Rim, s.Table = within(rng, 0.02, 2), math.Exp(within(rng, math.Log(0.04), math.Log(0.5)))
	}
	return s
}

// Value is the curve's height over its level at x, in squares; upright edges have both.
func (s Sketch) value(x float64) float64 {
	t := x - s.From
	switch s.Form {
	case SketchDecay:
		return s.High * math.Exp(-t/s.Tau)
	case SketchRise:
		return s.High * (1 - math.Exp(-t/s.Tau))
	case SketchSine:
		return s.High * math.Sin(2*math.Pi*t/(3*s.Tau))
	case SketchDamped:
		return s.High * math.Cos(2*math.Pi*t/(3*s.Tau)) * math.Exp(-t/(5*s.Tau))
	case SketchSquare:
		if math.Mod(t, 3*s.Tau) < 1.5*s.Tau {
			return s.High
		}
		return 0
	}
	// Charge and discharge: half periods of three time constants, begun at the level.
	half := 3 * s.Tau
	k := math.Floor(t / half)
	level := 0.0
	for i := 0.0; i <= k; i++ {
		end := 0.0
		if int(i)%2 == 0 {
			end = s.High
		}
		d := half
		if i == k {
			d = t - k*half
		}
		level = end + (level-end)*math.Exp(-d/s.Tau)
	}
	return level
}

// curve gives the curve as meant and as drawn, close points from left to right.
func (s Sketch) curve() (ideal, drawn []geom.Box) {
	const step = 0.02
	ideal = s.Meant
	for x := s.From; x <= s.To && s.Meant == nil; x += step {
		if s.Form == SketchSquare && len(ideal) > 0 {
			a, b := ideal[len(ideal)-1].Y, s.Zero+s.value(x)
			for k := 1.0; k*step < math.Abs(b-a); k++ { // the upright edge
				ideal = append(ideal, geom.Box{X: x, Y: a + math.Copysign(k*step, b-a)})
			}
		}
		ideal = append(ideal, geom.Box{X: x, Y: s.Zero + s.value(x)})
	}
	rng := rand.New(rand.NewPCG(s.Seed, streamSketch+1))
	wx, wy := newWave(rng, s.Wobble), newWave(rng, s.Wobble)
	along := 0.0
	for i, p := range ideal {
		if i > 0 {
			along += math.Hypot(p.X-ideal[i-1].X, p.Y-ideal[i-1].Y)
		}
		drawn = append(drawn, geom.Box{X: p.X + wx.at(along), Y: p.Y + wy.at(along)})
	}
	return ideal, drawn
}

// A wave is a smooth random function: the hand.
type wave struct{ a, k, p [6]float64 }

func newWave(rng *rand.Rand, sd float64) (w wave) {
	for i := range w.a {
		w.a[i] = sd * rng.NormFloat64() / math.Sqrt(float64(len(w.a))) * math.Sqrt2
		w.k[i] = 2 * math.Pi / within(rng, 1.5, 9) // squares: a hand's swing
		w.p[i] = 2 * math.Pi * rng.Float64()
	}
	return w
}

func (w *wave) at(t float64) (v float64) {
	for i := range w.a {
		v += w.a[i] * math.Sin(w.k[i]*t+w.p[i])
	}
	return v
}

// JPEG photographs the sketch and writes the file that a phone would.
func (s Sketch) JPEG() ([]byte, SketchTruth, error) {
	img, truth := s.Shoot()
	b, err := EncodeJPEG(img, s.Quality, 1)
	if err != nil {
		return nil, truth, fmt.Errorf("synth: %w", err)
	}
	return bytes.Clone(b), truth, nil
}

// bent gives where the paper's place b lies on the plane through it.
func (s *Sketch) bent(b geom.Box) geom.Box {
	u, v := b.X/float64(s.Cols), b.Y/float64(s.Rows)
	return geom.Box{X: b.X + s.Curl*math.Sin(math.Pi*(u+0.3*v)), Y: b.Y + 0.7*s.Curl*math.Sin(math.Pi*(0.8*u-0.4*v)+0.5)}
}

// plane gives the map from the plane to the photo.
func (s Sketch) plane() geom.Homography {
	turn := rotation(s.Lean*math.Pi/180, s.Tilt*math.Pi/180, s.Roll*math.Pi/180)
	wide, high := float64(s.Cols)+2, float64(s.Rows)+2
	scale := s.Zoom * math.Min(float64(s.Width)/wide, float64(s.Height)/high)
	// The camera stands a sheet's breadth and a half away.
	far := 1.5 * math.Max(wide, high)
	var to [4]geom.Pixel
	from := [4]geom.Box{{X: 0, Y: float64(s.Rows)}, {X: float64(s.Cols), Y: float64(s.Rows)}, {X: float64(s.Cols)}, {}}
	for i, b := range from {
		x, y := b.X-float64(s.Cols)/2, b.Y-float64(s.Rows)/2
		px, py, pz := turn[0]*x-turn[1]*y, turn[3]*x-turn[4]*y, turn[6]*x-turn[7]*y
		f := far / (far + pz)
		to[i] = geom.Pixel{X: float64(s.Width)/2 + scale*f*px, Y: float64(s.Height)/2 + scale*f*py}
	}
	h, err := geom.HomographyOf(from, to)
	if err != nil {
		panic("synth: a sheet seen from its edge") // its tilts are a few degrees
	}
	return h
}

// Shoot draws and photographs the sketch.
func (s Sketch) Shoot() (*image.RGBA, SketchTruth) {
	ideal, drawn := s.curve()
	t := SketchTruth{Cols: s.Cols, Rows: s.Rows, Thin: s.Ruling.Thin, Curve: drawn, Ideal: ideal, Level: math.NaN(), Upright: math.NaN()}
	sheet := s.draw(drawn, &t)
	h := s.plane()
	t.pixel = func(b geom.Box) geom.Pixel { return h.Pixel(s.bent(b)) }
	for j := range s.Rows + 1 {
		line := make([]geom.Pixel, s.Cols+1)
		for i := range line {
			line[i] = t.pixel(geom.Box{X: float64(i), Y: float64(j)})
		}
		t.Nodes = append(t.Nodes, line)
	}
	return s.photograph(sheet, h), t
}
