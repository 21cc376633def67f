package trace

import "quadrille/vision/graticule"

// A drawing is what is drawn in one tint: by column its runs, the usual peak of their score, and what is compared with it.
type drawing struct {
	tint            tint
	score           []float32
	runs            [][]run
	amount          float32
	noise           []float32
	peakInk, rimInk float32
}

// paths gives the paths through runs that look like traces: one, or two of one colour, and lines from rim to rim.
func (w *drawing) paths(s *sheet, g *graticule.Graticule, runs [][]run) []*candidate {
	curves := func(runs [][]run) []*candidate { return w.curves(s, g, runs) }
	if found, ok := w.besideLines(s, curves, runs); ok {
		return found
	}
	return curves(runs)
}

func (w *drawing) curves(s *sheet, g *graticule.Graticule, runs [][]run) (found []*candidate) {
	for _, twin := range []bool{false, true} {
		p := bestPath(s, runs, w.amount)
		p.cutHelpers(s, g, runs)
		p.leaveCables(s, runs)
		p.prune(s)
		p.dropAtLevelMark(s, runs)
		pulses := p.takePulses(s, runs)
		if twin && p.share() >= wholeCoverage && p.joined(s) >= wholeJoined && p.jumps(found[0].path, s) == 0 {
			p.amount = p.usualPeak() // nothing but a trace crosses the screen; it may be dimmer
		}
		c := &candidate{tint: w.tint, path: p, noise: w.noise, quality: p.quality(s), line: pulses == 0 && p.isLine(s)}
		least, share := leastQuality, leastCoverage
		if twin {
			least, share = twinQuality, twinCoverage
		} else if p.share() < manyHidden {
			least = partQuality
		}
		if p.share() < share || c.quality < least || p.hugs(s, g) && w.amount < w.peakInk ||
			p.hugsRim(s, g) && w.amount < overRim*w.rimInk {
			break
		}
		if twin {
			found[0].path.part(p, s)
		}
		found = append(found, c)
		without(runs, p)
	}
	return found
}

// dimmer gives the paths through what is left of the runs without words, by its own light: words may outshine the trace. It must be brighter
// than the graticule's lines and surely a trace.
func (w *drawing) dimmer(s *sheet, g *graticule.Graticule, rest [][]run) []*candidate {
	v := *w
	if v.amount = bestPath(s, rest, w.amount).usualPeak(); !(v.amount > w.peakInk) {
		return nil
	}
	found := v.paths(s, g, rest)
	if len(found) == 0 || found[0].quality < besideRim || found[0].path.share() < twinCoverage {
		return nil
	}
	return found
}
