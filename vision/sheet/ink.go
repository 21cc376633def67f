package sheet

// The graticule's own ink: lines, dots and ticks, as differences from the field.
//
// What is the same in most boxes is the graticule: folding all boxes onto one and taking the median
// gives its ink at every phase. The two centre axes and the rim look different and are folded along
// themselves. A trace may do what ink does: a flat level runs along a line, a square wave of one box
// a period has its edges on all of them. But horizontal and vertical lines of a display look alike,
// and a trace does not run along both: so what a row has all along is capped by what the column at the
// same distance from its line has, and the other way round.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/raster"
)

const (
	// inkSlack is how much stronger a line may be than its counterpart across; camera and display
	// blur rows and columns differently (TestHowMuchBrighterALineMayBeThanThoseAcross).
	inkSlack = 1.3
	// axisReach is how far the ticks of an axis or a rim reach, in boxes: usually 0.1
	// (TestTheInkOfTheAxesHasTheirTicks).
	axisReach = 0.14
	// colourSlack is how many times more of one channel, beside the others, the ink of a level axis or rim may have
	// than the ink of the other lines: a trace at rest there has another colour (TestTheAxisHasTheColourOfTheLines).
	// brightInk is the share of the cells between the lowest line and the axis that tell the colour of the other
	// lines.
	colourSlack, brightInk = 1.3, 0.02
	// enoughBoxes is how many boxes a median needs; more are left out in a chessboard's manner
	// (TestAllBoxesOfADisplayCount).
	enoughBoxes = 40
)

// ink gives the ink of every cell of the flattened sheet, laid out like its rgb.
func (f *fold) ink(frame geom.Frame) (ink [3][]float32) {
	raster.Rows(3, func(a, b int) {
		for c := a; c < b; c++ {
			ink[c] = f.channel(f.s.Light[c], frame)
		}
	})
	f.oneColour(&ink)
	return ink
}

// oneColour limits what the level axis and rims have by the colour of the other lines, where those are brighter than
// the field. A trace that rests on such a line for half of the width is in its median.
func (f *fold) oneColour(ink *[3][]float32) {
	s := f.s
	reach := int(axisReach*float64(s.Up) + 0.5)
	bands := [][2]int{{0, f.base + reach}, {f.j0 - reach, f.j0 + reach}, {s.NY - f.base - reach, s.NY}}
	var own [3]float32
	for c := range own {
		var v []float32
		for i := f.left; i < s.NX-f.left; i += 3 {
			for j := bands[0][1]; j < bands[1][0]; j++ {
				v = append(v, ink[c][i*s.NY+j])
			}
		}
		if own[c] = raster.Rank(v, 1-brightInk); own[c] <= 0 {
			return
		}
	}
	for _, band := range bands {
		for i := range s.NX {
			for k := i*s.NY + band[0]; k < i*s.NY+band[1]; k++ {
				lowest := max(min(ink[0][k]/own[0], ink[1][k]/own[1], ink[2][k]/own[2]), 0)
				for c := range ink {
					ink[c][k] = min(ink[c][k], colourSlack*lowest*own[c])
				}
			}
		}
	}
}

// A fold knows the phase of every column and row of a sheet: its distance from the drawn line to
// its left or below, in cells.
type fold struct {
	s          *Sheet
	px, py     []int // phase of a column, of a row
	i0, j0     int   // the column right of the centre axis, the row above it
	left, base int   // columns and rows outside the frame at the left and at the bottom
}

func newFold(s *Sheet, g *graticule.Graticule) *fold {
	f := &fold{s: s, px: make([]int, s.NX), py: make([]int, s.NY)}
	f.i0 = int(math.Round(-s.X0/s.DX + 0.5))
	f.j0 = int(math.Round(-s.Y0/s.DY + 0.5))
	offX, offY := 0, 0
	if g.Frame.Cols%2 == 1 && !g.Centred {
		offX = s.Across / 2
	}
	if g.Frame.Rows%2 == 1 {
		offY = s.Up / 2
	}
	for i := range f.px {
		f.px[i] = modulo(i-f.i0+offX, s.Across)
	}
	for j := range f.py {
		f.py[j] = modulo(j-f.j0+offY, s.Up)
	}
	f.left = int(math.Round((g.Frame.Left() - (s.X0 - s.DX/2)) / s.DX))
	f.base = int(math.Round((g.Frame.Bottom() - (s.Y0 - s.DY/2)) / s.DY))
	return f
}

func modulo(a, n int) int { return ((a % n) + n) % n }

// channel gives the ink of one channel.
func (f *fold) channel(d []float32, frame geom.Frame) []float32 {
	s := f.s
	ink := make([]float32, len(d))
	cell := f.cell(d)
	for i := range s.NX {
		for j := f.base; j < s.NY-f.base; j++ {
			ink[i*s.NY+j] = cell[f.px[i]*s.Up+f.py[j]]
		}
	}
	// Axes and rims, on what is left. A line drawn at the centre is there only when a line passes it.
	reachX, reachY := int(axisReach*float64(s.Across)+0.5), int(axisReach*float64(s.Up)+0.5)
	var pairs [][2]*band
	if f.px[f.i0] == 0 && f.py[f.j0] == 0 {
		pairs = append(pairs, [2]*band{
			f.along(d, ink, f.j0, reachY, reachY, false), f.along(d, ink, f.i0, reachX, reachX, true)})
	}
	pairs = append(pairs,
		[2]*band{f.along(d, ink, f.base, f.base, reachY, false), f.along(d, ink, s.NY-f.base, reachY, f.base, false)},
		[2]*band{f.along(d, ink, f.left, f.left, reachX, true), f.along(d, ink, s.NX-f.left, reachX, f.left, true)},
	)
	for k, p := range pairs {
		capBands(p[0], p[1], k > 0)
		f.add(ink, p[0])
		f.add(ink, p[1])
	}
	return ink
}

// cell folds all boxes: the median at phase (a, b) is at index a*up+b.
func (f *fold) cell(d []float32) []float32 {
	s := f.s
	byX, byY := make([][]int, s.Across), make([][]int, s.Up)
	for i := f.left; i < s.NX-f.left; i++ {
		byX[f.px[i]] = append(byX[f.px[i]], i)
	}
	for j := f.base; j < s.NY-f.base; j++ {
		byY[f.py[j]] = append(byY[f.py[j]], j)
	}
	t := make([]float32, s.Across*s.Up)
	sparse := len(byX[0])*len(byY[0]) > 2*enoughBoxes
	raster.Rows(s.Across, func(a0, a1 int) {
		var buf []float32
		for a := a0; a < a1; a++ {
			for b := range s.Up {
				buf = buf[:0]
				for m, i := range byX[a] {
					for n, j := range byY[b] {
						if sparse && (m+n)%2 == 1 {
							continue
						}
						buf = append(buf, d[i*s.NY+j])
					}
				}
				t[a*s.Up+b] = raster.Rank(buf, 0.5)
			}
		}
	})
	f.capCell(t)
	return t
}

// capCell limits the solid lines of the folded box by the likeness of columns and rows. What is dotted
// repeats along both axes, as no trace does, and stays.
func (f *fold) capCell(t []float32) {
	s := f.s
	cols, rows := make([]float32, s.Across), make([]float32, s.Up)
	var buf []float32
	for a := range cols {
		buf = append(buf[:0], t[a*s.Up:(a+1)*s.Up]...)
		cols[a] = raster.Rank(buf, 0.5)
	}
	for b := range rows {
		buf = buf[:0]
		for a := range s.Across {
			buf = append(buf, t[a*s.Up+b])
		}
		rows[b] = raster.Rank(buf, 0.5)
	}
	for a := range s.Across {
		over := excess(cols[a], most(rows, a, s.Across))
		for b := range s.Up {
			t[a*s.Up+b] -= over
		}
	}
	for b := range s.Up {
		over := excess(rows[b], most(cols, b, s.Up))
		for a := range s.Across {
			t[a*s.Up+b] -= over
		}
	}
}

// excess is by how much v goes beyond what its counterpart of size m allows.
func excess(v, m float32) float32 {
	m *= inkSlack
	return v - min(max(v, -m), m)
}

// most gives the largest of the phases in v that share phase k of n, whatever their count.
func most(v []float32, k, n int) float32 {
	lo := k * len(v) / n
	hi := max(((k+1)*len(v)+n-1)/n, lo+1)
	m := float32(0)
	for _, w := range v[lo:min(hi, len(v))] {
		m = max(m, abs(w))
	}
	return m
}

// A band is ink along one line of the display: at phase p along the line and q across it, from the
// lowest, at index p*n+q.
type band struct {
	t      []float32
	n      int  // rows or columns across
	start  int  // the first of them on the sheet
	down   bool // the line is vertical
	centre int  // q of the first cell above or right of the line
}

// along folds the line before cell at: rows at-low to at+high, or columns when down is true.
func (f *fold) along(d, ink []float32, at, low, high int, down bool) *band {
	s := f.s
	phases, length, across, phase := s.Across, s.NX, s.NY, f.px
	if down {
		phases, length, across, phase = s.Up, s.NY, s.NX, f.py
	}
	start := max(at-low, 0)
	n := min(at+high, across) - start
	b := &band{t: make([]float32, phases*max(n, 0)), n: n, start: start, down: down, centre: at - start}
	by := make([][]int, phases)
	for k := range length {
		by[phase[k]] = append(by[phase[k]], k)
	}
	var buf []float32
	for p := range phases {
		for q := range n {
			buf = buf[:0]
			for _, k := range by[p] {
				m := k*s.NY + start + q
				if down {
					m = (start+q)*s.NY + k
				}
				buf = append(buf, d[m]-ink[m])
			}
			b.t[p*n+q] = raster.Rank(buf, 0.5)
		}
	}
	return b
}

// capBands limits two bands by each other, first what they have all along, then place by place; mirrored
// when their outsides look opposite ways.
func capBands(a, b *band, mirrored bool) {
	sa, sb := a.solid(), b.solid()
	a.limit(sa, sb, b, mirrored)
	b.limit(sb, sa, a, mirrored)
	ta, tb := append([]float32(nil), a.t...), append([]float32(nil), b.t...)
	a.limitEach(b, tb, mirrored)
	b.limitEach(a, ta, mirrored)
}

// solid is what the band has all along, at each place across.
func (b *band) solid() []float32 {
	m := make([]float32, b.n)
	var buf []float32
	for q := range b.n {
		buf = buf[:0]
		for k := q; k < len(b.t); k += b.n {
			buf = append(buf, b.t[k])
		}
		m[q] = raster.Rank(buf, 0.5)
	}
	return m
}

// beside gives the places across the other band, first to last, that lie as far from its line as q
// does from that of b.
func (b *band) beside(q int, other *band, mirrored bool) (first, last int) {
	d := (float64(q-b.centre) + 0.5) * float64(other.n) / float64(b.n)
	if mirrored {
		d = -d
	}
	k := min(max(other.centre+int(math.Floor(d)), 0), other.n-1)
	return max(k-1, 0), min(k+1, other.n-1)
}

func (b *band) limit(own, theirs []float32, other *band, mirrored bool) {
	for q := range b.n {
		first, last := b.beside(q, other, mirrored)
		m := float32(0)
		for _, w := range theirs[first : last+1] {
			m = max(m, abs(w))
		}
		over := excess(own[q], m)
		for i := q; i < len(b.t); i += b.n {
			b.t[i] -= over
		}
	}
}

func (b *band) limitEach(other *band, theirs []float32, mirrored bool) {
	if other.n == 0 || b.n == 0 {
		return
	}
	phases, ours := len(theirs)/other.n, len(b.t)/b.n
	for q := range b.n {
		first, last := b.beside(q, other, mirrored)
		for p := range ours {
			m := float32(0)
			k := p * phases / ours
			for _, o := range []int{k + phases - 1, k, k + 1} {
				for _, w := range theirs[o%phases*other.n+first : o%phases*other.n+last+1] {
					m = max(m, abs(w))
				}
			}
			b.t[p*b.n+q] -= excess(b.t[p*b.n+q], m)
		}
	}
}

// add puts the band's ink where it belongs.
func (f *fold) add(ink []float32, b *band) {
	s := f.s
	for q := range b.n {
		if b.down {
			for j := range s.NY {
				ink[(b.start+q)*s.NY+j] += b.t[f.py[j]*b.n+q]
			}
			continue
		}
		for i := range s.NX {
			ink[i*s.NY+b.start+q] += b.t[f.px[i]*b.n+q]
		}
	}
}

func abs(v float32) float32 { return max(v, -v) }
