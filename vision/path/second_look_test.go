package path

import (
	"math"
	"testing"
)

// lookAt is what was found of a wave of so many turns, up and down, in a share of the columns.
func lookAt(turns int, share float64) *Found {
	s := plainSheet()
	p := &Path{Runs: make([]Run, s.NX), Amount: 1}
	for i := range p.Runs {
		p.Runs[i] = absent
		if float64(i) < share*float64(s.NX) {
			row := 400 + int(200*math.Sin(math.Pi*float64(turns)*float64(i)/(share*float64(s.NX))))
			p.Runs[i] = Run{Lo: row - 2, Hi: row + 2, Peak: 1}
		}
	}
	return &Found{Sheet: s, Candidates: []*Candidate{{Path: p}}}
}

func TestWhenASecondLookCounts(t *testing.T) {
	if lookAt(30, 0.92).leftMuchOut() || !lookAt(30, 0.8).leftMuchOut() {
		t.Error("a first look that saw 92 % is asked for another, or one that saw 80 % is not")
	}
	first := lookAt(30, 0.5)
	for _, c := range []struct {
		name  string
		turns int
		share float64
		want  bool
	}{
		{"a fast wave, seen well", 30, 0.9, true},
		{"a wave of few turns", 14, 0.9, false},
		{"a fast wave, seen a little better", 30, 0.53, false},
		{"a fast wave, seen better", 30, 0.57, true},
	} {
		if lookAt(c.turns, c.share).seesMoreThan(first) != c.want {
			t.Errorf("%s counts: %v", c.name, !c.want)
		}
	}
	crests := lookAt(30, 0.1)
	crests.Candidates[0].Crests = true
	if !lookAt(30, 0.2).seesMoreThan(crests) || crests.seesMoreThan(lookAt(30, 0.05)) {
		t.Error("crests, which are all that is seen of a wave, count as much as a path")
	}
}
