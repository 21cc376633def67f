package report_test

import (
	"fmt"
	"time"

	"quadrille/analysis"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

func ExampleText() {
	r := &reading.Reading{
		File: "mist-timer-3.jpg",
		Analysed: reading.Analysed{Findings: &analysis.Findings{Signal: analysis.SignalDecay, Results: []analysis.Result{
			{Quantity: "tau", Method: "curve", Value: unit.Value{X: 10.34, U: 0.049, Unit: "s"}, K: 2.01, Expanded: 0.0985},
		}}},
		Stages: []reading.Stage{{Name: "photo", Took: 90 * time.Millisecond}},
	}
	fmt.Print(report.Text(wire.From(r), 60))
	// Output:
	// Photo      mist-timer-3.jpg
	// Signal     decay: given
	//
	//                         value(u)    value ± U (95 %)    k
	// τ: curve through the    10.34(5) s  (10.340 ± 0.099) s  2.01
	// points
	//
	// Care: capacitors stay charged, mind polarity, ground clips
	// are earth.
}
