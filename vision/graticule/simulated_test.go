package graticule_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// nodes gives the places of all whole boxes as the truth has them: boxes and pixels.
func nodes(tr synth.Truth) (boxes []geom.Box, pixels []geom.Pixel) {
	f := tr.Frame()
	for j, row := range tr.NodesPx {
		for i, p := range row {
			boxes = append(boxes, geom.Box{X: f.Left() + float64(i), Y: f.Bottom() + float64(j)})
			pixels = append(pixels, geom.Pixel{X: p[0], Y: p[1]})
		}
	}
	return boxes, pixels
}

// nodeError is the rms distance of g's grid from the true nodes, in boxes.
func nodeError(g *graticule.Graticule, tr synth.Truth) float64 {
	boxes, pixels := nodes(tr)
	s := 0.0
	for i, p := range pixels {
		b := g.Box(p)
		s += (b.X-boxes[i].X)*(b.X-boxes[i].X) + (b.Y-boxes[i].Y)*(b.Y-boxes[i].Y)
	}
	return math.Sqrt(s / float64(len(boxes)))
}

// scene is an ordinary photo of the display d.
func scene(seed uint64, d synth.Display) synth.Scene {
	s := synth.Scene{Seed: seed, Display: d, Camera: synth.Phone()}
	return s.WithMegapixels(0.8)
}

func TestFindOnSimulatedPhotos(t *testing.T) {
	tilted := scene(3, synth.Display{})
	tilted.Camera.Yaw, tilted.Camera.Pitch = 0.3, 0.15
	glare := scene(4, synth.Display{})
	glare.Camera.Glare, glare.Camera.Veil = 0.4, 0.05
	bent := scene(5, synth.Display{Grid: synth.Solid})
	bent.Camera.K1 = -0.05
	square := scene(6, synth.Display{})
	sig, per := synth.Specimen(synth.Square, geom.Frame{Cols: 10, Rows: 8})
	square.Signals, square.TimePerBox = []synth.Signal{sig}, per
	for _, c := range []struct {
		name  string
		scene synth.Scene
	}{
		{"dotted", scene(1, synth.Display{})},
		{"solid", scene(2, synth.Display{Grid: synth.Solid})},
		{"tilt", tilted},
		{"glare", glare},
		{"lens", bent},
		{"square-wave", square},
		{"tube", scene(7, synth.Display{Kind: synth.Tube})},
		{"tube-lit", scene(8, synth.Display{Kind: synth.Tube, Lit: true})},
		{"pale", scene(9, synth.Display{Kind: synth.Pale, Grid: synth.Fine})},
		{"blue", scene(10, synth.Display{Kind: synth.Blue, Grid: synth.Solid, Frame: geom.Frame{Cols: 12, Rows: 8}})},
		{"half-box-rims", scene(11, synth.Display{Grid: synth.Fine, Frame: geom.Frame{Cols: 15, Rows: 10}, Centred: true})},
		{"menu", scene(12, synth.Display{Menu: true, Frame: geom.Frame{Cols: 14, Rows: 8}})},
		{"dots-all-over", scene(13, synth.Display{MinorDots: true})},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			img, tr := c.scene.Shoot()
			g, err := graticule.Find(t.Context(), photo.New(img), nil)
			if err != nil {
				t.Fatal(err)
			}
			if g.Frame != tr.Frame() || g.Centred != tr.Centred {
				t.Fatalf("found %v centred %v, is %v %v; doubts %q", g.Frame, g.Centred, tr.Frame(), tr.Centred, g.Doubts)
			}
			// The target is 0.01 box.
			if e := nodeError(g, tr); e > 0.01 {
				t.Errorf("nodes are %.4f boxes off (rms)", e)
			}
			if len(g.Doubts) > 0 {
				t.Errorf("a sound photo is doubted: %q", g.Doubts)
			}
		})
	}
}

func TestFindIsNeverSilentlyWrong(t *testing.T) {
	right := 0
	const seeds = 6
	for seed := uint64(200); seed < 200+seeds; seed++ {
		s := synth.Random(seed).WithMegapixels(0.8)
		img, tr := s.Shoot()
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		if err != nil {
			continue // refused: no harm
		}
		switch ok := g.Frame == tr.Frame() && g.Centred == tr.Centred && nodeError(g, tr) < 0.03; {
		case ok:
			right++
		case len(g.Doubts) == 0:
			t.Errorf("seed %d: %v taken for %v without a doubt", seed, tr.Frame(), g.Frame)
		}
	}
	if right < seeds {
		t.Errorf("only %d of %d found", right, seeds)
	}
}

// A menu or readings over the right side of a display of 15 × 10 boxes, where half a box at the rim would tell the
// count from 14 or 12. All four are right; of eight, seven were when this was written, so that a fault in half of such
// photos passes here as seldom, in 1 of 16 tests.
func TestWhatLiesOverTheRightSideDoesNotChangeTheCount(t *testing.T) {
	right := 0
	const seeds = 4
	for seed := uint64(409); seed < 409+seeds; seed++ {
		s, err := synth.Random(seed).WithMegapixels(1.2).WithTrouble("overlay")
		if err != nil {
			t.Fatal(err)
		}
		img, tr := s.Shoot()
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		switch {
		case err != nil:
			t.Logf("seed %d: %v", seed, err)
		case g.Frame == tr.Frame() && g.Centred && nodeError(g, tr) < 0.03:
			right++
		case len(g.Doubts) == 0:
			t.Errorf("seed %d: taken for %v without a doubt", seed, g.Frame)
		default:
			t.Logf("seed %d: taken for %v, doubts %q", seed, g.Frame, g.Doubts)
		}
	}
	if right < seeds {
		t.Errorf("only %d of %d found", right, seeds)
	}
}

// The lattices of hard photos promise three times as much as it takes to be surveyed.
func TestHardPhotosKeepTheirLattices(t *testing.T) {
	for seed, trouble := range map[uint64]string{31: "faint", 32: "noisy", 33: "tilt30"} {
		s, err := synth.Random(seed).WithMegapixels(0.8).WithTrouble(trouble)
		if err != nil {
			t.Fatal(err)
		}
		img, _ := s.Shoot()
		if p := graticule.Promise(t.Context(), photo.New(img)); p < 3 {
			t.Errorf("%s: the lattice has %.1f times the promise that it takes to be surveyed", trouble, p)
		}
	}
}

// The claim: the uncertainty that Moves gives for a node is the spread of its error, whatever the
// trouble. Six photos are few; BenchmarkFindStudy has hundreds, and
// TestPlacesAreOffByWhatTheCovarianceSays what needs no photo.
func TestNodePullsHaveUnitSpread(t *testing.T) {
	var sum, n float64
	for i, trouble := range []string{"tilt30", "curved", "cut", "jpeg30", "menu", "blur2"} {
		s, err := synth.Random(uint64(300 + i)).WithMegapixels(0.8).WithTrouble(trouble)
		if err != nil {
			t.Fatal(err)
		}
		img, tr := s.Shoot()
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		if err != nil || g.Frame != tr.Frame() {
			t.Fatalf("%s: %v %v", trouble, g, err)
		}
		boxes, pixels := nodes(tr)
		moves := g.Moves(boxes)
		own := 0.0
		for i, p := range pixels {
			var ux, uy float64
			for _, m := range moves {
				ux += m.DX[i] * m.DX[i]
				uy += m.DY[i] * m.DY[i]
			}
			b := g.Box(p)
			own += (b.X-boxes[i].X)*(b.X-boxes[i].X)/ux + (b.Y-boxes[i].Y)*(b.Y-boxes[i].Y)/uy
		}
		t.Logf("%s: spread %.2f, %.4f box off", trouble, math.Sqrt(own/float64(2*len(boxes))), nodeError(g, tr))
		sum += own
		n += float64(2 * len(boxes))
	}
	if spread := math.Sqrt(sum / n); spread < 0.6 || spread > 1.25 {
		t.Errorf("spread of the pulls is %.2f", spread)
	}
}

func TestATurnedPhotoGivesTheTurnedGrid(t *testing.T) {
	img, tr := scene(20, synth.Display{}).Shoot()
	w := img.Bounds().Dx()
	g, err := graticule.Find(t.Context(), photo.New(turned(img)), nil)
	if err != nil {
		t.Fatal(err)
	}
	if want := (geom.Frame{Cols: 8, Rows: 10}); g.Frame != want {
		t.Fatalf("found %v, want %v; %q", g.Frame, want, g.Doubts)
	}
	// A quarter turn anticlockwise takes pixel (x, y) to (y, w - x), box (x, y) to (-y, x).
	boxes, pixels := nodes(tr)
	for i, p := range pixels {
		b := g.Box(geom.Pixel{X: p.Y, Y: float64(w) - p.X})
		if math.Hypot(b.X+boxes[i].Y, b.Y-boxes[i].X) > 0.02 {
			t.Fatalf("node %v is at %v", boxes[i], b)
		}
	}
}

// Corners within 3 % of the photo's width, half a box and more, whatever the display and its trouble.
func TestCornersByHandAreRefined(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	for i, trouble := range []string{"", "tilt20", "faint", "jpeg60"} {
		s := synth.Random(uint64(70 + i)).WithMegapixels(0.8)
		if trouble != "" {
			var err error
			if s, err = s.WithTrouble(trouble); err != nil {
				t.Fatal(err)
			}
		}
		img, tr := s.Shoot()
		ph := photo.New(img)
		var c [4]geom.Pixel
		for k, p := range tr.CornersPx {
			reach := 0.03 * float64(ph.W)
			c[k] = geom.Pixel{
				X: min(max(p[0]+reach*(2*rng.Float64()-1), 0), float64(ph.W)),
				Y: min(max(p[1]+reach*(2*rng.Float64()-1), 0), float64(ph.H)),
			}
		}
		for _, frame := range []geom.Frame{tr.Frame(), {}} {
			g, err := graticule.Find(t.Context(), ph, &graticule.Options{Corners: &c, Frame: frame})
			if err != nil {
				t.Fatalf("%q: %v", trouble, err)
			}
			if !g.ByHand || g.Frame != tr.Frame() {
				t.Errorf("%q: by hand %v, frame %v of %v; %q", trouble, g.ByHand, g.Frame, tr.Frame(), g.Doubts)
			} else if e := nodeError(g, tr); e > 0.01 {
				t.Errorf("%q: nodes are %.3f boxes off", trouble, e)
			}
		}
	}
}

// A corner that the photo cuts off is given by where it would be, outside.
func TestCornersOutsideThePhotoAreRefined(t *testing.T) {
	for _, seed := range []uint64{28, 31, 308} {
		s, err := synth.Random(seed).WithMegapixels(0.8).WithTrouble("cut")
		if err != nil {
			t.Fatal(err)
		}
		img, tr := s.Shoot()
		var c [4]geom.Pixel
		outside := false
		for k, p := range tr.CornersPx {
			c[k] = geom.Pixel{X: p[0] - 8 + 4*float64(k), Y: p[1] + 6 - 3*float64(k)}
			outside = outside || c[k].X < 0
		}
		g, err := graticule.Find(t.Context(), photo.New(img), &graticule.Options{Corners: &c, Frame: tr.Frame()})
		switch {
		case !outside:
			t.Errorf("seed %d: all corners are in the photo", seed)
		case err != nil:
			t.Errorf("seed %d: %v", seed, err)
		case nodeError(g, tr) > 0.01:
			t.Errorf("seed %d: nodes are %.3f boxes off; %q", seed, nodeError(g, tr), g.Doubts)
		}
	}
}

func TestAKnownCountOverridesTheSearch(t *testing.T) {
	img, tr := scene(22, synth.Display{}).Shoot()
	g, err := graticule.Find(t.Context(), photo.New(img), &graticule.Options{Frame: tr.Frame()})
	if err != nil || g.Frame != tr.Frame() || nodeError(g, tr) > 0.01 {
		t.Errorf("right count: %v %v", g, err)
	}
	g, err = graticule.Find(t.Context(), photo.New(img), &graticule.Options{Frame: geom.Frame{Cols: 12, Rows: 8}})
	if err == nil && (g.Frame.Cols != 12 || len(g.Doubts) == 0) {
		t.Errorf("wrong count: frame %v, doubts %q", g.Frame, g.Doubts)
	}
}

// Whether the lines end at the photo's edge or go on behind it cannot be seen: the frame may be right,
// but never without a doubt. 28: a tube; 308: solid lines, of which one column is cut off.
func TestAFrameThatThePhotoCutsOffCarriesADoubt(t *testing.T) {
	for _, seed := range []uint64{28, 308} {
		s, err := synth.Random(seed).WithMegapixels(0.8).WithTrouble("cut")
		if err != nil {
			t.Fatal(err)
		}
		img, tr := s.Shoot()
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
		} else if len(g.Doubts) == 0 {
			t.Errorf("seed %d: %v taken for %v without a doubt", seed, tr.Frame(), g.Frame)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	for _, mp := range []float64{2, 12} {
		b.Run(fmt.Sprintf("mp=%g", mp), func(b *testing.B) {
			s := synth.Scene{Seed: 1, Camera: synth.Phone()}
			data, _, err := s.WithMegapixels(mp).JPEG()
			if err != nil {
				b.Fatal(err)
			}
			ph, err := photo.Decode(b.Context(), data, nil)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := graticule.Find(b.Context(), ph, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// faintWave is a colour panel of faint lines, which a sine of so many cycles fills.
func faintWave(seed uint64, grid synth.Grid, f geom.Frame, cycles float64) synth.Scene {
	s := scene(seed, synth.Display{Grid: grid, Frame: f})
	s.TimePerBox = 1e-3
	s.Signals = []synth.Signal{{
		Form: synth.Sine, VStart: 0.47 * float64(f.Rows), VoltsPerBox: 1, Frequency: cycles / float64(f.Cols) / 1e-3,
	}}
	s, err := s.WithTrouble("faint")
	if err != nil {
		panic(err) // the name is the simulator's own
	}
	return s
}

// The flanks of a wave that fills a colour panel are no lines, however even they are; a third such wave is among the
// scenes of TestEachWayEarnsItsPlace.
func TestWavesAreNoLines(t *testing.T) {
	for _, c := range []struct {
		seed   uint64
		frame  geom.Frame
		grid   synth.Grid
		cycles float64
	}{
		{1, geom.Frame{Cols: 8, Rows: 10}, synth.Dotted, 9},
		{3, geom.Frame{Cols: 10, Rows: 8}, synth.Crosses, 8.5},
	} {
		img, tr := faintWave(c.seed, c.grid, c.frame, c.cycles).Shoot()
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		if err != nil {
			t.Errorf("%g cycles, %v: %v", c.cycles, c.grid, err)
			continue
		}
		if g.Frame != tr.Frame() || nodeError(g, tr) > 0.02 {
			t.Errorf("%g cycles, %v: found %v, %.3f box off, doubts %q", c.cycles, c.grid, g.Frame, nodeError(g, tr), g.Doubts)
		}
	}
}
