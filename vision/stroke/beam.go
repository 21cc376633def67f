package stroke

// Whether a trace may be the glow of a tube's beam. Its parallax then belongs to it (see parallax.go), and it is the
// largest effect of all on times, so that a display counts for a panel only where the picture shows that it is one.
// Any of these does:
//
//   - the trace is darker than the field: a beam adds light;
//   - the display's own pixels are seen (pixels.go), or the graticule's lines are rows of dots, where engraved ones are drawn through;
//   - slow rises go up in steps, or level stretches wobble from column to column: both are a record's, drawn on rows;
//   - tall strokes have as much more light as they are taller than level ones: a beam has the same time for every column, and
//     where it is fast it is dim.
//
// What shows none of these, a smooth trace on lines drawn through, may be a tube with a lit graticule and a flat face.

import (
	"math"

	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// A record is ragged from column to column: over columns beamLags boxes apart, level stretches by more than
	// raggedLevel boxes, and slow rises, of leastRise to mostRise (sigma.go), by more than raggedRise. Beams have up
	// to 0.0009 and 0.0014 on simulated photos of 3 megapixels, records 0.0021 and 0.0027 and more. enoughRagged
	// differences tell: fast waves have few, and are bent there (TestABeamIsNotRagged).
	raggedLevel, raggedRise, enoughRagged = 0.0014, 0.002, 120
	// tallEdge is the height, in level strokes, from which a stroke tells how light grows with height, enoughTall how
	// many such strokes do, and byHeight the least power of the height that the light of a panel goes by: a beam's
	// has 0 to 0.3, more than 0 because phosphor and camera are bleached where it rests (TestABeamIsDimWhereItIsFast).
	tallEdge, enoughTall, byHeight = 3, 5, 0.43
)

// mayBeBeam tells whether the trace of candidate p may be a tube's beam, on a display whose lines look so.
func (c *Centres) mayBeBeam(s *sheet.Sheet, p *path.Candidate, plane []float32, lines sheet.Lines) bool {
	if p.Tint.Grey() <= 0 {
		return false
	}
	if lines.Engraved || lines.Curved {
		return true
	}
	return !(s.Own > 0 || lines.Dotted || c.isRagged(s, 0, leastRise, raggedLevel) || c.isRagged(s, leastRise, mostRise, raggedRise) ||
		c.lightByHeight(s, p.Path, plane) > byHeight)
}

// beamLags are distances in boxes that are no multiples of each other, so that a rise whose steps fall together with
// one of them shows its steps at the others (TestABeamIsNotRagged).
var beamLags = []float64{0.03, 0.04, 0.06}

// isRagged tells whether the trace, where it rises by least to most boxes over 0.16, scatters by more than limit
// boxes beyond the camera's noise. Fourth differences, of variance 70, leave out what bends slowly.
func (c *Centres) isRagged(s *sheet.Sheet, least, most, limit float64) bool {
	m := int(0.08*float64(s.Across) + 0.5)
	var off []float64
	for _, lag := range beamLags {
		k := max(int(lag*float64(s.Across)+0.5), 1)
		reach := max(2*k, m)
		for i := reach; i+reach < len(c.Y); i++ {
			rise := math.Abs(c.Y[i+m] - c.Y[i-m])
			d := math.Abs(c.Y[i-2*k]-4*c.Y[i-k]+6*c.Y[i]-4*c.Y[i+k]+c.Y[i+2*k]) / math.Sqrt(70)
			if rise >= least && rise < most && d < aJump/3 { // false for NaN
				off = append(off, d)
			}
		}
	}
	return len(off) >= enoughRagged && trimmedRMS(off) > math.Hypot(limit, 2*c.camera)
}

// lightByHeight is the power of its height that the light of a tall stroke goes by; 0 if there are few.
func (c *Centres) lightByHeight(s *sheet.Sheet, p *path.Path, plane []float32) float64 {
	thin := c.level
	pad := int(thin*float64(s.Up)) + 1
	light := func(i int) (sum float64) {
		for j := max(p.Runs[i].Lo-pad, 0); j <= min(p.Runs[i].Hi+pad, s.NY-1); j++ {
			sum += float64(plane[i*s.NY+j])
		}
		return sum
	}
	var level []float64
	for i, h := range c.Thick {
		if h < thin { // false for NaN
			level = append(level, light(i))
		}
	}
	usual := raster.Rank(level, 0.5)
	var powers []float64
	for i, h := range c.Thick {
		if h > tallEdge*thin {
			if l := light(i); l > 0 && usual > 0 {
				powers = append(powers, math.Log(l/usual)/math.Log(h/thin))
			}
		}
	}
	if len(powers) < enoughTall {
		return 0
	}
	return raster.Rank(powers, 0.5)
}
