package report

import (
	"math"
	"strings"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// Plot draws the analysed traces, volts against seconds, with braille dots (two across and four down in a
// character) between plain axes; boxes where a scale is not known. It is "" when there is nothing
// to draw. width and height are the whole drawing's, in characters, at least 30 by 6.
func Plot(d *wire.Document, width, height int) string {
	list := inUnits(d)
	var xs, ys [][]float64
	xUnit, yUnit := "", ""
	for _, t := range list {
		if len(t.T) > 0 {
			xs, ys = append(xs, t.T), append(ys, t.V)
			xUnit, yUnit = timeIn(t), voltsIn(t)
		}
	}
	if len(xs) == 0 {
		xUnit, yUnit = "box", "box"
		for _, t := range list {
			xs, ys = append(xs, t.X), append(ys, t.Y)
		}
	}
	x0, x1, okX := span(xs...)
	y0, y1, okY := span(ys...)
	if !okX || !okY || x0 == x1 {
		return ""
	}
	if y0 == y1 {
		y0, y1 = y0-1, y1+1
	}
	xf, xSymbol := unit.Scale(max(math.Abs(x0), math.Abs(x1)), xUnit)
	yf, ySymbol := unit.Scale(max(math.Abs(y0), math.Abs(y1)), yUnit)
	width, height = max(width, 30), max(height, 6)
	rows := height - 2 // below: the axis and its numbers
	levels, decimals := ticks(y0/yf, y1/yf, rows/3)
	labels := make([]string, rows)
	margin := columns(ySymbol)
	for _, v := range levels {
		r := int((y1/yf - v) / (y1 - y0) * yf * float64(rows))
		labels[min(r, rows-1)] = fixed(v, decimals)
	}
	if labels[0] == "" {
		labels[0] = ySymbol
	} else {
		labels[0] += " " + ySymbol
	}
	for _, l := range labels {
		margin = max(margin, columns(l))
	}
	cols := width - margin - 2
	dots := newDots(cols, rows)
	for k := range xs {
		x, y := xs[k], ys[k]
		place := func(i int) (float64, float64) {
			return (x[i] - x0) / (x1 - x0) * float64(2*cols-1), (y1 - y[i]) / (y1 - y0) * float64(4*rows-1)
		}
		for i := range x {
			if math.IsNaN(y[i]) {
				continue
			}
			px, py := place(i)
			dots.set(px, py)
			if i > 0 && !math.IsNaN(y[i-1]) {
				qx, qy := place(i - 1)
				n := math.Ceil(max(math.Abs(px-qx), math.Abs(py-qy)))
				for k := 1.0; k < n; k++ {
					dots.set(qx+(px-qx)*k/n, qy+(py-qy)*k/n)
				}
			}
		}
	}
	var b strings.Builder
	for r := range rows {
		mark := "│"
		if labels[r] != "" && labels[r] != ySymbol {
			mark = "┤"
		}
		b.WriteString(strings.TrimRight(strings.Repeat(" ", margin-columns(labels[r]))+labels[r]+" "+mark+dots.row(r), " ") + "\n")
	}
	b.WriteString(axis(x0/xf, x1/xf, xSymbol, margin+1, cols))
	return b.String()
}

// axis draws the line below a plot and its numbers.
func axis(lo, hi float64, symbol string, left, cols int) string {
	line := []rune(strings.Repeat("─", cols))
	numbers := []rune(strings.Repeat(" ", left+1+cols))
	at, decimals := ticks(lo, hi, cols/12)
	free := 0
	end := len(numbers) - len([]rune(symbol)) - 1
	for _, v := range at {
		c := min(int((v-lo)/(hi-lo)*float64(cols)), cols-1)
		line[c] = '┬'
		text := []rune(fixed(v, decimals))
		start := max(0, left+1+c-len(text)/2)
		if start < free || start+len(text) >= end {
			continue
		}
		copy(numbers[start:], text)
		free = start + len(text) + 1
	}
	copy(numbers[len(numbers)-len([]rune(symbol)):], []rune(symbol))
	return strings.Repeat(" ", left) + "└" + string(line) + "\n" + strings.TrimRight(string(numbers), " ") + "\n"
}

// dots is a raster of braille characters.
type dots struct {
	cols, rows int
	cells      []rune
}

func newDots(cols, rows int) *dots { return &dots{cols, rows, make([]rune, cols*rows)} }

func (d *dots) set(x, y float64) {
	// The bit of each dot in a braille character, Unicode block U+2800: two columns of four.
	bit := [4][2]rune{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}
	i, j := int(math.Round(x)), int(math.Round(y))
	d.cells[(j/4)*d.cols+i/2] |= bit[j%4][i%2]
}

func (d *dots) row(r int) string {
	var b strings.Builder
	for _, c := range d.cells[r*d.cols : (r+1)*d.cols] {
		if c == 0 {
			b.WriteByte(' ')
		} else {
			b.WriteRune(0x2800 + c)
		}
	}
	return b.String()
}
