package trace

// A second look at a display that a fast wave or a thick band of noise fills. Of thirty cycles and more the strokes with their
// blur cover more than half of the cells: the median of all is no longer the field, nor their median deviation the noise, which
// came out twenty times too large, so that of the flanks only shreds stood above it. Such a wave does so left and right of the
// middle. At its heights the field then goes straight from below them to above, and the noise is held to that of the
// display's quieter part. A square wave or a menu may look crowded, too, and is seen better without. So the second look
// counts only where the first left much out, and if it shows what swings up and down time and again.

import (
	"context"
	"slices"

	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	// A height is crowded when, left and right of the middle, crowdedShare of its knots are crowded times as noisy as the quieter
	// part of the display, which quietShare of all knots are; and so are all heights between two such. Words, menus and
	// reflections are not as wide as the screen (TestFastWavesAreFollowed).
	crowded, crowdedShare, quietShare = 5, 0.3, 0.2
	// mostNoise is the most noise of a crowded knot, in units of the quieter part's and of how many times as bright as that the field is.
	mostNoise = 3
	// wellSeen is the share of the columns from which the first look has not left much out; moreSeen the least by which the
	// second must see more, for noise alone moves what is seen by a few hundredths; fastWave how often the wave goes up or down at
	// least: ten cycles leave more than half of the cells bare (TestFastWavesAreFollowed).
	wellSeen, moreSeen, fastWave = 0.9, 1.1, 20
)

// A view is what a look at the display saw.
type view struct {
	s     *sheet
	f     *field
	lines *fold
	ink   [3][]float32
	found []*candidate
}

// lookAt reads the display and looks for traces; crowds: where a wave covers most of it, too. Its error is that of ctx.
func lookAt(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, fine pitch, crowds bool) (*view, error) {
	s, err := frameSheet(ctx, ph, g, fine)
	if err != nil {
		return nil, err
	}
	f := flatten(s, crowds)
	lines := newFold(s, g)
	s.own = s.ownPixels(lines)
	s.blur()
	v := &view{s: s, f: f, lines: lines, ink: lines.ink(g.Frame)}
	f.measureNoise(&v.ink)
	if crowds {
		f.calmCrowds()
	}
	v.found, err = search(ctx, s, f, g, &v.ink)
	return v, err
}

// seen is the evidence of the most prominent path, in columns, but for crests, which are all that is seen of a wave.
func (v *view) seen() float64 {
	if len(v.found) == 0 || v.found[0].crests {
		return 0
	}
	return v.found[0].path.evidence()
}

// showsFastWave reports whether the most prominent path is one.
func (v *view) showsFastWave() bool {
	if len(v.found) == 0 || v.found[0].crests {
		return false
	}
	var y []float64
	for i, r := range v.found[0].path.runs {
		if v.found[0].path.seen(i) {
			y = append(y, float64(r.lo+r.hi)/2)
		}
	}
	return passesOf(y, rank(y, 0.1), rank(y, 0.9)) >= fastWave
}

// seeCrowds finds the crowded heights and their field.
func (f *field) seeCrowds() {
	for c := range 3 {
		spread := make([]float32, len(f.level[c]))
		raster.Rows(f.np, func(a, b int) {
			var buf []float32
			for p := a; p < b; p++ {
				for q := range f.nq {
					k := p*f.nq + q
					buf = f.around(buf[:0], p, q, f.s.rgb[c])
					for i, v := range buf {
						buf[i] = abs(v - f.level[c][k])
					}
					spread[k] = madToSD * median(buf)
				}
			}
		})
		least := crowded * max(quantile(slices.Clone(spread), quietShare), minNoise)
		first, last := f.crowdedHeights(spread, least)
		for p := range f.np {
			f.bridge(f.level[c][p*f.nq:(p+1)*f.nq], first-1, last+1)
		}
	}
}

// bridge makes level, one column of knots, go straight from the height below the crowd to that above it, or on from the one
// that there is.
func (f *field) bridge(level []float32, below, above int) {
	if below < 0 && above >= len(level) {
		return
	}
	from, to := below, above
	if below < 0 {
		from = above
	}
	if above >= len(level) {
		to = below
	}
	for q := below + 1; q < above; q++ {
		t := float32(q-below) / float32(above-below)
		level[q] = level[from] + t*(level[to]-level[from])
	}
}

// crowdedHeights gives the first and the last row of knots of which enough are above least; first is beyond last if none is.
func (f *field) crowdedHeights(spread []float32, least float32) (first, last int) {
	first, last = f.nq, -1
	for q := range f.nq {
		var noisy [2]int // left and right half
		for p := range f.np {
			if spread[p*f.nq+q] > least {
				noisy[2*p/(f.np+1)]++
			}
		}
		if float64(min(noisy[0], noisy[1])) >= crowdedShare*float64(f.np/2) {
			first, last = min(first, q), q
		}
	}
	return first, last
}

// calmCrowds holds the noise of crowded heights to that of the quieter part of the display.
func (f *field) calmCrowds() {
	for c := range 3 {
		quiet := quantile(slices.Clone(f.noise[c]), quietShare)
		dark := max(quantile(slices.Clone(f.level[c]), quietShare), minNoise) // black fields have 0
		first, last := f.crowdedHeights(f.noise[c], crowded*quiet)
		for k := range f.noise[c] {
			if q := k % f.nq; first <= q && q <= last {
				f.noise[c][k] = min(f.noise[c][k], mostNoise*quiet*max(1, f.level[c][k]/dark))
			}
		}
	}
}
