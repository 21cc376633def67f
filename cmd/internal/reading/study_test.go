package reading_test

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// The study: simulated photos of every kind of signal and display, read as a student's would be, and held against their
// truth. The number of photos is the benchmark's count:
//
//	go test -run '^$' -bench '^BenchmarkStudy$' -benchtime 500x -timeout 0 ./cmd/internal/reading
//
// It prints a line for each photo that went wrong and a table: of each result by signal and display, the bias, the
// error, the spread of the pulls, and how often U holds the truth. The simulated instruments are as wrong as real ones
// may be: the volts scale by up to 3 %, the time base by 100 ppm, the ground line by a tenth of a box, evenly spread,
// which are the limits that the program takes for granted.

const (
	// wrongGrid is the distance in boxes, rms over all crossings, from which on a grid counts as wrong,
	// as for real photos.
	wrongGrid = 0.06
	// farOff is the share of a truth from which on an error is a blunder that no uncertainty excuses.
	farOff = 0.05
)

// A verdict is what became of one photo.
type verdict struct {
	seed            uint64
	signal, display string
	kind            string // the kind that it was taken for when none was given; "" if no record was reached
	refused         error
	doubts          []reading.Told
	grid            float64 // box, rms over the crossings; +Inf if the count of boxes is wrong
	checks          []check
}

func (v *verdict) wrongGrid() bool { return !(v.grid <= wrongGrid) }

// A check is one result beside its truth. Errors of levels are shares of the frame's height.
type check struct {
	name        string
	share, pull float64
	within      bool               // U holds the truth
	sources     map[string]float64 // share of u² by source of the budget
}

func BenchmarkStudy(b *testing.B) {
	verdicts := study(b, singleSignals(1, b.N), 0)
	tell(b, verdicts)
	follow(b, verdicts)
}

// The same of tubes alone, whose parallax is seen in no photo.
func BenchmarkStudyOfTubes(b *testing.B) {
	verdicts := study(b, scenesWith(1, b.N, func(s synth.Scene) bool { return len(s.Signals) == 1 && s.Display.Kind == synth.Tube }), 0)
	tell(b, verdicts)
	follow(b, verdicts)
}

// A study of few photos, small ones, that fails where the long one would: a wrong grid or a wrong result in silence, or
// a kind not recognised.
func TestStudyOfAFewPhotos(t *testing.T) {
	verdicts := study(t, singleSignals(41, 5), 1)
	held, all := 0, 0
	for _, v := range verdicts {
		if v.refused != nil {
			t.Errorf("seed %d (%s on %s): %v", v.seed, v.signal, v.display, v.refused)
			continue
		}
		if v.wrongGrid() && len(v.doubts) == 0 {
			t.Errorf("seed %d (%s on %s): a wrong grid, %.3f box, in silence", v.seed, v.signal, v.display, v.grid)
		}
		if v.kind != kindOf[v.signal] {
			t.Errorf("seed %d: %s on %s is taken for %q", v.seed, v.signal, v.display, v.kind)
		}
		for _, c := range v.checks {
			if all++; c.within {
				held++
			} else if math.Abs(c.pull) > 5 {
				t.Errorf("seed %d (%s on %s): %s is off by %+.2f %%, %+.1f u", v.seed, v.signal, v.display, c.name, 100*c.share, c.pull)
			}
		}
	}
	// Of 10 or more, 80 % within U are to be expected in 98 of 100 studies if 95 % are true (binomial distribution).
	if all < 10 || float64(held) < 0.8*float64(all) {
		t.Errorf("U holds the truth in %d of %d results", held, all)
	}
}

// singleSignals gives n seeds from the first on whose scenes show one trace.
func singleSignals(first uint64, n int) (seeds []uint64) {
	return scenesWith(first, n, func(s synth.Scene) bool { return len(s.Signals) == 1 })
}

// scenesWith gives n seeds from the first on of scenes that are wanted.
func scenesWith(first uint64, n int, wanted func(s synth.Scene) bool) (seeds []uint64) {
	for seed := first; len(seeds) < n; seed++ {
		if wanted(synth.Random(seed)) {
			seeds = append(seeds, seed)
		}
	}
	return seeds
}

// kindOf each signal of the simulator.
var kindOf = map[string]string{"decay": analysis.SignalDecay, "driven": analysis.SignalDecay, "sine": analysis.SignalSine,
	"square": analysis.SignalStates, "level": analysis.SignalLevel}

// study reads the photos of the seeds, shot with so many megapixels; 0 leaves each its own.
func study(tb testing.TB, seeds []uint64, megapixels float64) []verdict {
	verdicts := make([]verdict, len(seeds))
	atOnce(len(seeds), func(i int) {
		scene := synth.Random(seeds[i])
		if megapixels > 0 {
			scene = scene.WithMegapixels(megapixels)
		}
		verdicts[i] = readSimulated(tb, scene)
	})
	return verdicts
}

// atOnce calls do for 0 to n-1, as many at a time as there are processors.
func atOnce(n int, do func(i int)) {
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				do(i)
			}
		}()
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}

// readSimulated reads the photo of a scene, with the kind of signal to be recognised and then as the kind that it is.
func readSimulated(tb testing.TB, scene synth.Scene) verdict {
	data, truth, err := scene.JPEG()
	if err != nil {
		tb.Error(err)
		return verdict{seed: scene.Seed, refused: err}
	}
	tr := truth.Traces[0]
	v := verdict{seed: scene.Seed, signal: tr.Signal, display: truth.Display, grid: math.NaN()}
	r, err := reading.Read(tb.Context(), data, asSet(truth))
	v.refused, v.doubts = err, r.AllDoubts()
	if r.Graticule != nil {
		v.grid = gridError(r, truth)
	}
	if r.Findings == nil || v.wrongGrid() {
		return v
	}
	if v.kind = r.Findings.Signal; r.Findings.Told.How == analysis.ForWant {
		v.kind = "none"
	}
	found := r.Findings
	if v.kind != kindOf[tr.Signal] {
		found, _ = analysis.Analyse(tb.Context(), r.Records[r.Chosen], &analysis.Settings{Signal: kindOf[tr.Signal]})
	}
	if found != nil {
		v.checks = checksOf(found, truth, instrumentOf(scene.Seed))
	}
	return v
}

// An instrument is as wrong as its data sheet allows.
type instrument struct{ gain, clock, ground float64 } // shares of the scales; boxes

func instrumentOf(seed uint64) instrument {
	rng := rand.New(rand.NewPCG(seed, 29))
	even := func(limit float64) float64 { return limit * (2*rng.Float64() - 1) }
	return instrument{even(calibrate.DefaultGainLimit), even(calibrate.DefaultTimeLimit), even(0.1)}
}

// checksOf holds results against the truth that the wrong instrument showed.
func checksOf(f *analysis.Findings, truth synth.Truth, by instrument) (checks []check) {
	tr := truth.Traces[0]
	add := func(name string, r analysis.Result, want, of float64) {
		off := r.Value.X - want
		if r.Value.U > 0 {
			sources := map[string]float64{}
			for _, t := range r.Budget {
				sources[t.Source] += (t.U / r.Value.U) * (t.U / r.Value.U)
			}
			checks = append(checks, check{name, off / of, off / r.Value.U, math.Abs(off) <= r.Expanded, sources})
		}
	}
	seconds := func(name string, r analysis.Result, shown float64) {
		want := shown * (1 + by.clock)
		add(name, r, want, want)
	}
	frame := float64(truth.Rows) * tr.VoltsPerBox
	for _, r := range f.Results {
		switch {
		case r.Quantity == "tau" && r.Label == "" && r.Method != "rc":
			seconds("tau by "+r.Method, r, *tr.TauS)
		case r.Quantity == "period" && tr.FrequencyHz != nil:
			seconds("period by "+r.Method, r, 1 / *tr.FrequencyHz)
		case r.Quantity == "duty_factor" && tr.Signal == "square":
			add(r.Quantity, r, *tr.DutyFactor, 1)
		case r.Quantity == "v_pp" && tr.Signal == "sine":
			add(r.Quantity, r, 2*tr.VStart*(1+by.gain), frame)
		case r.Quantity == "v_high" && tr.Signal == "square", r.Quantity == "v_mean" && tr.Signal == "level":
			add(r.Quantity, r, (tr.VStart-by.ground*tr.VoltsPerBox)*(1+by.gain), frame)
		}
	}
	return checks
}

// gridError is the rms distance in boxes of the found crossings from the true ones.
func gridError(r *reading.Reading, truth synth.Truth) float64 {
	if r.Graticule.Frame != truth.Frame() {
		return math.Inf(1)
	}
	sum, n := 0.0, 0
	for j, row := range truth.NodesPx {
		for i, p := range row {
			at := r.Graticule.Box(geom.Pixel{X: p[0], Y: p[1]})
			dx, dy := at.X-(truth.Frame().Left()+float64(i)), at.Y-(truth.Frame().Bottom()+float64(j))
			sum += dx*dx + dy*dy
			n++
		}
	}
	return math.Sqrt(sum / float64(n))
}

// tell prints the photos that went wrong and the table.
func tell(b *testing.B, verdicts []verdict) {
	rows := map[string][]check{}
	for _, v := range verdicts {
		about := fmt.Sprintf("seed %d (%s on %s)", v.seed, v.signal, v.display)
		switch {
		case v.refused != nil:
			fmt.Printf("%s: refused: %v\n", about, errors.Unwrap(v.refused))
			continue
		case v.wrongGrid():
			fmt.Printf("%s: wrong grid, %.3f box, doubts %q\n", about, v.grid, v.doubts)
			continue
		case v.kind != kindOf[v.signal]:
			fmt.Printf("%s: taken for %q\n", about, v.kind)
		}
		for _, c := range v.checks {
			for _, row := range []string{"", v.signal, v.signal + " on " + v.display} {
				rows[c.name+": "+row] = append(rows[c.name+": "+row], c)
			}
			if math.Abs(c.pull) > 3 {
				fmt.Printf("%s: %s off by %+.2f %%, %+.1f u, doubts %q\n", about, c.name, 100*c.share, c.pull, v.doubts)
			}
		}
	}
	var names []string
	for name := range rows {
		names = append(names, name)
	}
	slices.SortFunc(names, cmp.Compare)
	fmt.Printf("%-44s %5s %9s %9s %9s %6s %7s  %s\n", "", "n", "bias %", "median %", "p90 %", "pulls", "in U %", "where u² comes from")
	for _, name := range names {
		var off, pulls []float64
		bias, within := 0.0, 0
		for _, c := range rows[name] {
			off, pulls = append(off, math.Abs(c.share)), append(pulls, c.pull)
			bias += c.share / float64(len(rows[name]))
			if c.within {
				within++
			}
		}
		fmt.Printf("%-44s %5d %+9.3f %9.3f %9.3f %6.2f %7.1f  %s\n", name, len(off), 100*bias, 100*quantile(off, 0.5), 100*quantile(off, 0.9), spread(pulls), 100*float64(within)/float64(len(off)), mainSources(rows[name]))
	}
}

// mainSources names the sources that make more than a tenth of u² in the mean, the largest first.
func mainSources(of []check) string {
	mean := map[string]float64{}
	for _, c := range of {
		for source, share := range c.sources {
			mean[source] += share / float64(len(of))
		}
	}
	var names []string
	for source, share := range mean {
		if share > 0.1 {
			names = append(names, source)
		}
	}
	slices.SortFunc(names, func(a, b string) int { return cmp.Compare(mean[b], mean[a]) })
	for i, source := range names {
		names[i] = fmt.Sprintf("%s %.0f %%", source, 100*mean[source])
	}
	return strings.Join(names, ", ")
}

// follow reports the numbers that are compared from one version to the next.
func follow(b *testing.B, verdicts []verdict) {
	var grids, taus, pulls []float64
	var refused, doubted, silentGrid, silentTau, tauWithin, within, all, read, known int
	for _, v := range verdicts {
		if v.refused != nil {
			refused++
			continue
		}
		if len(v.doubts) > 0 {
			doubted++
		}
		if v.wrongGrid() {
			if len(v.doubts) == 0 {
				silentGrid++
			}
			continue
		}
		grids = append(grids, v.grid)
		if v.kind != "" {
			if read++; v.kind == kindOf[v.signal] {
				known++
			}
		}
		for _, c := range v.checks {
			if all++; c.within {
				within++
			}
			if c.name != "tau by curve" {
				continue
			}
			taus, pulls = append(taus, math.Abs(c.share)), append(pulls, c.pull)
			if c.within {
				tauWithin++
			}
			if len(v.doubts) == 0 && math.Abs(c.share) > farOff && !c.within {
				silentTau++
			}
		}
	}
	b.ReportMetric(quantile(grids, 0.5), "grid-median-box")
	b.ReportMetric(quantile(grids, 0.9), "grid-p90-box")
	b.ReportMetric(100*quantile(taus, 0.5), "tau-median-%")
	b.ReportMetric(100*quantile(taus, 0.9), "tau-p90-%")
	b.ReportMetric(spread(pulls), "tau-pull-spread")
	b.ReportMetric(100*float64(tauWithin)/float64(max(len(taus), 1)), "tau-in-U-%")
	b.ReportMetric(100*float64(within)/float64(max(all, 1)), "all-in-U-%")
	b.ReportMetric(100*float64(known)/float64(max(read, 1)), "kind-right-%")
	b.ReportMetric(float64(refused), "refused")
	b.ReportMetric(float64(doubted), "doubted")
	b.ReportMetric(float64(silentGrid), "grid-silent")
	b.ReportMetric(float64(silentTau), "tau-silent")
}

func quantile(l []float64, q float64) float64 {
	if len(l) == 0 {
		return math.NaN()
	}
	slices.Sort(l)
	return l[min(int(q*float64(len(l))), len(l)-1)]
}

// spread is the root mean square about zero.
func spread(l []float64) float64 {
	if len(l) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, v := range l {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(l)))
}
