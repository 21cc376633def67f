package path

// What is no trace. The rules stand in the order in which they are applied: those of a colour before those of its
// runs, those of a path before those of all paths together. Each is one value, and each has a scene that reads
// wrongly without it (TestEveryRuleIsNeeded in package trace).

import "quadrille/vision/sheet"

// A Rule tells one kind of thing that displays show from traces, or one part of a path from what belongs to the trace.
type Rule struct {
	Name string // what it takes away
	Why  string // one sentence
	test test
}

// A test is one of the kinds of rules below, which say what it judges.
type test interface{ stage() stage }

// The stages of a search, in their order. All rules of a stage are applied before those of the next.
type stage int

const (
	ofColour stage = iota
	ofRun
	ofDisplay
	ofWords
	ofLines
	ofPart
	ofPath
	ofOrder
	ofBeside
)

type (
	// A colourRule says that nothing drawn in a tint is a trace.
	colourRule func(lines sheet.Lines, d sheet.Tint) bool
	// A runRule says that one run of a column belongs to no trace.
	runRule func(s *sheet.Sheet, r Run) bool
	// A displayRule takes runs away that the drawings in all colours together show to be no trace.
	displayRule func(s *sheet.Sheet, all []*drawing)
	// A wordRule gives the runs that are no words. It is taken back where nothing else is drawn in a colour.
	wordRule func(s *sheet.Sheet, runs [][]Run) [][]Run
	// A lineRule gives runs that make lines from rim to rim, and the others.
	lineRule func(s *sheet.Sheet, runs [][]Run, amount float32) (lines []*Path, rest [][]Run)
	// A partRule changes a part of the best path through the runs.
	partRule func(p *Path, s *sheet.Sheet, runs [][]Run)
	// A pathRule says that a path is no trace; second, that it is the second in its colour.
	pathRule func(c *Candidate, s *sheet.Sheet, w *drawing, second bool) bool
	// An orderRule puts candidates, the most prominent first, in another order.
	orderRule func(found []*Candidate, s *sheet.Sheet) []*Candidate
	// A besideRule says that a candidate is no trace beside those that were kept before, the most likely one first.
	besideRule func(c *Candidate, s *sheet.Sheet, kept []*Candidate) bool
)

func (colourRule) stage() stage  { return ofColour }
func (runRule) stage() stage     { return ofRun }
func (displayRule) stage() stage { return ofDisplay }
func (wordRule) stage() stage    { return ofWords }
func (lineRule) stage() stage    { return ofLines }
func (partRule) stage() stage    { return ofPart }
func (pathRule) stage() stage    { return ofPath }
func (orderRule) stage() stage   { return ofOrder }
func (besideRule) stage() stage  { return ofBeside }

// Rules gives all rules in their order.
func Rules() []Rule {
	return []Rule{
		{"fringes darker than the field", "Where the graticule is lit, traces are brighter than the field, and a lens or the camera's " +
			"sharpening draws something dark beside bright strokes.", colourRule(isDarkFringe)},

		{"upright helper lines",
			"A stroke from the lowest line to the highest is a helper line: an edge of a trace seldom goes " +
				"as far.",
			runRule(isUprightLine)},
		{"what lies outside the frame",
			"Displays draw traces inside the frame and words and borders around it.",
			runRule(isOutside)},

		{"panels",
			"A menu's border has the trace's ink and hangs together better than any trace, and its inside " +
				"hides the trace.",
			displayRule(hidePanels)},

		{"words", "Letters that stand in a row are words, and a path would run through them where the trace is hidden.",
			wordRule(withoutWords)},

		{"level helper lines",
			"A line from rim to rim hangs together better than a trace of its colour, so that the trace is " +
				"looked for without it.",
			lineRule(levelLines)},

		{"crossings of upright helper lines",
			"Where an upright line crosses the trace its run goes on past the runs beside it.",
			partRule((*Path).cutUprightLines)},
		{"leads before the screen",
			"A lead is thicker and brighter than the trace and draws the path to itself although the trace " +
				"goes on beside it.",
			partRule((*Path).leaveLeads)},
		{"scraps", "A piece that two jumps part from the rest and that is shorter than they cost is a letter or noise.",
			partRule(func(p *Path, s *sheet.Sheet, _ [][]Run) { p.dropScraps(s) })},
		{"letters", "Among levels or long pieces of a curve, a narrow high piece is a letter.",
			partRule(func(p *Path, s *sheet.Sheet, _ [][]Run) { p.dropLetters(s) })},
		{"dotted lines",
			"Where a path that is dense as a whole is sparse, it runs along what is left of a dotted line.",
			partRule(func(p *Path, s *sheet.Sheet, _ [][]Run) { p.dropSparse(s) })},
		{"other things at the ends",
			"A first or last piece that is not drawn as the longest is something else that the path ran on " +
				"to.",
			partRule(func(p *Path, s *sheet.Sheet, _ [][]Run) { p.dropOtherEnds(s) })},
		{"the mark of the trigger's level",
			"An arrow at the right rim touches the trace, and the path may end on its shaft.",
			partRule((*Path).dropAtLevelMark)},
		{"gaps that narrow pulses fill",
			"The best path leaves out a pulse that is narrower than its two undrawn edges cost; it belongs " +
				"to the trace.",
			partRule((*Path).takePulses)},

		{"short paths", "A trace crosses a fair part of the screen.", pathRule(isShort)},
		{"ragged paths",
			"Text, dashed lines and menus do not hang together, or are not evenly lit.",
			pathRule(isRagged)},
		{"lines of the graticule",
			"A level path on a line that is no brighter than the ink is that line, displaced by lens or " +
				"hand.",
			pathRule(isGridLine)},
		{"the rim",
			"A path along the rim that is not clearly brighter than the rim's ink is the edge of the screen.",
			pathRule(isRim)},

		{"lines before curves",
			"A line from rim to rim or along the rim hangs together better than many a trace, but beside one " +
				"it is a helper.",
			orderRule(linesLast)},

		{"ragged lesser paths",
			"Beside a trace, only what hangs together as well as traces do is another.",
			besideRule(isRaggedBeside)},
		{"the other polarity",
			"A display draws all traces brighter than the field, or all darker.",
			besideRule(isOtherPolarity)},
		{"cursors",
			"A level line that is dashed, one of two in one colour, or one in the colour of a trace on a display that has " +
				"a colour for each is there for measuring.",
			besideRule(isCursor)},
		{"what has no place of its own",
			"A fringe, a menu's border or the levels of another trace by turns are seen by themselves in few " +
				"columns.",
			besideRule(hasNoPlace)},
		{"white beside a hue",
			"Text and frames are white; beside a trace that has a hue so is no trace.",
			besideRule(isWhiteBesideHue)},
		{"the graticule's ink beside a hue",
			"Where traces have colours of their own, what has that of the graticule is a border or a line.",
			besideRule(isInkBesideHue)},
		{"thin lines",
			"A line of one or two of the display's pixels, less than half as broad as the trace, is drawn by " +
				"the instrument.",
			besideRule(isThinLine)},
		{"what runs along a trace",
			"The fringe and the halo of a stroke run where the stroke does.",
			besideRule(runsAlongKept)},
	}
}

// A rulebook holds the tests of the rules by what they judge, each kind in the order of the rules.
type rulebook struct {
	colour  []colourRule
	run     []runRule
	display []displayRule
	words   []wordRule
	lines   []lineRule
	part    []partRule
	path    []pathRule
	order   []orderRule
	beside  []besideRule
}

func newRulebook(rules []Rule) *rulebook {
	return &rulebook{
		colour: testsOf[colourRule](rules), run: testsOf[runRule](rules),
		display: testsOf[displayRule](rules), words: testsOf[wordRule](rules), lines: testsOf[lineRule](rules),
		part: testsOf[partRule](rules), path: testsOf[pathRule](rules), order: testsOf[orderRule](rules), beside: testsOf[besideRule](rules),
	}
}

// testsOf lists the tests of one kind.
func testsOf[T test](rules []Rule) (tests []T) {
	for _, r := range rules {
		if t, ok := r.test.(T); ok {
			tests = append(tests, t)
		}
	}
	return tests
}

// anyOf reports whether one of the tests says so.
func anyOf[T test](tests []T, says func(t T) bool) bool {
	for _, t := range tests {
		if says(t) {
			return true
		}
	}
	return false
}
