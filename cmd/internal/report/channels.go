// Where the settings of each of several traces may stand. Displays print a channel's volts per box in the colour of its
// trace (common practice, no source), so what is coloured like a trace on the rims and as long as a word is cut out and
// shown to a person, enlarged: nothing is read there and nothing measured.
//
// Each rim is straightened at a low scale. A sample counts for the trace whose hue it is nearest to, if it has one and
// the trace is of about the same. Samples are gathered in cells, cells that lie a letter's gap apart are one piece, and
// pieces with the proportions of words are kept. Two traces of one hue get the same pieces.

package report

import (
	"cmp"
	"image"
	"math"
	"slices"
	"sort"
	"strconv"

	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
	"quadrille/vision/trace"
)

const (
	// hueScale is the scale at which colours are looked for, pixels a box: a letter is six to ten high.
	hueScale = 32
	// hueWithin is how far the hue of a word may be from that of its trace, degrees: thin letters take the colour of
	// what is behind them (TestTheRimIsShownByChannel notices 5; nothing changes from 10 to 60).
	hueWithin = 30
	// hueAlike is how many degrees nearer another trace's hue must be for a sample to be the other's
	// (TestTheRimIsShownByChannel notices 0).
	hueAlike = 6
	// cellsABox: a cell is an eighth of a box, half as wide as a letter; cellSamples of its 16 must be of the hue
	// (TestTheRimIsShownByChannel notices more than all).
	cellsABox, cellSamples = 8, 2
	// letterGap is how many cells lie at most from one letter or word of a piece to the next
	// (TestTheRimIsShownByChannel notices 1).
	letterGap = 4
	// A piece is pieceLong boxes long at least, pieceHigh high at most and pieceShape times as long as high: marks and
	// arrows are shorter, and lamps, knobs and coloured plastic are higher (TestTheRimIsShownByChannel notices 0.2, and
	// 2.5 with 0.5).
	pieceLong, pieceHigh, pieceShape = 0.55, 0.9, 1.4
	// pieceRoom is what is shown around a piece, boxes.
	pieceRoom = 0.35
	// pieceCount is the most that are shown of one trace: those above and below first, where scales mostly stand, then
	// the larger ones.
	pieceCount = 4
)

// A Channel is one of several traces that are listed, for a person who looks for its settings.
type Channel struct {
	Name, Hue  string
	Colour     [3]uint8
	GroundMark float64   // boxes from the centre, NaN where none was found, infinite where it points off the screen
	Scale      []Picture // parts of the rims with what is coloured like the trace; none if nothing is, or it has no hue
}

// Channels tells traces apart for a person who looks for their settings; nil for fewer than two.
func Channels(ph *photo.Photo, g *graticule.Graticule, traces []*trace.Trace) []Channel {
	if len(traces) < 2 {
		return nil
	}
	out := make([]Channel, len(traces))
	found := make([][]rimPiece, len(traces))
	for i, t := range traces {
		out[i] = Channel{Name: t.Name, Hue: words.Colour(t.Colour), Colour: t.Colour, GroundMark: t.GroundMark}
	}
	for _, r := range rims(ph, g) {
		for i, l := range r.colouredLike(ph, g, traces) {
			found[i] = append(found[i], l...)
		}
	}
	scale := min(marginScale, pixelsABox(ph, g))
	for i := range out {
		sort.SliceStable(found[i], func(k, l int) bool {
			a, b := &found[i][k], &found[i][l]
			return cmp.Or(cmp.Compare(a.rim.side, b.rim.side), cmp.Compare(b.cells, a.cells)) < 0
		})
		for k, p := range found[i][:min(len(found[i]), pieceCount)] {
			img := straighten(ph, g, p.x0-pieceRoom, p.x1+pieceRoom, p.y0-pieceRoom, p.y1+pieceRoom, scale)
			if img != nil {
				out[i].Scale = append(out[i].Scale, encode("trace "+out[i].Name+", "+p.rim.name+", "+strconv.Itoa(k+1), img))
			}
		}
	}
	return out
}

// A channelEntry is a channel in words: what it is, and what is known and not known of its settings.
type channelEntry struct{ Name, Says, Hint string }

// entry words the channel c of d. The number that was given goes with the trace that got it.
func (c *Channel) entry(d *wire.Document, print Print) channelEntry {
	e := channelEntry{Name: "trace " + c.Name + ", " + c.Hue}
	switch {
	case math.IsInf(c.GroundMark, 1):
		e.Says = "its ground mark points off the screen, at the top"
	case math.IsInf(c.GroundMark, -1):
		e.Says = "its ground mark points off the screen, at the bottom"
	case math.IsNaN(c.GroundMark):
		e.Says = "no ground mark was found for it"
	default:
		e.Says = "its ground mark is at the rim " + fromCentre(c.GroundMark)
	}
	for _, t := range chosen(d) {
		if t.Name == c.Name && t.Settings != nil && t.Settings.VoltsPerBox.Known() {
			e.Says += "; it was read with " + exact(t.Settings.VoltsPerBox, "V") + " a box"
			return e
		}
	}
	e.Says += "; it has no volts per box of its own"
	e.Hint = "--trace " + c.Name + " --volts-per-box …"
	if print.say != nil {
		e.Hint = print.say(e.Hint)
	}
	return e
}

// nowhere says why a channel has no part of the rims of its own.
func (c *Channel) nowhere() string {
	if _, _, ok := words.Hue(c.Colour); !ok {
		return "Its colour does not tell its words from others: look at the whole rim below."
	}
	return "Nothing as long as a word is of its colour on the rims: look at the whole rim below."
}

// A rim is a rectangle outside the frame, in boxes.
type rim struct {
	name           string
	side           int // 0 above and below, 1 beside
	x0, x1, y0, y1 float64
}

// A rimPiece is a part of a rim that holds colour, of so many cells.
type rimPiece struct {
	rim            *rim
	x0, x1, y0, y1 float64
	cells          int
}

// rims gives the four sides as far as the photo has them, without corners twice.
func rims(ph *photo.Photo, g *graticule.Graticule) []*rim {
	halfX, halfY := float64(g.Frame.Cols)/2, float64(g.Frame.Rows)/2
	up, down, left, right := reaches(ph, g)
	all := []*rim{
		{"above", 0, -halfX - left, halfX + right, halfY, halfY + up},
		{"below", 0, -halfX - left, halfX + right, -halfY - down, -halfY},
		{"left", 1, -halfX - left, -halfX, -halfY, halfY},
		{"right", 1, halfX, halfX + right, -halfY, halfY},
	}
	return slices.DeleteFunc(all, func(r *rim) bool { return r.x1-r.x0 < marginLeast || r.y1-r.y0 < marginLeast })
}

// colouredLike gives the pieces of r for each trace.
func (r *rim) colouredLike(ph *photo.Photo, g *graticule.Graticule, traces []*trace.Trace) [][]rimPiece {
	found := make([][]rimPiece, len(traces))
	img := sampled(ph, g, r.x0, r.x1, r.y0, r.y1, hueScale)
	if img == nil {
		return found
	}
	const side = hueScale / cellsABox
	w, h := img.Rect.Dx()/side, img.Rect.Dy()/side
	if w == 0 || h == 0 {
		return found
	}
	samples := make([][]int, len(traces)) // of each cell
	for i := range samples {
		samples[i] = make([]int, w*h)
	}
	for y := range h * side {
		for x := range w * side {
			for _, i := range likeTraces(img, x, y, traces) {
				samples[i][y/side*w+x/side]++
			}
		}
	}
	for i := range traces {
		found[i] = r.pieces(samples[i], w, h)
	}
	return found
}

// likeTraces gives the traces of whose hue the sample at x, y is.
func likeTraces(img *image.RGBA, x, y int, traces []*trace.Trace) (like []int) {
	c := img.RGBAAt(x, y)
	angle, _, ok := words.Hue([3]uint8{c.R, c.G, c.B})
	if c.A == 0 || !ok {
		return nil
	}
	const degree = math.Pi / 180
	nearest := hueWithin * degree
	off := make([]float64, len(traces))
	for i, t := range traces {
		of, _, ok := words.Hue(t.Colour)
		if off[i] = math.Abs(math.Remainder(angle-of, 2*math.Pi)); !ok {
			off[i] = math.Inf(1)
		}
		nearest = min(nearest, off[i])
	}
	for i := range off {
		if off[i] <= hueWithin*degree && off[i] <= nearest+hueAlike*degree {
			like = append(like, i)
		}
	}
	return like
}

// pieces joins cells, w by h of them, that hold enough samples, and keeps what has the shape of words.
func (r *rim) pieces(samples []int, w, h int) (kept []rimPiece) {
	var spans []raster.Span
	for y := range h {
		on := make([]bool, w)
		for x := range w {
			if samples[y*w+x] < cellSamples {
				continue
			}
			for k := x; k >= 0 && k > x-letterGap && !on[k]; k-- { // over the gap to the letter before
				on[k] = true
			}
		}
		spans = raster.Spans(spans, y, on)
	}
	list, _ := raster.Components(spans, 1)
	for _, c := range list {
		p := rimPiece{rim: r, cells: c.Area,
			x0: r.x0 + float64(min(c.From+letterGap-1, c.To))/cellsABox, x1: r.x0 + float64(c.To)/cellsABox,
			y0: r.y1 - float64(c.Line1)/cellsABox, y1: r.y1 - float64(c.Line0)/cellsABox}
		long, high := p.x1-p.x0, p.y1-p.y0
		if long >= pieceLong && high <= pieceHigh && long >= pieceShape*high {
			kept = append(kept, p)
		}
	}
	return kept
}

// reaches says how far the margins go beyond the frame on each side, in boxes.
func reaches(ph *photo.Photo, g *graticule.Graticule) (up, down, left, right float64) {
	halfX, halfY := float64(g.Frame.Cols)/2, float64(g.Frame.Rows)/2
	up = within(ph, g, geom.Box{X: -halfX, Y: halfY}, geom.Box{X: halfX, Y: halfY}, geom.Box{Y: 1}, marginUp)
	down = within(ph, g, geom.Box{X: -halfX, Y: -halfY}, geom.Box{X: halfX, Y: -halfY}, geom.Box{Y: -1}, marginUp)
	left = within(ph, g, geom.Box{X: -halfX, Y: -halfY}, geom.Box{X: -halfX, Y: halfY}, geom.Box{X: -1}, marginOut)
	right = within(ph, g, geom.Box{X: halfX, Y: -halfY}, geom.Box{X: halfX, Y: halfY}, geom.Box{X: 1}, marginOut)
	return up, down, left, right
}
