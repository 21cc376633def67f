package lattice

// The linear fit of a lattice to pieces of its lines.
//
// A piece of the line i = k seen at p gives one equation, linear in a, b, c (see the package): a·p - k·(c·p) = k. No
// crossing needs to be seen, and a dotted line is a line like others. Weights are renewed by 1/(1 + (e/2s)²) (Cauchy;
// P. J. Huber, Robust Statistics, 1981, chapter 7, for the iteration).

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// leastSightings is how many pieces fix the eight numbers of a lattice (TestTooFewPiecesFixNoLattice).
const leastSightings = 8

// Fit gives the lattice through the sightings. near is a lattice close to it, which sets the scale; hold pulls the two
// projective terms to zero, relative to what the data say of them. rms is the robust spread of the sightings in boxes;
// ok is false when they do not fix a lattice.
func Fit(seen []Sighting, near Map, hold float64) (h Map, rms float64, ok bool) {
	if len(seen) < leastSightings {
		return near, 0, false
	}
	var mid geom.Pixel
	for _, s := range seen {
		mid.X += s.Place.X / float64(len(seen))
		mid.Y += s.Place.Y / float64(len(seen))
	}
	scale := 1e-9
	for _, s := range seen {
		scale = max(scale, math.Abs(s.Place.X-mid.X), math.Abs(s.Place.Y-mid.Y))
	}
	off := make([]float64, len(seen))
	weight := make([]float64, len(seen))
	for i := range weight {
		weight[i] = 1
	}
	var a [8]float64
	// rounds: weights settle to 1e-3 in five (nothing changes from 3 to 12,
	// TestFitGoesThroughCleanPiecesAndIgnoresStrayOnes)
	const rounds = 6
	for range rounds {
		var m [8][9]float64
		for n, s := range seen {
			x, y, k := (s.Place.X-mid.X)/scale, (s.Place.Y-mid.Y)/scale, float64(s.Line)
			o := 3 * int(s.Of)
			d := 1 + a[6]*x + a[7]*y
			w := weight[n] / (d * d) // the equation's error is the offset times d
			row := [6]float64{x, y, 1, -k * x, -k * y, k}
			cols := [6]int{o, o + 1, o + 2, 6, 7, 8}
			for i, r := range cols[:5] {
				for j, c := range cols {
					m[r][c] += w * row[i] * row[j]
				}
			}
		}
		m[6][6] *= 1 + hold
		m[7][7] *= 1 + hold
		if a, ok = geom.Solve8(&m); !ok {
			return near, 0, false
		}
		for n, s := range seen {
			x, y := (s.Place.X-mid.X)/scale, (s.Place.Y-mid.Y)/scale
			o := 3 * int(s.Of)
			off[n] = (a[o]*x+a[o+1]*y+a[o+2])/(1+a[6]*x+a[7]*y) - float64(s.Line)
		}
		rms = max(raster.Spread(off), 1e-4)
		for n, e := range off {
			weight[n] = 1 / (1 + e*e/(4*rms*rms))
		}
	}
	h, ok = invert([9]float64{
		a[0] / scale, a[1] / scale, a[2] - (a[0]*mid.X+a[1]*mid.Y)/scale,
		a[3] / scale, a[4] / scale, a[5] - (a[3]*mid.X+a[4]*mid.Y)/scale,
		a[6] / scale, a[7] / scale, 1 - (a[6]*mid.X+a[7]*mid.Y)/scale,
	})
	return h, rms, ok
}
