package graticule

// The last step: the frame's homography and one radial lens term, measured on the photo itself.
//
// Each box-long piece of line is looked at on the photo at its own resolution, through the model:
// rows across the line are sampled, the second difference along each row tells where the light has a
// ridge, and the mean over the rows, each over its own strength so that a trace that crosses does not
// rule, has its peak on the line. A peak gives one number, how far the
// line is off the model in boxes. Nine parameters (h0..h7, K) are fitted to all of them by
// Gauss-Newton steps with Cauchy weights, and the photo is looked at again through the new model.

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

const (
	refineRounds = 3     // looks at the photo; the model moves under 0.001 box after two
	refineReach  = 0.10  // box: farther off is a neighbour's tick or a helper line
	mostRows     = 80    // rows across a piece, about one a sample: thin dots are missed between fewer
	leastRows    = 8     // rows
	ridgeWidth   = 0.025 // box: half the width of the second difference, or 1.5 samples if that is more
	ridgeSteps   = 2     // steps of the profile to that width
	ridgeBlur    = 0.75  // of that width, Gaussian before the difference: the display's own pixels, 1/25 box, must not count
	agrees       = 0.2   // weight of a piece that lies within four spreads of the fit
	lensSigma    = 0.02  // 1: prior spread of K; phones correct their lenses to about that
	// alike is how many pieces of a line say the same: the prior is weighed against lines, or the
	// curve of a tube's face would be taken for a lens (TestFindOnSimulatedPhotos).
	alike      = 8
	parameters = 9
)

// A fit is what refine gives.
type fit struct {
	h         geom.Homography
	lens      geom.Radial
	cov       *mat.SymDense
	rms       float64 // box
	seen      int     // pieces with a peak that agrees with the fit
	pieces    int     // pieces inside the picture
	crossings int
}

// model maps boxes to the photo.
type model struct {
	h    geom.Homography
	lens geom.Radial
}

func (m *model) pixel(b geom.Box) geom.Pixel { return m.lens.Bend(m.h.Pixel(b)) }
func (m *model) box(p geom.Pixel) geom.Box   { return m.h.Box(m.lens.Straighten(p)) }

// An observation is one piece seen on the photo.
type observation struct {
	piece
	coord  float64 // box: where the line is
	place  geom.Pixel
	weight float64 // 0..1
}

// lines lists the coordinates of the ruled lines of a frame, in boxes from the centre.
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
	m := model{h: h, lens: geom.Radial{
		Centre: geom.Pixel{X: float64(ph.W) / 2, Y: float64(ph.H) / 2},
		Scale:  math.Hypot(float64(ph.W), float64(ph.H)) / 2,
	}}
	xs, ys := rulings(f, centred)
	var obs []observation
	for range refineRounds {
		obs, out.pieces = observe(near, &m, xs, ys, sign)
		if len(obs) < 3*parameters {
			return out, false
		}
		if !adjust(&m, obs) {
			return out, false
		}
	}
	res := residuals(&m, obs)
	dropLines(obs, res)
	if !adjust(&m, obs) {
		return out, false
	}
	res = residuals(&m, obs)
	sum, n := 0.0, 0.0
	for i, o := range obs {
		if o.weight > agrees {
			sum += res[i] * res[i]
			n++
			out.seen++
		}
	}
	out.h, out.lens = m.h, m.lens
	out.rms = math.Sqrt(sum / max(n, 1))
	out.cov = covariance(&m, obs, res)
	out.crossings = crossings(obs, len(xs), len(ys))
	return out, n >= 2*parameters
}

// observe looks at every piece of line inside the photo.
func observe(near *closeUp, m *model, xs, ys []float64, sign float32) (obs []observation, inside int) {
	look := func(fam family, k, c int, line, from float64) {
		at := func(off, t float64) geom.Box {
			if fam == upright {
				return geom.Box{X: line + off, Y: from + t}
			}
			return geom.Box{X: from + t, Y: line + off}
		}
		place, found, in := sightLine(near, m, at, sign)
		if in {
			inside++
		}
		if found {
			obs = append(obs, observation{piece{fam, k, c}, line, place, 1})
		}
	}
	for k, x := range xs {
		for c := range len(ys) - 1 {
			look(upright, k, c, x, ys[c])
		}
	}
	for k, y := range ys {
		for c := range len(xs) - 1 {
			look(level, k, c, y, xs[c])
		}
	}
	return obs, inside
}

// sightLine looks across one piece, whose places are at(offset, along), and gives where the
// ridge crosses its middle; in says whether the piece is on the photo.
func sightLine(near *closeUp, m *model, at func(off, t float64) geom.Box, sign float32) (place geom.Pixel, found, in bool) {
	a, b := m.pixel(at(-0.5, 0.5)), m.pixel(at(0.5, 0.5))
	px := math.Hypot(b.X-a.X, b.Y-a.Y) * near.scale // samples of a box, across the line
	c, d := m.pixel(at(0, 0)), m.pixel(at(0, 1))
	count := min(int((1-2*alongFrom)*math.Hypot(d.X-c.X, d.Y-c.Y)*near.scale), mostRows)
	if px < leastBox || count < leastRows {
		return place, false, false
	}
	const (
		wide  = len(ridgeKernel) / 2
		flank = 3 * ridgeSteps // beside the reach, so that the noise is seen
	)
	step := max(ridgeWidth, 1.5/px) / ridgeSteps
	half := int(refineReach/step) + flank + wide
	n := 2*half + 1
	row := make([]float32, n)
	ridge := make([]float32, n*count)
	rows := 0
	for r := range count {
		t := alongFrom + (1-2*alongFrom)*(float64(r)+0.5)/float64(count)
		if !near.run(row, m.pixel(at(-float64(half)*step, t)), m.pixel(at(float64(half)*step, t))) {
			continue
		}
		dst := ridge[rows*n:][:n]
		for i := wide; i < n-wide; i++ {
			var v float32
			for k, w := range ridgeKernel {
				v += w * row[i-wide+k]
			}
			dst[i] = sign * v
		}
		rows++
	}
	if 2*rows < count {
		return place, false, false
	}
	power := make([]float64, rows)
	all := 0.0
	for r := range rows {
		for _, v := range ridge[r*n+wide : (r+1)*n-wide] {
			power[r] += float64(v * v)
		}
		power[r] = math.Sqrt(power[r] / float64(n-2*wide))
		all += power[r] / float64(rows)
	}
	mean := make([]float64, n)
	for r := range rows {
		w := float32(1 / (power[r] + all + evidenceSoft))
		for i := wide; i < n-wide; i++ {
			mean[i] += float64(w * ridge[r*n+i])
		}
	}
	best := -1
	lo, hi := half-int(refineReach/step), half+int(refineReach/step)
	for i := lo; i <= hi; i++ {
		if best < 0 || mean[i] > mean[best] {
			best = i
		}
	}
	if best <= lo || best >= hi {
		return place, false, true
	}
	inner := append([]float64(nil), mean[wide:n-wide]...)
	mid := median(inner)
	for i := range inner {
		inner[i] = math.Abs(inner[i] - mid)
	}
	if mean[best]-mid < peakNoise*1.5*median(inner) {
		return place, false, true
	}
	lo3, mid3, hi3 := mean[best-1], mean[best], mean[best+1]
	part := 0.0
	if den := lo3 - 2*mid3 + hi3; den < 0 {
		part = 0.5 * (lo3 - hi3) / den
	}
	// The rows are even in pixels, not in boxes: under perspective their middle is not the line.
	reach := float64(half) * step
	a, b = m.pixel(at(-reach, 0.5)), m.pixel(at(reach, 0.5))
	f := (float64(best) + part) / float64(n-1)
	return geom.Pixel{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}, true, true
}

// ridgeKernel is the negative second difference of a Gaussian, in steps of the profile.
var ridgeKernel = func() (k [15]float32) {
	const sigma = ridgeBlur * ridgeSteps
	at := func(x float64) float64 { return math.Exp(-x * x / (2 * sigma * sigma)) }
	sum := 0.0
	for i := range k {
		sum += at(float64(i - len(k)/2))
	}
	for i := range k {
		x := float64(i - len(k)/2)
		k[i] = float32((2*at(x) - at(x-ridgeSteps) - at(x+ridgeSteps)) / sum)
	}
	mean := float32(0)
	for _, v := range k {
		mean += v / float32(len(k))
	}
	for i := range k {
		k[i] -= mean // even light gives exactly nothing
	}
	return k
}()

// params and set carry the nine parameters in and out of the model.
func (m *model) params() (p [parameters]float64) {
	copy(p[:8], m.h[:8])
	p[8] = m.lens.K
	return p
}

func (m *model) set(p [parameters]float64) {
	copy(m.h[:8], p[:8])
	m.lens.K = p[8]
}

// residuals gives the offset in boxes of each observation from its line.
func residuals(m *model, obs []observation) []float64 {
	r := make([]float64, len(obs))
	for i, o := range obs {
		b := m.box(o.place)
		if o.fam == upright {
			r[i] = b.X - o.coord
		} else {
			r[i] = b.Y - o.coord
		}
	}
	return r
}

// jacobian gives the derivatives of the residuals, by central differences whose steps move the
// frame by about 1e-4 of its size.
func jacobian(m *model, obs []observation) *mat.Dense {
	j := mat.NewDense(len(obs), parameters, nil)
	p := m.params()
	size := math.Hypot(p[0], p[3]) + math.Hypot(p[1], p[4])
	for c := range parameters {
		step := 1e-4 * size
		switch {
		case c == 6 || c == 7:
			step = 1e-5
		case c == 8:
			step = 1e-4
		}
		up, down := *m, *m
		q := p
		q[c] += step
		up.set(q)
		q[c] -= 2 * step
		down.set(q)
		a, b := residuals(&up, obs), residuals(&down, obs)
		for r := range obs {
			j.Set(r, c, (a[r]-b[r])/(2*step))
		}
	}
	return j
}

// normal gives JᵀWJ with the prior of K, in units where the residual's spread s is 1.
func normal(j *mat.Dense, weights []float64, s float64) *mat.SymDense {
	n := mat.NewSymDense(parameters, nil)
	for a := range parameters {
		for b := a; b < parameters; b++ {
			t := 0.0
			for r, w := range weights {
				t += w * j.At(r, a) * j.At(r, b)
			}
			n.SetSym(a, b, t/(s*s))
		}
	}
	n.SetSym(8, 8, n.At(8, 8)+alike/(lensSigma*lensSigma))
	return n
}

// inverse inverts a symmetric positive matrix, scaled to a unit diagonal first: the parameters differ
// by many orders of magnitude.
func inverse(n *mat.SymDense) (*mat.SymDense, bool) {
	d := make([]float64, parameters)
	scaled := mat.NewSymDense(parameters, nil)
	for i := range d {
		d[i] = math.Sqrt(n.At(i, i))
		if !(d[i] > 0) {
			return nil, false
		}
	}
	for a := range parameters {
		for b := a; b < parameters; b++ {
			scaled.SetSym(a, b, n.At(a, b)/(d[a]*d[b]))
		}
	}
	var ch mat.Cholesky
	if !ch.Factorize(scaled) {
		return nil, false
	}
	var inv mat.SymDense
	if ch.InverseTo(&inv) != nil {
		return nil, false
	}
	for a := range parameters {
		for b := a; b < parameters; b++ {
			inv.SetSym(a, b, inv.At(a, b)/(d[a]*d[b]))
		}
	}
	return &inv, true
}

// adjust fits the model to the observations and leaves their weights as they ended; weights of zero
// stay zero.
func adjust(m *model, obs []observation) bool {
	w := make([]float64, len(obs))
	for range 8 {
		res := residuals(m, obs)
		kept := make([]float64, 0, len(obs))
		for i, r := range res {
			if obs[i].weight > 0 {
				kept = append(kept, r)
			}
		}
		s := max(spread(kept), 5e-4)
		for i, r := range res {
			if obs[i].weight > 0 {
				obs[i].weight = 1 / (1 + r*r/(4*s*s))
			}
			w[i] = obs[i].weight
		}
		j := jacobian(m, obs)
		inv, ok := inverse(normal(j, w, s))
		if !ok {
			return false
		}
		g := make([]float64, parameters)
		for c := range g {
			for r := range res {
				g[c] -= w[r] * j.At(r, c) * res[r] / (s * s)
			}
		}
		g[8] -= alike * m.lens.K / (lensSigma * lensSigma)
		p := m.params()
		for a := range p {
			for b := range g {
				p[a] += inv.At(a, b) * g[b]
			}
		}
		p[8] = min(max(p[8], -0.2), 0.2)
		for _, v := range p {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return false
			}
		}
		m.set(p)
	}
	return true
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
