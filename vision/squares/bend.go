package squares

// How a sheet departs from a plane.
//
// Paper bends: over a book's fold, under a hand, away from the table. Each piece of line tells how far its line lies
// beside the plane's; a thin plate through these, a displacement at every crossing whose second differences are held
// small (F. L. Bookstein, IEEE PAMI 11 (1989) 567, for the energy; here on the lattice itself, as sums of squared
// second differences), says so of every crossing, and goes on straight where nothing was seen. Upright lines tell of x,
// level ones of y, and neither knows of the other.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
)

// stiffness weighs a squared second difference against the squared misfit of a piece: a piece is seen to about
// 0.02 square, and paper that curls over a radius of some fifty squares has second differences of 0.01. Four times as
// stiff, a corner that curls is left behind, until its lines are out of reach (TestACornerThatCurlsIsFollowed).
const stiffness = 1.0

// A bend is a displacement in squares at every crossing of a part of the lattice.
type bend struct {
	part lattice.Extent
	n, m int // crossings across and up
	d    [2][]float64
}

func newBend(x lattice.Extent) *bend {
	b := &bend{part: x, n: x.Cols() + 1, m: x.Rows() + 1}
	for i := range b.d {
		b.d[i] = make([]float64, b.n*b.m)
	}
	return b
}

// over gives the bend of a larger part, which goes on straight beyond b's.
func (b *bend) over(x lattice.Extent) *bend {
	out := newBend(x)
	for j := range out.m {
		for i := range out.n {
			at := geom.Box{X: float64(x.Left + i), Y: float64(x.Bottom + j)}
			to := b.moved(at)
			out.d[0][j*out.n+i], out.d[1][j*out.n+i] = to.X-at.X, to.Y-at.Y
		}
	}
	return out
}

// moved gives the place on the plane of a place of the lattice.
func (b *bend) moved(p geom.Box) geom.Box {
	x, y := p.X-float64(b.part.Left), p.Y-float64(b.part.Bottom)
	i, j := cellOf(x, b.n), cellOf(y, b.m)
	fx, fy := x-float64(i), y-float64(j)
	k := j*b.n + i
	at := func(d []float64) float64 {
		return (1-fy)*((1-fx)*d[k]+fx*d[k+1]) + fy*((1-fx)*d[k+b.n]+fx*d[k+b.n+1])
	}
	return geom.Box{X: p.X + at(b.d[0]), Y: p.Y + at(b.d[1])}
}

// cellOf is the square in which x lies, of n lines; the first or the last beyond them.
func cellOf(x float64, n int) int { return min(max(int(math.Floor(x)), 0), n-2) }

// A pull is what a piece of line says of the displacement between two crossings.
type pull struct {
	a, b   int // crossings
	off    float64
	weight float64
}

// through makes the displacement of one family the thin plate through the pulls. It starts from what it is, so that a
// few steps of conjugate gradients do (J. R. Shewchuk, An introduction to the conjugate gradient method, 1994, B2).
func (b *bend) through(of lattice.Family, pulls []pull, steps int) {
	const enough = 1e-5 // square; the places are good to 1e-3
	d := b.d[of]
	apply := func(out, v []float64) {
		clear(out)
		for _, p := range pulls {
			s := p.weight * (v[p.a] + v[p.b]) / 4
			out[p.a] += s
			out[p.b] += s
		}
		b.addStiffness(out, v)
	}
	r, q := make([]float64, len(d)), make([]float64, len(d))
	apply(q, d)
	for _, p := range pulls {
		r[p.a] += p.weight * p.off / 2
		r[p.b] += p.weight * p.off / 2
	}
	rr := 0.0
	for i := range r {
		r[i] -= q[i]
		rr += r[i] * r[i]
	}
	s := append([]float64{}, r...)
	for range steps {
		if rr < enough*enough {
			break
		}
		apply(q, s)
		sq := 0.0
		for i := range s {
			sq += s[i] * q[i]
		}
		if sq <= 0 {
			break
		}
		a, before := rr/sq, rr
		rr = 0
		for i := range d {
			d[i] += a * s[i]
			r[i] -= a * q[i]
			rr += r[i] * r[i]
		}
		for i := range s {
			s[i] = r[i] + rr/before*s[i]
		}
	}
}

// addStiffness adds the gradient of the plate's energy at v, by halves.
func (b *bend) addStiffness(out, v []float64) {
	second := func(i, j, k int) {
		e := stiffness * (v[i] - 2*v[j] + v[k])
		out[i] += e
		out[j] -= 2 * e
		out[k] += e
	}
	for j := range b.m {
		for i := range b.n {
			k := j*b.n + i
			if i+2 < b.n {
				second(k, k+1, k+2)
			}
			if j+2 < b.m {
				second(k, k+b.n, k+2*b.n)
			}
			if i+1 < b.n && j+1 < b.m {
				e := 2 * stiffness * (v[k] - v[k+1] - v[k+b.n] + v[k+b.n+1])
				out[k] += e
				out[k+1] -= e
				out[k+b.n] -= e
				out[k+b.n+1] += e
			}
		}
	}
}

// most is the largest displacement that is no movement of the whole plane: after the best straight part is taken off.
func (b *bend) most() float64 {
	most := 0.0
	for _, d := range b.d {
		var sx, sy, sd, sxx, syy, sxd, syd float64
		n := float64(len(d))
		for k, v := range d {
			x, y := float64(k%b.n)-float64(b.n-1)/2, float64(k/b.n)-float64(b.m-1)/2
			sx, sy, sd = sx+x, sy+y, sd+v
			sxx, syy, sxd, syd = sxx+x*x, syy+y*y, sxd+x*v, syd+y*v
		}
		for k, v := range d {
			x, y := float64(k%b.n)-float64(b.n-1)/2, float64(k/b.n)-float64(b.m-1)/2
			most = max(most, math.Abs(v-sd/n-x*sxd/sxx-y*syd/syy))
		}
	}
	return most
}
