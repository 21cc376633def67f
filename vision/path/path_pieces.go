package path

// The pieces of a path: stretches of columns without an undrawn jump. Where a menu hides the trace the best path runs
// on through the menu's words, and where glare does, through whatever is there. What is too short for a trace, has
// the shape of a letter, is what is left of a dotted line, or is drawn otherwise than the rest, is taken away. A true
// piece that glare has changed is lost as well; a menu's words in a trace would be worse.

import (
	"cmp"
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// pieceJump is the undrawn jump, in boxes beyond the free step, that parts pieces of a path
	// (TestWhichPiecesAreScraps).
	pieceJump = 0.3
	// endPiece is the length in boxes up to which the first or last piece must look like the longest: a line of text
	// is shorter. It may have dimPiece of its brightness, moreHoles more of its columns empty, and its tall runs may
	// be moreTall times its thin ones, or more by as much as in the longest (TestWhichPiecesAtTheEndsAreDropped).
	endPiece, dimPiece, moreHoles, moreTall = 3, 0.35, 0.1, 1.6
	// OtherStroke is the factor by which the heights of two strokes of one trace do not differ
	// (TestWhichPiecesAtTheEndsAreDropped).
	OtherStroke = 1.8
	// SlopeColumns to each side tell the slope that a stroke is stretched by: letters change within so many
	// (TestOverWhatASlopeStretches).
	SlopeColumns = 3
	// A path is sparse at a column when less than a share sparse of the columns up to sparseReach boxes from it are
	// seen, and dense as a whole when a share dense of them is (TestWhereAPathIsSparse, TestHowFarAPathIsSparse).
	sparseReach, sparse, dense = 0.3, 0.4, 0.7
)

// dropScraps drops pieces of the path that hang together with nothing else: those shorter than twice the
// jump's cost, such as letters.
func (p *Path) dropScraps(s *sheet.Sheet) {
	least := int(2 * jumpCost * float64(s.Across))
	for _, c := range p.joinedPieces(s) {
		if c.end-c.start+1 < least {
			p.leaveOut(c)
		}
	}
}

// dropLetters drops pieces as narrow and high as a letter among levels or long pieces of a curve.
func (p *Path) dropLetters(s *sheet.Sheet) {
	pieces := p.joinedPieces(s)
	longest := 0
	for _, c := range pieces {
		longest = max(longest, c.end-c.start+1)
	}
	for _, c := range pieces {
		high := float64(p.height(c)) * s.DY
		if n := c.end - c.start + 1; float64(n)*s.DX < letterWide && n*fewLetters < longest && high > letterLow && high < letterHigh {
			p.leaveOut(c)
		}
	}
}

// dropSparse drops columns about which a path that is dense as a whole is sparse: what is left of a dotted line.
func (p *Path) dropSparse(s *sheet.Sheet) {
	reach := int(sparseReach*float64(s.Across) + 0.5)
	before := make([]int, len(p.Runs)+1) // columns seen before each
	first, last := -1, -1
	for i := range p.Runs {
		before[i+1] = before[i]
		if p.Seen(i) {
			before[i+1]++
			if last = i; first < 0 {
				first = i
			}
		}
	}
	if first < 0 || float64(before[last+1]) < dense*float64(last-first+1) {
		return
	}
	for i := range p.Runs {
		a, b := max(i-reach, 0), min(i+reach+1, len(p.Runs))
		if p.Seen(i) && float64(before[b]-before[a]) < sparse*float64(b-a) {
			p.Runs[i] = absent
		}
	}
}

// dropOtherEnds drops pieces at the path's ends, up to endPiece long, that are not drawn as the longest piece is.
func (p *Path) dropOtherEnds(s *sheet.Sheet) {
	for {
		pieces := p.joinedPieces(s)
		if len(pieces) < 2 {
			return
		}
		main := longestOf(pieces)
		dropped := false
		for _, c := range []piece{pieces[0], pieces[len(pieces)-1]} {
			if c != main && float64(c.end-c.start+1)*s.DX < endPiece && !p.drawnAlike(s, c, main) {
				p.leaveOut(c)
				dropped = true
			}
		}
		if !dropped {
			return
		}
	}
}

// A piece is a stretch of columns without an undrawn jump, both ends included.
type piece struct{ start, end int }

// joinedPieces lists the path's pieces from left to right.
func (p *Path) joinedPieces(s *sheet.Sheet) (all []piece) {
	prev := -1
	for i := range p.Runs {
		if !p.Seen(i) {
			continue
		}
		if prev < 0 || linkCost(s, p.Runs[prev], p.Runs[i], i-prev) > stepCost*pieceJump*float64(s.Across) {
			all = append(all, piece{start: i})
		}
		all[len(all)-1].end = i
		prev = i
	}
	return all
}

// height is how far apart the middles of a piece's runs lie, in rows.
func (p *Path) height(c piece) int {
	lo, hi := math.MaxInt, math.MinInt
	for _, r := range p.Runs[c.start : c.end+1] {
		if r.Hi >= r.Lo {
			lo, hi = min(lo, (r.Lo+r.Hi)/2), max(hi, (r.Lo+r.Hi)/2)
		}
	}
	return hi - lo
}

// longestOf gives the longest piece, the first of equals.
func longestOf(pieces []piece) piece {
	return slices.MaxFunc(pieces, func(a, b piece) int { return cmp.Compare(a.end-a.start, b.end-b.start) })
}

func (p *Path) leaveOut(c piece) {
	for i := c.start; i <= c.end; i++ {
		p.Runs[i] = absent
	}
}

// drawnAlike reports whether the end piece c is drawn like the main one: as thick, as bright, as unbroken and as
// even.
func (p *Path) drawnAlike(s *sheet.Sheet, c, main piece) bool {
	a, b := p.mannerOf(s, c), p.mannerOf(s, main)
	return a.thin < OtherStroke*b.tall && b.thin < OtherStroke*a.thin && a.peak > dimPiece*b.peak &&
		a.holes < b.holes+moreHoles && a.tall < moreTall*a.thin*max(b.tall/b.thin, 1)
}

// A manner says how a piece is drawn: the heights in rows of its thinner and of its taller runs, as they would be if
// it were flat, their median peak, and the share of its columns without a run.
type manner struct{ thin, tall, peak, holes float64 }

func (p *Path) mannerOf(s *sheet.Sheet, c piece) manner {
	var heights, peaks []float64
	for i := c.start; i <= c.end; i++ {
		if p.Seen(i) {
			slope := p.rise(max(i-SlopeColumns, c.start), min(i+SlopeColumns, c.end)) * s.DY / s.DX
			heights = append(heights, float64(p.Runs[i].Hi-p.Runs[i].Lo+1)/math.Hypot(1, slope))
			peaks = append(peaks, float64(p.Runs[i].Peak))
		}
	}
	return manner{
		thin: raster.Rank(heights, 0.25), tall: raster.Rank(heights, 0.75), peak: raster.Rank(peaks, 0.5),
		holes: 1 - float64(len(heights))/float64(c.end-c.start+1),
	}
}

// rise is the path's mean rise from column i to column k, rows a column; 0 if it is absent in one.
func (p *Path) rise(i, k int) float64 {
	if k <= i || !p.Seen(i) || !p.Seen(k) {
		return 0
	}
	a, b := p.Runs[i], p.Runs[k]
	return float64(b.Lo+b.Hi-a.Lo-a.Hi) / 2 / float64(k-i)
}
