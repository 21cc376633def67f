package report

import (
	"math"
	"strconv"

	"quadrille/calibrate/unit"
)

// A panel is a rectangle of a figure with a scale along each side.
type panel struct {
	*svg
	left, top, right, bottom float64 // figure units
	x0, x1, y0, y1           float64 // SI units at the rims
}

func (p *panel) px(x float64) float64 {
	return p.left + (x-p.x0)/(p.x1-p.x0)*(p.right-p.left)
}

func (p *panel) py(y float64) float64 {
	return p.bottom - (y-p.y0)/(p.y1-p.y0)*(p.bottom-p.top)
}

// inside is py, no further than the panel's edges: an error bar ends there.
func (p *panel) inside(y float64) float64 { return min(max(p.py(y), p.top), p.bottom) }

// upright draws the scale of y: lines across, numbers at the left, and the name above.
func (p *panel) upright(name, of string) {
	factor, symbol := unit.Scale(max(math.Abs(p.y0), math.Abs(p.y1)), of)
	at, decimals := ticks(p.y0/factor, p.y1/factor, max(5, int((p.bottom-p.top)/36)))
	for _, v := range at {
		y := p.py(v * factor)
		p.line("grid", 1, p.left, y, p.right, y)
		p.text(p.left-6, y+0.35*letter, "end", fixed(v, decimals))
	}
	if p.y0 < 0 && p.y1 > 0 {
		p.line("zero", 1, p.left, p.py(0), p.right, p.py(0))
	}
	p.text(2, p.top-8, "start", titled(name, symbol))
}

// level draws the scale of x: lines upwards, and the numbers and the name below unless another panel
// has them.
func (p *panel) level(name, of string, numbers bool) {
	factor, symbol := unit.Scale(max(math.Abs(p.x0), math.Abs(p.x1)), of)
	// As many steps as leave room between the numbers.
	var at []float64
	var decimals int
	for n := 10; n > 1; n-- {
		at, decimals = ticks(p.x0/factor, p.x1/factor, n)
		if len(at) < 2 {
			break
		}
		widest := max(numberWidth(at[0], decimals), numberWidth(at[len(at)-1], decimals))
		if p.px(at[1]*factor)-p.px(at[0]*factor) > widest+letter {
			break
		}
	}
	for _, v := range at {
		x := p.px(v * factor)
		p.line("grid", 1, x, p.top, x, p.bottom)
		if numbers {
			// The last number may be wider than the room at the right.
			x = min(x, p.w-numberWidth(v, decimals)/2-1)
			p.text(x, p.bottom+letter+4, "middle", fixed(v, decimals))
		}
	}
	if numbers {
		p.text(p.right, p.bottom+2*letter+8, "end", titled(name, symbol))
	}
}

func numberWidth(v float64, decimals int) float64 {
	return letter * letterWidth * float64(len(strconv.FormatFloat(v, 'f', decimals, 64)))
}

// rim draws the two axes.
func (p *panel) rim() {
	p.path("axis", 1.2, "M"+coordinate(p.left)+" "+coordinate(p.top)+"V"+coordinate(p.bottom)+"H"+coordinate(p.right))
}

// titled is a quantity with its unit, "t (ms)".
func titled(name, symbol string) string {
	if symbol == "" || symbol == "1" {
		return name
	}
	return name + " (" + symbol + ")"
}

// padded widens lo to hi by a share of their distance to both sides, and a single value to something.
func padded(lo, hi, share float64) (float64, float64) {
	d := (hi - lo) * share
	if hi == lo {
		d = max(math.Abs(lo)*0.05, 1e-12)
	}
	return lo - d, hi + d
}
