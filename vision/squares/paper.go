package squares

import (
	"context"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

// A Paper is the ruled part of a sheet as found on one photo. A place on it is a geom.Box: counted in squares from the
// part's centre, x right, y up. On paper with heavy and thin lines a square is one between heavy lines.
type Paper struct {
	Frame geom.Frame // whole squares across and up that were found
	// Thin is how many thin squares lie side by side in a square; 1 where all lines are alike.
	Thin int
	RMS  float64 // square, of the pieces of line that were seen, off the places given for them
	Seen int     // pieces of line that were seen
	// Share is which part of all pieces of line in the frame and on the photo was seen, 0..1.
	Share float64
	// Curl is the farthest that a crossing lies off the plane through all, in squares.
	Curl float64

	plane lattice.Map
	bend  *bend
	left  float64 // lattice place of the frame's centre
	up    float64
}

// Pixel takes a place of the paper to the photo. Beyond the frame the paper goes on as at its rim.
func (p *Paper) Pixel(b geom.Box) geom.Pixel {
	b.X += p.left
	b.Y += p.up
	return p.plane.Pixel(p.bend.moved(b))
}

// Box takes a place of the photo to the paper.
func (p *Paper) Box(q geom.Pixel) geom.Box {
	// Curls are far smaller than their radius, so that the place converges tenfold a round.
	const rounds = 6
	flat := p.plane.Box(q)
	b := flat
	for range rounds {
		m := p.bend.moved(b)
		b.X += flat.X - m.X
		b.Y += flat.Y - m.Y
	}
	return geom.Box{X: b.X - p.left, Y: b.Y - p.up}
}

// Node gives the crossing of line i from the left and line j from the bottom of the frame, both from 0.
func (p *Paper) Node(i, j int) geom.Pixel {
	return p.Pixel(geom.Box{X: p.Frame.Left() + float64(i), Y: p.Frame.Bottom() + float64(j)})
}

// Step is the width and height in pixels of the square at b.
func (p *Paper) Step(b geom.Box) (across, up float64) {
	l, r := p.Pixel(geom.Box{X: b.X - 0.5, Y: b.Y}), p.Pixel(geom.Box{X: b.X + 0.5, Y: b.Y})
	d, u := p.Pixel(geom.Box{X: b.X, Y: b.Y - 0.5}), p.Pixel(geom.Box{X: b.X, Y: b.Y + 0.5})
	return math.Hypot(r.X-l.X, r.Y-l.Y), math.Hypot(u.X-d.X, u.Y-d.Y)
}

// A NotFoundError says that no squares were found, and what to do.
type NotFoundError struct{ Reason, Hint string }

func (e *NotFoundError) Error() string { return e.Reason }

const (
	// seedsTried is how many beginnings are followed at most (TestSquaresOfAllRulings).
	seedsTried = 24
	// leastSquares is how many squares a sheet must have across and up: fewer are no paper that a curve is drawn on
	// (TestTooFewSquaresAreNoPaper).
	leastSquares = 4
	// goodFit is the rms in squares of the pieces of a ruling: real sheets, curled and crumpled, have 0.015 at most,
	// chance has 0.1 (TestTooFewSquaresAreNoPaper).
	goodFit = 0.04
	// leastShare is which part of its lines must be seen: less is a chance alignment (TestTooFewSquaresAreNoPaper).
	leastShare = 0.5
)

// Find gives the ruling of the paper on ph. Its errors are *NotFoundError, and that of ctx when it is done.
func Find(ctx context.Context, ph *photo.Photo) (*Paper, error) {
	s := scene.Of(ph)
	var best *grown
	for _, v := range []scene.View{scene.Limited, scene.Photographed} {
		var grownHere []*grown
		for _, l := range []scene.Level{scene.Fine, scene.Coarse} {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			r := s.Ridges(v, l)
			for _, sd := range lattice.Seeds(r, seedsTried/2, false) {
				if err := ctx.Err(); err != nil {
					return nil, err
				}
				g := begin(s.Ridges(v, scene.Fine), sd.Map)
				if covered(grownHere, g) || !g.spread(ctx) {
					continue
				}
				grownHere = append(grownHere, g)
				if best == nil || g.promise() > best.promise() {
					best = g
				}
			}
		}
		// Nobody prints a heavy line for each three (common practice, no source): then every third line was found.
		if best != nil && best.good() && best.thin() != 3 {
			break
		}
	}
	for best != nil {
		next, ok := best.heavy()
		if !ok {
			break
		}
		if best = next; !best.spread(ctx) {
			best = nil
		}
	}
	if best != nil {
		if best, _ = best.inPhase(best.thin()); !best.growOut(ctx) {
			best = nil
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if best == nil || !best.good() {
		return nil, &NotFoundError{
			Reason: "no squared paper was found in the photo",
			Hint: "photograph the sheet from straight above, so that its squares fill the picture and are sharp; " +
				"write on paper with squares, not lines or dots",
		}
	}
	p := best.paper()
	p.Thin = best.thin()
	return p, nil
}

// Crossings is how many crossings the frame has.
func (p *Paper) Crossings() int { return (p.Frame.Cols + 1) * (p.Frame.Rows + 1) }
