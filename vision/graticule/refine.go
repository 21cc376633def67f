package graticule

// The last step: the frame's homography, one radial lens term and the curve of its face, measured on
// the photo itself.
//
// Each box-long piece of line is looked at on the photo through the model (sight.go), the model is
// fitted to where the lines were seen (adjust.go), and the photo is looked at again through the new
// model.

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

const (
	refineRounds = 3   // looks at the photo; the model moves under 0.001 box after two
	agrees       = 0.2 // weight of a piece that lies within four spreads of the fit
	leastSeen    = 18  // pieces: twice the parameters of a plane and a lens
)

// A fit is what refine gives.
type fit struct {
	model
	cov       *mat.SymDense
	rms       float64 // box, of the pieces that agree
	bend      float64 // box, rms of the face's departure from a plane over the crossings
	seen      int     // pieces with a peak that agrees with the fit
	pieces    int     // pieces inside the picture
	crossings int
	obs       []observation
}

// An observation is one piece seen on the photo.
type observation struct {
	piece
	coord  float64 // box: where the line is
	place  geom.Pixel
	weight float64 // 0..1
	outer  bool    // the first or last line of its family
}

// rulings lists the coordinates of the ruled lines of a frame, in boxes from the centre.
func rulings(f geom.Frame, centred bool) (xs, ys []float64) {
	cols := f.Cols
	if centred {
		cols--
	}
	for i := range cols + 1 {
		xs = append(xs, float64(i)-float64(cols)/2)
	}
	for j := range f.Rows + 1 {
		ys = append(ys, float64(j)-float64(f.Rows)/2)
	}
	return xs, ys
}

// refine starts from h, box -> photo with the origin at the frame's centre, good to a tenth of a box.
// ok is false when too few lines are seen to fit.
func refine(ph *photo.Photo, near *closeUp, h geom.Homography, f geom.Frame, centred bool, sign float32) (out fit, ok bool) {
	out.model = *newModel(ph.W, ph.H, h, f)
	m := &out.model
	if sign < 0 {
		m.shared = offset
	}
	xs, ys := rulings(f, centred)
	var obs []observation
	for round := range refineRounds {
		obs, out.pieces = observe(near, m, xs, ys, sign)
		if len(obs) < leastSeen {
			return out, false
		}
		if round == refineRounds-1 {
			dropLines(obs, residuals(m, obs))
			dropEnds(m, obs, len(xs), len(ys))
		}
		if _, out.cov, ok = adjust(m, obs); !ok {
			return out, false
		}
	}
	sum := 0.0
	for i, r := range residuals(m, obs) {
		if obs[i].weight > agrees {
			sum += r * r
			out.seen++
		}
	}
	out.rms = math.Sqrt(sum / float64(max(out.seen, 1)))
	out.bend = m.bend(xs, ys)
	out.obs = obs
	out.crossings = crossings(obs, len(xs), len(ys))
	return out, out.seen >= leastSeen
}

// rimOff is how far, in boxes, the farther of the left and right rim of f is from its place, half a box from
// the last line; of those of which half is seen.
func rimOff(near *closeUp, m *model, f geom.Frame, sign float32) (off float64) {
	const reach = 0.2             // box
	at := map[float64][]float64{} // by rim
	for _, k := range rimMarks(f) {
		if k.fam != upright {
			continue
		}
		if p, height, in := k.sight(near, m, sign, reach); in && height > rimClear {
			at[k.coord] = append(at[k.coord], m.box(p).X-k.coord)
		}
	}
	for _, seen := range at {
		if 2*len(seen) >= f.Rows {
			off = max(off, math.Abs(median(seen)))
		}
	}
	return off
}

// dropLines takes out whole lines that lie off the others: helper lines drawn beside a grid line.
func dropLines(obs []observation, res []float64) {
	const (
		lineOff  = 4.0  // of the spread of the lines' means
		leastOff = 0.02 // box
	)
	type key struct {
		fam family
		k   int
	}
	by := map[key][]int{}
	for i, o := range obs {
		by[key{o.fam, o.k}] = append(by[key{o.fam, o.k}], i)
	}
	middle := func(ix []int) float64 {
		v := make([]float64, len(ix))
		for n, i := range ix {
			v[n] = res[i]
		}
		return median(v)
	}
	var mids []float64
	for _, ix := range by {
		mids = append(mids, middle(ix))
	}
	limit := max(leastOff, lineOff*spread(mids))
	for _, ix := range by {
		if math.Abs(middle(ix)) > limit {
			for _, i := range ix {
				obs[i].weight = 0
			}
		}
	}
}

// dropEnds takes out the line before lines that are not seen, and what lies beyond it, where it is not
// where the others want it: the edge of a menu or table that covers the rest. Nothing else would tell,
// for the face would bend towards it.
func dropEnds(m *model, obs []observation, nx, ny int) {
	const off = 4.0 // standard deviations
	for fam, count := range map[family]int{upright: nx, level: ny} {
		seen := make([]int, count)
		for _, o := range obs {
			if o.fam == fam && o.weight > 0 {
				seen[o.k]++
			}
		}
		crossing := nx + ny - count - 1 // pieces of a whole line
		there := func(k int) bool { return 2*seen[k] >= crossing }
		first, last := 0, count-1
		for first < last && !there(first) {
			first++
		}
		for last > first && !there(last) {
			last--
		}
		for _, end := range [2]struct {
			k       int
			covered bool
			beyond  func(k int) bool
		}{{first, first > 0, func(k int) bool { return k <= first }}, {last, last < count-1, func(k int) bool { return k >= last }}} {
			if !end.covered || last-first < 3 {
				continue
			}
			rest, without := *m, append([]observation(nil), obs...)
			for i, o := range without {
				if o.fam == fam && end.beyond(o.k) {
					without[i].weight = 0
				}
			}
			n, cov, ok := adjust(&rest, without)
			if !ok {
				continue
			}
			var res []float64
			variance := n.piece * n.piece * (n.line + 1/float64(seen[end.k]))
			for i, r := range residuals(&rest, obs) {
				if o := obs[i]; o.fam == fam && o.k == end.k && o.weight > 0 {
					res = append(res, r)
					variance += rest.variance(o.place, fam, cov) / float64(seen[end.k])
				}
			}
			if e := median(res); e*e > off*off*variance {
				for i, o := range obs {
					if o.fam == fam && end.beyond(o.k) {
						obs[i].weight = 0
					}
				}
			}
		}
	}
}

// crossings counts the crossings with a piece of both lines seen beside them.
func crossings(obs []observation, nx, ny int) int {
	var up, lv = make([]bool, nx*ny), make([]bool, nx*ny)
	for _, o := range obs {
		if o.weight <= agrees {
			continue
		}
		for d := range 2 {
			if o.fam == upright {
				up[(o.c+d)*nx+o.k] = true
			} else {
				lv[o.k*nx+o.c+d] = true
			}
		}
	}
	n := 0
	for i := range up {
		if up[i] && lv[i] {
			n++
		}
	}
	return n
}
