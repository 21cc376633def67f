package stroke

// What lines of the graticule do to the light of a stroke that crosses them. A panel draws one or the other: the
// stroke covers the ink. The light of a beam and that of a lit line add up. An engraved line before the beam holds a
// part of its light back. Which it is, and how much, the trace shows itself where it is level and passes upright
// lines: its light there is compared with that beside them.

import (
	"math"

	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// Beside a line, lineBeside boxes off, a level trace has all its light; a line that lets pass less than lineDark
	// of it tells how dark engraved lines are, and one with more than lineLit of it whether it is covered,
	// enoughLines columns of them at least. mostPower bounds the darkness (TestWhetherAStrokeCoversLitLines,
	// TestHowMuchOfAStrokeEngravedLinesLetPass).
	lineBeside, lineDark, lineLit, enoughLines, mostPower = 0.1, 0.93, 0.15, 6, 3
	// covered is the share from which a stroke covers: panels have 0.2 to 2, noise of the signal included, beams on lit
	// lines 0 to 0.1, and 0.5 to 1 where both are bleached, as if they were covered (TestWhetherAStrokeCoversLitLines).
	covered = 0.3
)

// covers gives the share of the light of lines that a stroke takes away where it lies on them, 0 to 1: 1 where too
// little tells it. Its light there is compared with that beside an upright line, or else with its usual light.
func covers(s *sheet.Sheet, p *path.Path, plane, under []float32, usual float64) float64 {
	beside := int(lineBeside*float64(s.Across) + 0.5)
	light, ink := make([]float64, s.NX), make([]float64, s.NX) // NaN where the stroke is tall
	for i := range light {
		light[i] = math.NaN()
		if r := p.Runs[i]; p.Seen(i) && float64(r.Hi-r.Lo+1) < 1.3*usual {
			light[i] = 0
			for j := max(r.Lo-int(usual/2), 0); j <= min(r.Hi+int(usual/2), s.NY-1); j++ {
				light[i] += float64(plane[i*s.NY+j])
				ink[i] += float64(under[i*s.NY+j])
			}
		}
	}
	bare := func(i int) bool { return i >= 0 && i < s.NX && math.Abs(ink[i]) < lineLit*light[i] } // false for NaN
	var whole []float64
	for i, v := range light {
		if bare(i) {
			whole = append(whole, v)
		}
	}
	all := raster.Rank(whole, 0.5)
	var shares []float64
	for i, v := range light {
		if math.IsNaN(v) || !(ink[i] > lineLit*all) {
			continue
		}
		full := all
		if bare(i-beside) && bare(i+beside) {
			full = (light[i-beside] + light[i+beside]) / 2
		}
		shares = append(shares, (full-v)/ink[i])
	}
	if len(whole) < enoughLines || len(shares) < enoughLines {
		return 1
	}
	if share := raster.Rank(shares, 0.5); share < covered {
		return max(share, 0)
	}
	return 1
}

// crossed gives through as the trace itself shows it, where it passes upright lines: its light there is that beside
// them times a power of what the field says.
func crossed(s *sheet.Sheet, p *path.Path, plane, through []float32, usual float64) []float32 {
	beside := int(lineBeside*float64(s.Across) + 0.5)
	light := func(i int) float64 {
		sum := 0.0
		for j := max(p.Runs[i].Lo-int(usual/2), 0); j <= min(p.Runs[i].Hi+int(usual/2), s.NY-1); j++ {
			sum += float64(plane[i*s.NY+j])
		}
		return sum
	}
	var powers []float64
	for i := beside; i+beside < s.NX; i++ {
		level := true
		for _, k := range []int{i - beside, i, i + beside} {
			level = level && p.Seen(k) && float64(p.Runs[k].Hi-p.Runs[k].Lo+1) < 1.3*usual
		}
		if !level {
			continue
		}
		j := (p.Runs[i].Lo + p.Runs[i].Hi) / 2
		passes := float64(through[i*s.NY+j]) / math.Sqrt(float64(through[(i-beside)*s.NY+j]*through[(i+beside)*s.NY+j]))
		if share := light(i) / math.Sqrt(light(i-beside)*light(i+beside)); passes < lineDark && share > 0 { // false for NaN
			powers = append(powers, math.Log(share)/math.Log(passes))
		}
	}
	if len(powers) < enoughLines {
		return through
	}
	power := min(max(raster.Rank(powers, 0.5), 0), mostPower)
	out := make([]float32, len(through))
	for k, v := range through {
		out[k] = max(float32(math.Pow(float64(v), power)), 1-sheet.InkMost)
	}
	return out
}
