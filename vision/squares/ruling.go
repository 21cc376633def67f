package squares

// Which lines of a ruling are heavy.
//
// Graph paper has thin lines, and every so many of them a heavy one, both ways. Seeds may start on either, or on a step
// between. So the lines of the lattice that grew are told apart by their strength: where every n-th is stronger than
// all others, both ways, those are the lines that a person counts by. What lies between two heavy lines is then seen by
// folding all squares into one.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
)

const (
	// heavier is how much stronger heavy lines are than those between them, by their medians. The local rms by which
	// ridges are divided brings them together (TestSquaresOfAllRulings).
	heavier = 1.25
	// heavyRank: of the heavy lines all but this share, and of the others as many, must lie on their sides: flanks are
	// drawn along some (TestSquaresLieBetweenHeavyLines).
	heavyRank = 0.25
	// leastHeavy is how many heavy lines tell (TestSquaresOfAllRulings).
	leastHeavy = 4
	// thinSeen is which part of the ridge of a heavy line a thin one has at least (TestSquaresOfAllRulings).
	thinSeen = 0.08
	// evenly is which part of the strongest thin line the weakest has: of ten the fifth is often printed twice as
	// strong (TestSquaresOfAllRulings).
	evenly = 0.35
)

// unlike is how far from square, as a logarithm of width to height, squares are that nobody prints: paper seen from the
// side is less (TestSquaresOfAllRulings).
const unlike = 0.25

// heavy gives the lattice of the heavy lines: g itself when all are alike. A seed may have begun on other steps one way
// than the other, say two to a square and three; what comes out has to be nearly square.
func (g *grown) heavy() (out *grown, changed bool) {
	steps := []int{1, 2, 3, 5}
	var first [2][]int
	var ok [2][]bool
	for of := range lattice.Family(2) {
		for _, n := range steps {
			f, o := 0, n == 1
			if n > 1 {
				f, o = g.everyOther(of, n)
			}
			first[of], ok[of] = append(first[of], f), append(ok[of], o)
		}
	}
	across, up := lattice.BoxSize(g.plane, g.part.Mid())
	best, bi, bj := unlike, 0, 0
	for i, n := range steps {
		for j, m := range steps {
			if off := math.Abs(math.Log(across * float64(n) / (up * float64(m)))); ok[0][i] && ok[1][j] && n*m > 1 && off < best {
				best, bi, bj = off, i, j
			}
		}
	}
	if best == unlike {
		return g, false
	}
	return g.sparse([2]int{steps[bi], steps[bj]}, [2]int{first[0][bi], first[1][bj]}), true
}

// everyOther tells whether every n-th line of a family is heavier than the others, and which is the first such.
func (g *grown) everyOther(of lattice.Family, n int) (first int, ok bool) {
	a, b, from, to := g.part.Lines(of)
	strength := make([]float64, 0, b-a+1)
	for k := a; k <= b; k++ {
		strength = append(strength, g.strength(of, k, k+1, from, to))
	}
	best := 0.0
	for r := range n {
		var in, out []float64
		for i, s := range strength {
			if i%n == r {
				in = append(in, s)
			} else {
				out = append(out, s)
			}
		}
		if len(in) < leastHeavy {
			continue
		}
		if ratio := raster.Median(slices.Clone(in)) / max(raster.Median(slices.Clone(out)), 1e-6); ratio > max(heavier, best) &&
			raster.Rank(in, heavyRank) > raster.Rank(out, 1-heavyRank) {
			best, first, ok = ratio, a+r, true
		}
	}
	return first, ok
}

// sparse gives the lattice of every n-th line.
func (g *grown) sparse(n, first [2]int) *grown {
	down := func(a, of int) int { return int(math.Floor(float64(a-first[of]) / float64(n[of]))) }
	up := func(a, of int) int { return -int(math.Floor(-float64(a-first[of]) / float64(n[of]))) }
	part := lattice.Extent{
		Left: up(g.part.Left, 0), Right: down(g.part.Right, 0), Bottom: up(g.part.Bottom, 1), Top: down(g.part.Top, 1),
	}
	h := lattice.Times(lattice.Shift(g.plane, float64(first[0]), float64(first[1])), float64(n[0]), float64(n[1]))
	out := &grown{ridges: g.ridges, plane: h, part: part, bend: newBend(part)}
	for j := range out.bend.m {
		for i := range out.bend.n {
			at := geom.Box{X: float64(n[0]*(part.Left+i) + first[0]), Y: float64(n[1]*(part.Bottom+j) + first[1])}
			to := g.bend.moved(at)
			k := j*out.bend.n + i
			out.bend.d[0][k], out.bend.d[1][k] = (to.X-at.X)/float64(n[0]), (to.Y-at.Y)/float64(n[1])
		}
	}
	return out
}

// inPhase gives the lattice on the heaviest of the lines that lie a thin square apart, of n in a square: one that began
// on thin lines beside heavy ones ends there.
func (g *grown) inPhase(n int) (out *grown, changed bool) {
	var by [2]float64
	for of := range lattice.Family(2) {
		f := g.folded(of)
		best := 0
		for k := range n {
			if f[k*foldSteps/n] < f[best*foldSteps/n] {
				best = k
			}
		}
		by[of] = float64(best) / float64(n)
		changed = changed || best > 0
	}
	if !changed {
		return g, false
	}
	part := g.part
	if by[0] > 0 {
		part.Right--
	}
	if by[1] > 0 {
		part.Top--
	}
	out = &grown{ridges: g.ridges, plane: lattice.Shift(g.plane, by[0], by[1]), part: part, bend: newBend(part)}
	for j := range out.bend.m {
		for i := range out.bend.n {
			at := geom.Box{X: float64(part.Left+i) + by[0], Y: float64(part.Bottom+j) + by[1]}
			to := g.bend.moved(at)
			k := j*out.bend.n + i
			out.bend.d[0][k], out.bend.d[1][k] = to.X-at.X, to.Y-at.Y
		}
	}
	return out, true
}

// folded gives the ridges of all squares of a family laid on each other, from line to line in 1/foldSteps.
func (g *grown) folded(of lattice.Family) (sum [foldSteps]float64) {
	_, _, from, to := g.part.Lines(of)
	first, last, _, _ := g.part.Lines(of)
	plane := g.ridges.Upright
	if of == lattice.Level {
		plane = g.ridges.Level
	}
	row := make([]float32, foldSteps+1)
	for k := first; k < last; k++ {
		for c := from; c < to; c++ {
			pc := lattice.Piece{Of: of, Line: k, Cell: c}
			for _, along := range []float64{0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85} {
				a, b := g.pixel(pc.At(0, along)), g.pixel(pc.At(1, along))
				if of == lattice.Level {
					a, b = geom.Pixel{X: a.Y, Y: a.X}, geom.Pixel{X: b.Y, Y: b.X}
				}
				s := g.ridges.Scale
				if plane.Run(row, geom.Pixel{X: a.X * s, Y: a.Y * s}, geom.Pixel{X: b.X * s, Y: b.Y * s}) {
					for i := range sum {
						sum[i] += float64(row[i])
					}
				}
			}
		}
	}
	return sum
}

// foldSteps is how finely a folded square is seen: sixths, fifths and eighths fall on whole steps, or nearly.
const foldSteps = 120

// thin gives how many thin squares lie side by side in one of the lattice; 1 if none are seen. Where the lines of
// halves and of tenths are all there, it is tenths.
func (g *grown) thin() int {
	best := 1
	u, l := g.folded(lattice.Upright), g.folded(lattice.Level)
	for _, n := range []int{2, 3, 4, 5, 6, 8, 10} {
		if s := min(between(&u, n), between(&l, n)); s > thinSeen {
			best = n
		}
	}
	return best
}

// between is how strong the n-1 lines between two heavy ones are, the weakest of them, over what lies on both sides of
// it, to the heavy line. Beside the heavy lines, whose ridges overshoot there, none is asked for where there are
// others.
func between(f *[foldSteps]float64, n int) float64 {
	at := func(i int) float64 { return -f[(i+foldSteps)%foldSteps] }
	half := foldSteps / (2 * n)
	first := 1
	if n >= 5 {
		first = 2
	}
	least, most := math.Inf(1), 0.0
	for k := first; k <= n-first; k++ {
		c := (k*foldSteps + n/2) / n
		here := at(c) - max(at(c-half), at(c+half))
		least, most = min(least, here), max(most, here)
	}
	if least < evenly*most { // lines, and what their ridges leave between them
		return 0
	}
	return least / max(at(0), 1e-9)
}
