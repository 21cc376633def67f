package lattice

import "quadrille/vision/geom"

// A Family tells which lines: those at whole i, which stand upright, or those at whole j.
type Family int

// The two families.
const (
	Upright Family = iota
	Level
)

// A Piece is one box-long part of a line: of the line Line of its family, from the crossing line Cell to Cell+1 of the
// other family.
type Piece struct {
	Of         Family
	Line, Cell int
}

// At gives the lattice place off boxes beside the line and t boxes along the piece.
func (p Piece) At(off, t float64) geom.Box {
	if p.Of == Upright {
		return geom.Box{X: float64(p.Line) + off, Y: float64(p.Cell) + t}
	}
	return geom.Box{X: float64(p.Cell) + t, Y: float64(p.Line) + off}
}

// An Extent is a rectangle of lattice lines: Left..Right and Bottom..Top, inclusive.
type Extent struct{ Left, Right, Bottom, Top int }

// Cols is the count of boxes across.
func (x Extent) Cols() int { return x.Right - x.Left }

// Rows is the count of boxes up.
func (x Extent) Rows() int { return x.Top - x.Bottom }

// OneMore is x with a line more at a side, 0 to 3 for left, right, bottom and top: the new line's family and number,
// and the new strip's cell along the lines that cross it.
func (x Extent) OneMore(side int) (wider Extent, of Family, line, cell int) {
	switch side {
	case 0:
		x.Left--
		return x, Upright, x.Left, x.Left
	case 1:
		x.Right++
		return x, Upright, x.Right, x.Right - 1
	case 2:
		x.Bottom--
		return x, Level, x.Bottom, x.Bottom
	}
	x.Top++
	return x, Level, x.Top, x.Top - 1
}

// Mid is the middle, in boxes.
func (x Extent) Mid() geom.Box {
	return geom.Box{X: float64(x.Left+x.Right) / 2, Y: float64(x.Bottom+x.Top) / 2}
}

// Lines gives the first and the last line of a family, and the first and the last line that crosses them.
func (x Extent) Lines(of Family) (first, last, from, to int) {
	if of == Upright {
		return x.Left, x.Right, x.Bottom, x.Top
	}
	return x.Bottom, x.Top, x.Left, x.Right
}

// Pieces calls f for each piece of the lines in x, a line at a time.
func (x Extent) Pieces(f func(p Piece)) {
	for of := range Family(2) {
		first, last, from, to := x.Lines(of)
		for k := first; k <= last; k++ {
			for c := from; c < to; c++ {
				f(Piece{of, k, c})
			}
		}
	}
}

// Wider is x with a box more on every side.
func (x Extent) Wider() Extent { return Extent{x.Left - 1, x.Right + 1, x.Bottom - 1, x.Top + 1} }

// Corners are those of the rectangle: top-left first, clockwise.
func (x Extent) Corners() [4]geom.Box {
	l, r, b, t := float64(x.Left), float64(x.Right), float64(x.Bottom), float64(x.Top)
	return [4]geom.Box{{X: l, Y: t}, {X: r, Y: t}, {X: r, Y: b}, {X: l, Y: b}}
}

// A Sighting is a piece seen Off boxes beside where a lattice had it.
type Sighting struct {
	Piece
	Off    float64    // box, in the direction of growing lines
	Height float64    // of the peak in the ridges, in their unit
	Place  geom.Pixel // on the photo
}
