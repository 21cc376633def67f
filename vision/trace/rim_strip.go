package trace

// The strip along the frame's left rim, a box outside and most of one inside, as what stands out of its surroundings:
// one room for marks that stand before the rim, across it or just behind it.
//
// Outside, the surroundings are the bezel or a menu's edge; inside, what is left when the field, the graticule's ink
// and the strokes of the traces are taken away. From both the running median along each column is taken, which the
// rim itself, glare and bright borders follow and a mark does not.

import (
	"math"
	"slices"

	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// markReach is how far outside the frame the strip is read, in boxes: what crosses all of it is a cable
	// (TestAMarkMayStandFarOut).
	markReach = 1.0
	// markHigh is how far past the frame's ends the strip is read, in boxes: a mark at the lowest line has surroundings
	// too (TestALargeMarkHasSurroundings).
	markHigh = 1.1
	// insideReach is how far inside the frame it is read, in boxes: what crosses all of it goes on; nothing changes from
	// 0.7 to 1.4 (TestWhichMarksAreInsideTheFrame).
	insideReach = 0.7
	// smoothing is the width and height over which light is averaged, in boxes: that of one and a half of the pixels of
	// common displays (TestMarksOfFinePixels).
	smoothing = 0.05
	// surroundings is how far above and below a cell, in boxes, its surroundings reach, so that their median is that of
	// the bezel and not of a mark in it: at 0.45 a flag drawn in outline was lost on a busy display, seed 1 of RandomBusy
	// (TestALargeMarkHasSurroundings).
	surroundings = 0.9
	// surroundStep is how far apart the medians are taken, in boxes; nothing changes from 0.12 to 0.5.
	surroundStep = 0.25
	// A run of a trace is part of a mark, and not taken away, from startRise times the usual height on; nothing changes
	// from 0.75 to 1.5 (TestWhichMarksAreInsideTheFrame).
	startRise = 1.5
	// strokeSkirt is how far beyond a run the stroke's light reaches, as a share of its usual height
	// (TestTheSkirtOfAStrokeIsTakenAway).
	strokeSkirt = 0.75
)

// A rim is the strip.
type rim struct {
	sheet.Grid
	edge   int          // the column in which the frame begins
	Light  [3][]float32 // linear light above the surroundings, laid out as in sheet.Sheet
	size   []float32    // the same of all channels: the root of the sum of their squares
	field  [][3]float32 // linear light of the bezel, by column left of the frame
	paths  []*path.Path // of the traces, on screen
	screen *sheet.Sheet
}

// newRim joins the strip outside with that of the sheet inside, on which the paths of the candidates run.
func newRim(side *sheet.Side, s *sheet.Sheet, found []*path.Candidate) *rim {
	r := &rim{Grid: side.Grid, edge: side.NX, field: side.Field, screen: s}
	inside := min(int(insideReach*float64(s.Across)+0.5), s.NX)
	r.NX += inside
	up := int(math.Round((s.Y0 - r.Y0) / r.DY)) // the strip's row of the sheet's first
	r.size = make([]float32, r.NX*r.NY)
	for c := range r.Light {
		r.Light[c] = make([]float32, r.NX*r.NY)
		copy(r.Light[c], side.Light[c])
		for i := range inside {
			at := r.Light[c][(r.edge+i)*r.NY:]
			for j := max(-up, 0); j < s.NY && j+up < r.NY; j++ {
				k := i*s.NY + j
				at[j+up] = s.Light[c][k] - s.Ink[c][k]
			}
		}
	}
	for _, cand := range found {
		r.paths = append(r.paths, cand.Path)
	}
	r.smooth()
	r.flatten()
	r.takeAway(inside, up)
	for k := range r.size {
		v0, v1, v2 := r.Light[0][k], r.Light[1][k], r.Light[2][k]
		r.size[k] = float32(math.Sqrt(float64(v0*v0 + v1*v1 + v2*v2)))
	}
	return r
}

// smear is by how many columns and rows the mean makes a thing larger at each side.
func (r *rim) smear() (columns, rows int) {
	return int(smoothing * float64(r.Across) / 2), int(smoothing * float64(r.Up) / 2)
}

// smooth takes the mean over the display's own pixels, between which it is dark, and so do fine patterns of the camera.
func (r *rim) smooth() {
	across, up := r.smear()
	for c := range r.Light {
		r.Light[c] = means(r.Light[c], r.NX, r.NY, across, up)
	}
}

// means is the mean of each cell of columns of ny and those within so many columns and rows.
func means(v []float32, nx, ny, across, up int) []float32 {
	tall, out := make([]float32, len(v)), make([]float32, len(v))
	for i := range nx {
		for j := range ny {
			a, b := max(j-up, 0), min(j+up+1, ny)
			sum := float32(0)
			for _, u := range v[i*ny+a : i*ny+b] {
				sum += u
			}
			tall[i*ny+j] = sum / float32(b-a)
		}
	}
	for i := range nx {
		a, b := max(i-across, 0), min(i+across+1, nx)
		for j := range ny {
			sum := float32(0)
			for k := a; k < b; k++ {
				sum += tall[k*ny+j]
			}
			out[i*ny+j] = sum / float32(b-a)
		}
	}
	return out
}

// flatten takes from each cell the light of its surroundings.
func (r *rim) flatten() {
	reach, step := int(surroundings*float64(r.Up)), max(int(surroundStep*float64(r.Up)), 1)
	out, buf := make([]float32, r.NY), make([]float32, 0, 2*reach+1)
	for c := range r.Light {
		for i := range r.NX {
			col := r.Light[c][i*r.NY : (i+1)*r.NY]
			about := func(j int) float32 {
				buf = append(buf[:0], col[max(j-reach, 0):min(j+reach+1, r.NY)]...)
				return raster.Rank(buf, 0.5)
			}
			for j, here := 0, about(0); j < r.NY; j += step {
				next := about(min(j+step, r.NY-1))
				for k := j; k < min(j+step, r.NY); k++ {
					out[k] = col[k] - here - (next-here)*float32(k-j)/float32(step)
				}
				here = next
			}
			copy(col, out)
		}
	}
}

// takeAway darkens the strokes of the traces. Where a run is much higher than usual, and a trace may start in its mark,
// what the next run further in covers is the stroke's, unless the run is higher on both sides of it.
func (r *rim) takeAway(inside, up int) {
	for _, p := range r.paths {
		usual := p.ThinRows()
		about := int(strokeSkirt*usual + 0.5)
		next := path.Run{Hi: -1}
		for i := min(inside, len(p.Runs)) - 1; i >= 0; i-- {
			run := p.Runs[i]
			if !p.Seen(i) {
				continue
			}
			if float64(run.Hi-run.Lo+1) >= startRise*usual {
				if run.Lo < next.Lo && run.Hi > next.Hi {
					continue
				}
				run.Lo, run.Hi = max(run.Lo, next.Lo), min(run.Hi, next.Hi)
				if run.Hi < run.Lo {
					continue
				}
			}
			next = run
			from, to := max(run.Lo-about+up, 0), min(run.Hi+about+1+up, r.NY)
			for c := range r.Light {
				clear(r.Light[c][(r.edge+i)*r.NY+from : (r.edge+i)*r.NY+max(from, to)])
			}
		}
	}
}

// tint is what a stroke of the colour, given in linear light, adds to the bezel.
func (r *rim) tint(colour [3]float32) sheet.Tint {
	var sum [3]float64
	for _, f := range r.field {
		for c := range sum {
			sum[c] += float64(colour[c] - f[c])
		}
	}
	return sheet.UnitTint(sum)
}

// columns is by how much the columns of the box round b stand out.
func (r *rim) columns(b *blob) []float32 {
	out := make([]float32, 0, b.i1-b.i0+1)
	for i := b.i0; i <= b.i1; i++ {
		sum := float32(0)
		for _, v := range r.size[i*r.NY+b.j0 : i*r.NY+b.j1+1] {
			sum += v
		}
		out = append(out, sum)
	}
	return out
}

// meets reports whether a trace runs through the blob or goes on at its right end inside the frame, and how high its
// strokes are, in rows.
func (r *rim) meets(b *blob) (usual float64, ok bool) {
	up := int(math.Round((r.screen.Y0 - r.Y0) / r.DY))
	for _, p := range r.paths {
		runs := func(i, from, to int) bool {
			i -= r.edge
			return i >= 0 && i < len(p.Runs) && p.Seen(i) && p.Runs[i].Lo+up <= to && p.Runs[i].Hi+up >= from
		}
		if slices.ContainsFunc(b.cells, func(c [2]int) bool { return runs(c[0], c[1], c[1]) }) ||
			b.i1 >= r.edge && (runs(b.i1+1, b.j0, b.j1) || runs(b.i1+2, b.j0, b.j1)) {
			usual, ok = max(usual, p.ThinRows()), true
		}
	}
	return usual, ok
}
