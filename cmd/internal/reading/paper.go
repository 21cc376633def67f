package reading

// Whether the photo is of a drawing though it was read as a display, or the other way round. Squared paper goes on
// where a display ends: the grid found on it has no clear ends, and its frame is cut out of more squares than it has
// boxes. A display has clear ends, and no more squares than boxes. How often either was asked, and rightly, is in the
// diary, doubts.

import (
	"errors"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/sketch"
	"quadrille/vision/squares"
)

const (
	// paperShare is which part of a sheet's lines must be seen before a person is asked about it: 23 real sheets have
	// 0.97 and more, a display whose grid has no clear ends has no squares at all
	// (TestPaperReadAsADisplayIsAskedAbout).
	paperShare = 0.9
	// manyBoxes is from which count of boxes on squares are looked for though the grid's ends are clear: few displays
	// have so many, and a piece of a sheet often does (TestPaperReadAsADisplayIsAskedAbout).
	manyBoxes = 14 * 10
	// mostBoxes is how many boxes the largest of usual displays has: more squares than that are paper
	// (TestADisplayReadAsPaperIsAskedAbout).
	mostBoxes = 18 * 10
	// paperThin is how many thin squares lie side by side in one of graph paper; no display divides its boxes all over
	// (TestADisplayReadAsPaperIsAskedAbout).
	paperThin = 5
	// besideBoxes is how many squares more than boxes, each way, a display read as paper has: its housing's edges and
	// the words round it are taken for lines (TestADisplayReadAsPaperIsAskedAbout).
	besideBoxes = 2
)

// askPaper doubts a display whose grid may be the squares of a sheet. It looks for these only where the grid gives
// reason to, as that takes about as long as finding the grid.
func (c *chain) askPaper() error {
	g, o := c.r.Graticule, &c.s.Graticule
	if o.Corners != nil || o.Frame.Cols != 0 || o.Frame.Rows != 0 { // a person sees a display
		return nil
	}
	if !endless(g) && (boxesOf(g.Frame) < manyBoxes || g.Centred) {
		return nil
	}
	p, err := made(c, keyOf("squares", c.view.key), func() (*squares.Paper, error) {
		return squares.Find(c.ctx, c.view.Photo)
	})
	if err == nil && boxesOf(p.Frame) > boxesOf(g.Frame) && p.Share >= paperShare {
		c.r.Doubts = append(c.r.Doubts, remark.Of(KindMayBePaper, countsOf(p.Frame)...))
	}
	return c.ctx.Err()
}

// askDisplay doubts a drawing that may be a display: d was found on it, as far as err tells.
func (c *chain) askDisplay(d *sketch.Drawing, err error) error {
	var noSquares *squares.NotFoundError
	var noCurve *sketch.NotFoundError
	var squares geom.Frame
	if d != nil && d.Paper != nil {
		if squares = d.Paper.Frame; d.Paper.Thin >= paperThin {
			return nil
		}
	}
	if err != nil && !errors.As(err, &noSquares) && !errors.As(err, &noCurve) || boxesOf(squares) > mostBoxes {
		return nil
	}
	g, _, none := c.find(c.view)
	if gone := c.ctx.Err(); gone != nil {
		return gone
	}
	if none == nil && !endless(g) && (err != nil || squares.Cols <= g.Frame.Cols+besideBoxes && squares.Rows <= g.Frame.Rows+besideBoxes) {
		c.r.Doubts = append(c.r.Doubts, remark.Of(KindMayBeDisplay, countsOf(g.Frame)...))
	}
	return nil
}

// endless says that it is not clear where the lines of a grid end.
func endless(g *graticule.Graticule) bool {
	return remark.Any(g.Doubts, graticule.EndsUnclear) || remark.Any(g.Doubts, graticule.LinesAcross)
}

func countsOf(f geom.Frame) []remark.Value {
	return []remark.Value{remark.Count("columns", f.Cols), remark.Count("rows", f.Rows)}
}

func boxesOf(f geom.Frame) int { return f.Cols * f.Rows }
