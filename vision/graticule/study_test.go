package graticule_test

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"text/tabwriter"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// The study: simulated photos, each with one trouble, read and held against their truth. The number of
// photos is the benchmark's count; the troubles take turns:
//
//	go test -run '^$' -bench FindStudy -benchtime 300x -timeout 0 ./vision/graticule
//
// It logs a line for each photo that went wrong and a table by trouble. A photo of which less than
// half of the crossings can be seen, being outside the picture or covered, is not scored. Other photos come
// with -from (a multiple of the count of troubles keeps their order); -keep writes those that went wrong
// and what each stage saw of them into a folder.

var (
	from = flag.Int("from", 0, "study: number of the first photo")
	keep = flag.String("keep", "", "study: folder for the photos that went wrong")
)

// wrongGrid is the distance in boxes, rms over all crossings, from which on a grid counts as wrong,
// as for real photos.
const wrongGrid = 0.06

// A studyCase is one trouble. Scenes are of studyMegapixels unless it says otherwise.
type studyCase struct {
	name       string
	megapixels float64
	apply      func(s *synth.Scene, rng *rand.Rand)
}

const studyMegapixels = 2.5

const degree = math.Pi / 180

func studyCases() []studyCase {
	either := func(rng *rand.Rand, size float64) float64 { return size * (2*rng.Float64() - 1) }
	cases := []studyCase{
		{"none", 0, func(*synth.Scene, *rand.Rand) {}},
		{"1.2 MP", 1.2, func(*synth.Scene, *rand.Rand) {}},
		{"12 MP", 12, func(*synth.Scene, *rand.Rand) {}},
		{"48 MP", 48, func(*synth.Scene, *rand.Rand) {}},
		{"tilt 25°", 0, func(s *synth.Scene, rng *rand.Rand) {
			s.Camera.Yaw, s.Camera.Pitch = either(rng, 25*degree), either(rng, 25*degree)
		}},
		{"roll 20°", 0, func(s *synth.Scene, rng *rand.Rand) { s.Camera.Roll = either(rng, 20*degree) }},
		{"turned", 0, func(s *synth.Scene, rng *rand.Rand) { s.Camera.Roll += float64(1+rng.IntN(3)) * 90 * degree }},
		{"blur 3 px", 0, func(s *synth.Scene, rng *rand.Rand) { s.Camera.Blur = 1.5 + 1.5*rng.Float64() }},
		{"JPEG 50", 0, func(s *synth.Scene, _ *rand.Rand) { s.Camera.Quality = 50 }},
		{"two traces", 0, func(s *synth.Scene, _ *rand.Rand) {
			second := s.Signals[0]
			second.GroundBox += 0.37
			second.Colour = [3]float32{0.1, 0.7, 0.9}
			s.Signals = append(s.Signals[:1:1], second)
		}},
		{"all together", 0, func(s *synth.Scene, rng *rand.Rand) {
			s.Camera.Yaw, s.Camera.Roll = either(rng, 20*degree), either(rng, 8*degree)
			s.Camera.Glare, s.Camera.Blur, s.Camera.Quality = 0.3, 1.5, 60
		}},
	}
	for _, name := range synth.Troubles() {
		cases = append(cases, studyCase{name, 0, func(s *synth.Scene, _ *rand.Rand) {
			var err error
			if *s, err = s.WithTrouble(name); err != nil {
				panic(err) // the names are the simulator's own
			}
		}})
	}
	for _, g := range []synth.Grid{synth.Crosses, synth.Axes, synth.Ticks} {
		cases = append(cases, studyCase{g.String(), 0, func(s *synth.Scene, _ *rand.Rand) {
			d := &s.Display
			d.Grid, d.Minor = g, max(d.Minor, 2)
			if d.Kind == synth.Tube {
				d.Kind = synth.Colour
			}
			d.GridLight = max(d.GridLight, 0.3)
		}})
	}
	return cases
}

// studyScene gives photo i of the study and its trouble.
func studyScene(i int) (synth.Scene, studyCase) {
	cases := studyCases()
	c := cases[i%len(cases)]
	s := synth.Random(uint64(i + 1))
	mp := c.megapixels
	if mp == 0 {
		mp = studyMegapixels
	}
	s = s.WithMegapixels(mp)
	c.apply(&s, rand.New(rand.NewPCG(uint64(i), 7)))
	if c.name != "cut" && c.name != "close" {
		for !inside(s) && s.Camera.Fill > 0.1 {
			s.Camera.Fill *= 0.95
		}
	}
	return s, c
}

// inside says whether the whole frame is in the picture.
func inside(s synth.Scene) bool {
	t, err := s.Truth()
	if err != nil {
		return false
	}
	for _, p := range t.CornersPx {
		if !(p[0] > 0 && p[0] < float64(t.WidthPx) && p[1] > 0 && p[1] < float64(t.HeightPx)) {
			return false
		}
	}
	return true
}

// seenShare is the share of the crossings that are in the picture and not covered.
func seenShare(t synth.Truth) float64 {
	boxes, pixels := nodes(t)
	n := 0
	for i, p := range pixels {
		seen := p.X > 0 && p.X < float64(t.WidthPx) && p.Y > 0 && p.Y < float64(t.HeightPx)
		for _, c := range t.CoveredBox {
			if b := boxes[i]; b.X > c[0] && b.X < c[2] && b.Y > c[1] && b.Y < c[3] {
				seen = false
			}
		}
		if seen {
			n++
		}
	}
	return float64(n) / float64(len(boxes))
}

// A studyResult is what became of one photo.
type studyResult struct {
	trouble, kind string
	scored        bool
	refused       error
	doubts        []remark.Remark
	frame         geom.Frame
	rms           float64   // box, over the crossings, after the quarter turn that fits best
	right         bool      // count of boxes and place, but for a quarter turn
	px, py        []float64 // errors of the crossings over their standard uncertainties
}

// silent says that a wrong grid came out without a doubt. One that lies on its side is right: vision/upright tells
// that.
func (r *studyResult) silent() bool {
	return r.scored && r.refused == nil && !r.right && len(r.doubts) == 0
}

// quarterTurns turn a box anticlockwise by none to three quarters.
var quarterTurns = [4]func(geom.Box) geom.Box{
	func(b geom.Box) geom.Box { return b },
	func(b geom.Box) geom.Box { return geom.Box{X: -b.Y, Y: b.X} },
	func(b geom.Box) geom.Box { return geom.Box{X: -b.X, Y: -b.Y} },
	func(b geom.Box) geom.Box { return geom.Box{X: b.Y, Y: -b.X} },
}

// study reads photo i.
func study(i int) (r studyResult, err error) {
	s, c := studyScene(i)
	data, truth, err := s.JPEG()
	if err != nil {
		return r, err
	}
	ph, err := photo.Decode(context.Background(), data, nil)
	if err != nil {
		return r, err
	}
	g, err := graticule.Find(context.Background(), ph, nil)
	r = judge(truth, g, err)
	r.trouble = c.name
	if *keep == "" || !r.scored || r.right {
		return r, nil
	}
	base := filepath.Join(*keep, fmt.Sprintf("%04d %s", i, c.name))
	if err := os.WriteFile(base+".jpg", data, 0o666); err != nil {
		return r, err
	}
	return r, keepStages(base, ph)
}

// judge holds what Find made of a photo against the truth.
func judge(truth synth.Truth, g *graticule.Graticule, err error) (r studyResult) {
	r = studyResult{kind: truth.Display, scored: seenShare(truth) >= 0.5, rms: math.Inf(1)}
	if err != nil {
		r.refused = err
		return r
	}
	r.doubts, r.frame = g.Doubts, g.Frame
	boxes, pixels := nodes(truth)
	best := 0
	for k, turn := range quarterTurns {
		want := truth.Frame()
		if k%2 == 1 {
			want.Cols, want.Rows = want.Rows, want.Cols
		}
		if g.Frame != want {
			continue
		}
		sum := 0.0
		for i, p := range pixels {
			at, b := g.Box(p), turn(boxes[i])
			sum += (at.X-b.X)*(at.X-b.X) + (at.Y-b.Y)*(at.Y-b.Y)
		}
		if rms := math.Sqrt(sum / float64(len(boxes))); rms < r.rms {
			r.rms, best = rms, k
		}
	}
	r.right = r.rms <= wrongGrid
	if !r.right {
		return r
	}
	turned := make([]geom.Box, len(boxes))
	for i, b := range boxes {
		turned[i] = quarterTurns[best](b)
	}
	ux, uy := make([]float64, len(boxes)), make([]float64, len(boxes))
	for _, m := range g.Moves(turned) {
		for i := range turned {
			ux[i] += m.DX[i] * m.DX[i]
			uy[i] += m.DY[i] * m.DY[i]
		}
	}
	for i, p := range pixels {
		at := g.Box(p)
		if ux[i] > 0 && uy[i] > 0 {
			r.px = append(r.px, (at.X-turned[i].X)/math.Sqrt(ux[i]))
			r.py = append(r.py, (at.Y-turned[i].Y)/math.Sqrt(uy[i]))
		}
	}
	return r
}

// keepStages writes what each stage sees of the photo, into files whose names begin with base.
func keepStages(base string, ph *photo.Photo) (err error) {
	n := 0
	graticule.Find(context.Background(), ph, &graticule.Options{Stage: func(name string, img image.Image) {
		n++
		f, e := os.Create(fmt.Sprintf("%s %02d %s.png", base, n, name))
		if e == nil {
			e = png.Encode(f, img)
			f.Close()
		}
		if err == nil {
			err = e
		}
	}})
	return err
}

func BenchmarkFindStudy(b *testing.B) {
	results := make([]studyResult, b.N)
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				r, err := study(*from + i)
				if err != nil {
					b.Errorf("photo %d: %v", *from+i, err)
				}
				results[i] = r
			}
		})
	}
	for i := range b.N {
		next <- i
	}
	close(next)
	wg.Wait()
	if b.N == 1 { // the framework's trial run
		return
	}
	// Logged, not printed: a line printed now would cut the result's own in two, which benchstat reads.
	var out strings.Builder
	fmt.Fprintln(&out)
	for i, r := range results {
		switch s, _ := studyScene(*from + i); {
		case !r.scored:
		case r.refused != nil:
			fmt.Fprintf(&out, "photo %d (%s, %s, seed %d): refused: %v\n", *from+i, r.trouble, r.kind, s.Seed, r.refused)
		case !r.right:
			fmt.Fprintf(&out, "photo %d (%s, %s, seed %d): is %v, found %v, %.3f box off; doubts %q\n", *from+i, r.trouble, r.kind, s.Seed, s.Display.Frame, r.frame, r.rms, r.doubts)
		}
	}
	tellStudy(b, &out, results)
	b.Log(out.String())
}

// tellStudy writes the table by trouble and reports the numbers of all.
func tellStudy(b *testing.B, out io.Writer, results []studyResult) {
	table := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(table, "trouble\tphotos\tright %\trms median\tp90\tsilent\trefused\tright but doubted\tx mean\tspread\ty mean\tspread\t")
	row := func(name string, of []studyResult) tally {
		t := tallyOf(of)
		fmt.Fprintf(table, "%s\t%d\t%.1f\t%.4f\t%.4f\t%d\t%d\t%d\t%+.2f\t%.2f\t%+.2f\t%.2f\t\n", name, t.scored, t.rightShare(), t.median, t.p90,
			t.silent, t.refused, t.doubted, t.x[0], t.x[1], t.y[0], t.y[1])
		return t
	}
	some := func(name string, has func(*studyResult) bool) {
		var of []studyResult
		for i := range results {
			if has(&results[i]) {
				of = append(of, results[i])
			}
		}
		if len(of) > 0 {
			row(name, of)
		}
	}
	for _, c := range studyCases() {
		some(c.name, func(r *studyResult) bool { return r.trouble == c.name })
	}
	for kind := synth.Colour; kind <= synth.Tube; kind++ {
		some("display: "+kind.String(), func(r *studyResult) bool { return r.kind == kind.String() })
	}
	t := row("all", results)
	table.Flush()
	b.ReportMetric(t.rightShare(), "right-%")
	b.ReportMetric(t.median, "rms-median-box")
	b.ReportMetric(t.p90, "rms-p90-box")
	b.ReportMetric(float64(t.silent), "silent")
	b.ReportMetric(float64(t.refused), "refused")
	b.ReportMetric(float64(t.doubted), "right-but-doubted")
	b.ReportMetric(t.x[1], "pull-spread-x")
	b.ReportMetric(t.y[1], "pull-spread-y")
}

// A tally sums up photos: counts, box rms of the right ones, mean and standard deviation of the pulls.
type tally struct {
	scored, right, silent, refused, doubted int
	median, p90                             float64
	x, y                                    [2]float64
}

func (t *tally) rightShare() float64 { return 100 * float64(t.right) / float64(max(t.scored, 1)) }

func tallyOf(of []studyResult) (t tally) {
	var rms, px, py []float64
	for _, r := range of {
		if !r.scored {
			continue
		}
		t.scored++
		switch {
		case r.refused != nil:
			t.refused++
		case r.silent():
			t.silent++
		}
		if r.right {
			t.right++
			if len(r.doubts) > 0 {
				t.doubted++
			}
			rms, px, py = append(rms, r.rms), append(px, r.px...), append(py, r.py...)
		}
	}
	slices.Sort(rms)
	at := func(q float64) float64 {
		if len(rms) == 0 {
			return math.NaN()
		}
		return rms[min(int(q*float64(len(rms))), len(rms)-1)]
	}
	t.median, t.p90 = at(0.5), at(0.9)
	t.x, t.y = meanSpread(px), meanSpread(py)
	return t
}

// meanSpread is the mean and the standard deviation of l.
func meanSpread(l []float64) [2]float64 {
	n := float64(len(l))
	mean, square := 0.0, 0.0
	for _, v := range l {
		mean += v / n
	}
	for _, v := range l {
		square += (v - mean) * (v - mean) / n
	}
	return [2]float64{mean, math.Sqrt(square)}
}
