package marks

// The last fit of a frame with marks: which stretches of line there are to see, where each is seen on
// the photo, and the fit of the model to them, the same as that of ruled lines.

import (
	"math"
	"sort"

	"quadrille/vision/fit"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// A mark is a stretch of line, and its place among those of its line for the fit.
type mark struct {
	fit.Stretch
	kind  markKind
	place int // along the line, growing
}

// piece is how the last fit names the mark.
func (k *mark) piece() lattice.Piece {
	return lattice.Piece{Of: k.Of, Line: lineNumber(k.At), Cell: k.place}
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
	// lineSteps: lines a box that have numbers: five or four ticks a box fall on them
	// (nothing changes from 10 to 40, TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	lineSteps = 20
	rimReach  = 0.07 // box: beside a rim or axis where its ridge is searched, at first (TestWhichRimsMakeAFrame)
	// rimNear: the same when marks have told where the frame is
	// (nothing changes from 0.02 to 0.08, TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	rimNear = 0.04
	// markReach, box, of ticks and crosses; of close ticks less
	// (nothing changes from 0.05 to 0.2, TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	markReach = 0.10
	markLow   = 0.35 // of the median height of its kind: lower ones are not seen (TestLowMarksAreNotSeen)
	// enoughMark: ticks and arms that fix the frame without its rims
	// (nothing changes from 12 to 48, TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	enoughMark = 24
)

// observeMarks looks at all marks but those without a reach, and gives those seen: per kind how many
// were asked for and how many there are.
func observeMarks(near *scene.Picture, m *fit.Model, sign float32, marks []mark, reach [markKinds]float64) (obs []fit.Observation, kinds []markKind, asked, seen [markKinds]int) {
	heights := make([]float64, len(marks))
	places := make([]geom.Pixel, len(marks))
	var of [markKinds][2][]float64
	for i := range marks {
		k := &marks[i]
		if reach[k.kind] == 0 {
			continue
		}
		var in bool
		if places[i], heights[i], in = k.See(near, m, sign, reach[k.kind]); in {
			asked[k.kind]++
			of[k.kind][k.Of] = append(of[k.kind][k.Of], heights[i])
		}
	}
	var low [markKinds][2]float64
	for k := range of {
		for fam := range of[k] {
			low[k][fam] = markLow * raster.Median(of[k][fam])
		}
	}
	for i, k := range marks {
		least := low[k.kind][k.Of]
		if k.kind == rimPiece || k.kind == axisPiece {
			least = max(least, fit.RimClear)
		}
		if heights[i] > max(least, 1e-3) {
			obs = append(obs, fit.Observation{Piece: k.piece(), At: k.At, Place: places[i], Weight: 1, Outer: k.kind == rimPiece})
			kinds = append(kinds, k.kind)
			seen[k.kind]++
		}
	}
	return obs, kinds, asked, seen
}

func lineNumber(x float64) int { return int(math.Round(x * lineSteps)) }

// rimMarks lists the pieces of the rims of f, in the order left, right, bottom, top.
func rimMarks(f geom.Frame) (out []mark) {
	line := func(fam lattice.Family, x float64, from float64, n int) {
		for c := range n {
			out = append(out, mark{fit.BoxLong(fam, x, from+float64(c)), rimPiece, c})
		}
	}
	line(lattice.Upright, f.Left(), f.Bottom(), f.Rows)
	line(lattice.Upright, -f.Left(), f.Bottom(), f.Rows)
	line(lattice.Level, f.Bottom(), f.Left(), f.Cols)
	line(lattice.Level, -f.Bottom(), f.Left(), f.Cols)
	return out
}

// rimShares gives the shares of the pieces of the rims that are among obs: left, right, bottom, top.
func rimShares(obs []fit.Observation, f geom.Frame) (s [4]float64) {
	for _, o := range obs {
		if o.Weight <= fit.Agrees {
			continue
		}
		switch {
		case o.Of == lattice.Upright && o.Line == lineNumber(f.Left()):
			s[0] += 1 / float64(f.Rows)
		case o.Of == lattice.Upright && o.Line == lineNumber(-f.Left()):
			s[1] += 1 / float64(f.Rows)
		case o.Of == lattice.Level && o.Line == lineNumber(f.Bottom()):
			s[2] += 1 / float64(f.Cols)
		case o.Of == lattice.Level && o.Line == lineNumber(-f.Bottom()):
			s[3] += 1 / float64(f.Cols)
		}
	}
	return s
}

// marks lists what there is to see of a count on a frame: rims, axes, ticks on the strips that show them,
// crosses if there are any.
func (s *markSight) marks() []mark {
	f := s.Size.Boxes()
	out := rimMarks(f)
	for c := range f.Rows {
		out = append(out, mark{fit.BoxLong(lattice.Upright, 0, f.Bottom()+float64(c)), axisPiece, c})
	}
	for c := range f.Cols {
		out = append(out, mark{fit.BoxLong(lattice.Level, 0, f.Left()+float64(c)), axisPiece, c})
	}
	if s.ticks > 0 {
		for i, t := range s.comb {
			if t.mean < marksSeen {
				continue
			}
			p := strips[i]
			edge, rim := p.edge*float64(f.Rows)/2, float64(f.Cols)/2
			if p.fam == lattice.Level {
				edge, rim = p.edge*float64(f.Cols)/2, float64(f.Rows)/2
			}
			a, b := edge+p.side*bands[0][0], edge+p.side*bands[s.band[i]][1]
			// Ticks between divisions stand on whole pixels of the display's, up to half of one off.
			s.counted().tickPlaces(p.fam, 0, func(x float64, division bool) {
				if division && math.Abs(x) > 0.1 && rim-math.Abs(x) > 0.1 {
					out = append(out, mark{fit.Stretch{Of: p.fam, At: x, Spans: [][2]float64{{min(a, b), max(a, b)}}}, tickMark, placeOf(p, f)})
				}
			})
		}
	}
	if s.Crosses >= marksSeen {
		xs, ys := fit.Rulings(f, s.Size.Centred)
		for _, x := range xs {
			for _, y := range ys {
				if math.Abs(x) < 0.1 || math.Abs(y) < 0.1 || -f.Left()-math.Abs(x) < 0.1 || -f.Bottom()-math.Abs(y) < 0.1 {
					continue
				}
				// From where to where an arm is seen.
				const (
					// nothing changes from 0.0125 to 0.05 (TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
					a = crossArm / 2
					// nothing changes from 0.0375 to 0.15 (TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
					b = 1.5 * crossArm
				)
				out = append(out, mark{fit.Stretch{Of: lattice.Upright, At: x, Spans: [][2]float64{{y - b, y - a}, {y + a, y + b}}}, crossArms, halfBoxes(y - f.Bottom())},
					mark{fit.Stretch{Of: lattice.Level, At: y, Spans: [][2]float64{{x - b, x - a}, {x + a, x + b}}}, crossArms, halfBoxes(x - f.Left())})
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].place < out[j].place }) // as the fit wants the pieces of a line
	return out
}

// halfBoxes is a place along a line in half boxes from the first rim.
func halfBoxes(x float64) int { return int(math.Round(2 * x)) }

// placeOf is where along their lines the ticks of a strip stand, in half boxes from the first rim.
func placeOf(s strip, f geom.Frame) int {
	n := f.Rows
	if s.fam == lattice.Level {
		n = f.Cols
	}
	at := n + int(s.edge)*n
	if s.edge == 0 && s.side > 0 {
		at++ // the other side of an axis
	}
	return at
}

// fitMarks is the last fit, to all marks of s. It leaves r's frame that of s, with its rims seen anew.
func (r *rectangle) fitMarks(s *markSight) (out fit.Fit, ok bool) {
	f := s.Size.Boxes()
	r.m.H = lattice.Times(r.m.H, float64(r.frame.Cols)/float64(f.Cols), float64(r.frame.Rows)/float64(f.Rows))
	r.m.Face = geom.Face{Half: geom.Box{X: float64(f.Cols) / 2, Y: float64(f.Rows) / 2}}
	r.frame = f
	marks := s.marks()
	var obs []fit.Observation
	var kinds []markKind
	var asked, seen [markKinds]int
	tick := min(markReach, 0.3/float64(max(s.ticks, 1)))
	for round := range fit.Rounds {
		reach := [markKinds]float64{rimNear, rimReach, tick, markReach}
		if round == 0 { // another line may lie beside a rim
			reach[rimPiece] = 0
		}
		obs, kinds, asked, seen = observeMarks(r.near, &r.m, r.sign, marks, reach)
		if round == 0 && seen[tickMark]+seen[crossArms] < enoughMark {
			reach[rimPiece] = rimReach
			obs, kinds, asked, seen = observeMarks(r.near, &r.m, r.sign, marks, reach)
		}
		if len(obs) < fit.LeastSeen {
			return out, false
		}
		if round < fit.Rounds-1 {
			if !fit.Approach(&r.m, obs) {
				return out, false
			}
			continue
		}
		fit.DropLines(obs, fit.Residuals(&r.m, obs))
		if out.Cov, ok = fit.Adjust(&r.m, obs); !ok {
			return out, false
		}
	}
	out.Model = r.m
	out.Tell(obs)
	crosses := 0
	for i, o := range obs {
		if o.Weight > fit.Agrees && kinds[i] == crossArms {
			crosses++
		}
	}
	for _, k := range asked {
		out.Pieces += k
	}
	out.Pieces -= asked[axisPiece] - seen[axisPiece] // there may be none
	out.Bend = r.m.Bend(fit.Rulings(f, s.Size.Centred))
	out.Crossings = crosses / 2
	// Of two lines close together the fit may have left out the rim: it is there nevertheless.
	obs, _, _, _ = observeMarks(r.near, &r.m, r.sign, rimMarks(f), [markKinds]float64{rimPiece: markReach})
	r.rims = rimShares(obs, f)
	return out, out.Seen >= fit.LeastSeen
}
