package analysis

// Narrow strokes on a level. A pulse that is shorter than a few columns of the display is drawn as a stroke of its own
// width, or of one column if it is shorter still, and few points fall on it: no state in which the trace dwells, but a
// period all the same. The duration of such a pulse is anything from nothing to the width of its stroke.

import (
	"context"
	"fmt"
	"math"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

const (
	// strokeFar is how far from the level a stroke reaches at least: in boxes, where known, and in standard deviations of
	// a point, of the level's own points (TestWhatIsANarrowStroke).
	strokeBoxes, strokeScatter = 0.4, 12.0
	// strokeWidest is the width in point spacings up to which a departure is a stroke (TestWhatIsANarrowStroke).
	strokeWidest = 16
)

// A stroke is one narrow departure from a level: the places of its points, and whether it goes up.
type stroke struct {
	first, last int
	up          bool
	top         float64 // V: its farthest point
}

// strokes finds those of a level.
func (p *points) strokes(level float64) (list []stroke) {
	far := math.Max(strokeScatter*p.typical, strokeBoxes*p.rec.VoltsPerBox)
	for i := 0; i < len(p.v); i++ {
		if math.Abs(p.v[i]-level) < far {
			continue
		}
		s := stroke{first: i, up: p.v[i] > level, top: p.v[i]}
		for i+1 < len(p.v) && math.Abs(p.v[i+1]-level) >= far && (p.v[i+1] > level) == s.up {
			i++
			if math.Abs(p.v[i]-level) > math.Abs(s.top-level) {
				s.top = p.v[i]
			}
		}
		s.last = i
		if s.last-s.first >= strokeWidest {
			return nil // no stroke, and so no level either
		}
		list = append(list, s)
	}
	return list
}

// addStrokes adds to the findings of a level what its strokes tell.
func (f *Findings) addStrokes(ctx context.Context, p *points, level float64) {
	list := p.strokes(level)
	if len(list) == 0 {
		return
	}
	top := list[0].top
	var ups []stroke
	for _, s := range list {
		if math.Abs(s.top-level) > math.Abs(top-level) {
			top = s.top
		}
		if s.up == list[0].up {
			ups = append(ups, s)
		}
	}
	f.Doubts = append(f.Doubts, remark.Of(KindStrokes, remark.Count("strokes", len(list)), remark.Number("top_v", top)))

	f.Results = append(f.Results, p.ofStrokes(ctx, ups)...)
}

// ofStrokes gives period, duration and duty factor of strokes to one side, if they are evenly spaced.
func (p *points) ofStrokes(ctx context.Context, ups []stroke) (results []Result) {
	step := medianStep(p.t)
	least := math.Inf(1)
	for i := 1; i < len(ups); i++ {
		least = math.Min(least, p.t[ups[i].first]-p.t[ups[i-1].first])
	}
	if len(ups) < 2 {
		return nil
	}
	// A straight line through the middles of the strokes against their number, counted in the least distance.
	number, mean, squares := make([]float64, len(ups)), 0.0, 0.0
	for i := 1; i < len(ups); i++ {
		number[i] = number[i-1] + math.Round((p.t[ups[i].first]-p.t[ups[i-1].first])/least)
	}
	for _, k := range number {
		mean += k / float64(len(number))
	}
	for i := range number {
		number[i] -= mean
		squares += number[i] * number[i]
	}
	again := func(moved *calibrate.Record) []float64 {
		t, _ := p.of(moved)
		period, width := 0.0, 0.0
		for i, s := range ups {
			period += number[i] / squares * (t[s.first] + t[s.last]) / 2
			width = math.Max(width, t[s.last]-t[s.first]+2*step) // it may end in the column beside on each side
		}
		return []float64{period, 1 / period, width / 2, width / 2 / period}
	}
	x, moves := again(p.rec), effectMoves(ctx, p.rec, again)
	place, width := 0.0, 2*x[2]
	for i, k := range number { // the middle of each lies somewhere in its stroke
		wide := p.t[ups[i].last] - p.t[ups[i].first] + step
		place = math.Hypot(place, k/squares*wide/math.Sqrt(12))
	}
	off := 0.0
	for i, s := range ups {
		off = math.Max(off, math.Abs((p.t[s.first]+p.t[s.last])/2-(p.t[ups[0].first]+p.t[ups[0].last])/2-(number[i]-number[0])*x[0]))
	}
	if off > width+step {
		return nil // not even: no period
	}
	own := []struct {
		quantity, label, unit string
		u                     float64
		source                string
	}{
		{"period", fmt.Sprintf("of %d strokes", len(ups)), "s", place, "width of the strokes"},
		{"frequency", fmt.Sprintf("of %d strokes", len(ups)), "Hz", place / (x[0] * x[0]), "width of the strokes"},
		{"pulse_duration", "of a stroke: anything up to its width", "s", width / 2 / math.Sqrt(3), "width of the strokes"},
		{"duty_factor", "of a stroke: anything up to its width", "1", width / 2 / math.Sqrt(3) / x[0], "width of the strokes"},
	}
	for q, o := range own {
		budget := append([]Term{inputTerm(o.source, unit.Value{X: math.NaN(), U: o.u, Unit: o.unit}, "rectangular", 1)}, effectTerms(p.rec, moves, q)...)
		results = append(results, newResult(o.quantity, "strokes", o.label, x[q], o.unit, budget))
	}
	return results
}
