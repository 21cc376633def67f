package reading

// Readings that a person took off the screen, laid beside the photo's trace: the table is read as fit reads one, its
// times are counted from the photo's left rim, it is analysed as the trace was, and both are compared.

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/vision/geom"
)

// HandReadings is a table to be laid beside a trace.
type HandReadings struct {
	File string // its name, for the document only
	Data []byte
	// Begin and BeginBox are where on the photo the table's time 0 lies: s from the left rim, or boxes from the centre.
	// Both nil mean the left rim. Fitted looks for the place that makes the readings lie on the trace.
	Begin, BeginBox *float64
	Fitted          bool
}

// Beside is a table laid beside a trace.
type Beside struct {
	File, SHA256 string
	Begin        float64            // s from the left rim: where the table's time 0 lies
	Record       *calibrate.Record  // of the table, its times from the left rim
	Findings     *analysis.Findings // of the table alone; nil if it could not be worked out
	*analysis.Beside
}

// layBeside lays the table beside the first trace.
func (c *chain) layBeside() (err error) {
	r := c.r
	if r.Findings == nil {
		return errEnough
	}
	if !scaled(r.Setup) {
		r.Doubts = append(r.Doubts, remark.Of(KindReadingsNeedScales))
		return errEnough
	}
	k := keyOf("beside", c.findings[0], c.r.Setup, c.wanted[0].Analysis, c.s.Readings, c.s.Table)
	r.Beside, err = made(c, k, func() (*Beside, error) {
		return c.s.Readings.beside(c.ctx, r.subject(&r.Analysed), r.Records[r.Chosen], r.Traces[r.Chosen].Frame, r.Setup, c.wanted[0].Analysis, c.s.Table)
	})
	return err
}

// beside lays h beside what a photo gave of a trace on a frame: t, its record, what it was scaled with, and the
// settings that it was analysed with.
func (h *HandReadings) beside(ctx context.Context, t analysis.Subject, photo *calibrate.Record, f geom.Frame, used calibrate.Setup,
	own analysis.Settings, table calibrate.Table) (*Beside, error) {
	// The instrument is the same: what limits the photo's scales limits the table's.
	table.Probe, table.GainLimit, table.TimeLimit = used.Probe, limitOf(photo, "volts scale"), limitOf(photo, "time base")
	rec, err := table.Stated(h.Data).Record(h.Data)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(h.Data)
	b := &Beside{File: h.File, SHA256: hex.EncodeToString(sum[:]), Record: rec}
	var notes, doubts []remark.Remark
	shift, found := analysis.ShiftOfReadings(ctx, t, rec)
	switch {
	case h.Begin != nil:
		b.Begin = *h.Begin
	case h.BeginBox != nil:
		b.Begin = (*h.BeginBox - f.Left()) * used.TimePerBox.X
	case h.Fitted && found:
		b.Begin = shift
		notes = append(notes, remark.Of(KindReadingsBeginFound, remark.Number("begin_s", shift)))
	case found:
		doubts = append(doubts, remark.Of(KindReadingsElsewhere, remark.Number("begin_s", shift)))
	}
	for i := range rec.T {
		rec.T[i] += b.Begin
	}
	if err := meets(rec, photo, shift, found && h.Begin == nil && h.BeginBox == nil); err != nil {
		return nil, err
	}
	if own.Signal == "" || own.Signal == analysis.SignalAuto {
		own.Signal = t.Findings.Signal
	}
	own.Known, own.Trials, own.From, own.To = analysis.Known{}, 0, nil, nil
	own.Resistance, own.Capacitance = unit.Value{}, unit.Value{} // the photo's results have been compared with R·C
	var none *analysis.NotFoundError
	if b.Findings, err = analysis.Analyse(ctx, rec, &own); errors.As(err, &none) {
		notes = append(notes, remark.Of(KindReadingsNotWorkedOut, remark.Word("reason", none.Reason)))
	} else if err != nil {
		return nil, err
	}
	b.Beside = analysis.LayBeside(t, rec, b.Findings)
	b.Notes, b.Doubts = append(notes, b.Notes...), append(doubts, b.Doubts...)
	return b, nil
}

// meets refuses a table whose readings are not on the trace as a whole: one of them at the most meets it, or all lie
// within one of its points. shift is what would make them lie on it, if found.
func meets(table, photo *calibrate.Record, shift float64, found bool) error {
	first, last := photo.T[0], photo.T[len(photo.T)-1]
	begins, ends := table.T[0], table.T[len(table.T)-1]
	on := 0
	for _, t := range table.T {
		if t >= first && t <= last {
			on++
		}
	}
	if on > 1 && ends-begins > (last-first)/float64(len(photo.T)) {
		return nil
	}
	reason := fmt.Sprintf("the readings are not on the trace: they begin at %s and last %s, it begins at %s and lasts %s",
		unit.Engineering(begins, 4, "s"), unit.Engineering(ends-begins, 4, "s"), unit.Engineering(first, 4, "s"), unit.Engineering(last-first, 4, "s"))
	hint := "check the unit of the times in the table's head, and --time-per-box; where the table's time 0 lies is said with --readings-begin"
	if found {
		hint = fmt.Sprintf("they would lie on the trace with --readings-begin=%.6gs", shift)
	}
	edge := slipEdge * (last - first)
	for _, slip := range slips {
		if b, e := begins*slip.times, ends*slip.times; b >= first-edge && e <= last+edge && e-b > leastSpan*(last-first) {
			hint = fmt.Sprintf("%s they would lie on it: check the unit of the times in the table's head (%s), and --time-per-box", slip.says, slip.units)
			break
		}
	}
	return &calibrate.TableError{Reason: reason, Hint: hint}
}

// leastSpan is the share of a trace that readings of it span at least for a slip of the unit to be told, and slipEdge
// how far they may then reach beyond its ends (TestReadingsThatAreNotOnTheTraceAreRefused).
const leastSpan, slipEdge = 0.1, 0.05

// slips are the units that one takes for another, the likeliest first.
var slips = []struct {
	times       float64
	says, units string
}{
	{1e-3, "If they were 1000 times shorter,", "ms, not s?"},
	{1e3, "If they were 1000 times longer,", "s, not ms?"},
	{1e-6, "If they were a million times shorter,", "us, not s?"},
	{1e6, "If they were a million times longer,", "s, not us?"},
	{60, "If they were 60 times longer,", "min, not s?"},
	{1.0 / 60, "If they were 60 times shorter,", "s, not min?"},
}

// limitOf gives the limit of the rectangular distribution of a scale of rec, from what its effect does to the largest
// number.
func limitOf(rec *calibrate.Record, name string) float64 {
	for _, e := range rec.Effects {
		if e.Name != name {
			continue
		}
		far, share := 0.0, 0.0
		for i := range rec.T {
			size, move := math.Abs(rec.V[i]), e.DV[i]
			if name == "time base" {
				size, move = math.Abs(rec.T[i]), e.DT[i]
			}
			if size > far {
				far, share = size, math.Abs(move)/size
			}
		}
		return math.Sqrt(3) * share
	}
	return 0
}
