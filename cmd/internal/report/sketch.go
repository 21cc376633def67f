// A figure of what was measured on a kind of signal: part of the trace with its levels, crossings and fitted lines, and
// the results dimensioned as on a drawing of a workpiece: a length of time by an arrow above the curve, a height by one
// beside it. What each kind shows is a sketch (sketches.go); this file draws any of them.

package report

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/cmd/internal/wire"
)

// A sketch is what a figure of a kind shows beside the points of the trace.
type sketch struct {
	title    string
	caption  []caption
	from, to float64      // s, the part that is shown
	levels   []sketchPart // across the figure at a
	heights  []sketchPart // from a to b, V
	lengths  []sketchPart // from a to b, s, with marks down to the heights at
	rings    [][2]float64 // s, V: crossings
	fit      *wire.Fit    // its curve; nil for none
	off      bool         // with what the points are off the curve below
	normal   *[2]float64  // mean and standard deviation, V, beside the counts of the points; nil for neither
	band     bool         // points are shown, and counted, as the strokes that were drawn
}

// A sketchPart is a result in a sketch: what it is, in a word or two, and its value in print.
type sketchPart struct {
	name, value string
	a, b        float64
	at          float64 // V, of a length: where its ends are on the curve
}

// Sizes of a sketch, in figure units.
const (
	sketchHeight = 230
	lengthRow    = 30 // of an arrow above the curve with its words
	heightColumn = 12 // of an arrow beside it
	countsRoom   = 70 // for the counts of the points
	arrowHead    = 5
)

// draw draws the sketch over the points of tr.
func (k *sketch) draw(tr *wire.Trace) *svg {
	s := &svg{w: figureWidth, h: topRoom + sketchHeight + lowRoom}
	right := figureWidth - k.wordsRoom() - heightColumn*float64(len(k.heights))
	if k.normal != nil {
		right -= countsRoom
	}
	p := &panel{svg: s, left: leftRoom, top: topRoom, right: right, bottom: topRoom + sketchHeight, x0: k.from, x1: k.to}
	t, v := partOf(tr.T, tr.V, k.from, k.to)
	var strokes []float64
	if k.band {
		_, strokes = partOf(tr.T, tr.Stroke, k.from, k.to)
	}
	lo, hi, _ := span(v, k.voltages())
	p.y0, p.y1 = padded(lo, hi, 0.08)
	if n := float64(len(k.lengths)); n > 0 { // the rows of the arrows lie above the curve
		p.y1 = p.y0 + (p.y1-p.y0)*sketchHeight/(sketchHeight-lengthRow*n)
	}
	p.upright("voltage", voltsIn(tr))
	p.level("time", timeIn(tr), !k.off)
	p.rim()
	if k.band {
		p.path("bars", 1, bars(t, v, halved(strokes), p.px, p.inside))
	}
	points := specks(t, v, p.px, p.py)
	p.path("case", 4, points)
	s.own(tr.Colour, 2.4, points)
	if k.fit != nil {
		ft, fv := partOfCurve(k.fit.T, k.fit.V, k.from, k.to)
		p.path("fit", 1.6, curve(ft, fv, p.px, p.py))
	}
	for _, l := range k.levels {
		p.line("fit", 1, p.left, p.py(l.a), p.right, p.py(l.a))
	}
	for _, c := range k.rings {
		if c[0] >= k.from && c[0] <= k.to {
			s.disc("ring", p.px(c[0]), p.py(c[1]), 4)
		}
	}
	for i, l := range k.lengths {
		k.length(p, l, p.top+lengthRow*float64(i+1)-8)
	}
	beside := p.right
	if k.normal != nil {
		k.counts(p, v, strokes)
		beside += countsRoom
	}
	k.besides(p, beside)
	if k.off {
		k.leftOver(p, tr)
	}
	return s
}

// wordsRoom is the width of the words beside the figure.
func (k *sketch) wordsRoom() float64 {
	most := 0
	for _, l := range slices.Concat(k.levels, k.heights) {
		most = max(most, len([]rune(l.name)), len([]rune(l.value)))
	}
	return max(rightRoom, float64(most)*letter*letterWidth+8)
}

// voltages are those that the figure must reach.
func (k *sketch) voltages() (list []float64) {
	for _, l := range k.levels {
		list = append(list, l.a)
	}
	for _, h := range k.heights {
		list = append(list, h.a, h.b)
	}
	return list
}

// length draws an arrow from a to b at the height y of the figure, with marks down to the curve and words above it.
func (k *sketch) length(p *panel, l sketchPart, y float64) {
	a, b := p.px(l.a), p.px(l.b)
	for _, x := range []float64{a, b} {
		p.line("bars", 0.8, x, y-4, x, p.inside(l.at))
	}
	arrow(p.svg, a, y, b, y)
	words := l.name + " " + l.value
	half := letter * letterWidth / 2 * float64(len([]rune(words)))
	p.text(min(max((a+b)/2, p.left+half+2), p.right-half), y-5, "middle", words)
}

// besides draws what stands at the right: the heights as arrows, and the words of levels and heights, apart.
func (k *sketch) besides(p *panel, x float64) {
	type label struct {
		y float64
		sketchPart
	}
	var labels []label
	for i, h := range k.heights {
		at := x + heightColumn*(float64(i)+0.7)
		for _, v := range []float64{h.a, h.b} {
			p.line("bars", 0.8, p.right, p.py(v), at+4, p.py(v))
		}
		arrow(p.svg, at, p.py(h.a), at, p.py(h.b))
		labels = append(labels, label{(p.py(h.a) + p.py(h.b)) / 2, h})
	}
	for _, l := range k.levels {
		labels = append(labels, label{p.py(l.a), l})
	}
	sort.SliceStable(labels, func(i, j int) bool { return cmp.Less(labels[i].y, labels[j].y) })
	const apart = 2*letter + 4 // two lines each
	for i := range labels {
		least := p.top + apart/2
		if i > 0 {
			least = labels[i-1].y + apart
		}
		labels[i].y = max(labels[i].y, least)
	}
	for i := len(labels) - 1; i >= 0; i-- { // those that were pushed below the figure push back
		most := p.bottom - apart/2 + letter
		if i+1 < len(labels) {
			most = labels[i+1].y - apart
		}
		labels[i].y = min(labels[i].y, most)
	}
	for _, l := range labels {
		at := x + heightColumn*float64(len(k.heights)) + 6
		p.text(at, l.y-2, "start", l.name)
		p.text(at, l.y+letter, "start", l.value)
	}
}

// counts draws how often the trace is at which voltage, each point of a band spread evenly over its stroke, and the
// normal distribution of the mean and the deviation that were found, on the scale of voltages of p.
func (k *sketch) counts(p *panel, v, strokes []float64) {
	n := 0.0
	for _, x := range v {
		if !math.IsNaN(x) {
			n++
		}
	}
	if n == 0 {
		return
	}
	bins := int(min(max(math.Round(2*math.Sqrt(n)), 8), 40)) // fine enough for a shape, coarse enough against chance
	width := (p.y1 - p.y0) / float64(bins)
	count := make([]float64, bins)
	for i, x := range v {
		if math.IsNaN(x) {
			continue
		}
		half := 0.0
		if i < len(strokes) && strokes[i] > 0 {
			half = strokes[i] / 2
		}
		first, last := (x-half-p.y0)/width, (x+half-p.y0)/width
		for b := max(0, int(first)); b < bins && float64(b) <= last; b++ {
			if share := min(last, float64(b+1)) - max(first, float64(b)); last > first {
				count[b] += share / (last - first)
			} else {
				count[b]++
			}
		}
	}
	mean, sd := k.normal[0], k.normal[1]
	normal := func(x float64) float64 {
		return n * width / (sd * math.Sqrt(2*math.Pi)) * math.Exp(-(x-mean)*(x-mean)/(2*sd*sd))
	}
	most := max(slices.Max(count), normal(mean))
	px := func(c float64) float64 { return p.right + 6 + c/most*(countsRoom-14) }
	stairs := ""
	for i, c := range count {
		stairs += either(i == 0, "M", "L") + coordinate(px(c)) + " " + coordinate(p.py(p.y0+float64(i)*width)) +
			"V" + coordinate(p.py(p.y0+float64(i+1)*width))
	}
	p.path("axis", 1.2, stairs)
	p.line("bars", 0.8, px(0), p.top, px(0), p.bottom)
	const steps = 60
	var x, y []float64
	for i := range steps + 1 {
		at := p.y0 + (p.y1-p.y0)*float64(i)/steps
		x, y = append(x, normal(at)), append(y, at)
	}
	p.path("fit", 1.6, curve(x, y, px, p.py))
}

// leftOver draws below p what the points are off the curve.
func (k *sketch) leftOver(p *panel, tr *wire.Trace) {
	at, off := partOf(k.fit.AtT, k.fit.Off, k.from, k.to)
	lo, hi, ok := span(off)
	if !ok {
		return
	}
	const height = 80
	rest := &panel{svg: p.svg, left: p.left, top: p.bottom + topRoom, right: p.right, bottom: p.bottom + topRoom + height, x0: p.x0, x1: p.x1}
	p.h = rest.bottom + lowRoom
	rest.y1 = 1.1 * max(-lo, hi, 1e-12)
	rest.y0 = -rest.y1
	rest.upright("points − lines", voltsIn(tr))
	rest.level("time", timeIn(tr), true)
	rest.rim()
	rest.path("dots", 2.4, specks(at, off, rest.px, rest.py))
	rest.line("fit", 1.6, rest.left, rest.py(0), rest.right, rest.py(0))
}

// arrow draws a line with a head at both ends; heads point inwards where the line is too short for them.
func arrow(s *svg, x0, y0, x1, y1 float64) {
	long := math.Hypot(x1-x0, y1-y0)
	if long == 0 {
		return
	}
	ux, uy := (x1-x0)/long, (y1-y0)/long
	head := float64(arrowHead)
	if long < 3*arrowHead {
		head = -arrowHead
		x0, y0, x1, y1 = x0-2*arrowHead*ux, y0-2*arrowHead*uy, x1+2*arrowHead*ux, y1+2*arrowHead*uy
	}
	s.line("axis", 1.1, x0, y0, x1, y1)
	for _, end := range []struct{ x, y, way float64 }{{x0, y0, 1}, {x1, y1, -1}} {
		if head < 0 { // the head stands where the length ends, its back outwards
			end.x, end.y = end.x+end.way*2*arrowHead*ux, end.y+end.way*2*arrowHead*uy
		}
		bx, by := end.x+end.way*head*ux, end.y+end.way*head*uy
		s.path("axis", 1.1, "M"+coordinate(bx-0.6*arrowHead*uy)+" "+coordinate(by+0.6*arrowHead*ux)+"L"+coordinate(end.x)+" "+coordinate(end.y)+
			"L"+coordinate(bx+0.6*arrowHead*uy)+" "+coordinate(by-0.6*arrowHead*ux))
	}
}

func halved(l []float64) []float64 {
	out := make([]float64, len(l))
	for i, x := range l {
		out[i] = x / 2
	}
	return out
}

// partOf gives the points from one time to another.
func partOf(t, v []float64, from, to float64) (pt, pv []float64) {
	for i := range min(len(t), len(v)) {
		if t[i] >= from && t[i] <= to {
			pt, pv = append(pt, t[i]), append(pv, v[i])
		}
	}
	return pt, pv
}

// partOfCurve is partOf of a curve of few corners, cut where it enters and leaves.
func partOfCurve(t, v []float64, from, to float64) (pt, pv []float64) {
	for i := range t {
		if i > 0 && t[i] > t[i-1] {
			for _, end := range []float64{from, to} {
				if t[i-1] < end && t[i] > end {
					pt, pv = append(pt, end), append(pv, v[i-1]+(v[i]-v[i-1])*(end-t[i-1])/(t[i]-t[i-1]))
				}
			}
		}
		if t[i] >= from && t[i] <= to {
			pt, pv = append(pt, t[i]), append(pv, v[i])
		}
	}
	return pt, pv
}
