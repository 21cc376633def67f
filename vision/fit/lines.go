package fit

// The fit to the ruled lines of a frame.

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	// Rounds is how often the photo is looked at; the model moves under 0.001 box after two
	// (nothing changes from 2 to 6, TestAFrameTakesEnoughPieces).
	Rounds = 3
	// Agrees is the weight of a piece that lies within four spreads of the fit (TestPiecesOfLittleWeightDoNotAgree).
	Agrees = 0.2
	// LeastSeen is how many pieces must be seen: twice the parameters of a plane and a lens
	// (TestAFrameTakesEnoughPieces).
	LeastSeen = 18
	// leastShare is the share of the pieces inside the picture that must be seen at every look
	// (TestAFrameTakesEnoughPieces).
	leastShare = 0.2
)

// A Fit is a model fitted to a photo, and what it was fitted to.
type Fit struct {
	Model
	Cov          *mat.SymDense // of the parameters, see Parameters
	RMS          float64       // box, of the pieces that agree
	Bend         float64       // box, rms of the face's departure from a plane over the crossings
	Seen         int           // pieces with a peak that agrees with the fit
	Pieces       int           // pieces inside the picture
	Crossings    int           // crossings with a piece of both lines seen beside them
	Observations []Observation
}

// An Observation is one piece seen on the photo.
type Observation struct {
	lattice.Piece
	At     float64 // box from the frame's centre: where the line is
	Place  geom.Pixel
	Weight float64 // 0..1, how far the fit believes it; 0 not at all
	Outer  bool    // the first or last line of its family
}

// Rulings lists the coordinates of the ruled lines of a frame, in boxes from the centre.
func Rulings(f geom.Frame, centred bool) (xs, ys []float64) {
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

// Lines fits a frame of ruled lines on near, starting from h, box -> photo of w×h pixels with the origin at the frame's
// centre, good to a tenth of a box. sign is 1 for bright lines and -1 for dark ones. ok is false when too few lines are
// seen to fit.
func Lines(near *scene.Picture, w, h int, start geom.Homography, f geom.Frame, centred bool, sign float32) (out Fit, ok bool) {
	out.Model = *New(w, h, start, f)
	m := &out.Model
	if sign < 0 {
		m.shared = offset
	}
	xs, ys := Rulings(f, centred)
	var obs []Observation
	for round := range Rounds {
		rows := fewRows
		if round == Rounds-1 {
			rows = MostRows
		}
		obs, out.Pieces = Observe(near, m, xs, ys, sign, rows)
		if len(obs) < LeastSeen || float64(len(obs)) < leastShare*float64(out.Pieces) {
			return out, false
		}
		if round < Rounds-1 {
			if !Approach(m, obs) {
				return out, false
			}
			continue
		}
		DropLines(obs, Residuals(m, obs))
		dropEnds(m, obs, len(xs), len(ys))
		if out.Cov, ok = Adjust(m, obs); !ok {
			return out, false
		}
	}
	out.Tell(obs)
	out.Bend = m.Bend(xs, ys)
	out.Crossings = crossings(obs, len(xs), len(ys))
	return out, out.Seen >= LeastSeen
}

// Tell notes what the observations say of the fit.
func (f *Fit) Tell(obs []Observation) {
	sum := 0.0
	f.Seen, f.Observations = 0, obs
	for i, r := range Residuals(&f.Model, obs) {
		if obs[i].Weight > Agrees {
			sum += r * r
			f.Seen++
		}
	}
	f.RMS = math.Sqrt(sum / float64(max(f.Seen, 1)))
}

// DropLines takes out whole lines that lie off the others: helper lines drawn beside a grid line.
func DropLines(obs []Observation, res []float64) {
	const (
		lineOff  = 4.0  // of the spread of the lines' means (TestLinesBesideTheGridAreLeftOut)
		leastOff = 0.02 // box (TestLinesBesideTheGridAreLeftOut)
	)
	type key struct {
		of lattice.Family
		k  int
	}
	by := map[key][]int{}
	for i, o := range obs {
		by[key{o.Of, o.Line}] = append(by[key{o.Of, o.Line}], i)
	}
	middle := func(ix []int) float64 {
		v := make([]float64, len(ix))
		for n, i := range ix {
			v[n] = res[i]
		}
		return raster.Median(v)
	}
	var mids []float64
	for _, ix := range by {
		mids = append(mids, middle(ix))
	}
	limit := max(leastOff, lineOff*raster.Spread(mids))
	for _, ix := range by {
		if math.Abs(middle(ix)) > limit {
			for _, i := range ix {
				obs[i].Weight = 0
			}
		}
	}
}

// dropEnds takes out the line before lines that are not seen, and what lies beyond it, where it is not
// where the others want it: the edge of a menu or table that covers the rest. Nothing else would tell,
// for the face would bend towards it.
func dropEnds(m *Model, obs []Observation, nx, ny int) {
	const off = 4.0 // standard deviations (TestTheEdgeOfATableIsNoLine)
	for fam, count := range [2]int{nx, ny} {
		fam := lattice.Family(fam)
		seen := make([]int, count)
		for _, o := range obs {
			if o.Of == fam && o.Weight > 0 {
				seen[o.Line]++
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
			rest, without := *m, append([]Observation(nil), obs...)
			for i, o := range without {
				if o.Of == fam && end.beyond(o.Line) {
					without[i].Weight = 0
				}
			}
			n, cov, ok := adjust(&rest, without)
			if !ok {
				continue
			}
			var res []float64
			variance := n.piece * n.piece * (n.line + 1/float64(seen[end.k]))
			for i, r := range Residuals(&rest, obs) {
				if o := obs[i]; o.Of == fam && o.Line == end.k && o.Weight > 0 {
					res = append(res, r)
					variance += rest.variance(o.Place, fam, cov) / float64(seen[end.k])
				}
			}
			if e := raster.Median(res); e*e > off*off*variance {
				for i, o := range obs {
					if o.Of == fam && end.beyond(o.Line) {
						obs[i].Weight = 0
					}
				}
			}
		}
	}
}

// crossings counts the crossings with a piece of both lines seen beside them.
func crossings(obs []Observation, nx, ny int) int {
	var up, lv = make([]bool, nx*ny), make([]bool, nx*ny)
	for _, o := range obs {
		if o.Weight <= Agrees {
			continue
		}
		for d := range 2 {
			if o.Of == lattice.Upright {
				up[(o.Cell+d)*nx+o.Line] = true
			} else {
				lv[o.Line*nx+o.Cell+d] = true
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
