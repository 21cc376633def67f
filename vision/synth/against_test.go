package synth

import (
	"math"
	"testing"
)

// A sine against another of the same frequency, a quarter of a period later, is an ellipse whose half axes are the two
// crests; the truth says that no trace is shown.
func TestASineAgainstItsQuarterIsAnEllipse(t *testing.T) {
	s := Scene{Against: true, TimePerBox: 1, Signals: []Signal{
		{Form: Sine, VStart: 4, Frequency: 0.1, Codes: -1},
		{Form: Sine, VStart: 2, Frequency: 0.1, Knee: 2.5, Codes: -1}}}.withDefaults()
	l := newLCD(s)
	n := 0
	for k, c := range l.pix {
		i, j := k%l.w, k/l.w
		if c != l.ink.traces[0] || i < l.frameL || i > l.frameR || j < l.frameT || j > l.frameB {
			continue
		}
		n++
		x, y := (float64(i)-l.centreX)/l.perBox/4, (l.centreY-float64(j))/l.perBox/2
		if r := math.Hypot(x, y); math.Abs(r-1) > 0.03 {
			t.Fatalf("lit at %.3f of the ellipse's radius", r)
		}
	}
	if truth, err := s.Truth(); err != nil || n < 1000 || !truth.Against || len(truth.Traces) > 0 || len(truth.Marks) > 0 {
		t.Errorf("%d elements; %d traces, %d marks, error %v", n, len(truth.Traces), len(truth.Marks), err)
	}
}

// Displays of x against y can be taken, on every kind of display.
func TestRandomDisplaysOfXAgainstYCanBeTaken(t *testing.T) {
	kinds := map[Kind]int{}
	for seed := range uint64(100) {
		s := RandomAgainst(seed)
		if err := s.Validate(); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		kinds[s.Display.Kind]++
	}
	if len(kinds) != len(kindNames) {
		t.Errorf("kinds %v", kinds)
	}
}
