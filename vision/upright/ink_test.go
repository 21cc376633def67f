package upright

import (
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/raster"
)

// What stands in a row is told by sizes and gaps alone: here boxes have 100 samples, and letters are 0.6 of their
// height wide. How far type may depart from that is common practice, no source: letters of a display are 0.1 to 0.5 box
// high, gaps of a line under half of the height, and those of words in a row of figures under the whole.
func TestLettersOfARowAreOfLikeSizeAndCloseTogether(t *testing.T) {
	row := func(n, h int, gap, fall float64) (all []blob) {
		x, y := 0.0, 0.0
		for range n {
			w := 0.6 * float64(h)
			all = append(all, blob{int(x), int(y), int(x + w), int(y) + h, h})
			x, y = x+w+gap*float64(h), y+fall*float64(h)
		}
		return all
	}
	for _, c := range []struct {
		name      string
		n, h      int
		gap, fall float64
		row       bool
	}{
		{"letters of a fifth of a box", 5, 20, 0.3, 0, true},
		{"eight samples high", 5, 8, 0.3, 0, true},
		{"four samples high, without a shape", 5, 4, 0.3, 0, false},
		{"half a box high", 5, 50, 0.3, 0, true},
		{"a box high, a wave", 5, 100, 0.3, 0, false},
		{"half of their height apart", 5, 40, 0.5, 0, true},
		{"their height apart", 5, 40, 1.0, 0, false},
		{"on a line that falls as far as a lens bends it", 5, 50, 0.3, 0.1, true},
		{"on stairs", 5, 50, 0.3, 0.24, false},
		{"three", 3, 40, 0.3, 0, true},
		{"two, a mark and its tip", 2, 40, 0.3, 0, false},
	} {
		if got := len(rowsOf(row(c.n, c.h, c.gap, c.fall), 100)); (got == c.n) != c.row || !c.row && got != 0 {
			t.Errorf("%s: %d of %d are in rows", c.name, got, c.n)
		}
	}
}

// field is a sheet of log lightness 0 with px samples a box, on which ink adds what f says.
func field(w, h int, px float64, f func(x, y int) float64) *sheet {
	s := &sheet{w: w, h: h, px: px, py: px, log: raster.New(w, h)}
	for y := range h {
		for x := range w {
			s.log.Pix[y*w+x] = float32(f(x, y))
		}
	}
	return s
}

func inkOf(s *sheet) []blob {
	diff, least := s.contrast()
	return blobs(diff, least, 1)
}

// A stroke ends where its blurred flank has half of its height, so that letters keep their width.
func TestBlurredStrokesKeepTheirWidth(t *testing.T) {
	s := field(600, 40, 400, func(x, y int) float64 { // strokes of 10 of every 50 samples, flanks of 10
		return min(max((10-math.Abs(float64(x%50-25)))/10, 0), 1)
	})
	for _, b := range inkOf(s) {
		if b.x0 > 200 && b.x1 < 400 && (b.w() < 8 || b.w() > 11) {
			t.Errorf("a stroke of 10 samples is %d wide", b.w())
		}
	}
}

// The neighbourhood is larger than the boldest sign, whose middle it would take for the field, and smaller than the
// distance of words from a panel's edge, whose contrast would drown theirs.
func TestInkIsHeldAgainstItsNeighbourhood(t *testing.T) {
	bold := inkOf(field(400, 300, 100, func(x, y int) float64 {
		if x >= 185 && x < 215 && y >= 100 && y < 200 {
			return 1
		}
		return 0
	}))
	if len(bold) != 1 || bold[0].area != 30*100 {
		t.Errorf("a bar of 30 by 100 samples is %+v", bold)
	}
	words := func(x, y int) float64 {
		switch {
		case x < 140:
			return -3 // a dark panel
		case x >= 200 && x < 206 && y >= 140 && y < 160:
			return 0.3
		}
		return 0
	}
	found := false
	for _, b := range inkOf(field(400, 300, 100, words)) {
		found = found || b.x0 == 200 && b.x1 == 206 && b.y0 == 140 && b.y1 == 160
	}
	if !found {
		t.Error("a stroke 0.6 box beside a panel's edge is not seen")
	}
}

// In the dark a single level of 255 is noise of the camera; on a field that is hardly brighter a fifth more is ink. So
// is a tenth on a bright one, and a twentieth is what compression leaves.
func TestFaintInkIsNoise(t *testing.T) {
	seen := func(field, ink float64) bool {
		logOf := func(v float64) float64 { // of grey, whose colours have the weights of lightness
			p := raster.New(1, 1)
			p.Pix[0] = float32(v/255*v/255) * (lightness[0] + lightness[1] + lightness[2])
			toLog(p)
			return float64(p.Pix[0])
		}
		s := fieldOf(logOf(field), logOf(ink))
		return len(inkOf(s)) > 0
	}
	for _, c := range []struct {
		name       string
		field, ink float64
		want       bool
	}{
		{"a level in the dark", 2, 3, false},
		{"a fifth on a dim field", 10, 12.3, true},
		{"an eighth on a bright field", 200, 226, true},
		{"a twentieth on a bright field", 200, 210, false},
	} {
		if seen(c.field, c.ink) != c.want {
			t.Errorf("%s: seen %v", c.name, !c.want)
		}
	}
}

// fieldOf has a small sign of log lightness ink on a field.
func fieldOf(even, ink float64) *sheet {
	return field(300, 300, 100, func(x, y int) float64 {
		if x >= 150 && x < 155 && y >= 140 && y < 160 {
			return ink
		}
		return even
	})
}

// Types differ in width by a third or so, and a letter that is three times as wide as any is none.
func TestTheWidthOfALetterMayDepartByAThird(t *testing.T) {
	_, order := glyphTable(t)
	for i := range glyphs {
		g := &glyphs[i]
		if order[i] != 'L' && order[i] != 'R' {
			continue
		}
		own := math.Exp(float64(g.aspect))
		up, _ := likeness(&g.shape, own)
		third, _ := likeness(&g.shape, own*1.5)
		thrice, _ := likeness(&g.shape, own*3)
		if third < up-2.5 || thrice > 0.5 {
			t.Errorf("%c: %.2f, half wider %.2f, three times as wide %.2f", order[i], up, third, thrice)
		}
	}
}

// The thresholds stand between what was seen of right and of wrong turns: see testdata/measured/upright.md.
func TestClaimsStandBetweenRightAndWrongTurns(t *testing.T) {
	for _, c := range []struct {
		name       string
		w          Words
		told, sure bool
	}{
		{"the most of a wrong turn, on 639 photos", Words{Odds: 2, Agree: 2}, false, false},
		{"a few letters", Words{Odds: 4, Agree: 2}, true, false},
		{"two readouts", Words{Odds: 12, Agree: 3}, true, true},
		{"one readout", Words{Odds: 6, Agree: 3}, true, false},
		{"noise of a stroke's width", Words{Odds: 16, Agree: 2}, true, false},
	} {
		if c.w.Told() != c.told || c.w.Sure() != c.sure {
			t.Errorf("%s: told %v, sure %v", c.name, c.w.Told(), c.w.Sure())
		}
	}
}

// Words stand close to the frame: readouts a box beside it, menus two, and the names on the front three.
func TestWindowsReachTheWords(t *testing.T) {
	g := &graticule.Graticule{Frame: geom.Frame{Cols: 10, Rows: 8}}
	for name, p := range map[string]geom.Box{
		"readout below": {X: 0, Y: -4.9}, "readout above": {X: 3, Y: 4.9},
		"menu at the right": {X: 7.3, Y: 1}, "menu at the left": {X: -7.3, Y: 1},
		"front above": {X: 0, Y: 7.4}, "front below": {X: -3, Y: -7.4},
	} {
		seen := false
		for _, w := range windows(g) {
			seen = seen || p.X > w.left && p.X < w.right && p.Y > w.bottom && p.Y < w.top
		}
		if !seen {
			t.Errorf("%s: %v lies in no window", name, p)
		}
	}
}
