package frame

// The survey of a lattice: what is seen of every piece of its lines, some way past the part that was grown.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	pastPart = 5 // boxes past the grown part that are looked at, or more: (TestHowFarAroundALatticeIsLookedAt)
	// lookedAt: boxes from one end of the grown part to what is looked at past the other
	// (TestHowFarAroundALatticeIsLookedAt)
	lookedAt = 16
	// pastMost: boxes past the part: farther on a part of six boxes says too little
	// (TestHowFarAroundALatticeIsLookedAt)
	pastMost = 8
	// horizon, of the distance of the origin: what is nearer to the camera is past the horizon
	// (TestHowFarAroundALatticeIsLookedAt)
	horizon   = 0.2
	pieceLow  = -0.6 // of the ridges' unit, bounds of a piece's strength (TestPiecesAreMeasuredByTheMedianLine)
	pieceHigh = 1.2  // TestPiecesAreMeasuredByTheMedianLine
	// leastBase, of the ridges' unit: a median line weaker than that is noise (TestPiecesAreMeasuredByTheMedianLine)
	leastBase = 0.05
	// pieceFloor, of the median line: covered cells (text, a menu) cost no more than that (TestWhatPiecesAreWorth)
	pieceFloor  = -0.1
	pieceCap    = 1.5 // rims are worth having, but not everything (TestWhatPiecesAreWorth)
	pieceWanted = 0.4 // of the median line: what a piece must have to pay for itself (TestWhatPiecesAreWorth)
	// reached, of the median line: crossing lines that strong reach a line, and it is no bezel's
	// (TestWhatPiecesAreWorth)
	reached   = 0.4
	unreached = 0.1 // what a line is worth that no crossing line reaches (TestWhatPiecesAreWorth)
)

// A Survey has what was seen of each piece in a range of lattice lines.
type Survey struct {
	Lattice *lattice.Grown
	picture *scene.Picture // on which ticks and heights are seen
	all     lattice.Extent
	lines   [2]table
	base    [2]float64 // median line strengths, of the ridges' unit
	ticks   tickCount  // which count of ticks there is, see tickClues
	between map[lattice.Piece]float64
	spans   map[lineSpan]lineHeight
}

// A table has what was seen of the pieces of one family: rows are lines, columns their cells; NaN outside the photo.
type table struct {
	k0, k1, c0, c1 int // first and last line, first and last crossing line
	strength       [][]float64
	ends           [2][][]float64 // strengths of the first and of the last third
	worth          [][]float64    // strength in units of the median line, weighed and less what is wanted; see measure
	// Sums over the cells of a line before the c-th, of what Best adds up over many frames.
	worthSum, rimSum, rimCount [][]float64
	// Sums over the lines before the k-th, by end and cell.
	endSum, endCount [2][][]float64
	tick             [][]tickPair // made when first asked for
	height           [][]float64  // likewise; +Inf where it was not asked for yet
}

// Of looks at the lattice g and some boxes around what was grown; ticks and heights of lines are seen on p.
func Of(g *lattice.Grown, p *scene.Picture) *Survey {
	s := &Survey{Lattice: g, picture: p, all: surveyed(g), between: map[lattice.Piece]float64{}, spans: map[lineSpan]lineHeight{}}
	ridges := g.Ridges()
	for of := range lattice.Family(2) {
		t := &s.lines[of]
		t.k0, t.k1, t.c0, t.c1 = s.all.Lines(of)
		p0, p1, q0, q1 := g.Part.Lines(of)
		var lines []float64
		for k := t.k0; k <= t.k1; k++ {
			n := t.c1 - t.c0
			row, first, last := make([]float64, n), make([]float64, n), make([]float64, n)
			sum, seen := 0.0, 0
			for c := range row {
				prof, e, ok := lattice.Ends(ridges, &g.Map, lattice.Piece{Of: of, Line: k, Cell: t.c0 + c}, g.Sign)
				first[c], last[c] = e[0], e[1]
				if !ok {
					row[c] = math.NaN()
					continue
				}
				row[c] = raster.Clip(prof.Narrow(g.Sign), pieceLow, pieceHigh)
				if t.c0+c >= q0 && t.c0+c < q1 {
					sum += row[c]
					seen++
				}
			}
			if k >= p0 && k <= p1 && seen > 0 {
				lines = append(lines, sum/float64(seen))
			}
			t.strength = append(t.strength, row)
			t.ends[0], t.ends[1] = append(t.ends[0], first), append(t.ends[1], last)
			height := make([]float64, n)
			for c := range height {
				height[c] = math.Inf(1)
			}
			t.height = append(t.height, height)
			t.tick = append(t.tick, make([]tickPair, n))
		}
		s.base[of] = max(raster.Median(lines), leastBase)
	}
	s.measure(pieceCap)
	return s
}

// Leave lets go of the picture on which ticks and heights were seen: what is asked later is seen on p.
func (s *Survey) Leave(p *scene.Picture) { s.picture = p }

// surveyed is what is looked at around g: some boxes past its part, but not past the horizon.
func surveyed(g *lattice.Grown) lattice.Extent {
	all := g.Part
	past := func(n int) int { return max(pastPart, min(lookedAt-n, n+1, pastMost)) }
	across, up := past(g.Part.Cols()), past(g.Part.Rows())
	all = lattice.Extent{Left: all.Left - across, Right: all.Right + across, Bottom: all.Bottom - up, Top: all.Top + up}
	for all != g.Part {
		bad := false
		for _, b := range all.Wider().Corners() {
			bad = bad || g.Map[6]*b.X+g.Map[7]*b.Y+1 < horizon
		}
		if !bad {
			break
		}
		all.Left, all.Right = min(all.Left+1, g.Part.Left), max(all.Right-1, g.Part.Right)
		all.Bottom, all.Top = min(all.Bottom+1, g.Part.Bottom), max(all.Top-1, g.Part.Top)
	}
	return all
}

// measure gives the worths of the pieces in units of s.base, none above most, and all sums.
func (s *Survey) measure(most float64) {
	for of := range lattice.Family(2) {
		s.lines[of].addEnds(s.base[of])
	}
	for of := range lattice.Family(2) {
		t := &s.lines[of]
		_, _, lo, hi := s.Lattice.Part.Lines(of) // the crossing lines
		t.worth, t.worthSum, t.rimSum, t.rimCount = nil, nil, nil, nil
		for i, strength := range t.strength {
			// Lines that no crossing line reaches lose their worth: bezels have none.
			w := unreached
			for _, v := range [2]float64{s.crossing(1-of, lo, hi, t.k0+i-1, 1), s.crossing(1-of, lo, hi, t.k0+i, 0)} {
				if v/reached > w { // never for NaN
					w = min(v/reached, 1)
				}
			}
			n := len(strength)
			worth, sum, rim, count := make([]float64, n), make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)
			for c, v := range strength {
				worth[c] = raster.Clip(v/s.base[of], pieceFloor, most)*w - pieceWanted
				rim[c+1], count[c+1] = rim[c], count[c]
				if math.IsNaN(v) {
					worth[c] = pieceFloor - pieceWanted
				} else {
					rim[c+1] += raster.Clip(v/s.base[of], pieceFloor, pieceCap)
					count[c+1]++
				}
				sum[c+1] = sum[c] + worth[c]
			}
			t.worth, t.worthSum = append(t.worth, worth), append(t.worthSum, sum)
			t.rimSum, t.rimCount = append(t.rimSum, rim), append(t.rimCount, count)
		}
	}
}

// addEnds sums the ends over the lines, in units of base.
func (t *table) addEnds(base float64) {
	for end := range t.ends {
		n := t.c1 - t.c0
		sum, count := [][]float64{make([]float64, n)}, [][]float64{make([]float64, n)}
		for k, row := range t.ends[end] {
			s, m := make([]float64, n), make([]float64, n)
			for c, v := range row {
				s[c], m[c] = sum[k][c], count[k][c]
				if !math.IsNaN(v) {
					s[c] += raster.Clip(v/base, pieceFloor, pieceCap)
					m[c]++
				}
			}
			sum, count = append(sum, s), append(count, m)
		}
		t.endSum[end], t.endCount[end] = sum, count
	}
}

// crossing gives the mean strength of the lines lo..hi of a family in the first (end = 0) or last third of cell c, in
// units of the median line; NaN where less than half of them are on the picture and in the survey.
func (s *Survey) crossing(of lattice.Family, lo, hi, c, end int) float64 {
	t := &s.lines[of]
	if c < t.c0 || c >= t.c1 {
		return math.NaN()
	}
	a, b, c := lo-t.k0, hi-t.k0+1, c-t.c0
	n := t.endCount[end][b][c] - t.endCount[end][a][c]
	if 2*n <= float64(hi-lo) {
		return math.NaN()
	}
	return (t.endSum[end][b][c] - t.endSum[end][a][c]) / n
}

// halfway gives the strength of the piece in cell c halfway between the upright lines k and k+1, NaN outside. Frames
// share most of these, so each is looked at once.
func (s *Survey) halfway(k, c int) float64 {
	at := lattice.Piece{Of: lattice.Upright, Line: k, Cell: c}
	if v, ok := s.between[at]; ok {
		return v
	}
	v := math.NaN()
	half := lattice.Shift(s.Lattice.Map, float64(k)+0.5, 0)
	if p, ok := lattice.ProfileOf(s.Lattice.Ridges(), &half, lattice.Piece{Of: lattice.Upright, Cell: c}); ok {
		v = p.Strength(s.Lattice.Sign)
	}
	s.between[at] = v
	return v
}

// box is the size of a box of x on the photo, in pixels.
func (s *Survey) box(x lattice.Extent) (across, up float64) {
	return lattice.BoxSize(s.Lattice.Map, x.Mid())
}

// Homography gives the map from boxes with the origin at the middle of x to the photo.
func (s *Survey) Homography(x lattice.Extent) geom.Homography {
	m := x.Mid()
	return lattice.Shift(s.Lattice.Map, m.X, m.Y)
}
