package graticule_test

import (
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// A table covers two rows of ten: the eight that are left end clearly, but their middle line is not the one with ticks.
func TestATickedLineOffTheMiddleIsDoubted(t *testing.T) {
	s, err := synth.Random(69).WithMegapixels(studyMegapixels).WithTrouble("table")
	if err != nil {
		t.Fatal(err)
	}
	img, tr := s.Shoot()
	g, err := graticule.Find(t.Context(), photo.New(img), nil)
	if err != nil {
		t.Fatal(err)
	}
	if g.Frame != tr.Frame() && !remark.Any(g.Doubts, graticule.CentreElsewhere) {
		t.Errorf("found %v in place of %v, doubts %q", g.Frame, tr.Frame(), g.Doubts)
	}
}
