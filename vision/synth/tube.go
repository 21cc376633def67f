package synth

import (
	"math"
	"math/rand/v2"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// A tube is a phosphor screen behind a graticule. The beam spends its light evenly over time, so a
// fast stretch is dim; the phosphor saturates; the spot is Gaussian with a faint wide skirt.
type tube struct {
	v                        *view
	beam, ink                *raster.Plane // phosphor light; cover of the graticule's lines, 0..1
	perBox                   float64       // samples of both planes to a box
	left, right, bottom, top float64
	depth                    float64
	lit                      bool
	gridLight                float32
	field, glow              rgb
}

const (
	tubeMargin   = 0.5   // phosphor beyond the frame, boxes
	engravedHalf = 0.011 // half the width of an engraved line, boxes (common practice, no source)
	engravedTick = 0.09  // half the length of a tick on the centre lines, boxes
	skirtShare   = 0.12  // of the spot's light, scattered in the phosphor
	skirtWidth   = 5     // in beam widths
	beamDrive    = 2.2   // light of a resting level line before the phosphor saturates
)

func newTube(s Scene, v *view) *tube {
	d := s.Display
	// Samples about as fine as the photo's pixels; 40 keep the beam, 160 are finer than any beam.
	centre := v.plane(geom.Pixel{X: float64(v.w) / 2, Y: float64(v.h) / 2})
	per := math.Round(min(max(1.2/min(centre.dx, centre.dy), 40), 160))
	t := &tube{v: v, perBox: per, left: d.Frame.Left() - tubeMargin, right: -d.Frame.Left() + tubeMargin,
		bottom: d.Frame.Bottom() - tubeMargin, top: -d.Frame.Bottom() + tubeMargin,
		depth: d.Depth, lit: d.Lit, gridLight: float32(d.GridLight)}
	w, h := int(math.Ceil((t.right-t.left)*per)), int(math.Ceil((t.top-t.bottom)*per))
	rng := rand.New(rand.NewPCG(s.Seed, streamScenery+1))
	pale := float32(0.02 + 0.10*rng.Float64())
	t.field = rgb{pale * 0.7, pale, pale * float32(0.8+0.2*rng.Float64())}
	t.glow = rgb{float32(0.05 + 0.2*rng.Float64()), 1, float32(0.2 + 0.4*rng.Float64())}
	t.beam, t.ink = raster.New(w, h), raster.New(w, h)
	if d.Blank {
		return t
	}
	for _, sig := range s.Signals {
		if s.Against {
			t.writeAgainst(s)
			break
		}
		t.write(s, sig)
	}
	t.writeReadout(d)
	// The sweep repeats faster than the eye and the camera: noise only widens the beam.
	width := d.BeamWidth
	for _, sig := range s.Signals {
		width = max(width, math.Hypot(d.BeamWidth, sig.Noise))
	}
	spot := t.beam.Blur(width * per)
	skirt := t.beam.Blur(skirtWidth * width * per)
	// write lays one sample's worth of light along a level line; its peak becomes 1.
	peak := float32(beamDrive * d.BeamWidth * per * math.Sqrt(2*math.Pi))
	for k := range spot.Pix {
		light := float64(peak * ((1-skirtShare)*spot.Pix[k] + skirtShare*skirt.Pix[k]))
		t.beam.Pix[k] = float32(1 - math.Exp(-light))
	}
	t.engrave(d)
	return t
}

// write moves the beam over the signal in steps shorter than a sample and drops its light between
// the four samples round it, so that the centre of light is kept.
func (t *tube) write(s Scene, sig Signal) {
	f := s.Display.Frame
	const perSample = 3
	n := int(float64(f.Cols) * t.perBox * perSample)
	last, lastOK := 0.0, false
	for k := range n {
		x := f.Left() + (float64(k)+0.5)/(t.perBox*perSample)
		at, ok := s.shownTime(x)
		if !ok {
			lastOK = false
			continue
		}
		y := sig.box(at)
		if !lastOK {
			last = y
		}
		// From the last height to this one, evenly in time.
		m := 1 + int(math.Abs(y-last)*t.perBox*2)
		for i := range m {
			u := (float64(i) + 0.5) / float64(m)
			t.drop(x-(1-u)/(t.perBox*perSample), last+u*(y-last), 1/float64(m*perSample))
		}
		last, lastOK = y, true
	}
}

func (t *tube) drop(x, y, light float64) {
	u, v := (x-t.left)*t.perBox-0.5, (t.top-y)*t.perBox-0.5
	i, j := int(math.Floor(u)), int(math.Floor(v))
	if i < 0 || j < 0 || i+1 >= t.beam.W || j+1 >= t.beam.H {
		return
	}
	fu, fv := u-float64(i), v-float64(j)
	k := j*t.beam.W + i
	t.beam.Pix[k] += float32(light * (1 - fu) * (1 - fv))
	t.beam.Pix[k+1] += float32(light * fu * (1 - fv))
	t.beam.Pix[k+t.beam.W] += float32(light * (1 - fu) * fv)
	t.beam.Pix[k+t.beam.W+1] += float32(light * fu * fv)
}

// engrave draws the graticule: lines at whole boxes, ticks on the centre lines.
func (t *tube) engrave(d Display) {
	f := d.Frame
	left, bottom := f.Left(), f.Bottom()
	// Upright lines and ticks count from the left rim or from the centre line.
	first := left
	if d.Centred {
		first = -math.Floor(-left)
	}
	for x := first; x <= -left+1e-9; x++ {
		t.cover(x-engravedHalf, x+engravedHalf, bottom, -bottom)
	}
	for y := bottom; y <= -bottom+1e-9; y++ {
		t.cover(left, -left, y-engravedHalf, y+engravedHalf)
	}
	t.cover(left-engravedHalf, left+engravedHalf, bottom, -bottom)
	t.cover(-left-engravedHalf, -left+engravedHalf, bottom, -bottom)
	if d.Minor < 2 {
		return
	}
	step := 1 / float64(d.Minor)
	if d.Centred {
		first = -math.Floor(-left/step+1e-9) * step
	}
	for x := first; x <= -left+1e-9; x += step {
		t.cover(x-engravedHalf, x+engravedHalf, -engravedTick, engravedTick)
	}
	for y := bottom; y <= -bottom+1e-9; y += step {
		t.cover(-engravedTick, engravedTick, y-engravedHalf, y+engravedHalf)
	}
}

// cover inks a rectangle given in boxes, by the share of each sample that it covers.
func (t *tube) cover(x0, x1, y0, y1 float64) {
	i0, i1 := (x0-t.left)*t.perBox, (x1-t.left)*t.perBox
	j0, j1 := (t.top-y1)*t.perBox, (t.top-y0)*t.perBox
	for j := max(int(j0), 0); j <= min(int(j1), t.ink.H-1); j++ {
		cy := overlap(j0, j1, float64(j), float64(j+1))
		for i := max(int(i0), 0); i <= min(int(i1), t.ink.W-1); i++ {
			p := &t.ink.Pix[j*t.ink.W+i]
			*p = max(*p, float32(cy*overlap(i0, i1, float64(i), float64(i+1))))
		}
	}
}

func (t *tube) edges() (left, right, bottom, top float64) { return t.left, t.right, t.bottom, t.top }

// shine averages four places of the spot; each looks along its ray at the graticule on the face and
// at the phosphor behind it.
func (t *tube) shine(s spot) rgb {
	var red, green, blue float32
	for _, o := range [4][2]float64{{-0.25, -0.25}, {0.25, -0.25}, {-0.25, 0.25}, {0.25, 0.25}} {
		at := spot{x: s.x + o[0]*s.dx, y: s.y + o[1]*s.dy}
		face, phosphor := t.v.deeper(at, 0), t.v.deeper(at, t.depth)
		ink, _ := t.ink.Bilinear(t.sample(face))
		beam, _ := t.beam.Bilinear(t.sample(phosphor))
		r, g, b := t.field[0]+beam*t.glow[0], t.field[1]+beam*t.glow[1], t.field[2]+beam*t.glow[2]
		if t.lit {
			ink *= t.gridLight
			r, g, b = r+ink*litColour[0], g+ink*litColour[1], b+ink*litColour[2]
		} else {
			left := 1 - ink*min(2*t.gridLight, 0.95)
			r, g, b = r*left, g*left, b*left
		}
		red, green, blue = red+r/4, green+g/4, blue+b/4
	}
	return rgb{red, green, blue}
}

var litColour = rgb{0.55, 0.42, 0.22} // a small filament lamp behind the rim

func (t *tube) sample(s spot) geom.Pixel {
	return geom.Pixel{X: (s.x - t.left) * t.perBox, Y: (t.top - s.y) * t.perBox}
}
