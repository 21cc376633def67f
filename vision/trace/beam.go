package trace

// Whether a trace may be the glow of a tube's beam. Its parallax then belongs to it (see parallax.go), and it is the largest
// effect of all on times, so that a display counts for a panel only where the picture shows that it is one. Any of these does:
//
//   - the trace is darker than the field: a beam adds light;
//   - the display's own pixels are seen (pixels.go), or the graticule's lines are rows of dots, where engraved ones are drawn through;
//   - slow rises go up in steps, or level stretches wobble from column to column: both are a record's, drawn on rows;
//   - tall strokes have as much more light as they are taller than level ones: a beam has the same time for every column, and
//     where it is fast it is dim.
//
// What shows none of these, a smooth trace on lines drawn through, may be a tube with a lit graticule and a flat face.

import "math"

const (
	// dotsOfLines is how much the light of a line varies along it, as (most − least)/(most + least), from which it is a row of
	// dots: lines drawn through have 0.1 (TestOnlyWhatIsSurelyAPanelHasNoParallax).
	dotsOfLines = 0.5
	// clearOfLines is how far from crossings and their ticks, in boxes, a line is looked at.
	clearOfLines = 0.15
	// A record is ragged from column to column: over columns beamLags boxes apart, level stretches by more than raggedLevel boxes,
	// and slow rises, of leastRise to mostRise (sigma.go), by more than raggedRise. Beams have up to 0.0009 and 0.0014 on simulated photos
	// of 3 megapixels, records 0.0021 and 0.0027 and more. enoughRagged differences tell: fast waves have few, and are bent there.
	raggedLevel, raggedRise, enoughRagged = 0.0014, 0.002, 120
	// tallEdge is the height, in level strokes, from which a stroke tells how light grows with height, enoughTall how many such
	// strokes do, and byHeight the least power of the height that the light of a panel goes by: a beam's has 0 to 0.3, more than
	// 0 because phosphor and camera are bleached where it rests.
	tallEdge, enoughTall, byHeight = 3, 5, 0.43
)

// graticuleLooks is what the graticule tells of its display: lines darker than the field, a face that is not flat, lines of dots.
type graticuleLooks struct{ engraved, curved, dotted bool }

// mayBeBeam tells whether the trace may be a tube's beam.
func (c *candidate) mayBeBeam(s *sheet, m *centred, plane []float32, marks graticuleLooks) bool {
	if c.tint.grey() <= 0 {
		return false
	}
	if marks.engraved || marks.curved {
		return true
	}
	return !(s.own > 0 || marks.dotted || m.ragged(s, 0, leastRise, raggedLevel) || m.ragged(s, leastRise, mostRise, raggedRise) ||
		m.lightByHeight(s, c.path, plane) > byHeight)
}

// beamLags are distances in boxes that are no multiples of each other, so that a rise whose steps fall together with one of them
// shows its steps at the others.
var beamLags = []float64{0.03, 0.04, 0.06}

// ragged tells whether the trace, where it rises by least to most boxes over 0.16, scatters by more than limit boxes beyond the camera's
// noise. Fourth differences, of variance 70, leave out what bends slowly.
func (c *centred) ragged(s *sheet, least, most, limit float64) bool {
	m := int(0.08*float64(s.across) + 0.5)
	var off []float64
	for _, lag := range beamLags {
		k := max(int(lag*float64(s.across)+0.5), 1)
		reach := max(2*k, m)
		for i := reach; i+reach < len(c.y); i++ {
			rise := math.Abs(c.y[i+m] - c.y[i-m])
			d := math.Abs(c.y[i-2*k]-4*c.y[i-k]+6*c.y[i]-4*c.y[i+k]+c.y[i+2*k]) / math.Sqrt(70)
			if rise >= least && rise < most && d < aJump/3 { // false for NaN
				off = append(off, d)
			}
		}
	}
	return len(off) >= enoughRagged && trimmedRMS(off) > math.Hypot(limit, 2*c.camera)
}

// lightByHeight is the power of its height that the light of a tall stroke goes by; 0 if there are few.
func (c *centred) lightByHeight(s *sheet, p *path, plane []float32) float64 {
	thin := c.level
	pad := int(thin*float64(s.up)) + 1
	light := func(i int) (sum float64) {
		for j := max(p.runs[i].lo-pad, 0); j <= min(p.runs[i].hi+pad, s.ny-1); j++ {
			sum += float64(plane[i*s.ny+j])
		}
		return sum
	}
	var level []float64
	for i, h := range c.thick {
		if h < tallEdge/2*thin { // false for NaN
			level = append(level, light(i))
		}
	}
	usual := rank(level, 0.5)
	var powers []float64
	for i, h := range c.thick {
		if h > tallEdge*thin {
			if l := light(i); l > 0 && usual > 0 {
				powers = append(powers, math.Log(l/usual)/math.Log(h/thin))
			}
		}
	}
	if len(powers) < enoughTall {
		return 0
	}
	return rank(powers, 0.5)
}

// dotted tells whether the lines of the graticule, other than axes and rims, are rows of dots, or nothing is there.
func (f *fold) dotted(ink *[3][]float32) bool {
	s := f.s
	along := make([]float64, s.across)
	for j := f.base + s.up/2; j < s.ny-f.base-s.up/2; j++ {
		if f.py[j] != 0 || abs(float32(j-f.j0)) < float32(s.up)/2 {
			continue
		}
		for i := f.left + s.across/2; i < s.nx-f.left-s.across/2; i++ {
			for c := range ink {
				along[f.px[i]] += float64(ink[c][i*s.ny+j] + ink[c][i*s.ny+j-1])
			}
		}
	}
	var v []float64
	for a, light := range along {
		if x := (float64(a) + 0.5) / float64(s.across); x > clearOfLines && x < 1-clearOfLines {
			v = append(v, light)
		}
	}
	lo, hi := rank(v, 0.1), rank(v, 0.9)
	return math.Abs(hi-lo) > dotsOfLines*(math.Abs(hi)+math.Abs(lo))
}
