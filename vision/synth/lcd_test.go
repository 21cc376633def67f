package synth

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"quadrille/vision/geom"
)

// shineSlowly adds up the pattern at many places under the tent, one in each cell of a fine mesh, so
// that the mesh cannot fall in step with the elements.
func shineSlowly(l *lcd, s spot) (c [3]float64) {
	const n = 200
	rng := rand.New(rand.NewPCG(1, 1))
	total := 0.0
	for a := range n {
		for b := range n {
			u, v := 2*(float64(a)+rng.Float64())/n-1, 2*(float64(b)+rng.Float64())/n-1
			weight := (1 - math.Abs(u)) * (1 - math.Abs(v))
			total += weight
			x, y := l.centreX+0.5+(s.x+u*s.dx)*l.perBox, l.centreY+0.5-(s.y+v*s.dy)*l.perBox
			i, j := int(math.Floor(x)), int(math.Floor(y))
			if i < 0 || j < 0 || i >= l.w || j >= l.h {
				for k := range c {
					if !l.striped {
						c[k] += weight * float64(l.ink.field[k])
					}
				}
				continue
			}
			fx, fy := x-float64(i), y-float64(j)
			inRow := fy > l.gap && fy < 1-l.gap
			for k := range c {
				light := float64(l.pix[j*l.w+i][k])
				switch {
				case l.striped && inRow && fx > float64(k)/3+l.gap/2 && fx < float64(k+1)/3-l.gap/2:
					light /= (1 - 2*l.gap) * (1./3 - l.gap)
				case l.striped:
					light = 0
				case !(inRow && fx > l.gap && fx < 1-l.gap):
					light = float64(l.ink.field[k])
				}
				c[k] += weight * light
			}
		}
	}
	for k := range c {
		c[k] /= total
	}
	return c
}

func TestShineIntegratesThePanel(t *testing.T) {
	var panels []*lcd
	for _, kind := range []Kind{Colour, Pale} {
		s, _ := ready(t, Scene{Display: Display{Kind: kind, PixelsPerBox: 24, GridLight: 0.8, Grid: Solid}})
		panels = append(panels, newLCD(s))
	}
	rapid.Check(t, func(rt *rapid.T) {
		l := panels[rapid.IntRange(0, 1).Draw(rt, "panel")]
		s := spot{x: rapid.Float64Range(-5.5, 5.5).Draw(rt, "x"), y: rapid.Float64Range(-4.5, 4.5).Draw(rt, "y"),
			dx: rapid.Float64Range(0.005, 0.2).Draw(rt, "dx"), dy: rapid.Float64Range(0.005, 0.2).Draw(rt, "dy")}
		got, want := l.shine(s), shineSlowly(l, s)
		for k := range want {
			if math.Abs(float64(got[k])-want[k]) > 0.03*(0.1+want[k]) {
				rt.Fatalf("%+v: %v, adding up slowly gives %v", s, got, want)
			}
		}
	})
}

// The lines that a frame has: 11 upright and 9 level ones on 10 × 8 boxes; on 15 × 10 counted from
// the centre 15 inner lines and the two rims half a box out.
func TestGraticuleHasTheLinesOfItsFrame(t *testing.T) {
	for _, c := range []struct {
		half, perBox int
		centred      bool
		lines        int
		first        int
	}{{250, 50, false, 11, -250}, {200, 50, false, 9, -200}, {375, 50, true, 15, -350}, {375, 50, false, 16, -375}} {
		at := steps(c.half, float64(c.perBox), c.centred)
		if len(at) != c.lines || at[0] != c.first || at[len(at)-1] != -c.first {
			t.Errorf("half %d: lines at %v, want %d from %d on", c.half, at, c.lines, c.first)
		}
	}
}

// Everything a panel may be asked to draw is drawn inside it, from the smallest to the largest.
func TestPanelsOfAllSizesDraw(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := Random(rapid.Uint64().Draw(rt, "seed"))
		s.Display.Kind = Colour
		s.Display.PixelsPerBox = 2 * rapid.IntRange(5, 60).Draw(rt, "half a box")
		s.Display.Stroke = 1
		s.Display.Table, s.Display.Menu, s.Display.Helpers = true, rapid.Bool().Draw(rt, "menu"), true
		s.Display.Margins = [4]float64{rapid.Float64Range(0, 2).Draw(rt, "margin"), 0, 0.01, 0}
		if err := s.Validate(); err != nil {
			rt.Fatal(err)
		}
		l := newLCD(s.withDefaults())
		left, right, bottom, top := l.edges()
		f := s.Display.Frame
		if left > f.Left() || right < -f.Left() || bottom > f.Bottom() || top < -f.Bottom() {
			rt.Fatalf("frame %v does not fit a panel of %g..%g × %g..%g boxes", f, left, right, bottom, top)
		}
	})
}

// A graded trace keeps its place: its centre of light follows the discharge V = 9 V·exp(−t/10.34 s)
// without bias, and it has elements of many lights.
func TestGradedTraceKeepsItsPlace(t *testing.T) {
	s, _ := ready(t, Scene{Seed: 2, Display: Display{Graded: true, GridLight: 1e-9}})
	l := newLCD(s)
	var sum, n float64
	lights := map[float32]bool{}
	for i := l.frameL + 60; i <= l.frameL+300; i++ {
		var light, moment float64
		for j := l.frameT + 1; j < l.frameB; j++ {
			w := l.pix[j*l.w+i][1] - l.ink.field[1]
			lights[w] = true
			light, moment = light+float64(w), moment+float64(w)*float64(j)
		}
		seconds := ((float64(i)-l.centreX)/l.perBox + 5) * 5
		sum += (l.centreY-moment/light)/l.perBox - (-4 + 9*math.Exp(-(seconds-5)/10.34)/1.5)
		n++
	}
	if mean := sum / n; math.Abs(mean) > 0.003 || len(lights) < 10 {
		t.Errorf("off by %.4f box on average; %d different lights", mean, len(lights))
	}
}

// On a tube with lines counted from the centre, an odd count of columns has lines at whole boxes from
// the centre, rims half a box further out, and ticks at fifths from the centre.
func TestEngravedLinesCountFromTheCentre(t *testing.T) {
	s, v := ready(t, Scene{Display: Display{Kind: Tube, Frame: geom.Frame{Cols: 9, Rows: 8}, Centred: true}})
	tube := newTube(s, v)
	for _, c := range []struct {
		x, y float64
		ink  bool
	}{{3, 0.5, true}, {-4, 0.5, true}, {4.5, 0.5, true}, {3.5, 0.5, false}, {0.2, 0.05, true}, {0.4, -0.05, true}, {0.5, 0.05, false}, {0.2, 0.3, false}, {0.05, 0.2, true}} {
		if ink, _ := tube.ink.Bilinear(tube.sample(spot{x: c.x, y: c.y})); (ink > 0.5) != c.ink {
			t.Errorf("(%g, %g): cover %g, want ink: %v", c.x, c.y, ink, c.ink)
		}
	}
}

// On displays without lines the field between the marks stays dark, and the marks stand where they are
// named for: by hand from the definitions, for 24 elements a box and five ticks to it.
func TestMarksStandWhereTheyBelong(t *testing.T) {
	for _, c := range []struct {
		grid Grid
		lit  [][2]float64 // boxes from the centre
		dark [][2]float64
	}{
		{Crosses, [][2]float64{{-3, 2}, {2, -1}, {0, 0}}, [][2]float64{{-3, 2.5}, {2.5, -1}, {1.5, 1.5}}},
		{Axes, [][2]float64{{2.5, 0}, {0, -1.5}, {0, 3}}, [][2]float64{{-3, 2}, {1.5, 2}}},
		{Ticks, [][2]float64{{1, 3.95}, {-4.95, 2}}, [][2]float64{{0, 0}, {1, 3}, {1.5, 2}}},
	} {
		s, _ := ready(t, Scene{Display: Display{Grid: c.grid, PixelsPerBox: 24, GridLight: 1}, Signals: []Signal{{VoltsPerBox: 1, GroundBox: -3.7}}})
		l := newLCD(s)
		at := func(p [2]float64) rgb {
			return l.pix[int(math.Round(l.row(p[1])))*l.w+int(math.Round(l.centreX+p[0]*l.perBox))]
		}
		for _, p := range c.lit {
			if at(p) != l.ink.grid {
				t.Errorf("%v: no mark at %v", c.grid, p)
			}
		}
		for _, p := range c.dark {
			if at(p) != l.ink.field {
				t.Errorf("%v: the field is lit at %v", c.grid, p)
			}
		}
	}
}
