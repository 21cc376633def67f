package sketch

import (
	"math"
	"testing"
)

// A stretch is a part of a made way: level, or up or down, or wavy as letters and unsteady hands are.
type stretch struct {
	long  float64 // squares
	broad int     // cells, its ink
	up    int     // 1 up, -1 down, 0 level
	wavy  float64 // cells, how far it goes up and down over 0.8 square
	fades bool    // every other 0.15 square has ink of one cell only
}

// wayOf draws stretches one after the other, with the way along their middle, and gives the place at which each begins.
func wayOf(per int, of ...stretch) (*canvas, *way, []int) {
	c := emptyCanvas(14*per, 8*per, per)
	p := &way{}
	var begins []int
	x, y := per/2, 4*per
	for _, s := range of {
		begins = append(begins, len(p.at))
		y0 := y
		for i := range int(s.long * float64(per)) {
			broad := s.broad
			if s.fades && i/(3*per/20)%2 == 1 {
				broad = 1
			}
			q := place{x, y}
			switch {
			case s.up != 0:
				y -= s.up
				c.fill(q.x-broad/2, q.y, q.x-broad/2+broad, q.y+1)
			default:
				q.y = y0 + int(math.Round(s.wavy*math.Sin(2*math.Pi*float64(i)/(0.8*float64(per)))))
				x++
				c.fill(q.x, q.y-broad/2, q.x+1, q.y-broad/2+broad)
			}
			p.at = append(p.at, q)
		}
	}
	return c, p, begins
}

// An end that turns to and fro is a label's, unless the curve has corners itself; so is one much thinner than the
// curve.
func TestWhatTurnsOrThinsIsNoEnd(t *testing.T) {
	const per = 100
	level := func(long float64) stretch { return stretch{long: long, broad: 6} }
	up, down := stretch{long: 1.5, broad: 6, up: 1}, stretch{long: 1.5, broad: 6, up: -1}
	for name, x := range map[string]struct {
		of    []stretch
		stays bool // the last stretch
	}{
		"an unsteady hand":               {[]stretch{level(6), {long: 2, broad: 6, wavy: 5.2}}, true},
		"letters":                        {[]stretch{level(6), {long: 2, broad: 6, wavy: 9.5}}, false},
		"behind one corner in the curve": {[]stretch{level(4), {long: 3.5, broad: 6, up: 1}, level(0.6)}, false},
		"a last level of a square wave":  {[]stretch{level(1.5), up, level(2), down, level(2), up, level(1.5), down, level(0.4)}, true},
		"less pressure":                  {[]stretch{level(7), {long: 1.5, broad: 4}}, true},
		"an axis that goes on":           {[]stretch{level(7), {long: 1.5, broad: 2}}, false},
		"rough paper":                    {[]stretch{level(7), {long: 2, broad: 6, fades: true}}, true},
		"thin, then a letter":            {[]stretch{level(7), {long: 1, broad: 1}, level(1.2)}, false},
		"thin, then the curve":           {[]stretch{level(7), {long: 1, broad: 1}, level(2)}, true},
	} {
		c, p, begins := wayOf(per, x.of...)
		_, b := c.earned(p, 0)
		if last := begins[len(begins)-1]; b > last+per/3 != x.stays {
			t.Errorf("%s: to place %d of %d, the last begins at %d", name, b, len(p.at), last)
		}
	}
}

// Ink that a way's end leaves over in a small piece is a letter's, unless it was cut from such an end before.
func TestWhatWasCutIsNoLetter(t *testing.T) {
	const per = 100
	for _, cut := range [2]bool{false, true} {
		c, p, _ := wayOf(per, stretch{long: 6, broad: 6})
		n := len(p.at) - per/3
		rest := p.at[n:]
		p.at = p.at[:n]
		for _, q := range rest {
			c.fill(q.x, q.y-25, q.x+1, q.y+25)
			for y := q.y - 30; cut && y < q.y+30; y++ {
				c.own[0][q.x*c.h+y] = barred
			}
		}
		if _, b := c.earned(p, 0); b == n != cut {
			t.Errorf("cut before %v: to place %d of %d", cut, b, n)
		}
	}
}
