package path

// What the limits of the rules decide, on paths made by hand: each case lies a little to one side of a limit.

import (
	"fmt"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/sheet"
)

// made is a path over columns from to before to, of runs so many rows high about the row that at gives, each as
// bright as the usual.
func made(s *sheet.Sheet, from, to, rows int, at func(i int) float64) *Path {
	p := &Path{Runs: make([]Run, s.NX), Amount: 1}
	for i := range p.Runs {
		p.Runs[i] = absent
		if i >= from && i < to {
			lo := int(math.Round(at(i))) - rows/2
			p.Runs[i] = Run{Lo: lo, Hi: lo + rows - 1, Peak: 1}
		}
	}
	return p
}

func atRow(row float64) func(int) float64 { return func(int) float64 { return row } }

// says checks a yes or no.
func says(t *testing.T, what string, got, want bool) {
	t.Helper()
	if got != want {
		t.Errorf("%s: %v", what, got)
	}
}

func framed() *sheet.Sheet {
	s := plainSheet()
	s.Frame = geom.Frame{Cols: 10, Rows: 8}
	return s
}

func TestHowMuchOfATraceIsSeenAtLeast(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		share  float64
		second bool
		short  bool
	}{{0.22, false, false}, {0.17, false, true}, {0.65, true, false}, {0.55, true, true}} {
		p := made(s, 0, int(c.share*500), 5, atRow(300))
		says(t, fmt.Sprintf("share %.2f, second %v, is short", c.share, c.second), isShort(&Candidate{Path: p}, s, nil, c.second), c.short)
	}
}

func TestHowWellATraceHangsTogetherAtLeast(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		share, quality float64
		second, ragged bool
	}{
		{1, 0.45, false, false}, {1, 0.35, false, true}, {0.4, 0.85, false, false}, {0.4, 0.75, false, true},
		{0.55, 0.6, false, false}, {0.45, 0.6, false, true}, {0.9, 0.8, true, false}, {0.9, 0.72, true, true},
	} {
		k := &Candidate{Path: made(s, 0, int(c.share*500), 5, atRow(300)), quality: c.quality}
		says(t, fmt.Sprintf("quality %.2f of a share of %.2f, second %v, is ragged", c.quality, c.share, c.second), isRagged(k, s, nil, c.second), c.ragged)
	}
	says(t, "beside a trace, 0.75 is ragged", isRaggedBeside(&Candidate{quality: 0.75}, s, nil), false)
	says(t, "beside a trace, 0.68 is ragged", isRaggedBeside(&Candidate{quality: 0.68}, s, nil), true)
	says(t, "above a trace, 0.65 is ragged", isRaggedBeside(&Candidate{quality: 0.65, parted: true}, s, nil), false)
	says(t, "above a trace, 0.55 is ragged", isRaggedBeside(&Candidate{quality: 0.55, parted: true}, s, nil), true)
}

func TestWhatLiesOnTheRim(t *testing.T) {
	s := framed()
	rim := s.Row(-4)
	for _, c := range []struct {
		off, swing float64 // boxes
		want       bool
	}{{0.1, 0, true}, {0.14, 0, false}, {0, 0.1, true}, {0.05, 0.14, false}} {
		p := made(s, 0, 500, 5, func(i int) float64 { return rim + 100*(c.off+c.swing*float64(i%2*2-1)) })
		says(t, fmt.Sprintf("%.2f boxes off, swinging by %.2f, on the rim", c.off, c.swing), p.LiesOnTheRim(s), c.want)
	}
	on := &Candidate{Path: made(s, 0, 500, 5, atRow(rim))}
	says(t, "1.7 times as bright as the rim, the rim", isRim(on, s, &drawing{amount: 1.7, rimInk: 1}, false), false)
	says(t, "1.5 times as bright as the rim, the rim", isRim(on, s, &drawing{amount: 1.5, rimInk: 1}, false), true)
}

func TestWhatHasNoPlaceBesideATrace(t *testing.T) {
	s := framed()
	kept := []*Candidate{{Path: made(s, 0, 500, 5, atRow(300))}}
	for _, c := range []struct {
		apart int     // rows between the two, where they run beside each other
		alone float64 // share of the columns in which they do not
		none  bool
	}{{8, 0, true}, {13, 0, false}, {0, 0.55, true}, {0, 0.65, false}} {
		p := made(s, 0, 500, 5, func(i int) float64 {
			if float64(i) < c.alone*500 {
				return 600
			}
			return float64(300 + 5 + c.apart)
		})
		says(t, fmt.Sprintf("%d rows apart, alone in %.2f, without a place", c.apart, c.alone), hasNoPlace(&Candidate{Path: p}, s, kept), c.none)
	}
}

func TestWhatComesNear(t *testing.T) {
	s := framed()
	p := made(s, 0, 500, 5, atRow(300))
	says(t, "0.26 boxes apart, near", p.comesNear(made(s, 0, 500, 5, atRow(300+4+26)), s), true)
	says(t, "0.34 boxes apart, near", p.comesNear(made(s, 0, 500, 5, atRow(300+4+34)), s), false)
}

func TestWhatIsThinBesideATrace(t *testing.T) {
	s := framed()
	kept := []*Candidate{{Path: made(s, 0, 500, 14, atRow(300))}}
	says(t, "4 rows of 0.01 box, thin", isThinLine(&Candidate{Path: made(s, 0, 500, 4, atRow(600))}, s, kept), true)
	says(t, "5 rows, thin", isThinLine(&Candidate{Path: made(s, 0, 500, 5, atRow(600))}, s, kept), false)
}

func TestWhatIsWhiteBesideAHue(t *testing.T) {
	hue := []*Candidate{{Tint: sheet.UnitTint([3]float64{1, 0.9, 0.1})}}
	for _, c := range []struct {
		angle float64 // from grey
		want  bool
	}{{0.1, true}, {0.2, false}} {
		d := c.angle / math.Sqrt2
		tint := sheet.UnitTint([3]float64{1/math.Sqrt(3) + d, 1/math.Sqrt(3) - d, 1 / math.Sqrt(3)})
		says(t, fmt.Sprintf("%.2f rad from grey, white", c.angle), isWhiteBesideHue(&Candidate{Tint: tint}, nil, hue), c.want)
	}
}

// A line comes after a curve that hangs together well enough and is prominent enough.
func TestWhenLinesComeLast(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		quality, share float64
		amount         float32 // of the line's
		want           bool
	}{
		{0.9, 0.9, 1, true}, {0.65, 0.9, 1, true}, {0.55, 0.9, 1, false}, {0.9, 0.65, 1, true}, {0.9, 0.55, 1, false},
		{0.9, 1, 0.03, true}, {0.9, 1, 0.008, false},
	} {
		line := &Candidate{Path: made(s, 0, 500, 5, atRow(300)), Line: true, quality: 1}
		curve := &Candidate{Path: made(s, 0, int(c.share*500), 5, atRow(600)), quality: c.quality}
		curve.Path.Amount = c.amount
		for i := range curve.Path.Runs {
			curve.Path.Runs[i].Peak = c.amount
		}
		got := linesLast([]*Candidate{line, curve}, s)
		says(t, fmt.Sprintf("a curve %+v before the line", c), got[0] == curve, c.want)
	}
}

// Strokes broader than an ordinary one do not stand out more.
func TestHowBreadthCounts(t *testing.T) {
	s := framed()
	of := func(rows int) float64 { return (&Candidate{Path: made(s, 0, 500, rows, atRow(300))}).prominence(s) }
	says(t, "a stroke of 9 rows counts as one of 14", of(9) == of(14), true)
	says(t, "a stroke of 7 rows counts as one of 9", of(7) == of(9), false)
}

// Of an upright line that crosses a level what goes on past the level is cut, if it goes far and is as high as such
// lines are.
func TestWhatAnUprightLineAddsIsCut(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		past, lit float64 // boxes past the level on the upper side, and in the whole column
		wide      int     // columns
		cut       bool
	}{{0.5, 6, 1, true}, {0.3, 6, 1, false}, {0.5, 4.5, 1, false}, {0.5, 5.6, 1, true}, {0.5, 6, 3, true}, {0.5, 6, 9, false}} {
		p, runs := levelPath(s, 300)
		for i := 250; i < 250+c.wide; i++ {
			p.Runs[i].Hi = 302 + int(100*c.past)
			rest := int(100*(c.lit-c.past)) - 5
			runs[i] = []Run{p.Runs[i], {Lo: 400, Hi: 400 + rest - 1, Peak: 1}}
		}
		p.cutUprightLines(s, runs)
		says(t, fmt.Sprintf("%+v", c), p.Runs[250+c.wide/2].Hi == 302, c.cut)
	}
}

// A first piece that is not drawn as the longest is dropped, if it is short.
func TestWhichPiecesAtTheEndsAreDropped(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		name    string
		wide    int // columns
		rows    int
		peak    float32
		holes   int // one column in so many is missing; 0 for none
		tall    int // rows of every third run; 0 for rows
		dropped bool
	}{
		{"drawn alike", 100, 6, 1, 0, 0, false},
		{"one and a half times as thick", 100, 9, 1, 0, 0, false},
		{"twice as thick", 100, 12, 1, 0, 0, true},
		{"twice as thick, and long", 160, 12, 1, 0, 0, false},
		{"twice as thick, not as long", 140, 12, 1, 0, 0, true},
		{"dim", 100, 6, 0.4, 0, 0, false},
		{"dimmer", 100, 6, 0.3, 0, 0, true},
		{"with some holes", 100, 6, 1, 14, 0, false},
		{"with many holes", 100, 6, 1, 7, 0, true},
		{"with tall runs", 100, 6, 1, 0, 9, false},
		{"with taller runs", 100, 6, 1, 0, 11, true},
	} {
		p := made(s, 180, 500, 6, atRow(300))
		for i := range c.wide {
			if c.holes > 0 && i%c.holes == 3 {
				continue
			}
			rows := c.rows
			if c.tall > 0 && i%3 == 0 {
				rows = c.tall
			}
			p.Runs[i] = Run{Lo: 600 - rows/2, Hi: 600 - rows/2 + rows - 1, Peak: c.peak}
		}
		p.dropOtherEnds(s)
		says(t, c.name+" is dropped", !p.Seen(50), c.dropped)
	}
}

func TestWhichPiecesAreScraps(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		wide int
		jump int // rows
		want bool
	}{{10, 60, true}, {14, 60, false}, {10, 25, false}, {10, 42, true}} {
		p := made(s, 0, 450, 5, atRow(300))
		for i := 450; i < 450+c.wide; i++ {
			p.Runs[i] = Run{Lo: 298 + 5 + c.jump, Hi: 302 + 5 + c.jump, Peak: 1}
		}
		p.dropScraps(s)
		says(t, fmt.Sprintf("%+v is a scrap", c), !p.Seen(452), c.want)
	}
}

func TestWhereAPathIsSparse(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		of    int // of ten columns behind the trace so many are seen
		dense int // columns of the trace
		want  bool
	}{{3, 400, true}, {5, 400, false}, {3, 240, false}, {3, 320, true}} {
		p := made(s, 0, c.dense, 5, atRow(300))
		for i := c.dense; i < 500; i++ {
			if i%10 < c.of {
				p.Runs[i] = Run{Lo: 298, Hi: 302, Peak: 1}
			}
		}
		p.dropSparse(s)
		seen := 0
		for i := c.dense + 30; i < 470; i++ {
			if p.Seen(i) {
				seen++
			}
		}
		says(t, fmt.Sprintf("%+v is sparse", c), seen == 0, c.want)
	}
}

// A short step is free; a longer one costs by its height, up to a limit.
func TestWhatAJumpCosts(t *testing.T) {
	s := framed()
	at := func(lo int) Run { return Run{Lo: lo, Hi: lo + 4, Peak: 1} }
	if c := linkCost(s, at(300), at(304+2), 1); c != 0 {
		t.Errorf("a step of 0.02 box costs %.2f columns", c)
	}
	if c := linkCost(s, at(300), at(304+4), 1); !(c > 0) {
		t.Errorf("a step of 0.04 box costs %.2f columns", c)
	}
	if c := linkCost(s, at(300), at(304+100), 1); math.Abs(c-0.25*0.97*50) > 0.1 {
		t.Errorf("a jump by one box costs %.2f columns", c)
	}
	// Between two jumps that are not drawn, a piece is taken that is longer than both cost.
	for _, c := range []struct {
		wide int
		want bool
	}{{10, false}, {14, true}} {
		_, runs := levelPath(s, 300)
		for i := 200; i < 200+c.wide; i++ {
			runs[i] = []Run{at(600)}
		}
		says(t, fmt.Sprintf("a piece of %d columns is taken", c.wide), bestPath(s, runs, 1).Seen(200+c.wide/2), c.want)
	}
}

// Dim runs are less evidence than bright ones, down from half the usual light.
func TestWhatLightIsFullEvidence(t *testing.T) {
	if a, b := (Run{Peak: 0.55}).evidence(1), (Run{Peak: 0.4}).evidence(1); a != 1 || math.Abs(b-0.8) > 0.01 {
		t.Errorf("evidence %.2f and %.2f", a, b)
	}
}

func TestWhatIsALetter(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		wide, high float64 // boxes
		want       bool
	}{
		{0.3, 0.3, true}, {0.3, 0.08, false}, {0.3, 0.7, true}, {0.3, 0.85, false}, {0.5, 0.3, true}, {0.08, 0.3, false}, {0.7, 0.3, false},
	} {
		n := int(c.wide * 50)
		b := islet{i0: 100, i1: 100 + n - 1, j0: 300, j1: 300 + int(c.high*100) - 1, runs: n, cells: 5 * n}
		says(t, fmt.Sprintf("%.2f × %.2f boxes, a letter", c.wide, c.high), b.letter(s, 4), c.want)
	}
	low := islet{i0: 100, i1: 110, j0: 300, j1: 311, runs: 11, cells: 50} // 12 rows
	says(t, "twice as high as a run of 6 rows, a letter", low.letter(s, 6), true)
	says(t, "one and a half times as high as a run of 8 rows, a letter", low.letter(s, 8), false)
	word := func(wide, high, runs, stems float64) islet {
		n := wide * 50
		return islet{i0: 0, i1: int(n) - 1, j0: 300, j1: 300 + int(high*100) - 1, runs: int(runs * n), cells: int(8 * n), stems: int(stems)}
	}
	says(t, "a word of letters that touch", word(2, 0.3, 1.4, 0).letter(s, 4), true)
	says(t, "a piece of a noisy level", word(2, 0.3, 1.05, 9).letter(s, 4), false)
	says(t, "a word with stems", word(2, 0.3, 1.2, 4).letter(s, 4), true)
	says(t, "the same with few stems", word(2, 0.3, 1.2, 2).letter(s, 4), false)
	says(t, "a piece wider than a word", word(4.5, 0.3, 1.4, 0).letter(s, 4), false)
	says(t, "a word as wide as words are", word(3.5, 0.3, 1.4, 0).letter(s, 4), true)
	says(t, "a low piece", word(2, 0.3, 1.4, 0).letter(s, 11), false)
	bar := func(wide, filled float64) islet {
		n := wide * 50
		return islet{i0: 0, i1: int(n) - 1, j0: 300, j1: 329, runs: int(n), cells: int(filled * 30 * n)}
	}
	says(t, "a word that has run together, a bar", bar(1, 0.7).bar(s, 4), true)
	says(t, "one half filled, a bar", bar(1, 0.5).bar(s, 4), false)
	says(t, "one wider than a word of three letters, a bar", bar(1.4, 0.7).bar(s, 4), false)
}

// Letters are words where enough of them stand close to each other and at one height; beside a trace they are taken
// away.
func TestWhatIsARowOfLetters(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		name             string
		letters          int
		gap, step        int // columns between two letters, rows that each lies above the one before
		wide, rows, fill int // of each letter; fill is of every column so many rows
		want             bool
	}{
		{"three letters", 3, 10, 0, 10, 30, 30, true},
		{"two letters", 2, 10, 0, 10, 30, 30, false},
		{"two wide letters", 2, 10, 0, 28, 30, 30, true},
		{"close enough", 3, 17, 0, 10, 30, 30, true},
		{"too far from each other", 3, 23, 0, 10, 30, 30, false},
		{"nearly at one height", 3, 10, 9, 10, 30, 30, true},
		{"going up", 3, 10, 15, 10, 30, 30, false},
		{"two bars, near each other", 2, 30, 0, 50, 30, 24, true},
		{"two bars, apart", 2, 40, 0, 50, 30, 24, false},
	} {
		_, runs := levelPath(s, 100)
		first := 50
		for k := range c.letters {
			for i := range c.wide {
				lo := 400 + k*c.step
				if i%2 == 1 {
					lo += c.rows - c.fill // so that the runs of a bar reach from its lowest row to its highest by turns
				}
				runs[first+i] = append(runs[first+i], Run{Lo: lo, Hi: lo + c.fill - 1, Peak: 1})
			}
			first += c.wide + c.gap
		}
		rest := withoutWords(s, runs)
		says(t, c.name+" are words", len(rest[52]) == 1, c.want)
		says(t, c.name+": the trace is one", len(rest[52]) == 0, false)
	}
}

// Pieces of a level that noise has parted belong to it, however much they look like letters; what lies further off
// does not.
func TestWhatNoiseHasParted(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		gap  int // columns between the level and three pieces as high as letters
		want bool
	}{{1, true}, {3, false}} {
		runs := make([][]Run, s.NX)
		for i := range 300 {
			runs[i] = []Run{{Lo: 300, Hi: 329, Peak: 1}}
			if i > 10 {
				runs[i] = []Run{{Lo: 312, Hi: 316, Peak: 1}}
			}
		}
		for k := range 3 {
			for i := range 10 {
				at := 300 + c.gap + k*(10+c.gap) + i
				runs[at] = []Run{{Lo: 300, Hi: 329, Peak: 1}}
			}
		}
		rest := withoutWords(s, runs)
		says(t, fmt.Sprintf("%d columns beside the level, kept", c.gap), len(rest[300+c.gap+5]) == 1, c.want)
	}
}

// A stem is a group of columns with a run nearly as tall as the piece.
func TestWhatIsAStem(t *testing.T) {
	_, runs := levelPath(framed(), 300)
	for i := range runs {
		runs[i] = nil
	}
	for i, rows := range []int{10, 7, 10, 5, 10, 10, 5, 5, 10} { // a stem is at least six rows
		runs[100+i] = []Run{{Lo: 300, Hi: 300 + rows - 1, Peak: 1}}
	}
	all, _ := islets(runs, 1)
	if len(all) != 1 || all[0].stems != 3 {
		t.Errorf("%+v, want three stems", all)
	}
}

// A shaft in the last columns, beside which the trace passes, takes away as much of its end as such a mark is wide.
func TestWhenAPathEndsAtALevelMark(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		name                 string
		long, wobble, beside int     // columns of the shaft, rows by which it wobbles, rows to the trace
		slope                int     // rows that the trace moves in the last columns
		light                float32 // of the shaft
		want                 bool
		seen                 int // of the last columns so many show the trace; 0 for all
	}{
		{"a shaft", 6, 0, 15, 9, 1, true, 0}, {"a short one", 3, 0, 15, 9, 1, false, 0}, {"with a hole", 5, 0, 15, 9, 1, true, 0},
		{"that wobbles a little", 6, 2, 15, 9, 1, true, 0}, {"that wobbles", 6, 3, 15, 9, 1, false, 0},
		{"farther from the trace", 6, 0, 28, 9, 1, true, 0}, {"too far", 6, 0, 36, 9, 1, false, 0},
		{"beside a level", 6, 0, 15, 2, 1, false, 0}, {"beside a slope", 6, 0, 15, 4, 1, true, 0},
		{"dim", 6, 0, 15, 9, 0.4, true, 0}, {"too dim", 6, 0, 15, 9, 0.25, false, 0},
		{"beside two columns of the trace", 6, 0, 15, 9, 1, true, 2},
	} {
		p, runs := levelPath(s, 300)
		for k := range 2 { // the trace is seen beside the shaft in its last two columns
			p.Runs[498+k].Lo, p.Runs[498+k].Hi = 298+k*c.slope, 302+k*c.slope
			runs[498+k] = []Run{p.Runs[498+k]}
		}
		for i := 490; i < 500-c.seen && c.seen > 0; i++ {
			p.Runs[i], runs[i] = absent, nil
		}
		for k := range c.long {
			at := 302 + c.slope + c.beside + k%2*c.wobble
			runs[499-k] = append(runs[499-k], Run{Lo: at, Hi: at + 4, Peak: c.light})
		}
		p.dropAtLevelMark(s, runs)
		says(t, c.name+" takes the end away", !p.Seen(484) && !p.Seen(499), c.want)
		says(t, c.name+" takes more away", !p.Seen(483), false)
	}
}

// A piece by itself is sparse up to some width.
func TestHowFarAPathIsSparse(t *testing.T) {
	s := framed()
	for _, c := range []struct {
		wide int
		want bool
	}{{10, true}, {15, false}} {
		p := made(s, 0, 400, 5, atRow(300))
		for i := 440; i < 440+c.wide; i++ {
			p.Runs[i] = Run{Lo: 298, Hi: 302, Peak: 1}
		}
		p.dropSparse(s)
		says(t, fmt.Sprintf("a piece of %d columns is sparse in its middle", c.wide), !p.Seen(440+c.wide/2), c.want)
	}
}

func TestWhichRunsAreNone(t *testing.T) {
	s := framed()
	s.NY, s.Y0 = 840, -4.195 // with a margin of 0.2 box
	lo, hi := int(s.Row(-3.85)), int(s.Row(3.85))
	says(t, "a run of 7.7 boxes, a helper line", isUprightLine(s, Run{Lo: lo, Hi: hi}), true)
	says(t, "a run of 7.2 boxes, a helper line", isUprightLine(s, Run{Lo: lo + 50, Hi: hi}), false)
	at := func(y float64) Run { return Run{Lo: int(math.Round(s.Row(y))) - 2, Hi: int(math.Round(s.Row(y))) + 2} }
	says(t, "0.03 box past the rim, outside", isOutside(s, at(4.025)), false)
	says(t, "0.05 box past the rim, outside", isOutside(s, at(-4.055)), true)
}
