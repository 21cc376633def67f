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

// FromTable makes a reading of the bytes of a table of readings, which takes the place of the photo with its grid
// and its trace. Its error is a *StageError, and the reading beside it is as Read leaves it.
func FromTable(ctx context.Context, data []byte, s *Settings) (*Reading, error) {
	sum := sha256.Sum256(data)
	c := &chain{ctx: ctx, s: s, wanted: s.wanted(), r: begun(s)}
	c.r.Table = &TableFile{hex.EncodeToString(sum[:])}
	return c.r, c.run([]step{
		{"table", func() error {
			c.worked = true
			return c.tabulate(data)
		}},
		{"analysis", func() (err error) {
			c.worked = true
			c.r.Findings, err = analysis.Analyse(ctx, c.r.Records[c.r.Chosen], &c.wanted[0].Analysis)
			return err
		}},
	})
}

func (c *chain) tabulate(data []byte) error {
	w := &c.wanted[0]
	for _, end := range []struct {
		field string
		box   *float64
	}{{"from", w.FromBox}, {"to", w.ToBox}} {
		if end.box != nil {
			return &SettingError{end.field, "--" + end.field + " is in boxes, and a table has none", "give a time with its unit, such as 1.2s"}
		}
	}
	t := c.s.Table
	t.Probe, t.GainLimit, t.TimeLimit = w.Setup.Probe, w.Setup.GainLimit, w.Setup.TimeLimit
	t = t.Stated(data)
	c.r.Setup.GainLimit, c.r.Setup.TimeLimit = t.GainLimit, t.TimeLimit
	rec, err := t.Record(data)
	if err != nil {
		return err
	}
	c.r.Records = []*calibrate.Record{rec}
	return nil
}
