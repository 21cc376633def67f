package main

import (
	"math"
	"testing"
)

// An inch is 25.4 mm by definition.
func TestScaleOfTheFigure(t *testing.T) {
	for text, want := range map[string]float64{"10mm": 10, "5 mm": 5, "1/4in": 6.35, "0.25in": 6.35, "2mm": 2,
		"": 0, "10": 0, "1/0in": 0, "1mm": 0, "40mm": 0, "NaNmm": 0, "-5mm": 0, "mm": 0, "1/4/2in": 0} {
		got := 0.0
		err := (&boxSize{&got}).Set(text)
		if math.Abs(got-want) > 1e-12 || (err == nil) != (want > 0) {
			t.Errorf("%q: %g mm, error %v; want %g mm", text, got, err, want)
		}
	}
}
