package reading

import (
	"errors"
	"strings"
	"testing"

	"quadrille/calibrate"
)

// The spans of both are told, and the slip that explains them where there is one.
func TestReadingsThatAreNotOnTheTraceAreRefused(t *testing.T) {
	times := func(from, to float64) *calibrate.Record {
		rec := &calibrate.Record{}
		for i := range 11 {
			rec.T = append(rec.T, from+(to-from)*float64(i)/10)
		}
		return rec
	}
	trace := times(0, 50e-6)
	for _, c := range []struct {
		table *calibrate.Record
		found bool
		want  string // of the hint; "" is no error
	}{
		{times(0, 40e-6), false, ""},
		{times(-30e-6, 20e-6), false, ""},
		{times(0, 10), false, "a million times shorter"},
		{times(0, 47e-3), false, "1000 times shorter"},
		{times(0, 12e-9), false, "1000 times longer"},
		{times(0, 1e5), false, "--readings-begin"},
		{times(0, 1e-9), false, "--readings-begin"},
		{times(1, 1+40e-6), true, "--readings-begin=-1s"},
	} {
		err := meets(c.table, trace, -1, c.found)
		var wrong *calibrate.TableError
		if c.want == "" {
			if err != nil {
				t.Errorf("%v: %v", c.table.T, err)
			}
			continue
		}
		if !errors.As(err, &wrong) || !strings.Contains(wrong.Hint, c.want) || !strings.Contains(wrong.Reason, "begins at 0 s and lasts 50.00") {
			t.Errorf("%g s to %g s: %#v, want %q", c.table.T[0], c.table.T[10], err, c.want)
		}
	}
}
