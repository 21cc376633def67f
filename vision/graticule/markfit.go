package graticule

// The last fit of a frame with marks: which stretches of line there are to see, where each is seen on
// the photo, and the fit of the model to them, the same as that of ruled lines.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
)

// A mark is a short stretch of line: a piece of a rim or an axis, a tick, or two arms of a cross. It is
// seen through the places at(off, t) for t in its spans.
type mark struct {
	piece
	kind  markKind
	coord float64 // box: where its line is
	spans [][2]float64
}

type markKind int

const (
	rimPiece markKind = iota
	axisPiece
	tickMark
	crossArms
	markKinds
)

const (
	lineSteps  = 20   // lines a box that have numbers: five or four ticks a box fall on them
	rimClear   = 0.6  // of a rim's ridge, of the rms beside it; noise gives 0.3
	rimReach   = 0.07 // box: beside a rim or axis where its ridge is searched, at first
	rimNear    = 0.04 // the same when marks have told where the frame is
	markReach  = 0.10 // box, of ticks and crosses; of close ticks less
	markLow    = 0.35 // of the median height of its kind: lower ones are not seen
	tickRows   = 5    // at least, across a tick
	enoughMark = 24   // ticks and arms that fix the frame without its rims
)

// sight looks across a mark and gives its place on the photo and the ridge's height; in is false outside
// the photo.
func (k *mark) sight(near *closeUp, m *model, sign float32, reach float64) (place geom.Pixel, height float64, in bool) {
	at := func(off, t float64) geom.Pixel {
		if k.fam == upright {
			return m.pixel(geom.Box{X: k.coord + off, Y: t})
		}
		return m.pixel(geom.Box{X: t, Y: k.coord + off})
	}
	total := 0.0
	for _, s := range k.spans {
		total += s[1] - s[0]
	}
	mid := (k.spans[0][0] + k.spans[len(k.spans)-1][1]) / 2
	a, b := at(-0.5, mid), at(0.5, mid)
	px := math.Hypot(b.X-a.X, b.Y-a.Y) * near.scale
	c, d := at(0, mid-0.5), at(0, mid+0.5)
	along := math.Hypot(d.X-c.X, d.Y-c.Y) * near.scale
	if px < leastBox {
		return place, 0, false
	}
	const wide = len(ridgeKernel) / 2
	step := max(ridgeWidth, 1.5/px) / ridgeSteps
	half := int(reach/step) + 1 + wide
	n := 2*half + 1
	row := make([]float32, n)
	ridge := make([]float32, n)
	mean := make([]float64, n)
	rows, asked := 0.0, 0.0
	for _, s := range k.spans {
		count := min(max(int((s[1]-s[0])*along), tickRows), mostRows)
		for r := range count {
			asked++
			t := s[0] + (s[1]-s[0])*(float64(r)+0.5)/float64(count)
			if !near.run(row, at(-float64(half)*step, t), at(float64(half)*step, t)) {
				continue
			}
			power := 0.0
			for i := wide; i < n-wide; i++ {
				var v float32
				for j, w := range ridgeKernel {
					v += w * row[i-wide+j]
				}
				ridge[i] = sign * v
				power += float64(v * v)
			}
			// A row over its own strength, so that a trace across one row does not rule.
			w := 1 / (math.Sqrt(power/float64(n-2*wide)) + 2*evidenceSoft)
			for i := wide; i < n-wide; i++ {
				mean[i] += w * float64(ridge[i])
			}
			rows++
		}
	}
	if 2*rows < asked {
		return place, 0, false
	}
	best := wide + 1
	for i := best; i < n-wide-1; i++ {
		if mean[i] > mean[best] {
			best = i
		}
	}
	l, c0, h := mean[best-1], mean[best], mean[best+1]
	if c0 < l || c0 < h || c0 <= 0 {
		return place, 0, true
	}
	part := 0.0
	if den := l - 2*c0 + h; den < 0 {
		part = 0.5 * (l - h) / den
	}
	a, b = at(-float64(half)*step, mid), at(float64(half)*step, mid)
	f := (float64(best) + part) / float64(n-1)
	return geom.Pixel{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}, c0 / rows, true
}

// observeMarks looks at all marks but those without a reach, and gives those seen: per kind how many
// were asked for and how many there are.
func observeMarks(near *closeUp, m *model, sign float32, marks []mark, reach [markKinds]float64) (obs []observation, kinds []markKind, asked, seen [markKinds]int) {
	heights := make([]float64, len(marks))
	places := make([]geom.Pixel, len(marks))
	var of [markKinds][2][]float64
	for i := range marks {
		k := &marks[i]
		if reach[k.kind] == 0 {
			continue
		}
		var in bool
		if places[i], heights[i], in = k.sight(near, m, sign, reach[k.kind]); in {
			asked[k.kind]++
			of[k.kind][k.fam] = append(of[k.kind][k.fam], heights[i])
		}
	}
	var low [markKinds][2]float64
	for k := range of {
		for fam := range of[k] {
			low[k][fam] = markLow * median(of[k][fam])
		}
	}
	for i, k := range marks {
		least := low[k.kind][k.fam]
		if k.kind == rimPiece || k.kind == axisPiece {
			least = max(least, rimClear)
		}
		if heights[i] > max(least, 1e-3) {
			obs = append(obs, observation{k.piece, k.coord, places[i], 1, k.kind == rimPiece})
			kinds = append(kinds, k.kind)
			seen[k.kind]++
		}
	}
	return obs, kinds, asked, seen
}

func lineNumber(x float64) int { return int(math.Round(x * lineSteps)) }

// rimMarks lists the pieces of the rims of f, in the order left, right, bottom, top.
func rimMarks(f geom.Frame) (out []mark) {
	line := func(fam family, x float64, from float64, n int) {
		for c := range n {
			a := from + float64(c)
			out = append(out, mark{piece{fam, lineNumber(x), c}, rimPiece, x, [][2]float64{{a + alongFrom, a + 1 - alongFrom}}})
		}
	}
	line(upright, f.Left(), f.Bottom(), f.Rows)
	line(upright, -f.Left(), f.Bottom(), f.Rows)
	line(level, f.Bottom(), f.Left(), f.Cols)
	line(level, -f.Bottom(), f.Left(), f.Cols)
	return out
}

// rimShares gives the shares of the pieces of the rims that are among obs: left, right, bottom, top.
func rimShares(obs []observation, f geom.Frame) (s [4]float64) {
	for _, o := range obs {
		if o.weight <= agrees {
			continue
		}
		switch {
		case o.fam == upright && o.k == lineNumber(f.Left()):
			s[0] += 1 / float64(f.Rows)
		case o.fam == upright && o.k == lineNumber(-f.Left()):
			s[1] += 1 / float64(f.Rows)
		case o.fam == level && o.k == lineNumber(f.Bottom()):
			s[2] += 1 / float64(f.Cols)
		case o.fam == level && o.k == lineNumber(-f.Bottom()):
			s[3] += 1 / float64(f.Cols)
		}
	}
	return s
}

// marks lists what there is to see of a count on a frame: rims, axes, ticks on the strips that show them,
// crosses if there are any.
func (s *markSight) marks() []mark {
	f := geom.Frame{Cols: s.size.cols, Rows: s.size.rows}
	out := rimMarks(f)
	for c := range f.Rows {
		a := f.Bottom() + float64(c)
		out = append(out, mark{piece{upright, 0, c}, axisPiece, 0, [][2]float64{{a + alongFrom, a + 1 - alongFrom}}})
	}
	for c := range f.Cols {
		a := f.Left() + float64(c)
		out = append(out, mark{piece{level, 0, c}, axisPiece, 0, [][2]float64{{a + alongFrom, a + 1 - alongFrom}}})
	}
	if s.count.ticks > 0 {
		for i, t := range s.comb {
			if t.mean < marksSeen {
				continue
			}
			p := strips[i]
			edge, rim := p.edge*float64(f.Rows)/2, float64(f.Cols)/2
			if p.fam == level {
				edge, rim = p.edge*float64(f.Cols)/2, float64(f.Rows)/2
			}
			a, b := edge+p.side*bands[0][0], edge+p.side*bands[s.band[i]][1]
			// Ticks between divisions stand on whole pixels of the display's, up to half of one off.
			s.tickPlaces(p.fam, 0, func(x float64, division bool) {
				if division && math.Abs(x) > 0.1 && rim-math.Abs(x) > 0.1 {
					out = append(out, mark{piece{p.fam, lineNumber(x), placeOf(p, f)}, tickMark, x, [][2]float64{{min(a, b), max(a, b)}}})
				}
			})
		}
	}
	if s.crosses >= marksSeen {
		xs, ys := rulings(f, s.size.centred)
		for i, x := range xs {
			for j, y := range ys {
				if math.Abs(x) < 0.1 || math.Abs(y) < 0.1 || -f.Left()-math.Abs(x) < 0.1 || -f.Bottom()-math.Abs(y) < 0.1 {
					continue
				}
				const a, b = crossArm / 2, 1.5 * crossArm
				out = append(out, mark{piece{upright, lineNumber(x), 2 * (j + 1)}, crossArms, x, [][2]float64{{y - b, y - a}, {y + a, y + b}}},
					mark{piece{level, lineNumber(y), 2 * (i + 1)}, crossArms, y, [][2]float64{{x - b, x - a}, {x + a, x + b}}})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b mark) int { return a.c - b.c }) // as the fit wants the pieces of a line
	return out
}

// placeOf is where along their lines the ticks of a strip stand, in half boxes from the first rim.
func placeOf(s strip, f geom.Frame) int {
	n := f.Rows
	if s.fam == level {
		n = f.Cols
	}
	at := n + int(s.edge)*n
	if s.edge == 0 && s.side > 0 {
		at++ // the other side of an axis
	}
	return at
}

// fit is the last fit, to all marks of s. It leaves r's frame that of s, with its rims seen anew.
func (r *rectangle) fit(s *markSight) (out fit, ok bool) {
	f := geom.Frame{Cols: s.size.cols, Rows: s.size.rows}
	r.m.h = times(r.m.h, float64(r.frame.Cols)/float64(f.Cols), float64(r.frame.Rows)/float64(f.Rows))
	r.m.face = geom.Face{Half: geom.Box{X: float64(f.Cols) / 2, Y: float64(f.Rows) / 2}}
	r.frame = f
	marks := s.marks()
	var obs []observation
	var kinds []markKind
	var asked, seen [markKinds]int
	tick := min(markReach, 0.3/float64(max(s.count.ticks, 1)))
	for round := range refineRounds {
		reach := [markKinds]float64{rimNear, rimReach, tick, markReach}
		if round == 0 { // another line may lie beside a rim
			reach[rimPiece] = 0
		}
		obs, kinds, asked, seen = observeMarks(r.near, &r.m, r.sign, marks, reach)
		if round == 0 && seen[tickMark]+seen[crossArms] < enoughMark {
			reach[rimPiece] = rimReach
			obs, kinds, asked, seen = observeMarks(r.near, &r.m, r.sign, marks, reach)
		}
		if len(obs) < leastSeen {
			return out, false
		}
		if round == refineRounds-1 {
			dropLines(obs, residuals(&r.m, obs))
		}
		if _, out.cov, ok = adjust(&r.m, obs); !ok {
			return out, false
		}
	}
	sum := 0.0
	crosses := 0
	for i, res := range residuals(&r.m, obs) {
		if obs[i].weight > agrees {
			sum += res * res
			out.seen++
			if kinds[i] == crossArms {
				crosses++
			}
		}
	}
	for _, k := range asked {
		out.pieces += k
	}
	out.pieces -= asked[axisPiece] - seen[axisPiece] // there may be none
	out.model = r.m
	out.rms = math.Sqrt(sum / float64(max(out.seen, 1)))
	out.bend = r.m.bend(rulings(f, s.size.centred))
	out.obs = obs
	out.crossings = crosses / 2
	// Of two lines close together the fit may have left out the rim: it is there nevertheless.
	obs, _, _, _ = observeMarks(r.near, &r.m, r.sign, rimMarks(f), [markKinds]float64{rimPiece: markReach})
	r.rims = rimShares(obs, f)
	return out, out.seen >= leastSeen
}
