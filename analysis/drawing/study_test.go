package drawing

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"quadrille/calibrate/remark"
)

// slips makes a slip of a kind on a trace; ok is false where there is no such thing.
func slipOf(kind remark.Kind, s *shown, rng *rand.Rand) (size float64, drawn *shown, wrong func(Point) Point, ok bool) {
	size = 0.25 + 0.75*rng.Float64()
	if rng.IntN(2) == 0 {
		size = -size
	}
	by := 1 + 0.1 + 0.25*rng.Float64()
	if rng.IntN(2) == 0 {
		by = 1 / by
	}
	switch kind {
	case KindUp:
		return size, s, func(p Point) Point { return Point{p.X, p.Y + size} }, true
	case KindRight:
		return size, s, func(p Point) Point { return Point{p.X + size, p.Y} }, true
	case KindStretch:
		return by, s, func(p Point) Point { return Point{left + by*(p.X-left), p.Y} }, true
	case KindHeight:
		if math.IsNaN(s.Middle) {
			return 0, nil, nil, false
		}
		return by, s, func(p Point) Point { return Point{p.X, s.Middle + by*(p.Y-s.Middle)} }, true
	case KindStart:
		if len(s.Decays) != 1 {
			return 0, nil, nil, false
		}
		d := s.Decays[0]
		return size, s, func(p Point) Point { return Point{p.X, d.End + (1+size/(d.Start-d.End))*(p.Y-d.End)} }, true
	case KindEnd:
		if len(s.Decays) != 1 {
			return 0, nil, nil, false
		}
		d := s.Decays[0]
		return size, s, func(p Point) Point {
			if p.X < d.From {
				return p
			}
			return Point{p.X, d.Start + (1-size/(d.Start-d.End))*(p.Y-d.Start)}
		}, true
	case KindTau:
		if len(s.Decays) == 0 {
			return 0, nil, nil, false
		}
		by = 1 + 2*(by-1)
		if by < 0.6 {
			by = 0.6
		}
		of := *s
		of.at = func(x float64) float64 {
			for i := len(s.Decays) - 1; i >= 0; i-- {
				if d := s.Decays[i]; x >= d.From {
					return s.at(min(d.From+(x-d.From)/by, d.To-0.02))
				}
			}
			return s.at(x)
		}
		return by, &of, nil, true
	}
	panic(kind)
}

// slips are the kinds of Causes.
var slips = map[remark.Kind]bool{KindUp: true, KindRight: true, KindStart: true, KindEnd: true, KindTau: true,
	KindStretch: true, KindHeight: true}

// A tally counts drawings of one sort: silent are those that are placed wrongly without a doubt and
// without saying that the place is assumed; assumed are right as far as anybody could tell, and say so.
type tally struct{ all, asGround, misplaced, assumed, silent, doubted, doubtedRight, wrongKind, wrongSize int }

// asGoodAs are the kinds that do the same to a decay without a knee.
var asGoodAs = map[remark.Kind]remark.Kind{KindStretch: KindTau, KindTau: KindStretch, KindRight: KindStart, KindStart: KindRight}

// examine makes the drawing of a seed and holds it against its trace.
func examine(seed int, h hand, wrong bool, t map[string]*tally, logf func(string, ...any)) {
	rng := rand.New(rand.NewPCG(uint64(seed), 17))
	s := traceOf(kinds[seed%len(kinds)], rng)
	kind, size, drawn, ok := remark.Kind("none"), 0.0, s, true
	if wrong {
		all := []remark.Kind{KindUp, KindRight, KindStart, KindEnd, KindTau, KindStretch, KindHeight}
		kind = all[rng.IntN(len(all))]
		size, drawn, h.wrong, ok = slipOf(kind, s, rng)
		if !ok {
			kind = KindUp
			size, drawn, h.wrong, _ = slipOf(kind, s, rng)
		}
	}
	held, err := Hold(h.draw(drawn, rng), &s.Screen, Options{})
	key := fmt.Sprint(s.name, ", ", kind)
	c := t[key]
	if c == nil {
		c = &tally{}
		t[key] = c
	}
	c.all++
	if err != nil {
		c.misplaced++
		logf("seed %d %s: %v", seed, key, err)
		return
	}
	says := fmt.Sprintf("seed %d %s %.2f: corner %.2f of %g squares a box, rms %.2f, largest %.2f at %.2f; causes %v; doubts %v", seed, key, size, held.Corner, held.SquaresPerBox, held.RMS, held.Largest.Size, held.Largest.X, held.Causes, held.Doubts)
	off := math.Hypot(held.Corner.X-h.corner.X, held.Corner.Y-h.corner.Y) / h.squares
	if len(held.Doubts) > 0 {
		c.doubted++
	}
	if bottomTo := s.Ground - bottom; kind == KindUp && len(held.Level) == 1 && held.Level[0].Is == Ground && math.Abs(size+bottomTo) < 0.25 {
		c.asGround++ // see TestCausesAreToldByKindSignAndSize
		return
	}
	if off > 0.1 || held.SquaresPerBox != h.squares {
		c.misplaced++
		v := held.Verdict()
		faults := len(held.Over) > 0 || slices.ContainsFunc(v, func(r remark.Remark) bool { return slips[r.Kind] })
		switch {
		case len(held.Doubts) > 0:
		case v[len(v)-1].Has("corner_x_squares") && !faults:
			c.assumed++
		default:
			c.silent++
		}
		logf("MISPLACED %s", says)
		return
	}
	if len(held.Doubts) > 0 {
		c.doubtedRight++
		logf("DOUBTED %s", says)
	}
	if !wrong {
		if !held.Within() || len(held.Causes) > 0 {
			c.wrongKind++
			logf("FALSE %s", says)
		}
		return
	}
	if len(held.Causes) == 0 || held.Causes[0].Kind != kind && !(s.name == "decay without a knee" && held.Causes[0].Kind == asGoodAs[kind]) {
		c.wrongKind++
		logf("KIND %s", says)
		return
	}
	if held.Causes[0].Kind != kind {
		return
	}
	// How far the trace is moved by what is told, and by what was drawn, along the squares.
	told, drawnBy := held.Causes[0].Moves, Cause{}
	for _, ch := range changesOf(&s.Screen) {
		if ch.kind == kind {
			drawnBy = ch.cause(size, &s.Screen, curveOf(s.X, s.Y))
		}
	}
	off = math.Abs(told - drawnBy.Moves)
	if kind == KindStart && s.name != "decay" { // only its steep beginning tells
		d := s.Decays[0]
		off /= max(1, math.Abs(s.at(d.From+0.1)-s.at(d.From))/0.1)
	}
	if off > 0.05 || (held.Causes[0].Size > changeNone(kind)) != (size > changeNone(kind)) {
		c.wrongSize++
		logf("SIZE off %.3f %s", off, says)
	}
}

// changeNone is the size of a kind that changes nothing.
func changeNone(kind remark.Kind) float64 {
	switch kind {
	case KindTau, KindStretch, KindHeight:
		return 1
	}
	return 0
}

// hands are the ways in which the study's drawings lie on the paper.
var hands = []struct {
	name string
	hand
}{
	{"axes, 2 squares a box", hand{squares: 2, corner: Point{3, 4}, wobble: 0.03, axes: true}},
	{"frame, 1 square a box", hand{squares: 1, corner: Point{3, 4}, wobble: 0.03, frame: true}},
	{"nothing, 1 square a box", hand{squares: 1, corner: Point{3, 4}, wobble: 0.03}},
	{"nothing, 2 squares a box", hand{squares: 2, corner: Point{3, 4}, wobble: 0.03}},
}

// sum adds up a tally.
func sum(of map[string]*tally) (all tally) {
	for _, v := range of {
		all.all += v.all
		all.asGround += v.asGround
		all.misplaced += v.misplaced
		all.assumed += v.assumed
		all.silent += v.silent
		all.doubted += v.doubted
		all.doubtedRight += v.doubtedRight
		all.wrongKind += v.wrongKind
		all.wrongSize += v.wrongSize
	}
	return all
}

// What was drawn wrongly on purpose is told by its kind, its sign, and its size to 0.05 box, where axes or a frame tell
// where the screen lies. One sort is left out, for nobody could tell: a drawing that is too low by as much as ground lies
// above the bottom rim, with one level axis, is a right one whose axis is the ground line.
func TestCausesAreToldByKindSignAndSize(t *testing.T) {
	for _, h := range hands[:2] {
		of := map[string]*tally{}
		for seed := range 18 {
			examine(seed, h.hand, true, of, t.Logf)
		}
		if s := sum(of); s.silent > 0 || s.misplaced > 1 || s.wrongKind > 0 || s.wrongSize > 0 {
			t.Errorf("%s: %+v", h.name, s)
		}
	}
}

// Without axes a shift may be another one from the next line of the paper, and is doubted; one by whole squares, as far as a
// hand can tell, is no fault that anybody could see, and the verdict says what is assumed. Sideways the ends of the curve
// may tell. Other slips are told as ever.
func TestAPlaceIsDoubtedWhereASlipMayBeAnother(t *testing.T) {
	for _, h := range hands[2:] {
		of := map[string]*tally{}
		for seed := range 6 {
			examine(seed, h.hand, true, of, t.Logf)
		}
		for sort, c := range of {
			up, right := strings.HasSuffix(sort, string(KindUp)), strings.HasSuffix(sort, string(KindRight))
			if c.silent > 0 || c.wrongKind > 0 || up && c.doubted+c.assumed < c.all || !up && !right && c.misplaced > 0 {
				t.Errorf("%s: %s: %+v", h.name, sort, *c)
			}
		}
	}
}

// A drawing with no more than the wobble of a hand is placed rightly and holds, without a doubt.
func TestARightDrawingIsWithinTheTolerance(t *testing.T) {
	for _, h := range hands {
		of := map[string]*tally{}
		for seed := range 18 {
			examine(seed, h.hand, false, of, t.Logf)
		}
		if s := sum(of); s.misplaced > 0 || s.wrongKind > 0 || s.doubted > 0 {
			t.Errorf("%s: %+v", h.name, s)
		}
	}
}

// The study behind the numbers in testdata/measured/drawing.md: -benchtime 300x makes 300 drawings of each sort.
func BenchmarkStudy(b *testing.B) {
	for _, wrong := range []bool{false, true} {
		for _, h := range hands {
			b.Run(fmt.Sprintf("%s, slips %v", h.name, wrong), func(b *testing.B) {
				of := map[string]*tally{}
				for seed := range b.N {
					examine(seed, h.hand, wrong, of, b.Logf)
				}
				s := sum(of)
				b.ReportMetric(float64(s.asGround), "as_ground")
				b.ReportMetric(float64(s.misplaced), "misplaced")
				b.ReportMetric(float64(s.assumed), "assumed")
				b.ReportMetric(float64(s.silent), "silent")
				b.ReportMetric(float64(s.doubted), "doubted")
				b.ReportMetric(float64(s.doubtedRight), "doubted_though_placed")
				b.ReportMetric(float64(s.wrongKind), "wrong_kind")
				b.ReportMetric(float64(s.wrongSize), "wrong_size")
			})
		}
	}
}
