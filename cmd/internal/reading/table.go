package reading

import (
	"context"
	"crypto/sha256"
	"encoding/hex"

	"quadrille/analysis"
	"quadrille/calibrate"
)

// A TableFile is what is known of a table as a file.
type TableFile struct {
	SHA256 string // of its bytes, hex
}

// FromTable runs the pipeline on the bytes of a table of readings, which takes the place of the photo with its grid
// and its trace. Its error is a *StageError, and the reading beside it is as Read leaves it.
func FromTable(data []byte, s *Settings) (*Reading, error) {
	sum := sha256.Sum256(data)
	r := &Reading{File: s.File, Analysed: Analysed{Setup: s.Setup}, Table: &TableFile{hex.EncodeToString(sum[:])}}
	return r, r.run([]step{
		{"table", func() error { return r.tabulate(data, s) }},
		{"analysis", func() (err error) {
			r.Findings, err = analysis.Analyse(context.Background(), r.Records[r.Chosen], &s.Analysis)
			return err
		}},
	})
}

func (r *Reading) tabulate(data []byte, s *Settings) error {
	for _, end := range []struct {
		field string
		box   *float64
	}{{"from", s.FromBox}, {"to", s.ToBox}} {
		if end.box != nil {
			return &SettingError{end.field, "--" + end.field + " is in boxes, and a table has none", "give a time with its unit, such as 1.2s"}
		}
	}
	t := s.Table
	t.Probe, t.GainLimit, t.TimeLimit = s.Setup.Probe, s.Setup.GainLimit, s.Setup.TimeLimit
	t = t.Stated(data)
	r.Setup.GainLimit, r.Setup.TimeLimit = t.GainLimit, t.TimeLimit
	rec, err := t.Record(data)
	if err != nil {
		return err
	}
	r.Records = []*calibrate.Record{rec}
	return nil
}
