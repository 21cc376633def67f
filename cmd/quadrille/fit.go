package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"quadrille/calibrate"
	"quadrille/cmd/internal/save"
	"quadrille/cmd/internal/wire"
)

func newFit() *cobra.Command {
	var s wire.Settings
	var o readOptions
	c := &cobra.Command{
		Use:   "fit TABLE",
		Short: "Work out a table of readings",
		Long: `Fit takes a table of times and voltages, typed by hand at the screen or saved
by an instrument, and works out the same results as read does from a photo.

The table is text. A line names the columns and their units, and the readings
follow; a semicolon, tab, comma or spaces part them:

  # the timer's capacitor, read off the screen
  t_s,v_V,u_V
  0,9.0,0.1
  5,5.6,0.1

"t (ms)", "V / mV" and "time [s]" do as well, and units in a line of their own
below the names. What an instrument writes above that line is left aside. With
semicolons, tabs or spaces, numbers may have decimal commas; between commas they
may not, and a row with more cells than the head is an error. A cell may have
its own unit or prefix (5 ms, 500m). A line that begins with # is a comment; an
empty cell is a gap. A column u_V or sigma has one standard deviation of each
reading, u_s that of its time. Other columns are left aside. Of several voltages
the first is taken, or the one that --column names. A table may have a million
rows; a workbook is saved as CSV first.

Exit status: 0 read; 3 read, with a doubt that you must look at; 1 could not be
read; 2 wrong usage.

` + cautions,
		Example: `  quadrille fit readings.csv --u-volts 0.1V --u-time 0.3s --resistance 22k±1% --capacitance 470u±20%
  quadrille fit result/points.csv --signal decay --at 9V,7V,5V --out again`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{fmt.Sprintf("fit takes one table, not %d", len(args)), "quadrille fit readings.csv"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			return fit(c, args[0], s, o)
		},
	}
	f := c.Flags()
	f.SortFlags = false
	tableFlags(c, &s)
	f.StringVar(&s.VoltsAccuracy, "volts-accuracy", "", "limits of the instrument's volts scale, common to all readings (default 3%)")
	f.StringVar(&s.TimeAccuracy, "time-accuracy", "", "limits of its time base (default 100ppm)")
	f.StringVar(&s.Probe, "probe", "", "attenuation of the probe that the instrument was not told of: 10")
	f.StringVar(&s.From, "from", "", "use the readings from this time on: 1.2s")
	f.StringVar(&s.To, "to", "", "use the readings up to this time")
	signalFlags(func(name, usual, usage string, field func(*wire.TraceFields) *string) {
		f.StringVar(field(&s.TraceFields), name, usual, usage)
	})
	f.StringVar(&s.MonteCarlo, "monte-carlo", "", trialsUsage)
	outputFlags(c, &s, &o)
	return c
}

// tableFlags are those of a table of readings, in the place of a photo or beside one.
func tableFlags(c *cobra.Command, s *wire.Settings) {
	f := c.Flags()
	f.StringVar(&s.Column, "column", "", "the table's column of voltages, by its name in the head (default the first)")
	f.StringVar(&s.UVolts, "u-volts", "", "one standard deviation of every voltage of the table, where no column has it: 0.1V")
	f.StringVar(&s.UTime, "u-time", "", "one standard deviation of every time of the table: 0.3s")
	f.StringVar(&s.ZeroAccuracy, "zero-accuracy", "", "limits within which the table's 0 V may lie off ground: 0.15V")
}

// fit runs the command: reads the table, works, and writes all outputs or none.
func fit(c *cobra.Command, name string, given wire.Settings, o readOptions) error {
	if _, err := given.Parse(); err != nil { // before a table is loaded
		return err
	}
	if err := needOut(c, o.out); err != nil {
		return err
	}
	table, err := load(c.InOrStdin(), name, calibrate.MaxTableBytes, "the table", "give the path of a table of text")
	if err != nil {
		return err
	}
	given.File = table.name
	if _, err := checkFolder(o.out, table.sum(), o.replace); err != nil { // before it is worked out
		return err
	}
	set := save.Set{Inputs: append(printedTo(c.OutOrStdout(), c.ErrOrStderr()), table.is...)}
	done := showProgress(c, &given)
	a := wire.AnswerTable(c.Context(), table.data, given)
	done()
	return deliver(c, a, table.sum(), &set, o)
}
