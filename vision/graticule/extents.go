package graticule

// Which rectangle of the lattice is the frame?
//
// Every line piece of the lattice, some way past the part that was grown, is given a strength; a
// rectangle is good when the pieces in it are strong, when its size is one that displays have, and
// when the minor ticks stand on its centre lines and inside its rims.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
)

const (
	pastPart    = 5    // boxes past the grown part that are looked at, or more:
	lookedAt    = 16   // boxes from one end of the grown part to what is looked at past the other
	pastMost    = 8    // boxes past the part: farther on a part of six boxes says too little
	pieceFloor  = -0.1 // of the median line: covered cells (text, a menu) cost no more than that
	pieceCap    = 1.5  // rims are worth having, but not everything
	pieceWanted = 0.4  // of the median line: what a piece must have to pay for itself
	runsOn      = 0.4  // of the median line: crossing lines seen that strong beyond a rim are no chance
	runsOnCost  = 2.0  // and tell more against it than missing ones inside, which may be covered
	stopWorth   = 12.0 // of the crossing lines' ending at a rim
	centreWorth = 12.0 // of the ticks of a centre line through the frame's middle
	ticksWorth  = 8.0  // of those inside a rim, which a bright rim may drown
	rimWorth    = 4.0  // of a rim as strong as the median line and a half
	rimOfDots   = 12.0 // the same where dots are all over: only rims are drawn as lines there
	provenTicks = 0.9  // of a centre line's ticks, see tickClues
	provenRim   = 0.7  // of the median line
	provenStop  = 0.6  // of the crossing lines' ending at a rim
	rimMissing  = 20.0 // cost of a half-box frame neither of whose rims is seen
	rimCovered  = 4.0  // and of one with one rim seen; a menu or glare may cover the other
)

// A size is a count of boxes that displays have, and what it costs to be of that size: one unit is
// three pieces as strong as the median.
type size struct {
	cols, rows int
	centred    bool // odd count, lines from the centre, half a box at the rims
	cost       float64
}

var sizes = []size{
	{10, 8, false, 0}, {12, 8, false, 0.5}, {14, 8, false, 0.5}, {15, 10, true, 0.6}, {10, 10, false, 1},
	{14, 10, false, 0.8}, {16, 8, false, 1.2}, {16, 10, false, 1.5}, {12, 10, false, 1.2},
	{8, 10, false, 4}, {8, 12, false, 4.5}, {8, 8, false, 8}, {10, 12, false, 4.5}, {8, 14, false, 5}, {10, 14, false, 5},
	{18, 8, false, 2}, {18, 10, false, 2.5},
}

// rareSizes are taken only where ticks or crosses count them, not for a part of a lattice that goes on.
var rareSizes = []size{{12, 12, false, 3}, {20, 10, false, 3}, {16, 12, false, 3}}

// A frame is one rectangle with its score. Of a centred frame the extent is that of the lines; its
// rims are half a box out.
type frame struct {
	extent
	size  size
	score float64
	// Parts of the score.
	edges       float64 // strengths of the pieces, less what is wanted of each
	prior       float64
	centreTicks [2]float64 // 0..1: ticks on the upright and the level centre line
	axes        float64    // 0..1: how clearly the centre lines stand out
	rimTicks    float64    // 0..4: ticks inside the rims
	rimLines    float64    // strengths of the four rims, each less a half
	stopped     float64    // how clearly the crossing lines end at the rims, sum of stops
	rims, stops [4]float64 // left, right, bottom, top; in units of the median line
}

// known says of which rims, left, right, bottom, top, the place follows from others: a frame is as far
// on both sides of the centre line, which ticks prove, and the opposite rim is clear.
func (f frame) known() (k [4]bool) {
	for i := range k {
		opposite := i ^ 1
		k[i] = max(f.centreTicks[i/2], f.axes) >= provenTicks && f.rims[opposite] >= provenRim && f.stops[opposite] >= provenStop
	}
	return k
}

func (f frame) boxes() geom.Frame { return geom.Frame{Cols: f.size.cols, Rows: f.size.rows} }

// A survey has what was seen of each piece in a range of lattice lines.
type survey struct {
	g       *grown
	all     extent
	raw     [2][][]float64 // family, k - first, c - first: strength in rms of the evidence, NaN outside
	str     [2][][]float64 // the same in units of the median line, weighed and less what is wanted; of measure
	ticks   [2][][][2]tickSight
	ends    [2][][][2]float64 // strengths of each piece's first and last third, NaN outside
	heights [2][][]float64    // of the pieces, see closeUp.height
	spans   map[lineSpan]lineHeight
	between map[[2]int]float64 // see halfway
	base    [2]float64         // median line strengths
}

// surveyOf looks at g's lattice and pastPart boxes around what was grown.
func surveyOf(g *grown, f *closeUp) *survey {
	s := &survey{g: g, all: g.part}
	past := func(n int) int { return max(pastPart, min(lookedAt-n, n+1, pastMost)) }
	across, up := past(g.part.cols()), past(g.part.rows())
	s.all.left -= across
	s.all.right += across
	s.all.bottom -= up
	s.all.top += up
	for s.base = [2]float64{}; ; {
		// Lines past the horizon do not exist.
		bad := false
		for _, b := range [4]geom.Box{{X: float64(s.all.left) - 1, Y: float64(s.all.bottom) - 1}, {X: float64(s.all.right) + 1, Y: float64(s.all.bottom) - 1}, {X: float64(s.all.left) - 1, Y: float64(s.all.top) + 1}, {X: float64(s.all.right) + 1, Y: float64(s.all.top) + 1}} {
			bad = bad || g.h[6]*b.X+g.h[7]*b.Y+1 < 0.2
		}
		if !bad || s.all == g.part {
			break
		}
		s.all.left = min(s.all.left+1, g.part.left)
		s.all.right = max(s.all.right-1, g.part.right)
		s.all.bottom = min(s.all.bottom+1, g.part.bottom)
		s.all.top = max(s.all.top-1, g.part.top)
	}
	for fam := range family(2) {
		k0, k1, c0, c1 := s.ranges(fam)
		p0, p1 := g.part.left, g.part.right
		q0, q1 := g.part.bottom, g.part.top
		if fam == level {
			p0, p1, q0, q1 = q0, q1, p0, p1
		}
		var lines []float64
		for k := k0; k <= k1; k++ {
			row := make([]float64, c1-c0)
			tk := make([][2]tickSight, c1-c0)
			ends := make([][2]float64, c1-c0)
			heights := make([]float64, c1-c0)
			sum, n := 0.0, 0
			for c := c0; c < c1; c++ {
				pc := piece{fam, k, c}
				p, e, ok := g.ev.lookEnds(&g.h, pc, g.sign)
				ends[c-c0] = e
				heights[c-c0] = f.height(&g.h, pc, g.sign)
				if !ok {
					row[c-c0] = math.NaN()
					continue
				}
				row[c-c0] = min(max(p.pieceStrength(g.sign), -0.6), 1.2)
				if c >= q0 && c < q1 {
					sum += row[c-c0]
					n++
				}
				tk[c-c0][0] = f.tick(&g.h, pc, -1, g.sign)
				tk[c-c0][1] = f.tick(&g.h, pc, 1, g.sign)
			}
			if k >= p0 && k <= p1 && n > 0 {
				lines = append(lines, sum/float64(n))
			}
			s.raw[fam] = append(s.raw[fam], row)
			s.ticks[fam] = append(s.ticks[fam], tk)
			s.ends[fam] = append(s.ends[fam], ends)
			s.heights[fam] = append(s.heights[fam], heights)
		}
		s.base[fam] = max(median(lines), 0.05)
	}
	s.measure(pieceCap)
	return s
}

// measure gives the strengths of the pieces in units of s.base, none above most.
func (s *survey) measure(most float64) {
	for fam := range s.raw {
		s.str[fam] = nil
		for _, raw := range s.raw[fam] {
			row := slices.Clone(raw)
			for i := range row {
				row[i] = min(max(row[i]/s.base[fam], pieceFloor), most)
			}
			s.str[fam] = append(s.str[fam], row)
		}
	}
	s.weigh()
}

// pieceStrength is as strength, with narrower windows: the lattice is well known here.
func (p *profile) pieceStrength(sign float32) float64 {
	most := func(from, to int) float64 {
		m := float32(math.Inf(-1))
		for i := profHalf + from; i <= profHalf+to; i++ {
			m = max(m, sign*p[i])
		}
		return float64(m)
	}
	return most(-2, 2) - (most(-12, -8)+most(8, 12))/2
}

func (s *survey) ranges(fam family) (k0, k1, c0, c1 int) {
	if fam == upright {
		return s.all.left, s.all.right, s.all.bottom, s.all.top
	}
	return s.all.bottom, s.all.top, s.all.left, s.all.right
}

// weigh takes strength from lines that no crossing line reaches: bezels have none.
func (s *survey) weigh() {
	for fam := range family(2) {
		k0, _, _, _ := s.ranges(fam)
		lo, hi := s.g.part.bottom, s.g.part.top // of the crossing lines
		if fam == level {
			lo, hi = s.g.part.left, s.g.part.right
		}
		for i, row := range s.str[fam] {
			w := 0.1
			for _, v := range [2]float64{s.crossing(1-fam, lo, hi, k0+i-1, 1), s.crossing(1-fam, lo, hi, k0+i, 0)} {
				if v/0.4 > w { // never for NaN
					w = min(v/0.4, 1)
				}
			}
			for c := range row {
				row[c] = row[c]*w - pieceWanted
				if math.IsNaN(row[c]) {
					row[c] = pieceFloor - pieceWanted
				}
			}
		}
	}
}

// crossing gives the mean strength of the lines lo..hi of fam in the first (end = 0) or last third of
// cell c, in units of the median line; NaN where less than half of them are on the picture and in the
// survey.
func (s *survey) crossing(fam family, lo, hi, c, end int) float64 {
	k0, _, c0, c1 := s.ranges(fam)
	if c < c0 || c >= c1 {
		return math.NaN()
	}
	sum, n := 0.0, 0
	for k := lo; k <= hi; k++ {
		if v := s.ends[fam][k-k0][c-c0][end]; !math.IsNaN(v) {
			sum += min(max(v/s.base[fam], pieceFloor), pieceCap)
			n++
		}
	}
	if 2*n <= hi-lo {
		return math.NaN()
	}
	return sum / float64(n)
}

// frames scores all rectangles.
func (s *survey) frames(want geom.Frame) []frame {
	tick := s.tickClues()
	rim := rimWorth
	if s.g.dotted {
		rim = rimOfDots
	}
	var out []frame
	for _, z := range sizesFor(want) {
		c, r := z.cols, z.rows
		if z.centred {
			c--
		}
		for left := s.all.left; left+c <= s.all.right; left++ {
			for bottom := s.all.bottom; bottom+r <= s.all.top; bottom++ {
				x := extent{left, left + c, bottom, bottom + r}
				if x.right < s.g.part.left+2 || x.left > s.g.part.right-2 || x.top < s.g.part.bottom+2 || x.bottom > s.g.part.top-2 {
					continue
				}
				f := frame{extent: x, size: z}
				f.edges = s.sum(x)
				f.prior = -3 * z.cost
				f.centreTicks = [2]float64{tick(upright, (x.left+x.right)/2, x, 2), tick(level, (x.bottom+x.top)/2, x, 2)}
				f.axes = s.axes(x)
				f.rimTicks = tick(level, x.bottom, x, 1) + tick(level, x.top, x, 0)
				if !z.centred {
					f.rimTicks += tick(upright, x.left, x, 1) + tick(upright, x.right, x, 0)
				}
				f.rims = s.rims(x, z.centred)
				for _, r := range f.rims {
					f.rimLines += r - 0.5
				}
				f.stops = s.stops(x, z.centred)
				for _, d := range f.stops {
					f.stopped += d
				}
				if z.centred && max(f.rims[0], f.rims[1]) < 0.5 {
					f.prior -= rimMissing
				} else if z.centred && min(f.rims[0], f.rims[1]) < 0.5 {
					f.prior -= rimCovered
				}
				f.score = f.edges + f.prior + centreWorth*(f.centreTicks[0]+f.centreTicks[1]) + axesWorth*f.axes + ticksWorth*f.rimTicks + rim*f.rimLines + stopWorth*f.stopped
				out = append(out, f)
			}
		}
	}
	return out
}

// foremost gives the frame of the highest score, of equal ones the first, and how far the next lies below it.
func foremost(fs []frame) (best int, margin float64) {
	next := math.Inf(-1)
	for i := 1; i < len(fs); i++ {
		if fs[i].score > fs[best].score {
			best, next = i, fs[best].score
		} else {
			next = max(next, fs[i].score)
		}
	}
	return best, fs[best].score - next
}

func sizesFor(want geom.Frame) []size {
	var out []size
	for _, z := range sizes {
		if (want.Cols == 0 || want.Cols == z.cols) && (want.Rows == 0 || want.Rows == z.rows) {
			out = append(out, z)
		}
	}
	if len(out) == 0 && want.Cols > 0 && want.Rows > 0 {
		out = append(out, size{cols: want.Cols, rows: want.Rows})
		if want.Cols%2 == 1 {
			out = append(out, size{cols: want.Cols, rows: want.Rows, centred: true})
		}
	}
	return out
}

func (s *survey) sum(x extent) float64 {
	t := 0.0
	for k := x.left; k <= x.right; k++ {
		for _, v := range s.str[upright][k-s.all.left][x.bottom-s.all.bottom : x.top-s.all.bottom] {
			t += v
		}
	}
	for k := x.bottom; k <= x.top; k++ {
		for _, v := range s.str[level][k-s.all.bottom][x.left-s.all.left : x.right-s.all.left] {
			t += v
		}
	}
	return t
}

// stops says how clearly the crossing lines end at each of the four rims of x, left, right, bottom,
// top: their mean strength just inside, less that just outside, of the median line. It is zero where
// either is not to be seen: a display that the photo's edge cuts off may go on there. Of a centred
// frame the left and right rim are half a box outside x.
func (s *survey) stops(x extent, centred bool) (d [4]float64) {
	stop := func(fam family, lo, hi, inside, insideEnd, outside, outsideEnd int) float64 {
		in := s.crossing(fam, lo, hi, inside, insideEnd)
		out := s.crossing(fam, lo, hi, outside, outsideEnd)
		if math.IsNaN(in) || math.IsNaN(out) {
			return 0
		}
		return in - out - runsOnCost*max(out-runsOn, 0)
	}
	if centred {
		d[0] = stop(level, x.bottom, x.top, x.left-1, 1, x.left-1, 0)
		d[1] = stop(level, x.bottom, x.top, x.right, 0, x.right, 1)
	} else {
		d[0] = stop(level, x.bottom, x.top, x.left, 0, x.left-1, 1)
		d[1] = stop(level, x.bottom, x.top, x.right-1, 1, x.right, 0)
	}
	d[2] = stop(upright, x.left, x.right, x.bottom, 0, x.bottom-1, 1)
	d[3] = stop(upright, x.left, x.right, x.top-1, 1, x.top, 0)
	return d
}

// rims gives the mean strengths of the four rims of x, left, right, bottom, top, in units of the
// median line. Of a centred frame the left and right rim are half a box outside x.
func (s *survey) rims(x extent, centred bool) (r [4]float64) {
	mean := func(fam family, row []float64) float64 {
		sum, n := 0.0, 0
		for _, v := range row {
			if !math.IsNaN(v) {
				sum += min(max(v/s.base[fam], pieceFloor), pieceCap)
				n++
			}
		}
		return sum / float64(max(n, 1))
	}
	a, b := x.left-s.all.left, x.right-s.all.left
	c, d := x.bottom-s.all.bottom, x.top-s.all.bottom
	r[2], r[3] = mean(level, s.raw[level][c][a:b]), mean(level, s.raw[level][d][a:b])
	if !centred {
		r[0], r[1] = mean(upright, s.raw[upright][a][c:d]), mean(upright, s.raw[upright][b][c:d])
		return r
	}
	for i, at := range [2]int{x.left - 1, x.right} {
		var row []float64
		for c := x.bottom; c < x.top; c++ {
			row = append(row, s.halfway(at, c))
		}
		r[i] = mean(upright, row)
	}
	return r
}

// halfway gives the strength of the piece in cell c halfway between the upright lines k and k+1, NaN outside. Frames
// share most of these, so each is looked at once.
func (s *survey) halfway(k, c int) float64 {
	at := [2]int{k, c}
	if v, ok := s.between[at]; ok {
		return v
	}
	v := math.NaN()
	half := shift(s.g.h, float64(k)+0.5, 0)
	if p, ok := s.g.ev.look(&half, piece{upright, 0, c}); ok {
		v = p.strength(s.g.sign)
	}
	if s.between == nil {
		s.between = map[[2]int]float64{}
	}
	s.between[at] = v
	return v
}
