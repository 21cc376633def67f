package calibrate

// A table of readings, typed by hand or saved by an instrument, in the place of a trace. The head names
// the columns and their units (tablehead.go); every further row is one reading. A spread of the times
// enters through the slope, as the effective variance of a voltage
//
//	sigma² = u(V)² + (dV/dt)²·u(t)²
//
// (J. Orear, Am. J. Phys. 50 (1982) 912, eq. 3), with the slope of the parabola through the five nearest
// readings: two unknowns more than a slope needs would follow the noise, fewer points would not see a bend.

import (
	"fmt"
	"math"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A Table says how the readings of a table are taken. The zero value takes the first column of volts.
type Table struct {
	Column string // name of the column of volts to use; "" means the first
	// VoltsU and TimeU are the standard uncertainties of every reading, independent from one to the next, where
	// the table has no column of them; X = 0 means not given. In V and s.
	VoltsU, TimeU unit.Value
	// ZeroLimit is the half-width, in volts of the table, of the limits within which its 0 V may lie off ground; 0 means
	// not given, and the record has no such effect.
	ZeroLimit float64
	// The others are as in Setup.
	Probe, GainLimit, TimeLimit float64
}

// MaxRows is the most readings in one table, and MaxTableBytes its size: as many as instruments keep, and few enough to
// be worked out: 100,000 take 2 to 4 s of one slow core, a million 80 s and 1 GB. TestTableLimitsAreWhereTheySay holds
// them.
const (
	MaxRows       = 1000000
	MaxTableBytes = 64 << 20
)

// A TableError says what is wrong with a table and in which line, counted from 1; Line is 0 if it is the table
// as a whole.
type TableError struct {
	Line         int
	Reason, Hint string
}

func (e *TableError) Error() string {
	if e.Line == 0 {
		return e.Reason
	}
	return fmt.Sprintf("line %d: %s", e.Line, e.Reason)
}

// Record gives the record of a table. T is in the table's own seconds, V from its own 0 V, NaN where a cell is empty;
// Sigma is nil if neither the table nor s says how well a voltage is known, and +Inf for a reading that the table says
// nothing of. GroundBox is NaN. The effects are those of the scales, and of the ground line if ZeroLimit is given. Its
// errors are *TableError and *SetupError.
func (s Table) Record(data []byte) (*Record, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	l, err := newLines(data)
	if err != nil {
		return nil, err
	}
	c, err := s.head(l)
	if err != nil {
		return nil, err
	}
	rec, ut, err := s.body(l, c)
	if err != nil {
		return nil, err
	}
	if ut != nil {
		if rec.Sigma == nil {
			return nil, &SetupError{"u-time", "the times have an uncertainty, but nothing says how well the voltages are known",
				"give --u-volts as well, such as 0.1V, or a column u_V: one standard deviation of a reading"}
		}
		slopes := slopes(rec.T, rec.V)
		for i := range rec.Sigma {
			rec.Sigma[i] = math.Hypot(rec.Sigma[i], slopes[i]*ut[i])
		}
	}
	gain := relative(unit.Value{}, s.GainLimit, DefaultGainLimit)
	clock := relative(unit.Value{}, s.TimeLimit, DefaultTimeLimit)
	rec.add("volts scale", true, false, func(i int) (dt, dv float64) { return 0, rec.V[i] * gain })
	rec.add("time base", true, false, func(i int) (dt, dv float64) { return rec.T[i] * clock, 0 })
	if s.ZeroLimit > 0 {
		zero := s.ZeroLimit / math.Sqrt(3) * Setup{Probe: s.Probe}.probe()
		rec.add("ground line", false, false, func(int) (dt, dv float64) { return 0, -zero })
	}
	return rec, nil
}

// check refuses settings that are wrong whatever the table.
func (s Table) check() error {
	setup := Setup{VoltsPerBox: unit.Value{X: 1, Unit: "V"}, TimePerBox: unit.Value{X: 1, Unit: "s"},
		Probe: s.Probe, GainLimit: s.GainLimit, TimeLimit: s.TimeLimit}
	if err := setup.check(); err != nil {
		return err
	}
	for _, u := range []struct {
		field string
		v     float64
	}{{"u-volts", s.VoltsU.X}, {"u-time", s.TimeU.X}, {"zero-accuracy", s.ZeroLimit}} {
		if !(u.v >= 0 && u.v <= largestReading) {
			return &SetupError{u.field, fmt.Sprintf("%s is %g, which is no uncertainty", u.field, u.v), "give it above zero, or leave it out"}
		}
	}
	return nil
}

// largestReading, in V or s, is beyond what a bench has. TestTableLimitsAreWhereTheySay would notice.
const largestReading = 1e9

// smallest, in s or V, is a time or an uncertainty smaller than any of a bench. TestTableRefuses would notice.
const smallest = 1e-15

// body reads the rows below the head. ut is nil if nothing is known of the times' uncertainty.
func (s Table) body(l *lines, c *tableColumns) (rec *Record, ut []float64, err error) {
	probe := Setup{Probe: s.Probe}.probe()
	rec = &Record{Ground: "the table's own 0 V", GroundBox: math.NaN(), Doubts: append(c.doubts, probeDoubts(probe)...), Notes: c.notes}
	last, silent, firstSilent := 0, 0, 0
	for i := c.below; i < len(l.text); i++ {
		cells, line := l.cells(i), l.line[i]
		if err := c.fits(cells, line, l.sign); err != nil {
			return nil, nil, err
		}
		read := func(col *column) (float64, error) { return col.read(cells, line) }
		t, err := read(c.time)
		if err != nil {
			return nil, nil, err
		}
		v, err := read(c.volts)
		if err != nil {
			return nil, nil, err
		}
		if math.IsNaN(t) {
			if math.IsNaN(v) {
				continue
			}
			return nil, nil, &TableError{line, "there is a voltage without a time", "give the time, or take the row out"}
		}
		n := len(rec.T)
		if n == MaxRows {
			return nil, nil, &TableError{line, fmt.Sprintf("the table has more than %d readings", MaxRows),
				"keep every tenth row, say, or only the part of the record that is wanted"}
		}
		if n > 0 && t <= rec.T[n-1] {
			return nil, nil, &TableError{line, fmt.Sprintf("the time %g s does not come after the %g s of line %d", t, rec.T[n-1], last),
				"check the time; sort the rows by time, and of two readings at one time keep one"}
		}
		if n > 0 && t-rec.T[n-1] < smallest || t != 0 && math.Abs(t) < smallest {
			return nil, nil, &TableError{line, fmt.Sprintf("the time %g s is closer to the one before, or to zero, than anything at the bench", t),
				"check the number and the unit in the head"}
		}
		last = line
		rec.T, rec.V = append(rec.T, t), append(rec.V, v*probe)
		u, given, err := c.sigma.uncertainty(read, line, s.VoltsU)
		if err != nil {
			return nil, nil, err
		}
		if given {
			if math.IsInf(u, 1) && !math.IsNaN(v) {
				if silent++; silent == 1 {
					firstSilent = line
				}
			}
			rec.Sigma = append(rec.Sigma, u*probe)
		}
		if u, given, err = c.timeSigma.uncertainty(read, line, s.TimeU); err != nil {
			return nil, nil, err
		} else if given {
			ut = append(ut, u)
		}
	}
	if err := c.thousands(l); err != nil {
		return nil, nil, err
	}
	seen := 0
	for _, v := range rec.V {
		if !math.IsNaN(v) {
			seen++
		}
	}
	if seen < minReadings {
		return nil, nil, &TableError{0, fmt.Sprintf("the table has %d readings, too few to fit anything", seen),
			fmt.Sprintf("give at least %d rows, each with a time and a voltage", minReadings)}
	}
	if silent > 0 {
		rec.Doubts = append(rec.Doubts, remark.Of(KindReadingsWithoutU, remark.Count("readings", silent), remark.Count("first_line", firstSilent)))
	}
	return rec, ut, nil
}

// minReadings is the fewest that any fit has something to say of. TestTableRefuses would notice.
const minReadings = 3

// slopeReadings is the number of neighbours, itself included, from which the slope at a reading is taken (see
// the head). TestSlopesFollowBendsAndAverageNoise would notice.
const slopeReadings = 5

// slopes gives dV/dt at every reading, 0 where v is NaN.
func slopes(t, v []float64) []float64 {
	out := make([]float64, len(t))
	var seen []int
	for i := range v {
		if !math.IsNaN(v[i]) {
			seen = append(seen, i)
		}
	}
	n := min(slopeReadings, len(seen))
	lo := 0
	for k, i := range seen {
		for lo+n < len(seen) && lo < k && t[seen[lo+n]]-t[i] < t[i]-t[seen[lo]] {
			lo++
		}
		out[i] = slopeAt(t, v, seen[lo:lo+n], t[i])
	}
	return out
}

// slopeAt is the slope at time at of the parabola through the readings of use, by least squares on the
// polynomials 1, x, x² made orthogonal to each other over these readings (Forsythe, J. SIAM 5 (1957) 74).
func slopeAt(t, v []float64, use []int, at float64) float64 {
	n := float64(len(use))
	width := max(t[use[len(use)-1]]-at, at-t[use[0]])
	mean := 0.0
	for _, i := range use {
		mean += (t[i] - at) / width / n
	}
	sxx, skew := 0.0, 0.0
	for _, i := range use {
		x := (t[i]-at)/width - mean
		sxx, skew = sxx+x*x, skew+x*x*x
	}
	skew /= sxx
	linear, bent, norm := 0.0, 0.0, 0.0
	for _, i := range use {
		x := (t[i]-at)/width - mean
		q := x*x - skew*x - sxx/n
		linear, bent, norm = linear+x*v[i]/sxx, bent+q*v[i], norm+q*q
	}
	slope := linear
	if norm > 1e-12 { // three readings and more lie on no straight line of q
		slope += bent / norm * (-2*mean - skew) // dq/dx at x = −mean
	}
	return slope / width
}
