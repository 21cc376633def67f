package trace_test

import (
	"errors"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/path"
	"quadrille/vision/photo"
	"quadrille/vision/sheet"
	"quadrille/vision/stroke"
	"quadrille/vision/synth"
)

// noiseOf shoots a scene twice, with a signal without noise and another noise of the camera, and gives the rms of
// what that alone moves the centres by, and the rms of its Cramér–Rao bound, in boxes, where the stroke is thin and
// lies clear boxes from all lines. usual is the same of most samples, by the median of what is moved over the bound.
// They are NaN for a tube: the simulator draws its glow anew with the noise, so that two photos differ by more.
func noiseOf(tb testing.TB, sc synth.Scene, clear float64) (rms, bound, usual float64, n int) {
	tb.Helper()
	if sc.Display.Kind == synth.Tube {
		return math.NaN(), math.NaN(), math.NaN(), 0
	}
	for i := range sc.Signals {
		sc.Signals[i].Noise = 0
	}
	sc.Camera.Dust, sc.Camera.Lamps = 0, 0 // another seed has others
	ph, g, _ := shoot(tb, sc)
	sc.Seed += 1000
	again, _, _ := shoot(tb, sc)
	first, centre, errFirst := centreOf(tb, ph, g)
	second, other, errSecond := centreOf(tb, again, g)
	if errFirst != nil || errSecond != nil {
		return math.NaN(), math.NaN(), math.NaN(), 0
	}
	limit := stroke.Bound(first.Sheet, second.Sheet, first.Candidates[0])
	var shares []float64
	for i, y := range centre {
		x, d := first.Sheet.X(i), y-other[i]
		off := math.Min(math.Abs(x-math.Round(x)), math.Abs(y-math.Round(y)))
		if !(off > clear) || math.IsNaN(d) || math.IsNaN(limit[i]) {
			continue
		}
		rms += d * d / 2
		bound += limit[i] * limit[i]
		shares = append(shares, math.Abs(d)/math.Sqrt2/limit[i])
		n++
	}
	return math.Sqrt(rms / float64(n)), math.Sqrt(bound / float64(n)), 1.4826 * quantile(shares, 0.5), n
}

// centreOf gives what was found on a photo, and the centre of the most prominent trace in each column: the Y that
// Extract gives it.
func centreOf(tb testing.TB, ph *photo.Photo, g *graticule.Graticule) (*path.Found, []float64, error) {
	tb.Helper()
	s, err := sheet.Read(tb.Context(), ph, g)
	if err != nil {
		return nil, nil, err
	}
	found, err := path.Find(tb.Context(), s, path.Rules())
	if err != nil {
		return nil, nil, err
	}
	if len(found.Candidates) == 0 {
		return nil, nil, errors.New("no trace was seen")
	}
	centres, err := stroke.Measure(tb.Context(), found.Sheet, found.Candidates[:1])
	if err != nil {
		return nil, nil, err
	}
	return found, centres[0].Y, nil
}

// Where nothing hides the trace, the camera's noise moves the centre of a level by no more than 1.5 times the bound.
// On a wave most samples keep to 1.7 times the bound of their strokes; where a column is half of one step of the
// display and half of the next, ends jump.
func TestNoiseOfPhotosReachesTheBound(t *testing.T) {
	t.Parallel()
	wave, timePerBox := synth.Specimen(synth.Sine, geom.Frame{Cols: 10, Rows: 8})
	for _, kind := range []synth.Kind{synth.Colour, synth.Pale, synth.Blue} {
		for _, sig := range []synth.Signal{{Form: synth.Level, VStart: 1.47, VoltsPerBox: 1, Codes: -1}, wave} {
			sc := flatFace(synth.Scene{Seed: 11, TimePerBox: timePerBox, Camera: synth.Phone(), Display: synth.Display{Kind: kind}}.WithMegapixels(2))
			sc.Signals = []synth.Signal{sig}
			rms, bound, usual, n := noiseOf(t, sc, 0.12)
			t.Logf("%-6s %v: noise %.2f mbox, bound %.2f, ratio %.2f, of most %.2f, of %d samples", kind, sig.Form, 1000*rms, 1000*bound, rms/bound, usual, n)
			if sig.Form == synth.Level && (n < 200 || !(rms < 1.5*bound)) || n < 50 || !(usual < 1.7) {
				t.Errorf("%s %v: noise %.2f mbox, bound %.2f, of most %.2f of it, of %d samples", kind, sig.Form, 1000*rms, 1000*bound, usual, n)
			}
		}
	}
}
