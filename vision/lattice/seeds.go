package lattice

// Seeds: small affine lattices, from periodicity in windows.
//
// In a window of the right size the lines of one family are nearly parallel and equispaced, whatever the perspective
// of the whole (see combs.go). The best steps of both families in one window make a seed. Window by window this asks
// nothing of the frame, the bezel or the trace.

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	maxSkew   = 20  // degrees off a right angle between the families (TestSeedsAreFoundOfWhatADisplayMayBe)
	aspectMax = 2.6 // width to height of a box, either way (TestAFoldedOrFlatLatticeIsNotPlausible)
)

// windowBlocks are the sides of the windows in blocks, and their strides. Of a fine picture whose coarse one is
// searched too the first smallWindows are enough: the others show what the coarse picture shows in those
// (TestSeedsAreFoundOfWhatADisplayMayBe).
var windowBlocks = [][2]int{{5, 2}, {8, 3}, {13, 4}, {20, 7}}

const smallWindows = 2 // TestSeedsAreFoundOfWhatADisplayMayBe

// A Seed is a small lattice whose origin is near the middle of its window.
type Seed struct {
	Map   Map
	Score float64 // how clearly its lines repeat; only ratios of one picture mean anything
}

// Seeds gives the seeds of one picture, the best first, at most keep. With small it looks at small windows only.
func Seeds(e *scene.Ridges, keep int, small bool) []Seed {
	type window struct{ x, y, w, h int } // blocks
	var windows []window
	bw, bh := e.W/blockRows, e.H/blockRows
	sides := windowBlocks
	if small {
		sides = sides[:smallWindows]
	}
	for _, s := range sides {
		w, h := min(s[0], bw), min(s[0], bh)
		if w < 3 || h < 3 {
			continue
		}
		for y := 0; ; y += s[1] {
			y = min(y, bh-h)
			for x := 0; ; x += s[1] {
				x = min(x, bw-w)
				windows = append(windows, window{x, y, w, h})
				if x == bw-w {
					break
				}
			}
			if y == bh-h {
				break
			}
		}
	}
	up, lv := make([][]comb, len(windows)), make([][]comb, len(windows))
	// One family after the other: the sums of a fine picture take 14 MB.
	for _, f := range []struct {
		plane *raster.Plane
		of    func(s *shearSum, w window) []comb
		out   [][]comb
	}{
		{e.Upright, func(s *shearSum, w window) []comb { return s.combs(w.x*blockRows, w.w*blockRows, w.y, w.h) }, up},
		{e.Level, func(s *shearSum, w window) []comb { return s.combs(w.y*blockRows, w.h*blockRows, w.x, w.w) }, lv},
	} {
		s := shearSums(f.plane)
		raster.Rows(len(windows), func(a, b int) {
			for i := a; i < b; i++ {
				f.out[i] = f.of(s, windows[i])
			}
		})
	}
	var all []Seed
	for i, w := range windows {
		xMid, yMid := (float64(w.x)+float64(w.w)/2)*blockRows, (float64(w.y)+float64(w.h)/2)*blockRows
		for _, u := range up[i] {
			for _, l := range lv[i] {
				if sd, ok := joinCombs(u, l, xMid, yMid, e.Scale); ok {
					all = append(all, sd)
				}
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return cmp.Less(all[j].Score, all[i].Score) })
	var kept []Seed
	for _, sd := range all {
		if len(kept) == keep {
			break
		}
		if !slices.ContainsFunc(kept, func(k Seed) bool { return sameSeed(k.Map, sd.Map) }) {
			kept = append(kept, sd)
		}
	}
	return kept
}

// joinCombs makes a seed of an upright and a level comb of one window with its middle at (xMid, yMid).
func joinCombs(u, l comb, xMid, yMid, scale float64) (Seed, bool) {
	aspect := u.step / l.step
	skew := math.Abs(math.Atan(u.tan)+math.Atan(l.tan)) * 180 / math.Pi
	if skew > maxSkew || aspect > aspectMax || aspect < 1/aspectMax {
		return Seed{}, false
	}
	// i = (x + tu(y-yMid) - xu)/pu, j = -(y + tl(x-xMid) - yl)/pl, on the photo.
	inv := scale / u.step
	jnv := -scale / l.step
	h, ok := invert([9]float64{
		inv, inv * u.tan, -(u.tan*yMid + u.at + 0.5) / u.step,
		jnv * l.tan, jnv, (l.tan*xMid + l.at + 0.5) / l.step,
		0, 0, 1,
	})
	if !ok {
		return Seed{}, false
	}
	mid := h.Box(geom.Pixel{X: xMid / scale, Y: yMid / scale})
	la, ls := math.Log(aspect)/0.9, skew/15
	return Seed{
		Map:   Shift(h, math.Round(mid.X), math.Round(mid.Y)),
		Score: math.Sqrt(u.rating*l.rating) * math.Exp(-la*la-ls*ls),
	}, true
}

// sameSeed reports whether b, near its own origin, may be a with another origin: steps equal within
// 0.12 (and 0.03 for each box between them, for perspective), phase within a quarter box. Beyond five
// boxes the phase cannot be told.
func sameSeed(a, b Map) bool {
	o := a.Box(b.Pixel(geom.Box{}))
	dist := math.Hypot(o.X, o.Y)
	if !(dist < 30) {
		return false
	}
	r, u := a.Box(b.Pixel(geom.Box{X: 1})), a.Box(b.Pixel(geom.Box{Y: 1}))
	tol := 0.12 + 0.03*dist
	if math.Abs(r.X-o.X-1) > tol || math.Abs(r.Y-o.Y) > tol || math.Abs(u.Y-o.Y-1) > tol || math.Abs(u.X-o.X) > tol {
		return false
	}
	return dist > 5 || math.Abs(o.X-math.Round(o.X)) < 0.25 && math.Abs(o.Y-math.Round(o.Y)) < 0.25
}
