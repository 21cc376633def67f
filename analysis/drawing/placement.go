package drawing

// Where the screen lies on the paper. A drawing may be shifted wrongly, so the placement must not be free to take a
// shift away: it has no freedom but a few steps. Squares a box are one of the usual numbers, the same across and up.
// Where axes or a frame were drawn, these are lines of the screen: its rims, its centre lines, the ground line. Where
// nothing was drawn, the screen's rims or its centre lie on lines of the paper, as one draws (common practice, no
// source), and among those places that of the best fit is taken. A place that fits about as well is a rival, and told.

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// From tells what a placement rests on.
type From string

const (
	FromGiven From = "given" // a person said where the screen's corner lies
	FromAxes  From = "axes"  // axes or a frame were drawn
	FromPaper From = "paper" // the screen's rims or its centre on lines of the paper, where the curves fit best
)

// A Placement is where the screen lies on the paper.
type Placement struct {
	SquaresPerBox float64
	Corner        Point // squares: the screen's bottom-left corner
	From          From  // of the weaker of the two directions
	// Upright and Level tell what the drawn lines were taken for; nil unless From is FromAxes or FromGiven.
	Upright, Level []Line
}

// A Line is one that was drawn as an axis. Is tells what of the screen it was taken for, "" if for nothing.
type Line struct {
	At float64 // squares
	Is string
}

// Lines of the screen that a drawn one may be.
const (
	LeftRim = "left rim"
	Centre  = "centre line"
	Right   = "right rim"
	Bottom  = "bottom rim"
	Top     = "top rim"
	Ground  = "ground line"
)

const (
	// onLine is how far in boxes a drawn line may lie from the line of the screen that it is taken for, once another line
	// has placed the screen: twice what a hand does with a ruler on squared paper
	// (TestAFrameThatIsDrawnPlacesTheScreen).
	onLine = 0.12
	// unexplained is what a drawn line that is no line of the screen costs, as boxes of the mean distance: more than
	// any slip (TestAFrameThatIsDrawnPlacesTheScreen).
	unexplained = 1.2
	// away is how far in boxes the middles of both curves may lie apart, beside half of what the one is longer or
	// higher: of a drawing that is not ready there may be any part (TestWhatIsNotDrawnIsTold).
	away = 2.5
	// slipped is by how many boxes of the mean distance a placement may fit less well than another and be the likelier
	// one, with a slip: as far as a slip goes (TestCausesAreToldByKindSignAndSize).
	slipped = 1.2
	// unlikely is by how many times handMean a placement must fit less well than one at which the drawing is a right
	// one, to be none: such a one is e^40 times less likely (TestARightDrawingIsWithinTheTolerance).
	unlikely = 3.0
	// alongLine is how far in squares an axis may lie from a line of the paper to be one that is drawn along it: then the
	// curve was drawn by the paper's line (TestAFrameThatIsDrawnPlacesTheScreen).
	alongLine = 0.15
	// coarse is the step in boxes of the places at which placements are compared, and coarseBin the width of the strips of
	// the curves that are.
	coarse, coarseBin = 0.2, 0.1
	// most is the distance in boxes that counts where curves are farther apart: more than any slip, and less than between
	// a curve and one of another size (TestPlacementsThatFitAsWellAreDoubted).
	most = 3.0
	// offScreen is how far in boxes a curve may be drawn beyond the left or right rim where axes tell of these: more
	// than a slip of a box. Without axes it is beyondEnd, for a curve then begins and ends where the screen does, to
	// some tenths of a box (TestPlacementsThatFitAsWellAreDoubted).
	offScreen, beyondEnd = 1.2, 0.3
	// offScreenCost is what such a place counts for, as boxes: nobody draws what is not to be seen.
	offScreenCost = 9.0
)

// usual are the squares a box that people take, the most usual first: of 5 mm squares 2 for a box of 10 mm, of heavy
// squares of 10 mm or of 1/4 inch one (common practice, no source).
var usual = []float64{1, 2, 4, 5, 0.5, 10}

// A placed is a candidate.
type placed struct {
	Placement
	paper   *paper
	mean    float64 // box: the distance of the curves, both ways
	cost    float64 // box: the same, and what lines cost or give
	strange float64 // how many drawn lines are none of the screen's; less one where there is a frame
	step    Point   // box, between the places that were possible, where lines of the paper were all there was; else 0
	half    Point   // box: half the screen
	outside float64 // boxes of the drawing that lie off the screen
}

// A paper is the drawing in boxes from the paper's corner, for one number of squares a box.
type paper struct {
	drawn   curve
	samples []sample // strewn
}

// boxes takes places on the paper to the screen.
func (p *placed) boxes(x, y []float64) (bx, by []float64) {
	n := min(len(x), len(y))
	bx, by = make([]float64, n), make([]float64, n)
	for i := range n {
		bx[i], by[i] = (x[i]-p.Corner.X)/p.SquaresPerBox-p.half.X, (y[i]-p.Corner.Y)/p.SquaresPerBox-p.half.Y
	}
	return bx, by
}

// An axis is one direction of the screen.
type axis struct {
	half  float64 // box: half the screen
	lines []namedLine
}

type namedLine struct {
	is      string
	at      float64 // box from the centre
	strange float64 // how much stranger it is, as a share of a line that is none of the screen's, that it was drawn alone
}

// An axis is drawn along the left rim, the lowest line or ground, more seldom along a centre line, and hardly ever
// along another rim (common practice, no source; TestWhatIsNotDrawnIsTold).
const seldom, hardly = 0.15, 0.3

// An offset is a possible place of the screen's centre along one direction, in squares.
type offset struct {
	at      float64
	from    From
	drawn   []Line
	strange float64 // as of placed
	step    float64 // squares; 0 if a line or a person said where
}

// place finds the best placement, and the others that fit about as well, the best first.
func place(s *Sketch, on *Screen, o Options) (best likely, rivals []likely, err error) {
	counts := usual
	if o.SquaresPerBox > 0 {
		counts = []float64{o.SquaresPerBox}
	}
	halfX, halfY := float64(on.Cols)/2, float64(on.Rows)/2
	across := axis{halfX, []namedLine{{LeftRim, -halfX, 0}, {Centre, 0, seldom}, {Right, halfX, hardly}}}
	up := axis{halfY, []namedLine{{Bottom, -halfY, 0}, {Centre, 0, seldom}, {Top, halfY, hardly}}}
	if !math.IsNaN(on.Ground) && math.Abs(on.Ground) < up.half-onLine && math.Abs(on.Ground) > onLine {
		up.lines = append(up.lines, namedLine{Ground, on.Ground, 0})
	}
	truth := curveIn(on.X, on.Y, coarseBin)
	truthSamples := strewn(truth.samples(coarse))
	upright, level := alongLines(s.Upright), alongLines(s.Level)
	enough := math.Inf(1) // cost of a candidate that no slip can make the likeliest
	var all []placed
	for _, n := range counts {
		page := &paper{drawn: curveIn(scaled(s.X, n), scaled(s.Y, n), coarseBin)}
		if len(page.drawn) == 0 {
			continue
		}
		page.samples = strewn(page.drawn.samples(coarse))
		middle := Point{(page.drawn.left() + page.drawn.right() - truth.left() - truth.right()) / 2,
			page.drawn.middle() - truth.middle()}
		xs := across.offsets(upright, n, n*middle.X, away+math.Abs(page.drawn.width()-truth.width())/2)
		ys := up.offsets(level, n, n*middle.Y, away+math.Abs(page.drawn.height()-truth.height())/2)
		if o.Corner != nil {
			xs, ys = []offset{given(o.Corner.X, across, n, upright)}, []offset{given(o.Corner.Y, up, n, level)}
		}
		for _, x := range xs {
			for _, y := range ys {
				corner := Point{x.at - n*across.half, y.at - n*up.half}
				p := placed{Placement: Placement{n, corner, weaker(x.from, y.from), x.drawn, y.drawn}, paper: page}
				p.step, p.half, p.strange = Point{x.step / n, y.step / n}, Point{across.half, up.half}, x.strange+y.strange
				lines := unexplained * p.strange
				p.mean = p.apart(truthSamples, truth, enough-lines)
				p.cost = p.mean + lines
				margin := slipped
				if p.mean <= handMean && p.strange < 1 { // no slip is likelier than that
					margin = unlikely * handMean
				}
				if enough = min(enough, p.cost+margin); p.cost <= enough {
					all = append(all, p)
				}
			}
		}
	}
	all = slices.DeleteFunc(all, func(p placed) bool { return p.cost > enough })
	if len(all) == 0 {
		return best, nil, &Error{"the drawing's curve is too short", "take a photo on which the whole drawing is seen"}
	}
	if best, rivals = weigh(all, on, truth); !(best.cost < math.Inf(1)) {
		return best, nil, &Error{fmt.Sprintf("the drawing cannot be placed on the screen with %g squares a box", best.SquaresPerBox), "give another number with --squares-per-box, or leave it out"}
	}
	return best, rivals, nil
}

// alongLines takes drawn lines to the lines of the paper that they are drawn along.
func alongLines(at []float64) []float64 {
	out := slices.Clone(at)
	for i, v := range out {
		if k := math.Round(v); math.Abs(v-k) < alongLine {
			out[i] = k
		}
	}
	return out
}

func scaled(v []float64, n float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = v[i] / n
	}
	return out
}

func weaker(a, b From) From {
	for _, f := range []From{FromPaper, FromAxes} {
		if a == f || b == f {
			return f
		}
	}
	return a
}

// given is the offset that a person said: that of the rim at squares.
func given(corner float64, a axis, n float64, drawn []float64) offset {
	o := offset{at: corner + n*a.half, from: FromGiven}
	o.drawn, _ = a.named(drawn, o.at, n)
	return o
}

// offsets are the possible places of the screen's centre, in squares: by the drawn lines if there are any, else by the
// paper's, no more than away boxes from the middle at which both curves would be centred.
func (a axis) offsets(drawn []float64, n, middle, away float64) (out []offset) {
	add := func(o offset) {
		if math.Abs(o.at-middle) <= away*n && !slices.ContainsFunc(out, func(k offset) bool { return math.Abs(k.at-o.at) < 0.02*n }) {
			out = append(out, o)
		}
	}
	for _, at := range drawn {
		for _, l := range a.lines {
			o := offset{at: at - n*l.at, from: FromAxes}
			o.drawn, o.strange = a.named(drawn, o.at, n)
			add(o)
		}
	}
	nearest := func() { // the likeliest first, for others are then soon seen to be none
		sort.SliceStable(out, func(i, j int) bool { return math.Abs(out[i].at-middle) < math.Abs(out[j].at-middle) })
	}
	if len(out) > 0 {
		nearest()
		return out
	}
	// Rims on lines of the paper, or the centre on one, where that is not the same.
	step := min(1, n)
	for _, first := range []float64{-n * a.half, 0} {
		for k := math.Floor((middle - away*n + first) / step); k <= (middle+away*n+first)/step; k++ {
			o := offset{at: k*step - first, from: FromPaper, step: step}
			o.drawn, o.strange = a.named(drawn, o.at, n)
			add(o)
		}
	}
	nearest()
	return out
}

// named tells what the drawn lines are with the centre at squares, and how many are nothing, as strange of a placed.
func (a axis) named(drawn []float64, centre, n float64) (out []Line, strange float64) {
	for _, at := range drawn {
		line := Line{At: at}
		off, odd := onLine, 1.0
		for _, l := range a.lines {
			if d := math.Abs((at-centre)/n - l.at); d < off {
				line.Is, off, odd = l.is, d, l.strange
			}
		}
		strange += odd
		out = append(out, line)
	}
	is := func(name string) bool { return slices.ContainsFunc(out, func(l Line) bool { return l.Is == name }) }
	if is(LeftRim) && is(Right) || is(Bottom) && is(Top) { // a frame is hardly there by chance
		strange--
	}
	return out, strange
}

// offset takes places in boxes from the paper's corner to the screen, by so much less.
func (p *placed) offset() Point {
	return Point{p.Corner.X/p.SquaresPerBox + p.half.X, p.Corner.Y/p.SquaresPerBox + p.half.Y}
}

// apart is the mean distance in boxes of the drawing, placed, and the trace, from each to the other; what of the
// drawing lies off the screen costs more than any distance, and is measured. Once it is sure that the mean is over a
// limit, that is +Inf.
func (p *placed) apart(truthSamples []sample, truth curve, limit float64) float64 {
	d := p.offset()
	off := offScreen
	if p.From == FromPaper {
		off = beyondEnd
	}
	nd, nt := float64(len(p.paper.samples)), float64(len(truthSamples))
	there, back := 0.0, 0.0
	for _, s := range p.paper.samples {
		if there > 2*limit*nd {
			return math.Inf(1)
		}
		q := Point{s.X - d.X, s.Y - d.Y}
		if math.Abs(q.X) > p.half.X+off || math.Abs(q.Y) > p.half.Y+most {
			there += offScreenCost
			p.outside += s.width
			continue
		}
		_, far, _ := truth.within(q, most)
		there += far
	}
	for _, s := range truthSamples {
		if there/nd+back/nt > 2*limit {
			return math.Inf(1)
		}
		_, far, _ := p.paper.drawn.within(Point{s.X + d.X, s.Y + d.Y}, most)
		back += far
	}
	return (there/nd + back/nt) / 2
}
