package reading_test

import (
	"cmp"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"quadrille/vision/synth"
)

// The study of busy displays, over ranges of seeds:
//
//	go test -run '^$' -bench 'BusyStudy/seeds=1-60$' -benchtime 1x -timeout 0 ./cmd/internal/reading
//
// or over others, with -args -seeds 7,20-29. It prints a line for each photo of which something is wrong, then
// what was wrong by what the display shows, by signal and by question; the worth of each doubt: how often
// something was wrong when it was told; and what went wrong in silence. -keep writes the photos that went wrong
// into a folder, with their truth; -megapixels sets their size.

var (
	busySeeds      = flag.String("seeds", "", "busy study: seeds such as 7,20-29, in place of the benchmark's")
	busyKeep       = flag.String("keep", "", "busy study: folder for the photos that went wrong")
	busyMegapixels = flag.Float64("megapixels", 2, "busy study: size of the photos; 0 leaves each its own")
)

func BenchmarkBusyStudy(b *testing.B) {
	for _, seeds := range []string{"1-60", "61-120", "121-180", "181-240", "1-500"} {
		b.Run("seeds="+seeds, func(b *testing.B) {
			for range b.N {
				if *busySeeds != "" {
					seeds = *busySeeds
				}
				tellBusy(busyStudy(b, seedsOf(b, seeds)))
			}
		})
	}
}

// seedsOf reads a list such as 7,20-29.
func seedsOf(tb testing.TB, list string) (seeds []uint64) {
	for _, part := range strings.Split(list, ",") {
		first, last, ranged := strings.Cut(part, "-")
		from, err := strconv.ParseUint(first, 10, 64)
		to := from
		if err == nil && ranged {
			to, err = strconv.ParseUint(last, 10, 64)
		}
		if err != nil {
			tb.Fatalf("seeds %q: %v", list, err)
		}
		for s := from; s <= to; s++ {
			seeds = append(seeds, s)
		}
	}
	return seeds
}

// busyStudy reads the scenes of the seeds, and keeps the photos that went wrong if a folder is given.
func busyStudy(tb testing.TB, seeds []uint64) []busyVerdict {
	verdicts := make([]busyVerdict, len(seeds))
	atOnce(len(seeds), func(i int) {
		scene := synth.RandomBusy(seeds[i])
		if *busyMegapixels > 0 {
			scene = scene.WithMegapixels(*busyMegapixels)
		}
		var photo []byte
		verdicts[i], photo = readBusy(tb, scene)
		if *busyKeep != "" && !verdicts[i].right() {
			keepPhoto(tb, scene, photo)
		}
	})
	return verdicts
}

// keepPhoto writes a photo and its truth into the folder of -keep.
func keepPhoto(tb testing.TB, scene synth.Scene, photo []byte) {
	truth, err := scene.Truth()
	if err != nil {
		tb.Error(err)
		return
	}
	text, err := truth.Encode()
	name := filepath.Join(*busyKeep, fmt.Sprintf("busy%03d", scene.Seed))
	if err = errors.Join(err, os.MkdirAll(*busyKeep, 0o777), os.WriteFile(name+".jpg", photo, 0o666),
		os.WriteFile(name+".json", text, 0o666)); err != nil {
		tb.Error(err)
	}
}

// questions are those that each photo answers, in the order of the table's columns.
var questions = []string{"grid", "refused", "followed", "choice", "listed", "ground", "kind", "number"}

// tellBusy prints what went wrong and the tables.
func tellBusy(verdicts []busyVerdict) {
	for _, v := range verdicts {
		if !v.right() {
			fmt.Println(v.String())
		}
	}
	byFeature, bySignal := map[string][]busyVerdict{}, map[string][]busyVerdict{}
	for _, v := range verdicts {
		for _, name := range v.features() {
			byFeature[name] = append(byFeature[name], v)
		}
		bySignal[v.signal] = append(bySignal[v.signal], v)
	}
	header("by what the display shows")
	tellRow("all", verdicts)
	for _, name := range sortedKeys(byFeature) {
		tellRow(name, byFeature[name])
	}
	header("by signal")
	for _, name := range sortedKeys(bySignal) {
		tellRow(name, bySignal[name])
	}
	tellDoubts(verdicts)
	tellNumbers(verdicts)
	fmt.Print("\nsilently wrong, by question:\n")
	for _, q := range questions {
		var seeds []string
		for _, v := range verdicts {
			if v.silent() && v.has(q) {
				seeds = append(seeds, strconv.FormatUint(v.scene.Seed, 10))
			}
		}
		fmt.Printf("  %-9s %3d  %s\n", q, len(seeds), strings.Join(seeds, ","))
	}
}

func sortedKeys[V any](of map[string]V) (names []string) {
	for name := range of {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func header(title string) {
	fmt.Printf("\n%-24s %5s", title, "n")
	for _, q := range questions {
		fmt.Printf(" %9s", q)
	}
	fmt.Printf(" %7s %6s %7s\n", "right", "calm", "silent")
}

// tellRow prints how many answered each question wrongly; how many are right in all, how many of these without a
// doubt, and how many are wrong without one.
func tellRow(name string, of []busyVerdict) {
	fmt.Printf("%-24s %5d", name, len(of))
	count := func(is func(v *busyVerdict) bool) (n int) {
		for i := range of {
			if is(&of[i]) {
				n++
			}
		}
		return n
	}
	for _, q := range questions {
		fmt.Printf(" %9d", count(func(v *busyVerdict) bool { return v.has(q) }))
	}
	calm := count(func(v *busyVerdict) bool { return v.right() && v.calm() })
	fmt.Printf(" %7d %6d %7d\n", count((*busyVerdict).right), calm, count((*busyVerdict).silent))
}

// tellDoubts prints the worth of each kind of doubt: in how many photos it was told, in how many of these
// something was wrong, and how often it was the only doubt, and how many of those were right in all: false alarms
// that it alone raised; and what was wrong when it was told.
func tellDoubts(verdicts []busyVerdict) {
	type worth struct {
		told, wrong, alone, aloneRight int
		by                             map[string]int // question
	}
	of := map[string]*worth{}
	for i := range verdicts {
		v := &verdicts[i]
		for _, kind := range v.doubts {
			w := of[kind]
			if w == nil {
				w = &worth{by: map[string]int{}}
				of[kind] = w
			}
			w.told++
			for _, q := range questions {
				if v.has(q) {
					w.by[q]++
				}
			}
			if !v.right() {
				w.wrong++
			}
			if len(v.doubts) == 1 {
				if w.alone++; v.right() {
					w.aloneRight++
				}
			}
		}
	}
	kinds := sortedKeys(of)
	slices.SortStableFunc(kinds, func(a, b string) int { return cmp.Compare(of[b].told, of[a].told) })
	fmt.Printf("\n%-44s %5s %12s %12s %12s  %s\n",
		"doubt", "told", "with a wrong", "the only one", "falsely so", "what was wrong")
	for _, kind := range kinds {
		w := of[kind]
		fmt.Printf("%-44s %5d %12d %12d %12d ", kind, w.told, w.wrong, w.alone, w.aloneRight)
		for _, q := range questions {
			if w.by[q] > 0 {
				fmt.Printf(" %s %d", q, w.by[q])
			}
		}
		fmt.Println()
	}
}

// tellNumbers prints of each result how far it is off and how often U holds it.
func tellNumbers(verdicts []busyVerdict) {
	rows := map[string][]check{}
	for _, v := range verdicts {
		for _, c := range v.numbers {
			rows[v.signal+": "+c.name] = append(rows[v.signal+": "+c.name], c)
			rows["all"] = append(rows["all"], c)
		}
	}
	fmt.Printf("\n%-44s %5s %9s %9s %6s %7s\n", "number", "n", "median %", "p90 %", "pulls", "in U %")
	for _, name := range sortedKeys(rows) {
		var off, pulls []float64
		within := 0
		for _, c := range rows[name] {
			off, pulls = append(off, max(c.share, -c.share)), append(pulls, c.pull)
			if c.within {
				within++
			}
		}
		fmt.Printf("%-44s %5d %9.3f %9.3f %6.2f %7.1f\n", name, len(off),
			100*quantile(off, 0.5), 100*quantile(off, 0.9), spread(pulls), 100*float64(within)/float64(len(off)))
	}
}
