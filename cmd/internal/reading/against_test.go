package reading_test

import (
	"fmt"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/synth"
)

// Displays of x against y have no time and no trace: each is to be refused or doubted. It prints those that were not:
//
//	go test -run '^$' -bench AgainstStudy -benchtime 40x ./cmd/internal/reading
func BenchmarkAgainstStudy(b *testing.B) {
	told := 0
	for i := range b.N {
		data, truth, err := synth.RandomAgainst(uint64(i + 1)).WithMegapixels(2).JPEG()
		if err != nil {
			b.Fatal(err)
		}
		setup := calibrate.Setup{VoltsPerBox: unit.Value{X: 1, Unit: "V"}, TimePerBox: unit.Value{X: truth.TimePerBox, Unit: "s"}}
		r, err := reading.Read(b.Context(), data, &reading.Settings{Traces: []reading.TraceSettings{{Setup: setup}}})
		if doubts := r.AllDoubts(); err != nil || len(doubts) > 0 {
			told++
			continue
		}
		fmt.Printf("seed %d on %s: taken for %q without a doubt\n", i+1, truth.Display, r.Findings.Signal)
	}
	b.ReportMetric(float64(told), "told")
}
