package synth

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"quadrille/vision/geom"
)

// project is a pinhole written out with a turn about one axis after the other, as a twin of the
// matrices: x right, y down, z forward.
func project(c Camera, d Display, b geom.Box) geom.Pixel {
	x, y, z := b.X*d.Aspect, -b.Y, 0.0
	if d.Kind == Tube {
		z = d.Sag / 2 * (x*x + y*y)
	}
	x, z = x*math.Cos(c.Yaw)+z*math.Sin(c.Yaw), -x*math.Sin(c.Yaw)+z*math.Cos(c.Yaw)
	y, z = y*math.Cos(c.Pitch)-z*math.Sin(c.Pitch), y*math.Sin(c.Pitch)+z*math.Cos(c.Pitch)
	x, y = x*math.Cos(c.Roll)-y*math.Sin(c.Roll), x*math.Sin(c.Roll)+y*math.Cos(c.Roll)
	w, h := float64(c.Width), float64(c.Height)
	f := c.Focal * max(w, h)
	far := max(float64(d.Frame.Cols)*d.Aspect*f/(c.Fill*w), float64(d.Frame.Rows)*f/(c.Fill*h))
	x, y, z = x+c.OffX*w/f*far, y+c.OffY*h/f*far, z+far
	return geom.Pixel{X: w/2 + f*x/z, Y: h/2 + f*y/z}
}

func TestViewIsAPinholeBeforeTheFace(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := Random(rapid.Uint64().Draw(rt, "seed"))
		s.Camera.K1, s.Camera.K2 = 0, 0
		s, v := ready(t, s)
		f := s.Display.Frame
		b := geom.Box{X: rapid.Float64Range(-0.5, 0.5).Draw(rt, "x") * float64(f.Cols), Y: rapid.Float64Range(-0.5, 0.5).Draw(rt, "y") * float64(f.Rows)}
		got, want := v.pixel(b), project(s.Camera, s.Display, b)
		if math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-7 {
			rt.Fatalf("%v seen at %v, the twin says %v", b, got, want)
		}
	})
}

// What a pixel looks at is what is seen in it.
func TestLookingIsTheInverseOfSeeing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s, v := ready(t, Random(rapid.Uint64().Draw(rt, "seed")))
		b := geom.Box{X: rapid.Float64Range(-5, 5).Draw(rt, "x"), Y: rapid.Float64Range(-4, 4).Draw(rt, "y")}
		back := v.deeper(v.plane(v.pixel(b)), 0)
		if math.Hypot(back.x-b.X, back.y-b.Y) > 1e-5 {
			rt.Fatalf("%v of %v comes back as (%g, %g)", b, s.Display.Kind, back.x, back.y)
		}
	})
}

// The sides of a spot are the lengths of the map's derivatives.
func TestSpotIsAsLargeAsThePixel(t *testing.T) {
	_, v := ready(t, Scene{Camera: Camera{Yaw: 0.3, Pitch: 0.2, Roll: 0.4, Width: 900, Height: 700}})
	for _, p := range []geom.Pixel{{X: 450, Y: 350}, {X: 200, Y: 150}, {X: 700, Y: 500}} {
		const h = 1e-3
		at := v.plane(p)
		right, down := v.plane(geom.Pixel{X: p.X + h, Y: p.Y}), v.plane(geom.Pixel{X: p.X, Y: p.Y + h})
		dx := math.Hypot(right.x-at.x, down.x-at.x) / h
		dy := math.Hypot(right.y-at.y, down.y-at.y) / h
		if math.Abs(at.dx/dx-1) > 1e-4 || math.Abs(at.dy/dy-1) > 1e-4 {
			t.Errorf("spot at %v is %g × %g, derivatives say %g × %g", p, at.dx, at.dy, dx, dy)
		}
	}
}

// A worked example of the lens: on a photo of 800 × 600 half the diagonal is 500 px. A corner of the
// ideal frame 300 px to the side and 225 px up lies at r = 375/500 = 0.75; with K = −0.04 it is seen
// at r·(1 − 0.04·0.5625) = 0.97750·r.
func TestLensTermScalesByHalfTheDiagonal(t *testing.T) {
	s := Scene{Camera: Camera{Width: 800, Height: 600, Fill: 0.75, K1: -0.04}}
	s.Display.Aspect = 0.8 * 4 / 3 // 600 px to 10 columns, 450 px to 8 rows
	_, v := ready(t, s)
	got := v.pixel(geom.Box{X: 5, Y: 4})
	if want := (geom.Pixel{X: 400 + 300*0.9775, Y: 300 - 225*0.9775}); math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-6 {
		t.Errorf("corner seen at %v, want %v", got, want)
	}
}

// The lens with one term is geom's; with both it is its own inverse's inverse, and follows its formula.
func TestLensBendsAndStraightens(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		one := geom.Radial{Centre: geom.Pixel{X: 1000, Y: 750}, Scale: 1250, K: rapid.Float64Range(-0.1, 0.1).Draw(rt, "k1")}
		p := geom.Pixel{X: rapid.Float64Range(0, 2000).Draw(rt, "x"), Y: rapid.Float64Range(0, 1500).Draw(rt, "y")}
		if got, want := (lens{one, 0}).bend(p), one.Bend(p); math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-9 {
			rt.Fatalf("one term: %v, geom says %v", got, want)
		}
		l := lens{one, rapid.Float64Range(-0.03, 0.03).Draw(rt, "k2")}
		if back := l.straighten(l.bend(p)); math.Hypot(back.X-p.X, back.Y-p.Y) > 1e-6 {
			rt.Fatalf("%v comes back as %v", p, back)
		}
	})
	// At half the diagonal r = 1: seen at 1 + K1 + K2.
	l := lens{geom.Radial{Scale: 500, K: -0.04}, 0.01}
	if got := l.bend(geom.Pixel{X: 300, Y: 400}); math.Hypot(got.X-300*0.97, got.Y-400*0.97) > 1e-9 {
		t.Errorf("the corner is seen at %v", got)
	}
}

// A phosphor behind the graticule seems to shift away from the viewer's side (parallax): the shift is
// depth × tangent of the viewing angle.
func TestParallaxIsDepthTimesTangent(t *testing.T) {
	_, v := ready(t, Scene{Display: Display{Kind: Tube}, Camera: Camera{Yaw: 0.3}})
	at := v.deeper(v.plane(v.pixel(geom.Box{})), 0.2)
	if want := 0.2 * math.Tan(0.3); math.Abs(math.Abs(at.x)-want) > 1e-9 || math.Abs(at.y) > 1e-9 {
		t.Errorf("the phosphor behind the centre shifts by (%g, %g) boxes, want ±%g across", at.x, at.y, want)
	}
}
