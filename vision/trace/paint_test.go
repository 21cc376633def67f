package trace

// A small painter of displays with known curves, for tests of single properties. The simulator in
// vision/synth makes whole photographs.

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/sheet"
)

// A curve is drawn with a Gaussian stroke of standard deviation width (boxes), measured along y; NaN
// is a gap. Between neighbouring pixels it is drawn from the lower to the higher value.
type curve struct {
	y      func(x float64) float64
	colour [3]float64 // linear light
	width  float64
}

// A painting is a display seen straight on.
type painting struct {
	frame  geom.Frame
	pitch  float64 // px a box
	field  [3]float64
	grid   [3]float64 // linear light of a dot of the graticule; the axes have twice as many
	curves []curve
	extra  func(x, y float64) (rgb [3]float64, cover float64)
	pixels int     // of the display to a box, with a dark gap of a fifth round each; 0 for none
	cut    bool    // strokes are drawn inside the frame only
	noise  float64 // of the 8-bit picture, in linear light
	seed   uint64
}

// levelTable has the levels of 8 bits for linear light 0..1: that at the start of each of its steps, and where in a
// step the next begins. No step has two.
type levelTable struct {
	level [levelSteps + 1]uint8
	next  [levelSteps + 1]float64
}

// levelSteps is fine enough that none has two: at black, where the curve of IEC 61966-2-1 is steepest, one has 0.8.
const levelSteps = 4096

// of is sheet.ToSRGB.
func (t *levelTable) of(v float64) uint8 {
	v = min(max(v, 0), 1)
	k := int(v * levelSteps)
	if v >= t.next[k] {
		return t.level[k] + 1
	}
	return t.level[k]
}

var levels = sync.OnceValue(func() *levelTable {
	t := new(levelTable)
	for k := range t.level {
		lo, hi := float64(k)/levelSteps, float64(k+1)/levelSteps
		t.level[k], t.next[k] = sheet.ToSRGB(lo), 2
		if k == levelSteps || sheet.ToSRGB(hi) == t.level[k] {
			continue
		}
		for math.Nextafter(lo, hi) < hi {
			if mid := lo + (hi-lo)/2; sheet.ToSRGB(mid) == t.level[k] {
				lo = mid
			} else {
				hi = mid
			}
		}
		t.next[k] = hi
	}
	return t
})

// Painted levels are those of the transfer curve, beside each step of the table as well.
func TestLevelsFollowTheCurve(t *testing.T) {
	table := levels()
	for k := range levelSteps {
		for _, v := range []float64{float64(k) / levelSteps, (float64(k) + 0.37) / levelSteps, table.next[k], math.Nextafter(table.next[k], 0)} {
			if got, want := table.of(v), sheet.ToSRGB(v); got != want {
				t.Fatalf("light %g: %d, want %d", v, got, want)
			}
		}
	}
}

const dark = 0.01

func plain() painting {
	return painting{
		frame: geom.Frame{Cols: 10, Rows: 8}, pitch: 50, noise: 0.004, seed: 1,
		field: [3]float64{dark, dark, dark}, grid: [3]float64{0.15, 0.18, 0.25},
	}
}

var (
	yellow = [3]float64{0.8, 0.75, 0.1}
	cyan   = [3]float64{0.05, 0.7, 0.75}
)

// paint gives the photo and its graticule. A rim of 0.8 box surrounds the frame.
func (p painting) paint(t testing.TB) (*photo.Photo, *graticule.Graticule) {
	t.Helper()
	const rimBoxes = 0.8
	w := int((float64(p.frame.Cols) + 2*rimBoxes) * p.pitch)
	h := int((float64(p.frame.Rows) + 2*rimBoxes) * p.pitch)
	left, low := p.frame.Left(), p.frame.Bottom()
	box := func(px, py float64) geom.Box {
		return geom.Box{X: left - rimBoxes + px/p.pitch, Y: -low + rimBoxes - py/p.pitch}
	}
	rng, levels := rand.New(rand.NewPCG(p.seed, 7)), levels()
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range w {
		// Heights the curve passes within this pixel column.
		type span struct{ lo, hi float64 }
		spans := make([]span, len(p.curves))
		for k, c := range p.curves {
			a, b := c.y(box(float64(i), 0).X), c.y(box(float64(i+1), 0).X)
			spans[k] = span{min(a, b), max(a, b)}
		}
		for j := range h {
			b := box(float64(i)+0.5, float64(j)+0.5)
			v := p.field
			inside := b.X >= left && b.X <= -left && b.Y >= low && b.Y <= -low
			if inside {
				if d := p.dots(b); d > 0 {
					for c := range v {
						v[c] += d * p.grid[c]
					}
				}
			}
			beyond := 0.1 // a stroke on the lowest line is whole
			if p.cut {
				beyond = 0
			}
			if math.Abs(b.X) <= -left && math.Abs(b.Y) <= beyond-low {
				for k, c := range p.curves {
					d := max(spans[k].lo-b.Y, b.Y-spans[k].hi, 0)
					if math.IsNaN(spans[k].lo) || d > 9*c.width { // e⁻⁴⁰ of it
						continue
					}
					cover := math.Exp(-d * d / (2 * c.width * c.width))
					for m := range v {
						v[m] += cover * (c.colour[m] - v[m])
					}
				}
			}
			if p.extra != nil {
				rgb, cover := p.extra(b.X, b.Y)
				for m := range v {
					v[m] += cover * (rgb[m] - v[m])
				}
			}
			if p.pixels > 0 {
				gap := 1 - 0.8*inside1(b.X*float64(p.pixels))*inside1(b.Y*float64(p.pixels))
				for m := range v {
					v[m] *= 1 - 0.6*gap
				}
			}
			n := p.noise * rng.NormFloat64()
			img.SetNRGBA(i, j, color.NRGBA{levels.of(v[0] + n), levels.of(v[1] + n), levels.of(v[2] + n), 255})
		}
	}
	var corners [4]geom.Pixel
	for k, b := range p.frame.Corners() {
		corners[k] = geom.Pixel{X: (b.X - left + rimBoxes) * p.pitch, Y: (-low + rimBoxes - b.Y) * p.pitch}
	}
	hom, err := geom.HomographyOf(p.frame.Corners(), corners)
	if err != nil {
		t.Fatal(err)
	}
	return photo.New(img), &graticule.Graticule{H: hom, Frame: p.frame}
}

// inside1 is 1 well inside a pixel of the display and falls to 0 at its border, u counting pixels.
func inside1(u float64) float64 {
	d := math.Abs(u - math.Round(u)) // 0 at a border, 0.5 in the middle
	return min(d/0.2, 1)
}

// dots is the cover of the graticule at b: dots every fifth of a box on the lines, every tenth on the
// axes.
func (p painting) dots(b geom.Box) float64 {
	near := func(v, step float64) float64 { return math.Abs(v - step*math.Round(v/step)) }
	const r = 0.015 // box, a dot's standard deviation
	one := func(along, across, step float64) float64 {
		if across > 9*r { // e⁻⁴⁰ of its light
			return 0
		}
		d, e := near(along, step), across
		return math.Exp(-(d*d + e*e) / (2 * r * r))
	}
	step := 0.2
	if math.Abs(b.Y) < 0.1 || math.Abs(b.X) < 0.1 {
		step = 0.1
	}
	return max(one(b.X, near(b.Y, 1), step), one(b.Y, near(b.X, 1), step))
}

// only extracts and demands one trace.
func (p painting) only(t *testing.T) *Trace {
	t.Helper()
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(ts) != 1 {
		t.Fatalf("%d traces, want 1", len(ts))
	}
	return ts[0]
}

// errorsOf gives y − truth at all seen samples where keep holds.
func errorsOf(tr *Trace, truth func(x float64) float64, keep func(x float64) bool) []float64 {
	var e []float64
	for i, y := range tr.Y {
		if !math.IsNaN(y) && (keep == nil || keep(tr.X[i])) {
			e = append(e, y-truth(tr.X[i]))
		}
	}
	return e
}

func meanAndRMS(e []float64) (mean, rms float64) {
	for _, v := range e {
		mean += v / float64(len(e))
		rms += v * v / float64(len(e))
	}
	return mean, math.Sqrt(rms)
}

// modulo is the remainder of a over n that is not negative.
func modulo(a, n int) int { return ((a % n) + n) % n }
