package path

// The search: every colour that is drawn with, the runs in it, the best path or two through them, and those that
// stand beside each other. What is no trace is told by the rules (rules.go).

import (
	"context"
	"math"
	"slices"
	"sort"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

// A Candidate is a path that may be a trace, with the tint it was found by.
type Candidate struct {
	Tint   sheet.Tint
	Path   *Path
	Noise  *sheet.Knots // of light along the tint, one standard deviation of a cell
	Meets  bool         // another of the same tint comes near
	Crests bool         // the path has the crests of a fast wave only
	Words  bool         // the path is made of what looks like words, and nothing else was found in its colour
	Line   bool         // the path is a level line from rim to rim
	// Prominence says how much it stands out; only ratios within one photo mean anything.
	Prominence float64
	// quality is how well the path hangs together and how evenly it is lit, 0 to 1.
	quality  float64
	lettered bool // the path may run through words
	paired   bool // it is a level line, and there is another one of its tint
	hued     bool // the graticule's ink has another colour
	parted   bool // it lies in a band of rows that another trace of its tint does not enter
}

// Found is the sheet on which paths were found, and those paths, the most prominent first.
type Found struct {
	Sheet      *sheet.Sheet
	Candidates []*Candidate
	Left       *LeftOver // nil if nothing is left over
}

const (
	// mostTraces bounds the list (TestHowManyTracesAreFollowed).
	mostTraces = 6
	// mostOfOneInk is how many traces of one colour are looked for: the channels of the common instruments
	// (TestHowManyTracesOfOneInkAreFollowed).
	mostOfOneInk = 4
	// A second path in one colour that covers wholeCoverage of the width, of whose columns wholeJoined hang together,
	// and that does not jump, is judged by its own light. Dashed lines have 0.91; lines of text jump
	// (TestWhichSecondPathHasItsOwnLight).
	wholeCoverage, wholeJoined = 0.85, 0.94
	// ordinaryStroke is the standard deviation of a stroke of three of the display's pixels, in boxes
	// (TestHowBreadthCounts).
	ordinaryStroke = 0.025
)

// Find gives the paths on the sheet that may be traces, by all rules but those that are not given; nil means Rules().
// Where a fast wave fills the display, the sheet of Found is s.Crowded (see second_look.go). Its error is that of
// ctx.
func Find(ctx context.Context, s *sheet.Sheet, rules []Rule) (*Found, error) {
	if rules == nil {
		rules = Rules()
	}
	book := newRulebook(rules)
	first, err := search(ctx, s, book)
	if err != nil || !first.leftMuchOut() {
		return first, err
	}
	crowded, err := s.Crowded(ctx)
	if err != nil {
		return nil, err
	}
	second, err := search(ctx, crowded, book)
	if err != nil {
		return nil, err
	}
	if second.seesMoreThan(first) {
		return second, nil
	}
	return first, nil
}

// A drawing is what is drawn in one tint: by column its runs, the usual peak of their score, and what is compared
// with it.
type drawing struct {
	tint            sheet.Tint
	score           []float32 // of every cell
	runs            [][]Run
	amount          float32
	noise           *sheet.Knots
	peakInk, rimInk float32
	hued            bool // the graticule's ink has another colour
}

// candidate is a path of the drawing as one.
func (w *drawing) candidate(s *sheet.Sheet, p *Path) *Candidate {
	return &Candidate{Tint: w.tint, Path: p, Noise: w.noise, quality: p.evenness(s), hued: w.hued}
}

// search tries every tint and gives the paths that look like traces, most prominent first. Its error is that of ctx.
func search(ctx context.Context, s *sheet.Sheet, rules *rulebook) (*Found, error) {
	drawn, err := drawings(ctx, s, rules)
	if err != nil {
		return nil, err
	}
	for _, take := range rules.display {
		take(s, drawn)
	}
	var found []*Candidate
	for _, w := range drawn {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		found = append(found, w.candidates(s, rules)...)
	}
	for _, w := range drawn {
		if len(found) > 0 {
			break
		}
		if p := w.crestsOf(s); p != nil {
			found = append(found, w.candidate(s, p))
			found[0].Crests = true
		}
	}
	kept, err := amongOthers(ctx, s, rules, drawn, keep(nil, inOrder(found, s, rules), s, rules))
	if err != nil {
		return nil, err
	}
	return &Found{Sheet: s, Candidates: inOrder(kept, s, rules), Left: leftOver(s, rules, drawn, kept)}, nil
}

// inOrder gives the candidates, the most prominent first but for what a rule of order puts elsewhere.
func inOrder(found []*Candidate, s *sheet.Sheet, rules *rulebook) []*Candidate {
	sort.SliceStable(found, func(i, j int) bool { return found[i].prominence(s) > found[j].prominence(s) })
	for _, order := range rules.order {
		found = order(found, s)
	}
	return found
}

// drawings gives what is drawn in each tint.
func drawings(ctx context.Context, s *sheet.Sheet, rules *rulebook) (drawn []*drawing, err error) {
	inked, lines := s.InkLight(), s.Lines
	for _, d := range tints(s) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if anyOf(rules.colour, func(not colourRule) bool { return not(lines, d) }) {
			continue
		}
		w := &drawing{tint: d, hued: unlike(s, d), noise: s.NoiseAlong(d)}
		w.score = likeness(s, d, w.hued)
		w.amount = usualScore(s, w.score)
		w.peakInk, w.rimInk = inkPeak(s, d)
		w.findRuns(s, inked, rules.run)
		drawn = append(drawn, w)
	}
	return drawn, nil
}

// candidates gives the paths of one tint: those without words, those without words by their own light, or those
// through the words, for the crests of a fast wave look like letters.
func (w *drawing) candidates(s *sheet.Sheet, rules *rulebook) []*Candidate {
	rest := w.runs
	for _, words := range rules.words {
		rest = words(s, rest)
	}
	found := w.paths(s, rules, rest)
	if len(found) == 0 {
		found = w.dimmer(s, rules, rest)
	}
	if len(found) == 0 {
		found = w.paths(s, rules, copied(w.runs))
		for _, c := range found {
			c.Words, c.lettered = c.Path.inALine(s), true
		}
	}
	return found
}

// copied gives lists of their own.
func copied(runs [][]Run) [][]Run {
	out := make([][]Run, len(runs))
	for i, rs := range runs {
		out[i] = slices.Clone(rs)
	}
	return out
}

// paths gives the paths through runs that look like traces: one, or two of one colour, and lines from rim to rim.
func (w *drawing) paths(s *sheet.Sheet, rules *rulebook, runs [][]Run) []*Candidate {
	for _, part := range rules.lines {
		if lines, rest := part(s, runs, w.amount); len(lines) > 0 {
			if found, ok := w.besideLines(s, lines, w.curves(s, rules, rest)); ok {
				return found
			}
		}
	}
	return w.curves(s, rules, runs)
}

// curves gives the best path through the runs, the best through what that leaves, and so on, by bands of rows. It takes
// their runs out of the lists.
func (w *drawing) curves(s *sheet.Sheet, rules *rulebook, runs [][]Run) (found []*Candidate) {
	bands := bandsOf(s, runs)
	sort.SliceStable(bands, func(i, j int) bool { return sumOfPeaks(bands[i]) > sumOfPeaks(bands[j]) })
	for _, within := range bands {
		for first := true; len(found) < mostOfOneInk; first = false {
			c := w.curve(s, rules, within, found, len(bands) > 1, first)
			if c == nil {
				break
			}
			for _, o := range found {
				o.Path.dropSharedWith(c.Path, s)
			}
			found = append(found, c)
			takeOut(within, c.Path)
		}
	}
	return found
}

// curve gives the best path through the runs beside those found before; nil if it is no trace. Where the runs are
// parted into bands a trace may be dimmer than is usual, and the first of a band is as good as the first of all; lines
// are not.
func (w *drawing) curve(s *sheet.Sheet, rules *rulebook, runs [][]Run, found []*Candidate, parted, first bool) *Candidate {
	p := bestPath(s, runs, w.amount)
	for _, change := range rules.part {
		change(p, s, runs)
	}
	if p.share() == 0 {
		return nil
	}
	own := parted && !p.isLevel(s)
	second := len(found) > 0 && !(own && first)
	jumps := func(c *Candidate) bool { return p.undrawnJumps(c.Path, s) > 0 }
	if (second && p.share() >= wholeCoverage || own && p.share() >= bandShare) && p.joined(s) >= wholeJoined && !slices.ContainsFunc(found, jumps) {
		p.Amount = p.usualPeak() // nothing but a trace crosses the screen; it may be dimmer
	}
	c := w.candidate(s, p)
	c.parted, c.Line = own, p.pulses == 0 && p.isLine(s)
	if anyOf(rules.path, func(not pathRule) bool { return not(c, s, w, second) }) {
		return nil
	}
	return c
}

// dimmer gives the paths through what is left of the runs without words, by its own light: words may outshine the
// trace. It must be brighter than the graticule's lines and surely a trace.
func (w *drawing) dimmer(s *sheet.Sheet, rules *rulebook, rest [][]Run) []*Candidate {
	v := *w
	if v.amount = bestPath(s, rest, w.amount).usualPeak(); !(v.amount > w.peakInk) {
		return nil
	}
	found := v.paths(s, rules, rest)
	if len(found) == 0 || found[0].quality < besideRim || found[0].Path.share() < twinCoverage {
		return nil
	}
	return found
}

// keep adds to those kept before the candidates that can be traces of one display with them, the first of which is the
// most likely.
func keep(kept, found []*Candidate, s *sheet.Sheet, rules *rulebook) []*Candidate {
	for _, c := range found {
		c.paired = c.Line && slices.ContainsFunc(found, func(o *Candidate) bool { return o != c && o.Line && o.Tint == c.Tint })
	}
	for _, c := range found {
		if len(kept) == mostTraces || len(kept) > 0 && anyOf(rules.beside, func(not besideRule) bool { return not(c, s, kept) }) {
			continue
		}
		for _, k := range kept {
			if k.Tint == c.Tint && !c.Line && c.Path.comesNear(k.Path, s) {
				c.Meets, k.Meets = true, true
			}
		}
		c.Prominence = c.prominence(s)
		kept = append(kept, c)
	}
	return kept
}

// prominence orders candidates: by the share of the columns, the light and the breadth of the stroke, up to
// that of an ordinary one. The eye's response to light is about its cube root.
func (c *Candidate) prominence(s *sheet.Sheet) float64 {
	return c.Path.evidence() * math.Cbrt(float64(c.Path.Amount)) * min(c.Path.Breadth(s), ordinaryStroke)
}

// inkPeak is the light of the graticule's brightest ink along the tint, of either sign, and rimPeak the
// same for the upper and lower rim, where the ink has what lies outside the frame as well.
func inkPeak(s *sheet.Sheet, d sheet.Tint) (inkPeak, rimPeak float32) {
	const stride, brightest = 7, 0.995 // the stride beats with no dots (TestHowBrightInkIs)
	across, up := int(2*sheet.Margin*float64(s.Across)), int(2*sheet.Margin*float64(s.Up))
	var v, rim []float32
	for i := across; i < s.NX-across; i++ {
		for j := i % stride; j < s.NY; j += stride {
			k := i*s.NY + j
			w := d[0]*s.Ink[0][k] + d[1]*s.Ink[1][k] + d[2]*s.Ink[2][k]
			w = max(w, -w)
			if j >= up && j < s.NY-up {
				v = append(v, w)
			} else {
				rim = append(rim, w)
			}
		}
	}
	return raster.Rank(v, brightest), raster.Rank(rim, brightest)
}
