package main

import (
	"math"
	"testing"

	"github.com/spf13/pflag"

	"quadrille/cmd/internal/report"
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

// The usual size may be said as well as the other one: it is not taken for an empty value.
func TestTheUsualSheetsMayBeNamed(t *testing.T) {
	for text, letter := range map[string]bool{"a4": false, "A4": false, "letter": true, "Letter": true} {
		var p report.Print
		f := pflag.NewFlagSet("", pflag.ContinueOnError)
		sheetsFlag(f, &p)
		if !isEmpty(f.Lookup("sheets").Value.String()) {
			t.Error("it is given before it is")
		}
		if err := f.Parse([]string{"--sheets", text}); err != nil || p.Letter != letter || isEmpty(f.Lookup("sheets").Value.String()) {
			t.Errorf("--sheets %s: letter %v, %v", text, p.Letter, err)
		}
	}
}
