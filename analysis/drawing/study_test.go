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

// A slipping chooses the size of a slip of a kind, in boxes or as a factor, as of Cause.
type slipping func(kind remark.Kind, s *shown, rng *rand.Rand) float64

// long are slips of 0.25 to 1 box, lengths and heights that are wrong by 10 to 35 %, time constants by twice that.
func long(kind remark.Kind, _ *shown, rng *rand.Rand) float64 {
	size := 0.25 + 0.75*rng.Float64()
	if rng.IntN(2) == 0 {
		size = -size
	}
	by := 1 + 0.1 + 0.25*rng.Float64()
	if rng.IntN(2) == 0 {
		by = 1 / by
	}
	switch kind {
	case KindStretch, KindHeight:
		return by
	case KindTau:
		return max(0.6, 1+2*(by-1))
	}
	return size
}

// moving are slips that move something by so many boxes, from the one to the other evenly, each way as often.
func moving(from, to float64) slipping {
	return func(kind remark.Kind, s *shown, rng *rand.Rand) float64 {
		moves := from + (to-from)*rng.Float64()
		up := rng.IntN(2) == 0
		if kind == KindUp || kind == KindRight {
			if up {
				return moves
			}
			return -moves
		}
		size := func(v float64) float64 { // v is a factor's logarithm, or boxes
			if !up {
				v = -v
			}
			if changeNone(kind) == 1 {
				return math.Exp(v)
			}
			return v
		}
		low, high := 0.0, 1.0
		for range 20 {
			if v := (low + high) / 2; movesBy(kind, size(v), s) < moves {
				low = v
			} else {
				high = v
			}
		}
		return size(low)
	}
}

// movesBy is how far a slip of a size moves the trace, in boxes: a shift by its size, another along the squares.
func movesBy(kind remark.Kind, size float64, s *shown) float64 {
	if kind == KindUp || kind == KindRight {
		return math.Abs(size)
	}
	return departs(changeOf(kind, s).apply(curveOf(s.X, s.Y), size), curveOf(s.X, s.Y))
}

func changeOf(kind remark.Kind, s *shown) *change {
	all := changesOf(&s.Screen)
	return &all[slices.IndexFunc(all, func(ch change) bool { return ch.kind == kind })]
}

// possible says that a trace may be drawn with a slip of a kind.
func possible(kind remark.Kind, s *shown) bool {
	switch kind {
	case KindHeight:
		return !math.IsNaN(s.Middle)
	case KindStart, KindEnd:
		return len(s.Decays) == 1
	case KindTau:
		return len(s.Decays) > 0
	}
	return true
}

// slipOf makes a slip of a kind and a size on a trace: what is drawn, and how it is drawn wrongly.
func slipOf(kind remark.Kind, size float64, s *shown) (drawn *shown, wrong func(Point) Point) {
	switch kind {
	case KindUp:
		return s, func(p Point) Point { return Point{p.X, p.Y + size} }
	case KindRight:
		return s, func(p Point) Point { return Point{p.X + size, p.Y} }
	case KindStretch:
		return s, func(p Point) Point { return Point{left + size*(p.X-left), p.Y} }
	case KindHeight:
		return s, func(p Point) Point { return Point{p.X, s.Middle + size*(p.Y-s.Middle)} }
	case KindStart:
		d := s.Decays[0]
		return s, func(p Point) Point { return Point{p.X, d.End + (1+size/(d.Start-d.End))*(p.Y-d.End)} }
	case KindEnd:
		d := s.Decays[0]
		return s, func(p Point) Point {
			if p.X < d.From {
				return p
			}
			return Point{p.X, d.Start + (1-size/(d.Start-d.End))*(p.Y-d.Start)}
		}
	case KindTau:
		of := *s
		of.at = func(x float64) float64 {
			for i := len(s.Decays) - 1; i >= 0; i-- {
				if d := s.Decays[i]; x >= d.From {
					return s.at(min(d.From+(x-d.From)/size, d.To-0.02))
				}
			}
			return s.at(x)
		}
		return &of, nil
	}
	panic(kind)
}

// slipKinds are the kinds of Causes.
var slipKinds = map[remark.Kind]bool{KindUp: true, KindRight: true, KindStart: true, KindEnd: true, KindTau: true,
	KindStretch: true, KindHeight: true}

// A tally counts drawings of one sort: silent are those that are placed wrongly without a doubt and
// without saying that the place is assumed; assumed are right as far as anybody could tell, and say so.
type tally struct{ all, asGround, misplaced, assumed, silent, doubted, doubtedRight, untold, wrongKind, wrongSize int }

// asGoodAs are the kinds that do the same to a decay without a knee.
var asGoodAs = map[remark.Kind]remark.Kind{KindStretch: KindTau, KindTau: KindStretch, KindRight: KindStart, KindStart: KindRight}

// examine makes the drawing of a seed and holds it against its trace.
// With slips it has one; nil for a right one.
func examine(seed int, h hand, slips slipping, t map[string]*tally, logf func(string, ...any)) {
	rng := rand.New(rand.NewPCG(uint64(seed), 17))
	s := traceOf(kinds[seed%len(kinds)], rng)
	kind, size, drawn := remark.Kind("none"), 0.0, s
	if slips != nil {
		all := []remark.Kind{KindUp, KindRight, KindStart, KindEnd, KindTau, KindStretch, KindHeight}
		kind = all[rng.IntN(len(all))]
		if !possible(kind, s) {
			kind = KindUp
		}
		size = slips(kind, s, rng)
		drawn, h.wrong = slipOf(kind, size, s)
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
		slip := slices.ContainsFunc(v, func(r remark.Remark) bool { return slipKinds[r.Kind] })
		faults := len(held.Over) > 0 || slip && v[0].Kind != KindWithin
		switch {
		case len(held.Doubts) > 0:
		case (v[0].Has("corner_x_squares") || v[len(v)-1].Has("corner_x_squares")) && !faults:
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
	if slips == nil {
		if !held.Within() || len(held.Causes) > 0 {
			c.wrongKind++
			logf("FALSE %s", says)
		}
		return
	}
	if len(held.Causes) == 0 {
		c.untold++
		logf("UNTOLD %s", says)
		return
	}
	// How far apart the trace with what is told and with what was drawn lie.
	told, truth := curveOf(s.X, s.Y), curveOf(s.X, s.Y)
	for _, cause := range held.Causes {
		told = changeOf(cause.Kind, s).apply(told, cause.Size)
	}
	off = departs(told, changeOf(kind, s).apply(truth, size))
	if first := held.Causes[0]; first.Kind == KindUp && kind == KindUp || first.Kind == KindRight && kind == KindRight {
		off = math.Abs(first.Size - size)
	}
	if held.Causes[0].Kind != kind && !(s.name == "decay without a knee" && held.Causes[0].Kind == asGoodAs[kind]) {
		c.wrongKind++
		logf("KIND off %.3f %s", off, says)
		return
	}
	if held.Causes[0].Kind == kind && (held.Causes[0].Size > changeNone(kind)) != (size > changeNone(kind)) {
		off = math.Inf(1)
	}
	if off > 0.05 {
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
		all.untold += v.untold
		all.wrongKind += v.wrongKind
		all.wrongSize += v.wrongSize
	}
	return all
}

// What was drawn wrongly on purpose is told by its kind, its sign, and its size to 0.05 box, where axes or a frame tell
// where the screen lies. One sort is left out, for nobody could tell: a drawing that is too low by as much as ground
// lies above the bottom rim, with one level axis, is a right one whose axis is the ground line.
func TestCausesAreToldByKindSignAndSize(t *testing.T) {
	for _, h := range hands[:2] {
		of := map[string]*tally{}
		for seed := range 18 {
			examine(seed, h.hand, long, of, t.Logf)
		}
		if s := sum(of); s.silent > 0 || s.misplaced > 1 || s.untold+s.wrongKind > 0 || s.wrongSize > 0 {
			t.Errorf("%s: %+v", h.name, s)
		}
	}
}

// Slips of 0.1 to 0.25 box, some of them within the tolerance, are told by their sign and size as well.
func TestSmallSlipsAreTold(t *testing.T) {
	of := map[string]*tally{}
	for seed := range 24 {
		examine(seed, hands[1].hand, moving(0.1, 0.25), of, t.Logf)
	}
	if s := sum(of); s.silent+s.misplaced+s.untold+s.wrongSize > 0 || s.wrongKind > 1 {
		t.Errorf("%+v", s)
	}
	s := traceOf("sine", random(4))
	h := held(t, steadyHand(func(p Point) Point { return Point{p.X, p.Y + 0.12} }), s, Options{})
	v := h.Verdict()
	if len(v) != 2 || v[0].Kind != KindWithin || v[1].Kind != KindUp || math.Abs(v[1].Number("up_box")-0.12) > 0.02 {
		t.Errorf("0.12 box too high: %v", v)
	}
}

// Without axes a shift may be another one from the next line of the paper, and is doubted; one by whole squares, as far
// as a hand can tell, is no fault that anybody could see, and the verdict says what is assumed. Sideways the ends of
// the curve may tell. Other slips are told as ever.
func TestAPlaceIsDoubtedWhereASlipMayBeAnother(t *testing.T) {
	for _, h := range hands[2:] {
		of := map[string]*tally{}
		for seed := range 6 {
			examine(seed, h.hand, long, of, t.Logf)
		}
		for sort, c := range of {
			up, right := strings.HasSuffix(sort, string(KindUp)), strings.HasSuffix(sort, string(KindRight))
			if c.silent > 0 || c.untold+c.wrongKind > 0 || up && c.doubted+c.assumed < c.all ||
				!up && !right && c.misplaced > 0 {
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
			examine(seed, h.hand, nil, of, t.Logf)
		}
		if s := sum(of); s.misplaced > 0 || s.wrongKind > 0 || s.doubted > 0 {
			t.Errorf("%s: %+v", h.name, s)
		}
	}
}

// The study behind the numbers in testdata/measured/drawing.md: -benchtime 300x makes 300 drawings of each sort.
func BenchmarkStudy(b *testing.B) {
	for _, sort := range []struct {
		name  string
		slips slipping
	}{{"right", nil}, {"0.1 to 0.25 box", moving(0.1, 0.25)}, {"0.1 to 1 box", moving(0.1, 1)}, {"long", long}} {
		for _, h := range hands {
			b.Run(fmt.Sprintf("%s, %s", sort.name, h.name), func(b *testing.B) {
				of := map[string]*tally{}
				for seed := range b.N {
					examine(seed, h.hand, sort.slips, of, b.Logf)
				}
				s := sum(of)
				b.ReportMetric(float64(s.asGround), "as_ground")
				b.ReportMetric(float64(s.misplaced), "misplaced")
				b.ReportMetric(float64(s.assumed), "assumed")
				b.ReportMetric(float64(s.silent), "silent")
				b.ReportMetric(float64(s.doubted), "doubted")
				b.ReportMetric(float64(s.doubtedRight), "doubted_though_placed")
				b.ReportMetric(float64(s.untold), "untold")
				b.ReportMetric(float64(s.wrongKind), "wrong_kind")
				b.ReportMetric(float64(s.wrongSize), "wrong_size")
			})
		}
	}
}
