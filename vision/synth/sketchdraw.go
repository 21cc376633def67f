package synth

// What is drawn on the sheet, and its photo.

import (
	"image"
	"math"
	"math/rand/v2"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

const (
	// grainsPerMM is how finely strokes are drawn, in cells a mm: a pen's stroke has three.
	grainsPerMM = 7
	// sheetMargin is the unruled rim of the sheet, in mm.
	sheetMargin = 16.0
)

// A sheetOf has how much of each cell the strokes of a pen cover, 0..1.
type sheetOf struct {
	s                   Sketch
	per                 float64 // cells a square
	rim                 float64 // squares
	curve, lines, other *raster.Plane
	back                *raster.Plane
}

// cell gives the place in cells of a place on the paper.
func (d *sheetOf) cell(b geom.Box) geom.Pixel {
	return geom.Pixel{X: (b.X + d.rim) * d.per, Y: (float64(d.s.Rows) + d.rim - b.Y) * d.per}
}

// stroke draws a line through places with a pen's breadth.
func (d *sheetOf) stroke(on *raster.Plane, width float64, at ...geom.Box) {
	r := width * grainsPerMM / 2
	for i := 1; i < len(at); i++ {
		a, b := d.cell(at[i-1]), d.cell(at[i])
		n := int(2*math.Hypot(b.X-a.X, b.Y-a.Y)) + 1
		for k := 0; k <= n; k++ {
			f := float64(k) / float64(n)
			x, y := a.X+f*(b.X-a.X), a.Y+f*(b.Y-a.Y)
			for v := max(int(y-r-1), 0); v <= min(int(y+r+1), on.H-1); v++ {
				for u := max(int(x-r-1), 0); u <= min(int(x+r+1), on.W-1); u++ {
					c := raster.Clip(r+0.5-math.Hypot(float64(u)+0.5-x, float64(v)+0.5-y), 0, 1)
					on.Pix[v*on.W+u] = max(on.Pix[v*on.W+u], float32(c))
				}
			}
		}
	}
}

// glyphs are ten signs as a hand writes them, strokes through places in a box 0.6 wide and 1 high.
var glyphs = [...][][]geom.Box{
	{{{X: 0.3, Y: 1}, {X: 0.05, Y: 0.6}, {X: 0.1, Y: 0.1}, {X: 0.35, Y: 0}, {X: 0.55, Y: 0.4}, {X: 0.5, Y: 0.85}, {X: 0.3, Y: 1}}},
	{{{X: 0.1, Y: 0.7}, {X: 0.35, Y: 1}, {X: 0.35, Y: 0}}},
	{{{X: 0.05, Y: 0.8}, {X: 0.3, Y: 1}, {X: 0.5, Y: 0.7}, {X: 0.05, Y: 0}, {X: 0.55, Y: 0.02}}},
	{{{X: 0.1, Y: 1}, {X: 0.5, Y: 0.95}, {X: 0.25, Y: 0.55}, {X: 0.5, Y: 0.3}, {X: 0.3, Y: 0}, {X: 0.05, Y: 0.1}}},
	{{{X: 0.3, Y: 1}, {X: 0.05, Y: 0.4}, {X: 0.55, Y: 0.4}}, {{X: 0.4, Y: 0.7}, {X: 0.4, Y: 0}}},
	{{{X: 0.5, Y: 1}, {X: 0.1, Y: 1}, {X: 0.1, Y: 0.6}, {X: 0.5, Y: 0.5}, {X: 0.45, Y: 0.05}, {X: 0.05, Y: 0}}},
	{{{X: 0.05, Y: 1}, {X: 0.55, Y: 1}}, {{X: 0.3, Y: 1}, {X: 0.3, Y: 0}}},
	{{{X: 0.05, Y: 1}, {X: 0.3, Y: 0}, {X: 0.55, Y: 1}}},
	{{{X: 0.1, Y: 0.6}, {X: 0.1, Y: 0.1}, {X: 0.3, Y: 0}, {X: 0.5, Y: 0.15}, {X: 0.5, Y: 0.6}, {X: 0.55, Y: 0}}},
	{{{X: 0.5, Y: 0.55}, {X: 0.2, Y: 0.6}, {X: 0.1, Y: 0.3}, {X: 0.3, Y: 0}, {X: 0.55, Y: 0.15}}},
}

// write writes n signs from b on, so many squares high.
func (d *sheetOf) write(on *raster.Plane, width float64, rng *rand.Rand, b geom.Box, high float64, n int) {
	for k := range n {
		for _, line := range glyphs[rng.IntN(len(glyphs))] {
			at := make([]geom.Box, len(line))
			for i, p := range line {
				at[i] = geom.Box{X: b.X + high*(p.X+0.75*float64(k)+0.04*rng.NormFloat64()), Y: b.Y + high*(p.Y+0.04*rng.NormFloat64())}
			}
			d.stroke(on, width, at...)
		}
	}
}

// hand draws a straight line as a hand does, a little bent.
func (d *sheetOf) hand(on *raster.Plane, width float64, rng *rand.Rand, a, b geom.Box) {
	w := newWave(rng, 0.01)
	n := int(4*math.Hypot(b.X-a.X, b.Y-a.Y)) + 2
	at := make([]geom.Box, n+1)
	for i := range at {
		f := float64(i) / float64(n)
		l := f * math.Hypot(b.X-a.X, b.Y-a.Y)
		at[i] = geom.Box{X: a.X + f*(b.X-a.X) + w.at(l+50), Y: a.Y + f*(b.Y-a.Y) + w.at(l)}
	}
	d.stroke(on, width, at...)
}

// draw draws the sheet, and notes in t where the axes lie.
func (s Sketch) draw(curve []geom.Box, t *SketchTruth) *sheetOf {
	per := s.Ruling.Square * grainsPerMM
	rim := sheetMargin / s.Ruling.Square
	w, h := int((float64(s.Cols)+2*rim)*per), int((float64(s.Rows)+2*rim)*per)
	d := &sheetOf{s: s, per: per, rim: rim, curve: raster.New(w, h), lines: raster.New(w, h), other: raster.New(w, h)}
	rng := rand.New(rand.NewPCG(s.Seed, streamSketch+2))
	mm := 1 / s.Ruling.Square // squares
	high := 4 * mm            // of letters
	d.stroke(d.curve, s.Pen.Width, curve...)
	cols, rows := float64(s.Cols), float64(s.Rows)
	if s.Axes {
		// Along lines of the ruling, as near as a ruler is laid.
		t.Level = math.Max(math.Round(s.Zero), 1) + 0.03*rng.NormFloat64()
		t.Upright = math.Max(math.Round(s.From)-float64(rng.IntN(2)), 1) + 0.03*rng.NormFloat64()
		if s.Meant != nil {
			t.Upright = s.From + 0.03*rng.NormFloat64()
		}
		slope := 0.004 * rng.NormFloat64()
		right, top := math.Min(s.To+1.5, cols-0.3), math.Min(s.Zero+s.High+2, rows-0.3)
		low := math.Max(t.Level-0.6, 0.3)
		if s.Form == SketchSine || s.Form == SketchDamped {
			low = math.Max(s.Zero-s.High-0.7, 0.3)
		}
		mid := (t.Upright + right) / 2
		y := func(x float64) float64 { return t.Level + slope*(x-mid) }
		d.hand(d.lines, s.Lines.Width, rng, geom.Box{X: t.Upright - 0.5, Y: y(t.Upright - 0.5)}, geom.Box{X: right, Y: y(right)})
		d.hand(d.lines, s.Lines.Width, rng, geom.Box{X: t.Upright, Y: low}, geom.Box{X: t.Upright, Y: top})
		a := 2 * mm
		d.stroke(d.lines, s.Lines.Width, geom.Box{X: right - a, Y: y(right) + a/2}, geom.Box{X: right, Y: y(right)}, geom.Box{X: right - a, Y: y(right) - a/2})
		d.stroke(d.lines, s.Lines.Width, geom.Box{X: t.Upright - a/2, Y: top - a}, geom.Box{X: t.Upright, Y: top}, geom.Box{X: t.Upright + a/2, Y: top - a})
		for x := t.Upright + 2; s.Ticks && x < right-1; x += 2 {
			d.stroke(d.lines, s.Lines.Width, geom.Box{X: x, Y: y(x) - mm}, geom.Box{X: x, Y: y(x) + mm})
			if s.Letters {
				d.write(d.lines, s.Lines.Width, rng, geom.Box{X: x - high/3, Y: y(x) - mm - 1.2*high}, high, 1+rng.IntN(2))
			}
		}
		for y := t.Level + 2; s.Ticks && y < top-1; y += 2 {
			d.stroke(d.lines, s.Lines.Width, geom.Box{X: t.Upright - mm, Y: y}, geom.Box{X: t.Upright + mm, Y: y})
			if s.Letters {
				d.write(d.lines, s.Lines.Width, rng, geom.Box{X: t.Upright - mm - 1.7*high, Y: y - high/2}, high, 1+rng.IntN(2))
			}
		}
		if s.Letters {
			d.write(d.lines, s.Lines.Width, rng, geom.Box{X: right + 0.1, Y: y(right) - 1.3*high}, high, 1)
			d.write(d.lines, s.Lines.Width, rng, geom.Box{X: t.Upright - 1.8*high, Y: top - high}, high, 2)
		}
	}
	if s.Letters { // a title over the curve
		d.write(d.lines, s.Lines.Width, rng, geom.Box{X: within(rng, 1, cols/2), Y: rows - 1.1*high - 0.1}, high, 6+rng.IntN(8))
	}
	if s.Dimension { // an arrow to and fro between two marks, clear of the curve
		y := s.Zero + s.High + 0.5
		if s.Form == SketchSine || s.Form == SketchDamped {
			y = s.Zero + s.High + 0.4
		}
		a, b := s.From+within(rng, 0.1, 0.3)*(s.To-s.From), 0.0
		b = a + math.Min(s.Tau, 0.4*(s.To-s.From))
		d.hand(d.lines, s.Lines.Width, rng, geom.Box{X: a, Y: y}, geom.Box{X: b, Y: y})
		for _, e := range []struct{ x, to float64 }{{a, 1.5 * mm}, {b, -1.5 * mm}} {
			d.stroke(d.lines, s.Lines.Width, geom.Box{X: e.x + e.to, Y: y + mm}, geom.Box{X: e.x, Y: y}, geom.Box{X: e.x + e.to, Y: y - mm})
			d.stroke(d.lines, s.Lines.Width, geom.Box{X: e.x, Y: y - 1.5*mm}, geom.Box{X: e.x, Y: y + 1.5*mm})
		}
	}
	if s.Second {
		o := s
		o.Seed, o.Tau, o.High = s.Seed+1<<40, 0.6*s.Tau, 0.6*s.High
		_, t.Other = o.curve()
		d.stroke(d.other, s.Pen.Width, t.Other...)
	}
	if s.BackPage > 0 { // lines of words, seen from behind
		back := raster.New(w, h)
		for y := 1.0; y < rows-1; y += 2 * math.Ceil(high) {
			d.write(back, 0.5, rng, geom.Box{X: 0.5, Y: y}, high, int(cols/high*within(rng, 0.5, 1)))
		}
		d.back = raster.New(w, h)
		for y := range h {
			for x := range w {
				d.back.Pix[y*w+x] = back.Pix[y*w+w-1-x]
			}
		}
		d.back = d.back.Blur(0.35 * grainsPerMM)
	}
	return d
}

// photograph gives the photo of the sheet on a table, h being the plane's map.
func (s Sketch) photograph(d *sheetOf, h geom.Homography) *image.RGBA {
	rng := rand.New(rand.NewPCG(s.Seed, streamSketch+3))
	light := [3]*raster.Plane{raster.New(s.Width, s.Height), raster.New(s.Width, s.Height), raster.New(s.Width, s.Height)}
	white := [3]float64{0.78, within(rng, 0.7, 0.78), within(rng, 0.55, 0.76)}
	slantX, slantY := within(rng, -0.3, 0.3)/float64(s.Width), within(rng, -0.3, 0.3)/float64(s.Height)
	angle, offset, soft := 2*math.Pi*rng.Float64(), within(rng, -0.2, 0.2)*float64(s.Width), within(rng, 0.01, 0.04)*float64(s.Width)
	smudge := geom.Box{X: rng.Float64() * float64(s.Cols), Y: rng.Float64() * float64(s.Rows)}
	grain := raster.New(d.curve.W, d.curve.H)
	for i := range grain.Pix {
		grain.Pix[i] = float32(rng.NormFloat64())
	}
	grain = grain.Blur(0.6)
	cut, table := d.rim, [3]float32{0.16, 0.09, 0.05}
	if s.Rim > 0 {
		cut = min(cut, s.Rim)
	}
	if v := float32(s.Table); v > 0 {
		table = [3]float32{v, v, v}
	}
	heavy, fine := s.Ruling.Width/2.35, 0.6*s.Ruling.Width/2.35
	sin, cos := math.Sincos(angle)
	planes := [3]*raster.Plane{d.curve, d.lines, d.other}
	raster.Rows(s.Height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range s.Width {
				q := geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5}
				flat := h.Box(q)
				b := flat
				for range 4 {
					if s.Curl == 0 {
						break
					}
					m := s.bent(b)
					b.X, b.Y = b.X+flat.X-m.X, b.Y+flat.Y-m.Y
				}
				shine := 1 + slantX*(q.X-float64(s.Width)/2) + slantY*(q.Y-float64(s.Height)/2)
				if s.Shadow > 0 {
					side := (q.X-float64(s.Width)/2)*cos + (q.Y-float64(s.Height)/2)*sin - offset
					shine *= 1 - 0.7*s.Shadow/(1+math.Exp(-side/soft))
				}
				k := y*s.Width + x
				if b.X < -cut || b.Y < -cut || b.X > float64(s.Cols)+cut || b.Y > float64(s.Rows)+cut {
					for c, v := range table {
						light[c].Pix[k] = v * float32(shine)
					}
					continue
				}
				ruling := s.rulingAt(b, heavy, fine)
				at := d.cell(b)
				g := float64(grain.Clamped(at))
				drawn, inside := raster.Bilinears(planes, at) // one place for the three
				if !inside {
					drawn = [3]float32{d.curve.Clamped(at), d.lines.Clamped(at), d.other.Clamped(at)}
				}
				curve, lines, other := float64(drawn[0]), float64(drawn[1]), float64(drawn[2])
				ink := func(p *Pen, cover float64, c int) float64 {
					if cover == 0 { // as nearly everywhere
						return 0
					}
					return p.Dark * p.Colour[c] * cover * max(0, 1-p.Grain*(0.6+1.4*g))
				}
				grey := 0.0
				if d.back != nil {
					grey += 0.12 * s.BackPage * float64(d.back.Clamped(at))
				}
				if s.Smudge > 0 {
					dx, dy := (b.X-smudge.X)/2.5, (b.Y-smudge.Y)/0.8
					grey += 0.25 * s.Smudge * math.Exp(-dx*dx-dy*dy) * (1 + 0.3*g)
				}
				for c := range light {
					a := ruling*s.Ruling.Colour[c] + ink(&s.Pen, curve, c) + ink(&s.Lines, lines, c) + ink(&s.Pen, other, c) + grey
					through := 1.0
					if a != 0 {
						through = math.Exp(-a)
					}
					light[c].Pix[k] = float32(white[c] * shine * through)
				}
			}
		}
	})
	out := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	curve := transferCurve(0.1)
	for c := range light {
		light[c] = light[c].Blur(s.Blur)
		raster.Rows(s.Height, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				rng := rand.New(rand.NewPCG(s.Seed, streamSensor+uint64(c*s.Height+y)))
				for x, v := range light[c].Row(y) {
					v += float32(s.Noise*math.Sqrt(float64(max(v, 0.02)))) * float32(rng.NormFloat64())
					out.Pix[y*out.Stride+4*x+c] = level(curve[int(min(max(v, 0), 1)*curveEntries+0.5)])
					out.Pix[y*out.Stride+4*x+3] = 255
				}
			}
		})
	}
	return out
}

// rulingAt is the absorbance of the printed lines at a place, in the colour that they absorb most.
func (s *Sketch) rulingAt(b geom.Box, heavy, fine float64) float64 {
	r := &s.Ruling
	half := r.Width / r.Square / 2
	if b.X < -half || b.Y < -half || b.X > float64(s.Cols)+half || b.Y > float64(s.Rows)+half {
		return 0
	}
	peak := func(v, step, sd, dark float64) float64 {
		d := math.Abs(v/step-math.Round(v/step)) * step * r.Square // mm
		if d > 4*sd {
			return 0
		}
		return dark * math.Exp(-d*d/(2*sd*sd))
	}
	a := max(peak(b.X, 1, heavy, r.Heavy), peak(b.Y, 1, heavy, r.Heavy))
	if r.Thin > 1 {
		step := 1 / float64(r.Thin)
		a = max(a, peak(b.X, step, fine, r.Fine), peak(b.Y, step, fine, r.Fine))
	}
	return a
}
