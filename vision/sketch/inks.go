package sketch

// The inks on a page: a blue pen, a red one, pencil.
//
// Where two curves cross, only their colours say which is which. The inks are the crests of the density of the cells'
// colours, two differences of colour for each unit of darkness, which does not depend on how hard one pressed.

import (
	"math"

	"quadrille/vision/raster"
)

const (
	// tintStep and tintHalf are the bins of the density: from -tintHalf to tintHalf in steps of tintStep.
	tintStep, tintHalf = 0.03, 1.5
	// tintBlur, bins: the colours of one pen on a photo differ by as much (TestTwoPensAreTwoInks).
	tintBlur = 2.0
	// tintApart is the least distance of two inks: blue pen and pencil have 0.5 to 0.8, two blue pens 0.15
	// (TestTwoPensAreTwoInks).
	tintApart = 0.35
	// paleInk is the absorbance that counts for a pale pen's stroke, in shares of all that is drawn
	// (TestTwoPensAreTwoInks).
	paleInk = 0.4
	// leastInk is the share of all that is drawn that an ink has at least (TestTwoPensAreTwoInks).
	leastInk = 0.06
	// valley is how far the density falls between two inks, to the lower (TestTwoPensAreTwoInks).
	valley = 0.75
	// ownTint is how far cells of an ink lie from its crest, a standard deviation (TestTwoPensAreTwoInks).
	ownTint = 0.14
)

// A tint is a colour: two differences for each unit of darkness.
type tint [2]float32

// tintAt is the colour of the ink near a cell, over the few cells that a JPEG's colours are blurred by.
func (e *evidence) tintAt(x, y int) tint {
	const reach = 2
	var sum [3]float32
	for b := max(y-reach, 0); b <= min(y+reach, e.h-1); b++ {
		for a := max(x-reach, 0); a <= min(x+reach, e.w-1); a++ {
			k := b*e.w + a
			if w := e.ink.Pix[k]; w > 0 {
				for c := range sum {
					sum[c] += w * max(e.colour[c].Pix[k], 0) // less than nothing where a line of the ruling was crossed
				}
			}
		}
	}
	u, v := tints(sum[0], sum[1], sum[2])
	d := max(sum[0], sum[1], sum[2], 1e-3)
	return tint{u / d, v / d}
}

// inks gives the colours of the inks, at least one where anything is drawn, the most used first.
func (e *evidence) inks() []tint {
	const n = int(2 * tintHalf / tintStep)
	density := raster.New(n, n)
	total := float32(0)
	first := int(margin * float64(e.per))
	for y := first; y < e.h-first; y += 2 {
		for x := first; x < e.w-first; x++ {
			if !e.drawing[y*e.w+x] || e.ink.Pix[y*e.w+x] < isInk {
				continue
			}
			// The middle of a stroke tells its colour; a pale pen's has one as well.
			w := min(max(e.dark.Pix[y*e.w+x], paleInk), 1)
			t := e.tintAt(x, y)
			i, j := int((t[0]+tintHalf)/tintStep), int((t[1]+tintHalf)/tintStep)
			if i >= 0 && i < n && j >= 0 && j < n {
				density.Pix[j*n+i] += w
				total += w
			}
		}
	}
	if total == 0 {
		return nil
	}
	density = density.Blur(tintBlur)
	at := func(i, j int) float32 { return density.Pix[min(max(j, 0), n-1)*n+min(max(i, 0), n-1)] }
	var crests []tint
	for {
		best, bi, bj := float32(0), 0, 0
		for j := range n {
			for i := range n {
				v := at(i, j)
				if v <= best {
					continue
				}
				t := tint{(float32(i)+0.5)*tintStep - tintHalf, (float32(j)+0.5)*tintStep - tintHalf}
				free := true
				for _, c := range crests {
					ci, cj := int((c[0]+tintHalf)/tintStep), int((c[1]+tintHalf)/tintStep)
					low := v
					const parts = 8
					for k := 1; k < parts; k++ {
						low = min(low, at(i+(ci-i)*k/parts, j+(cj-j)*k/parts))
					}
					if apart(t, c) < tintApart || low > valley*v {
						free = false
						break
					}
				}
				if free {
					best, bi, bj = v, i, j
				}
			}
		}
		if best == 0 || len(crests) == 4 {
			return crests
		}
		t := tint{(float32(bi)+0.5)*tintStep - tintHalf, (float32(bj)+0.5)*tintStep - tintHalf}
		mass := float32(0)
		for j := range n {
			for i := range n {
				if apart(t, tint{(float32(i)+0.5)*tintStep - tintHalf, (float32(j)+0.5)*tintStep - tintHalf}) < tintApart {
					mass += at(i, j)
				}
			}
		}
		if mass < leastInk*total {
			return crests
		}
		crests = append(crests, t)
	}
}

func apart(a, b tint) float32 {
	return float32(math.Hypot(float64(a[0]-b[0]), float64(a[1]-b[1])))
}

// share tells how much a cell's colour is that of ink k rather than another: 1 where no other is likelier.
func share(t tint, inks []tint, k int) float32 {
	if len(inks) < 2 {
		return 1
	}
	best, own := 1e-6, 0.0
	for i, c := range inks {
		d := float64(apart(t, c))
		p := math.Exp(-d * d / (2 * ownTint * ownTint))
		best = max(best, p)
		if i == k {
			own = p
		}
	}
	return float32(own / best)
}
