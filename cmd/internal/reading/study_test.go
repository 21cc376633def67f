package reading_test

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// The study: simulated photos read as a student's would be, and held against their truth. The number
// of photos is the benchmark's count:
//
//	go test -run '^$' -bench Study -benchtime 100x ./cmd/internal/reading
//
// It prints a line for each photo that went wrong, and reports shares and percentiles.

// wrongGrid is the distance in boxes, rms over all crossings, from which on a grid counts as wrong,
// as for real photos.
const wrongGrid = 0.06

// farOff is the share of τ from which on an error is a blunder that no uncertainty excuses.
const farOff = 0.05

// A verdict is what became of one photo.
type verdict struct {
	seed    uint64
	kind    string
	refused error
	doubts  []string
	grid    float64 // box, rms over the crossings; +Inf if the count of boxes is wrong
	tau     float64 // relative error; NaN if there is none
	pull    float64 // error of τ over its u; NaN if there is none
	within  bool    // U holds the truth
}

func BenchmarkStudy(b *testing.B) {
	var seeds []uint64
	for seed := uint64(1); len(seeds) < b.N; seed++ {
		if s := synth.Random(seed); len(s.Signals) == 1 && (s.Signals[0].Form == synth.Decay || s.Signals[0].Form == synth.Driven) {
			seeds = append(seeds, seed)
		}
	}
	verdicts := make([]verdict, len(seeds))
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				verdicts[i] = readSimulated(b, seeds[i])
			}
		}()
	}
	for i := range seeds {
		next <- i
	}
	close(next)
	wg.Wait()
	tell(b, verdicts)
}

// readSimulated reads the photo of one seed.
func readSimulated(b *testing.B, seed uint64) verdict {
	scene := synth.Random(seed)
	data, truth, err := scene.JPEG()
	if err != nil {
		b.Error(err)
		return verdict{seed: seed, refused: err}
	}
	v := verdict{seed: seed, kind: truth.Display, tau: math.NaN(), pull: math.NaN(), grid: math.NaN()}
	r, err := reading.Read(data, &reading.Settings{
		Setup: calibrate.Setup{
			VoltsPerBox: unit.Value{X: truth.Traces[0].VoltsPerBox, Unit: "V"},
			TimePerBox:  unit.Value{X: truth.TimePerBox, Unit: "s"},
		},
		Analysis: analysis.Settings{Signal: analysis.SignalDecay},
	})
	v.refused, v.doubts = err, r.AllDoubts()
	if r.Graticule != nil {
		v.grid = gridError(r, truth)
	}
	if r.Findings == nil {
		return v
	}
	for _, res := range r.Findings.Results {
		if res.Quantity == "tau" && res.Method == "curve" {
			off := res.Value.X - *truth.Traces[0].TauS
			v.tau, v.pull, v.within = off / *truth.Traces[0].TauS, off/res.Value.U, math.Abs(off) <= res.Expanded
		}
	}
	return v
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

// tell prints the photos that went wrong and reports the numbers.
func tell(b *testing.B, verdicts []verdict) {
	var grids, taus, pulls []float64
	var refused, doubted, silentGrid, silentTau, within int
	for _, v := range verdicts {
		if v.refused != nil {
			refused++
			fmt.Printf("seed %d (%s): refused: %v\n", v.seed, v.kind, errors.Unwrap(v.refused))
			continue
		}
		if len(v.doubts) > 0 {
			doubted++
		}
		wrong := !(v.grid <= wrongGrid)
		if wrong {
			fmt.Printf("seed %d (%s): wrong grid, %.3f box, doubts %q\n", v.seed, v.kind, v.grid, v.doubts)
			if len(v.doubts) == 0 {
				silentGrid++
			}
			continue
		}
		grids = append(grids, v.grid)
		if math.IsNaN(v.tau) {
			continue
		}
		taus, pulls = append(taus, math.Abs(v.tau)), append(pulls, v.pull)
		if v.within {
			within++
		}
		if math.Abs(v.tau) > farOff || math.Abs(v.pull) > 3 {
			fmt.Printf("seed %d (%s): τ off by %+.2f %%, %+.1f u, doubts %q\n", v.seed, v.kind, 100*v.tau, v.pull, v.doubts)
		}
		if len(v.doubts) == 0 && math.Abs(v.tau) > farOff && !v.within {
			silentTau++
		}
	}
	b.ReportMetric(quantile(grids, 0.5), "grid-median-box")
	b.ReportMetric(quantile(grids, 0.9), "grid-p90-box")
	b.ReportMetric(100*quantile(taus, 0.5), "tau-median-%")
	b.ReportMetric(100*quantile(taus, 0.9), "tau-p90-%")
	b.ReportMetric(spread(pulls), "tau-pull-spread")
	b.ReportMetric(100*float64(within)/float64(max(len(taus), 1)), "tau-in-U-%")
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
