package fit

// The model that fits what was seen, and how sure it is.
//
// Where the pieces of lines were seen is a linear mixed model (C. R. Henderson, Best linear unbiased
// estimation and prediction under a selection model, Biometrics 31 (1975) 423) round the present one:
//
//	seen = model(homography, lens, face) + what the lines share + what neighbours share + noise
//
// The homography is free. Lens and face have priors: a phone's lens is nearly straight, and a face is a
// plane unless the lines say otherwise; how far it may depart is found with the rest. A line's pieces
// share an error (a display puts lines on whole pixels of its own), neighbouring pieces share another
// (what bends away slowly), both by the variances that make the residuals most likely with the fit's own
// freedom taken off (restricted likelihood: D. A. Harville, J. Am. Stat. Assoc. 72 (1977) 320), each
// averaged over a grid by its likelihood, so that what cannot be told is not taken for nothing.

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"

	"quadrille/vision/lattice"
	"quadrille/vision/raster"
)

const (
	// LensSigma: 1: prior spread of K; phones correct their lenses to about that
	// (TestASmallFrameLeavesTheLensAsPhonesHaveIt)
	LensSigma   = 0.02
	lens2Sigma  = 0.01 // 1: of K2 (TestASmallFrameLeavesTheLensAsPhonesHaveIt)
	leastSpread = 5e-4 // box: of the pieces; nearer ones are no outliers (TestOutliersLoseTheirWeight)
	leastStep   = 1e-4 // box: spread of a piece that no fit on pixels undercuts (TestNoFitOnPixelsIsExact)
	// rimPull is how far ticks inside a rim, and another field beyond it, draw its line away.
	rimPull = 0.003 // box (TestRimsThatAreDrawnAwayDoNotMoveTheGrid)
	// What all upright lines share, and all level ones. A panel's red, green and blue stand side by side,
	// so that a tinted line is seen up to a tenth of the panel's pixel beside its place. Dark lines have no
	// colour: they are a pale panel's or engraved before a tube.
	stripes = 0.0011 // box (TestLinesOfOneFamilyShareAShift)
	offset  = 0.0002 // box (TestLinesOfOneFamilyShareAShift)
	// leastBend keeps the prior of the face open where the lines do not reach.
	leastBend = 3e-4  // box (nothing changes from 0.00015 to 0.0006, TestPlacesAreOffByWhatTheCovarianceSays)
	firstBend = 0.003 // box (TestPlacesAreOffByWhatTheCovarianceSays)
	// steps: Gauss-Newton steps; the second moves the model by 1e-5 box (nothing changes from 2 to 8,
	// TestPlacesAreOffByWhatTheCovarianceSays)
	steps = 4
	// columns, of the linear model: the last are the shifts of all upright and all level lines
	// (TestPlacesAreOffByWhatTheCovarianceSays)
	columns = Parameters + 2
	free    = 8 // parameters without a prior (TestASmallFrameLeavesTheLensAsPhonesHaveIt)
)

// noise is what the errors of the pieces are made of.
type noise struct {
	piece float64 // box, standard deviation of one piece
	line  float64 // of what a line's pieces share over that of one piece, variances
	along float64 // correlation of neighbouring pieces
	bend  float64 // box, prior spread of a coefficient of the face
}

// Adjust fits the model to the observations and leaves their weights as they ended; weights of zero stay zero. The
// weights are found with all pieces for themselves, for only then is a line that lies off an outlier. The covariance is
// that of the parameters; ok is false when the observations do not fix them.
func Adjust(m *Model, obs []Observation) (cov *mat.SymDense, ok bool) {
	_, cov, ok = adjust(m, obs)
	return cov, ok
}

// Approach is Adjust for a model with which the photo will be looked at again: the errors are taken to be what they
// usually are, and nothing is said of how sure the fit is.
func Approach(m *Model, obs []Observation) bool {
	n := noise{line: 1, along: 0.4, bend: firstBend}
	for range steps {
		if _, ok := step(m, obs, &n, true); !ok {
			return false
		}
	}
	return true
}

// adjust is Adjust, and gives what the errors of the pieces are made of.
func adjust(m *Model, obs []Observation) (n noise, cov *mat.SymDense, ok bool) {
	n = noise{bend: firstBend}
	for range steps {
		if cov, ok = step(m, obs, &n, true); !ok {
			return n, nil, false
		}
	}
	n = linearise(m, obs, Residuals(m, obs)).noise()
	for range steps {
		if cov, ok = step(m, obs, &n, false); !ok {
			return n, nil, false
		}
	}
	return n, cov, true
}

// step moves the model by one Gauss–Newton step under the noise n. With weigh, weights and the spread of the pieces are
// found anew first.
func step(m *Model, obs []Observation, n *noise, weighing bool) (cov *mat.SymDense, ok bool) {
	res := Residuals(m, obs)
	if weighing {
		n.piece = weigh(obs, res)
	}
	by, cov, ok := linearise(m, obs, res).solve(*n)
	if !ok {
		return nil, false
	}
	p := m.params()
	for i := range p {
		p[i] += by[i]
		if math.IsNaN(p[i]) || math.IsInf(p[i], 0) {
			return nil, false
		}
	}
	p[atLens] = min(max(p[atLens], -0.2), 0.2)
	p[atLens+1] = min(max(p[atLens+1], -0.05), 0.05)
	m.set(p)
	return cov, true
}

// weigh gives each observation that has a weight a new one, 1 within so many spreads of its line and
// falling steeply beyond, and gives the spread in boxes. A weight that falls from the middle on would
// make the noise look less than it is.
func weigh(obs []Observation, res []float64) (s float64) {
	const within = 3.0 // spreads (TestOutliersLoseTheirWeight)
	kept := make([]float64, 0, len(obs))
	for i, r := range res {
		if obs[i].Weight > 0 {
			kept = append(kept, r)
		}
	}
	s = max(raster.Spread(kept), leastSpread)
	for i, r := range res {
		if obs[i].Weight > 0 {
			obs[i].Weight = min(1, math.Pow(within*s/math.Abs(r), 4))
		}
	}
	return s
}

// linear is the model linearised: for each line with pieces of weight, its rows.
type linear struct {
	lines []lineRows
	count int              // rows
	now   [columns]float64 // parameters, from which priors are counted
	scale [columns]float64 // of the columns of rows, which are divided by it
	// shared is the prior spread of what all upright lines share, in boxes.
	shared float64
}

// lineRows are the pieces of one line, in their order.
type lineRows struct {
	place []int     // along the line
	root  []float64 // square root of the weight
	row   [][columns]float64
	res   []float64 // box
	outer bool
}

func linearise(m *Model, obs []Observation, res []float64) *linear {
	l := &linear{shared: m.shared}
	p := m.params()
	copy(l.now[:], p[:])
	at := map[lattice.Piece]int{}
	for i, o := range obs {
		if o.Weight == 0 {
			continue
		}
		key := lattice.Piece{Of: o.Of, Line: o.Line}
		k, seen := at[key]
		if !seen {
			k = len(l.lines)
			at[key] = k
			l.lines = append(l.lines, lineRows{outer: o.Outer})
		}
		line := &l.lines[k]
		dx, dy := m.slopes(o.Place)
		var row [columns]float64
		if o.Of == lattice.Upright {
			copy(row[:], dx[:])
			row[Parameters] = 1
		} else {
			copy(row[:], dy[:])
			row[Parameters+1] = 1
		}
		line.place = append(line.place, o.Cell)
		line.root = append(line.root, math.Sqrt(o.Weight))
		line.row = append(line.row, row)
		line.res = append(line.res, res[i])
		l.count++
		for c, v := range row {
			l.scale[c] += v * v
		}
	}
	for c := range l.scale {
		if l.scale[c] = math.Sqrt(l.scale[c]); l.scale[c] == 0 {
			l.scale[c] = 1
		}
	}
	for _, line := range l.lines {
		for r := range line.row {
			for c := range columns {
				line.row[r][c] /= l.scale[c]
			}
		}
	}
	return l
}

// products are the sums over the rows, weighted by the inverse of their correlations, of columns by
// columns, columns by residual, residual by residual; and the log determinant of the correlations.
type products struct {
	cc     *mat.SymDense
	cr     [columns]float64
	rr     float64
	logDet float64
}

// products for pieces of unit spread, of which those of a line share the variance line (rims outer),
// and neighbours the correlation along.
func (l *linear) products(line, outer, along float64) (p products, ok bool) {
	p.cc = mat.NewSymDense(columns, nil)
	cc := p.cc.RawSymmetric().Data
	for _, q := range l.lines {
		n := len(q.res)
		share := line
		if q.outer {
			share += outer
		}
		v := mat.NewSymDense(n, nil)
		for a := range n {
			for b := a; b < n; b++ {
				c := share
				if along > 0 {
					c += math.Pow(along, float64(q.place[b]-q.place[a]))
				}
				if a == b {
					c = share + 1
				}
				v.SetSym(a, b, c/(q.root[a]*q.root[b]))
			}
		}
		f, ok := factorOf(v)
		if !ok {
			return p, false
		}
		p.logDet += f.logDet()
		// Whitened rows: the inverse of the lower factor, the upper one transposed, times them.
		white := make([][columns]float64, n)
		res := make([]float64, n)
		for a := range n {
			row, r := q.row[a], q.res[a]
			for b := range a {
				w := f.at(b, a)
				for c := range row {
					row[c] -= w * white[b][c]
				}
				r -= w * res[b]
			}
			w := 1 / f.at(a, a)
			for c := range row {
				row[c] *= w
			}
			white[a], res[a] = row, r*w
			for c := range columns {
				for d := c; d < columns; d++ {
					cc[c*columns+d] += white[a][c] * white[a][d]
				}
				p.cr[c] += white[a][c] * res[a]
			}
			p.rr += res[a] * res[a]
		}
	}
	return p, true
}

// A factor is U of U'U, a positive definite matrix, without the condition number that mat.Cholesky works out with it:
// a fit needs some hundred factors of small matrices.
type factor struct{ blas64.Triangular }

// factorOf uses up a; ok is false if it is not positive definite.
func factorOf(a *mat.SymDense) (f factor, ok bool) {
	f.Triangular, ok = lapack64.Potrf(a.RawSymmetric())
	return f, ok
}

func (f factor) at(row, col int) float64 { return f.Data[row*f.Stride+col] }

func (f factor) logDet() (sum float64) {
	for i := range f.N {
		sum += 2 * math.Log(f.at(i, i))
	}
	return sum
}

// square is b'A⁻¹b for the factor of A; it uses up b.
func (f factor) square(b []float64) float64 {
	v := blas64.Vector{N: f.N, Data: b, Inc: 1}
	blas64.Trsv(blas.Trans, f.Triangular, v)
	return blas64.Dot(v, v)
}

// prior gives the precisions of the columns, in their scaled units, for pieces of spread s.
func (l *linear) prior(bend, s float64) (prec [columns]float64) {
	for c := free; c < columns; c++ {
		sigma := bend
		switch c {
		case atLens:
			sigma = LensSigma
		case atLens + 1:
			sigma = lens2Sigma
		case Parameters:
			sigma = l.shared
		case Parameters + 1:
			sigma = offset
		}
		prec[c] = s * s / (sigma * sigma * l.scale[c] * l.scale[c])
	}
	return prec
}

// system adds the prior: C·step = b in units where a piece has unit spread.
func (l *linear) system(p *products, prec *[columns]float64) (c *mat.SymDense, b []float64, rest float64) {
	c = mat.NewSymDense(columns, nil)
	c.CopySym(p.cc)
	b = make([]float64, columns)
	rest = p.rr
	for k := range columns {
		c.SetSym(k, k, c.At(k, k)+prec[k])
		at := l.now[k] * l.scale[k]
		b[k] = -p.cr[k] - prec[k]*at
		rest += prec[k] * at * at
	}
	return c, b, rest
}

// noise finds what the errors are made of.
func (l *linear) noise() noise {
	var res []float64
	for _, q := range l.lines {
		res = append(res, q.res...)
	}
	s := max(raster.Spread(res), leastStep)
	type trial struct {
		noise
		loss float64
	}
	var trials []trial
	for _, line := range [...]float64{0, 0.1, 0.3, 1, 3, 10, 30, 100} {
		for _, along := range [...]float64{0, 0.4, 0.8} {
			s := s / math.Sqrt(1+line)
			p, ok := l.products(line, rimPull*rimPull/(s*s), along)
			if !ok {
				continue
			}
			for _, bend := range [...]float64{leastBend, 1e-3, 3e-3, 1e-2, 3e-2, 0.1} {
				prec := l.prior(bend, s)
				c, b, rest := l.system(&p, &prec)
				f, ok := factorOf(c)
				if !ok {
					continue
				}
				q := rest - f.square(b)
				dof := float64(l.count - free)
				variance := max(q/dof, leastStep*leastStep)
				loss := dof*math.Log(variance) + q/variance + p.logDet + f.logDet()
				for k := free; k < columns; k++ {
					loss -= math.Log(prec[k])
				}
				trials = append(trials, trial{noise{math.Sqrt(variance), line, along, bend * math.Sqrt(variance) / s}, loss})
			}
		}
	}
	best := math.Inf(1)
	for _, t := range trials {
		best = min(best, t.loss)
	}
	var n noise
	sum := 0.0
	for _, t := range trials {
		w := math.Exp(-(t.loss - best) / 2)
		sum += w
		n.piece += w * t.piece * t.piece
		n.line += w * t.line * t.piece * t.piece
		n.along += w * t.along
		n.bend += w * t.bend * t.bend
	}
	if sum == 0 {
		return noise{s, 1, 0.4, 0.01}
	}
	n.piece /= sum
	// A variance from few lines is taken for what it is in the mean of Student's distribution.
	dof := max(float64(len(l.lines)-free), 4)
	n.line *= dof / (dof - 2) / (sum * n.piece)
	n.along /= sum
	n.piece, n.bend = math.Sqrt(n.piece), math.Sqrt(n.bend/sum)
	return n
}

// solve gives the step to the fit under the noise n and the covariance of the parameters there.
func (l *linear) solve(n noise) (step []float64, cov *mat.SymDense, ok bool) {
	s := n.piece
	p, ok := l.products(n.line, rimPull*rimPull/(s*s), n.along)
	if !ok {
		return nil, nil, false
	}
	prec := l.prior(n.bend, s)
	c, b, _ := l.system(&p, &prec)
	var ch mat.Cholesky
	if !ch.Factorize(c) {
		return nil, nil, false
	}
	var x mat.VecDense
	var inv mat.SymDense
	if ch.SolveVecTo(&x, mat.NewVecDense(columns, b)) != nil || ch.InverseTo(&inv) != nil {
		return nil, nil, false
	}
	step = make([]float64, Parameters)
	cov = mat.NewSymDense(Parameters, nil)
	for a := range Parameters {
		step[a] = x.AtVec(a) / l.scale[a]
		for b := a; b < Parameters; b++ {
			cov.SetSym(a, b, s*s*inv.At(a, b)/(l.scale[a]*l.scale[b]))
		}
	}
	return step, cov, true
}
