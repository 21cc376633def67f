// Package upright says by the words round a display which way is up, as far as they tell.
//
// A graticule looks the same after half a turn, and often after a quarter. But displays and the fronts of instruments
// carry words and figures, in rows that run along the time axis. Pieces of ink of a letter's size that stand in rows
// are compared with the letters of several plain types, as they are and upside down; a piece that looks the same both
// ways (0, 8, H, I, N, O, S, X, Z, or 6 beside 9) has the same likelihood both ways and weighs nothing, and neither
// does one that looks like no letter. The same is done with the photo turned by a quarter. The likelihoods of different
// shapes are multiplied, and the words tell when one turn is far likelier than any other.
package upright

import (
	"context"
	"fmt"
	"image"
	"math"

	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

const (
	// toldOdds is the log of the likelihood of a turn over that of the next from which the words tell, sureOdds that
	// from which a photo may be turned by them. On 213 photos, real and simulated, each in four turns, no wrong turn
	// reached 2 (TestClaimsStandBetweenRightAndWrongTurns).
	toldOdds, sureOdds = 2.5, 8.0
	// sureAgree is the same for Words.Agree: of what is no letter, a sum made by a few chance likenesses has 2 in one
	// of twenty (TestClaimsStandBetweenRightAndWrongTurns).
	sureAgree = 2.3
	// sameShape is the correlation from which a letter is one that was seen before: no new evidence, for marks and
	// dots come in numbers. A shape counts for mostSame letters at most.
	// TestOneShapeCountsTwiceAtMost would notice.
	sameShape, mostSame = 0.9, 2
)

// Words is what the words round a display tell.
type Words struct {
	Turn    int     // degrees clockwise that set the words upright: 0, 90, 180 or 270; the likeliest
	Odds    float64 // log of its likelihood over the next likeliest's
	Agree   float64 // that for half a turn over the root of the sum of squares of what the shapes add to it: how many say so
	Letters int     // seen in rows along the likeliest direction
}

// Told says whether the words tell.
func (w *Words) Told() bool { return w.Odds >= toldOdds }

// Sure says whether they tell so clearly that a photo may be turned by them.
func (w *Words) Sure() bool { return w.Odds >= sureOdds && w.Agree >= sureAgree }

// Upright says whether they tell that the photo is upright.
func (w *Words) Upright() bool { return w.Told() && w.Turn == 0 }

// Options steers Read.
type Options struct {
	Stage func(name string, img image.Image) // nil, or receives a picture of what was seen
}

// Read reads the words near the display's frame, first where most displays have them, and no further than it must. Once
// ctx is cancelled it ends within 50 ms with the error of ctx, which is the only one.
func Read(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, o *Options) (*Words, error) {
	if o == nil {
		o = &Options{}
	}
	sc, ok := scaleOf(g)
	if !ok {
		return &Words{}, ctx.Err()
	}
	t := newTally()
	for i, win := range windows(g) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		s := sheetOf(ph, g, win, sc)
		if s == nil {
			continue
		}
		letters := s.letters()
		t.add(letters)
		if o.Stage != nil {
			o.Stage(fmt.Sprintf("words %d", i+1), s.draw(letters))
		}
		// That a photo is upright need not be sure: nothing is done then.
		if w := t.words(); w.Sure() || w.Upright() {
			return w, nil
		}
	}
	return t.words(), ctx.Err()
}

// TestWindowsReachTheWords would notice half of them.
const (
	rimWords  = 1.4 // boxes beside the frame in which readouts stand
	menuWords = 2.6 // boxes beside it in which menus stand
	farWords  = 3.6 // boxes from the frame on the instrument's front
)

// windows lists the parts of the plane in which words stand, likely ones first.
func windows(g *graticule.Graticule) []window {
	x, y := -g.Frame.Left(), -g.Frame.Bottom()
	const beside = 0.05 // the rim itself is no word; nothing changes from 0.02 to 0.1
	return []window{
		{-x - 0.5, -y - rimWords, x + 0.5, -y - beside},
		{-x - 0.5, y + beside, x + 0.5, y + rimWords},
		{x + beside, -y - rimWords, x + menuWords, y + rimWords},
		{-x - menuWords, -y - rimWords, -x - beside, y + rimWords},
		{-x, -y, x, y},
		{-x - menuWords, y + 1, x + menuWords, y + farWords},
		{-x - menuWords, -y - farWords, x + menuWords, -y - 1},
	}
}

// A tally gathers letters by their shape, in the two directions that rows may have.
type tally struct {
	shapes [2][]kin
	count  [2]int
}

// kin are letters of one shape.
type kin struct {
	shape    patch
	up, down float64 // sums of log likelihoods
	n        int
}

func newTally() *tally { return &tally{} }

func (t *tally) add(letters []letter) {
	for i := range letters {
		l := &letters[i]
		t.count[l.view]++
		k := t.kinOf(l)
		k.up += l.up
		k.down += l.down
		k.n++
	}
}

func (t *tally) kinOf(l *letter) *kin {
	of := t.shapes[l.view]
	for i := range of {
		if dot(&of[i].shape, &l.shape) > sameShape {
			return &of[i]
		}
	}
	t.shapes[l.view] = append(of, kin{shape: l.shape})
	return &t.shapes[l.view][len(of)]
}

// words weighs the turns against one another.
func (t *tally) words() *Words {
	var turns [4]float64 // by quarters
	for view, shapes := range t.shapes {
		for i := range shapes {
			k := &shapes[i]
			f := float64(min(k.n, mostSame)) / float64(k.n)
			turns[view] += f * k.up
			turns[view+2] += f * k.down
		}
	}
	best := 0
	for q, v := range turns {
		if v > turns[best] {
			best = q
		}
	}
	w := &Words{Turn: 90 * best, Odds: turns[best], Letters: t.count[best%2]}
	for q, v := range turns {
		if q != best {
			w.Odds = min(w.Odds, turns[best]-v)
		}
	}
	sum, square := 0.0, 0.0
	for i := range t.shapes[best%2] {
		k := &t.shapes[best%2][i]
		d := (k.up - k.down) * float64(min(k.n, mostSame)) / float64(k.n)
		sum += d
		square += d * d
	}
	w.Agree = math.Abs(sum) / math.Sqrt(max(square, 1e-12))
	return w
}
