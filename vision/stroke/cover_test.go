package stroke

import (
	"math"
	"testing"

	"quadrille/vision/path"
)

// levelOverLines is a level trace, one row high, over upright lines two columns wide at every box and half box. light
// gives what is seen of the trace so many columns from the middle of a line, ink what the line has there; count lines
// are inside the trace.
func levelOverLines(count int, light, ink func(off float64) float64) (p *path.Path, plane, under []float32) {
	s := plainSheet()
	p = &path.Path{Runs: make([]path.Run, s.NX)}
	plane, under = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
	for i := range p.Runs {
		p.Runs[i] = path.Run{Lo: 200, Hi: 199}
		if i < 25*count {
			p.Runs[i].Hi = 200
		}
		off := math.Abs(float64(i%25) - 12.5)
		plane[i*s.NY+200], under[i*s.NY+200] = float32(light(off)), float32(ink(off))
	}
	return p, plane, under
}

// How much of a lit line's light a stroke takes away is seen where the trace is level and passes upright lines.
func TestWhetherAStrokeCoversLitLines(t *testing.T) {
	inside := func(v, width float64) func(float64) float64 {
		return func(off float64) float64 {
			if off < width {
				return v
			}
			return 0
		}
	}
	// seen is a trace of light 1 that takes share of the line's light away.
	seen := func(share, ink, width float64) func(float64) float64 {
		return func(off float64) float64 { return 1 - share*inside(ink, width)(off) }
	}
	uneven := func(off float64) float64 { return 1 - 0.2*math.Pow(max(1-off/12, 0), 2) } // dim about the lines
	for _, c := range []struct {
		name       string
		lines      int
		light, ink func(float64) float64
		least, top float64
	}{
		{"a beam adds to the line", 18, seen(0, 0.5, 1.1), inside(0.5, 1.1), 0, 0.01},
		{"a fifth is taken away", 18, seen(0.2, 0.5, 1.1), inside(0.5, 1.1), 0.19, 0.21},
		{"half of it, as where both are bleached", 18, seen(0.5, 0.5, 1.1), inside(0.5, 1.1), 1, 1},
		{"a panel covers the line", 18, seen(1, 0.5, 1.1), inside(0.5, 1.1), 1, 1},
		{"a line of a tenth of the light tells nothing", 18, seen(0.2, 0.1, 1.1), inside(0.1, 1.1), 1, 1},
		{"a quarter of the light tells", 18, seen(0.2, 0.25, 1.1), inside(0.25, 1.1), 0.19, 0.21},
		{"four columns of lines are few", 2, seen(0.2, 0.5, 1.1), inside(0.5, 1.1), 1, 1},
		{"eight are enough", 4, seen(0.2, 0.5, 1.1), inside(0.5, 1.1), 0.19, 0.21},
		{"uneven light is that beside the line", 18, uneven, inside(0.5, 3.2), 0.17, 0.22},
	} {
		p, plane, under := levelOverLines(c.lines, c.light, c.ink)
		if got := covers(plainSheet(), p, plane, under, 1); got < c.least || got > c.top {
			t.Errorf("%s: a share of %.2f is covered, want %g to %g", c.name, got, c.least, c.top)
		}
	}
}

// How dark an engraved line is under a trace is a power of what the field says, which the trace shows itself.
func TestHowMuchOfAStrokeEngravedLinesLetPass(t *testing.T) {
	for _, c := range []struct {
		name    string
		lines   int
		passes  float64 // of the field's light
		power   float64 // of that, which passes of the stroke's
		through float64 // wanted
	}{
		{"as the field says", 18, 0.8, 1, 0.8},
		{"darker, for the glass before the line reflects", 18, 0.8, 2.5, 0.572},
		{"not darker than the third power", 18, 0.8, 6, 0.512},
		{"never less than two fifths", 18, 0.7, 2.8, 0.4},
		{"a line that is hardly dark tells nothing", 18, 0.96, 2.5, 0.96},
		{"four columns of lines are few", 2, 0.8, 2.5, 0.8},
		{"eight are enough", 4, 0.8, 2.5, 0.572},
	} {
		passes := func(power float64) func(float64) float64 {
			return func(off float64) float64 {
				if off < 1.1 {
					return math.Pow(c.passes, power)
				}
				return 1
			}
		}
		p, plane, through := levelOverLines(c.lines, passes(c.power), passes(1))
		out := crossed(plainSheet(), p, plane, through, 1)
		if got := float64(out[12*plainSheet().NY+200]); math.Abs(got-c.through) > 0.01 {
			t.Errorf("%s: %.3f passes, want %.3f", c.name, got, c.through)
		}
	}
}
