// Readers of settings that are neither a value with a unit nor a word: counts, places on the photo, colours.

package wire

import (
	"encoding/hex"
	"fmt"
	"math"
	"strconv"
	"strings"

	"quadrille/analysis"
	"quadrille/vision/geom"
)

// trials reads the number of trials of a Monte Carlo calculation.
func trials(text string) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil || n < analysis.FewestTrials || n > analysis.MostTrials {
		return 0, refused("%q is not a number of trials",
			fmt.Sprintf("give a whole number from %d to %d, such as 10000", analysis.FewestTrials, analysis.MostTrials), text)
	}
	return n, nil
}

// corners reads four places on the photo, "x,y x,y x,y x,y". Whether they make a frame is the
// graticule's to judge.
func corners(text string) (*[4]geom.Pixel, error) {
	const hint = `give the four corners as "x,y x,y x,y x,y" in pixels of the upright photo, top-left first, then clockwise`
	points := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' || r == '\t' })
	if len(points) != 4 {
		return nil, refused("%q does not have four places", hint, text)
	}
	var out [4]geom.Pixel
	for i, p := range points {
		xs, ys, found := strings.Cut(p, ",")
		x, errX := strconv.ParseFloat(xs, 64)
		y, errY := strconv.ParseFloat(ys, 64)
		if !found || errX != nil || errY != nil || math.IsNaN(x+y) || math.IsInf(x+y, 0) {
			return nil, refused("%q is not a place x,y", hint, p)
		}
		out[i] = geom.Pixel{X: x, Y: y}
	}
	return &out, nil
}

// pixels reads a length on the photo, "3" or "3px".
func pixels(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "px")), 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return 0, refused("%q is not a length in pixels", "give how far off a corner may be, in pixels, as a standard uncertainty: 3", text)
	}
	return v, nil
}

// frame reads a count of boxes, "10x8".
func frame(text string) (geom.Frame, error) {
	across, down, found := strings.Cut(strings.ReplaceAll(text, "×", "x"), "x")
	cols, errC := strconv.Atoi(strings.TrimSpace(across))
	rows, errR := strconv.Atoi(strings.TrimSpace(down))
	if !found || errC != nil || errR != nil || cols < 1 || rows < 1 {
		return geom.Frame{}, refused("%q is not a count of boxes", "give the boxes across and down, such as 10x8", text)
	}
	return geom.Frame{Cols: cols, Rows: rows}, nil
}

// colour reads "#rrggbb".
func colour(text string) (*[3]uint8, error) {
	b, err := hex.DecodeString(strings.TrimPrefix(text, "#"))
	if err != nil || len(b) != 3 {
		return nil, refused("%q is not a colour", "give the colour of the trace as #rrggbb, such as #ffd000, or its name, such as a", text)
	}
	return &[3]uint8{b[0], b[1], b[2]}, nil
}
