package calibrate_test

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf16"

	"quadrille/calibrate"
)

// sixteen encodes text as UTF-16, with or without its mark.
func sixteen(order binary.AppendByteOrder, mark bool, text string) string {
	if mark {
		text = "\ufeff" + text
	}
	var out []byte
	for _, u := range utf16.Encode([]rune(text)) {
		out = order.AppendUint16(out, u)
	}
	return string(out)
}

// Forty tables and more as people and instruments write them (layouts from common practice, no source). All hold the
// same readings, or readings that cannot be told for sure: these are refused, and what is refused names the line, but
// for files that have none. None is read wrongly without a word.
func TestTablesAsTheyAreWrittenAreReadRightOrRefused(t *testing.T) {
	times, volts := []float64{0, 5, 10, 15, 20}, []float64{9, 9, 5.55, 3.42, 2.11}
	const points = "0,9\n5,9\n10,5.55\n15,3.42\n20,2.11\n"
	semicolons := strings.NewReplacer(",", ";", ".", ",").Replace(points)
	tabs := strings.ReplaceAll(points, ",", "\t")
	spaces := strings.ReplaceAll(points, ",", "   ")
	// each row, written by a function of its time in s and its voltage in V
	rows := func(format string, timeScale, voltScale float64, more ...any) string {
		b := strings.Builder{}
		for i := range times {
			b.WriteString(fmt.Sprintf(format, append([]any{times[i] * timeScale, volts[i] * voltScale}, more...)...) + "\n")
		}
		return b.String()
	}
	long := "t_s,v_V\n"
	for i := range 5000 {
		long += fmt.Sprintf("%g,%g\n", float64(i)/100, 9-float64(i)/1000)
	}
	for i, c := range []struct {
		name, text string
		refused    string  // "" is read
		doubted    bool    // read with a doubt
		scale      float64 // of the times; 0 is 1
		column     string
		told       string // in the note of the columns
	}{
		{name: "name_unit, commas", text: "t_s,v_V\n" + points},
		{name: "brackets, semicolons, decimal commas", text: "t (s);U (V)\n" + semicolons},
		{name: "quantity over unit, tabs", text: "t / s\tV / V\n" + tabs},
		{name: "spaces, brackets", text: "t (s)   V (V)\n" + spaces},
		{name: "spaces, quantity over unit", text: "t / s   U / V\n" + spaces},
		{name: "spaces and decimal commas", text: "t_s v_V\n" + strings.NewReplacer(",", " ", ".", ",").Replace(points)},
		{name: "tabs and decimal commas", text: "t_s\tv_V\n" + strings.NewReplacer(",", "\t", ".", ",").Replace(points)},
		{name: "square brackets", text: "Time [s];Voltage [V]\n" + semicolons},
		{name: "words", text: "time in seconds,voltage in volts\n" + points},
		{name: "units in the second line", text: "time,CH1\ns,V\n" + points, told: "CH1 (V)"},
		{name: "bracketed units in the second line", text: "time;CH1;CH2\n(s);(V);(V)\n" + rows("%g;%g;1", 1, 1)},
		{name: "units only", text: "s,V\n" + points},
		{name: "second and Volt below other names", text: "x-axis,1\nsecond,Volt\n" + rows("%+.8E,%+.8E", 1, 1)},
		{name: "no head", text: points, doubted: true},
		{name: "no head, decimal commas", text: semicolons, doubted: true},
		{name: "no head below a title", text: "my readings\n" + points, doubted: true},
		{name: "head as a comment", text: "# t_s v_V\n" + spaces},
		{name: "names without units", text: "time,voltage\n" + points, doubted: true},
		{name: "milliseconds and millivolts", text: "t (ms),V (mV)\n" + rows("%g,%g", 1e3, 1e3)},
		{name: "microseconds by a Greek letter", text: "t (μs);V (mV)\n" + rows("%g;%g", 1e6, 1e3)},
		{name: "microseconds in ISO 8859-1", text: "t (\xb5s);V (V)\n" + rows("%g;%g", 1e6, 1)},
		{name: "minutes", text: "t (min),V (V)\n0,9\n5,9\n10,5.55\n15,3.42\n20,2.11\n", scale: 60},
		{name: "units in the cells", text: "time,voltage\n" + rows("%g ms,%g mV", 1e3, 1e3), doubted: true},
		{name: "prefixes in the cells", text: "t_s,v_V\n0,9\n5000m,9000m\n10,0.00555k\n" + "15,3.42\n20,2.11\n"},
		{name: "preamble of names and values", text: "Model,bench 3\nRecord length,5,points\nSample interval,5.0,s\nVertical scale,1.5,V\n\ntime (s),CH1 (V)\n" + points, told: "lines_above"},
		{name: "preamble with the sign of the rows in it", text: "Saved;2026-05-04 10:11\nNote;a;b;c;d\nt_s;v_V\n" + semicolons},
		{name: "forty lines of preamble", text: strings.Repeat("Setting,1,2 V\n", 40) + "Source,CH1\nt_s,v_V\n" + points},
		{name: "two channels, the second asked for", text: "t (s),A (V),B (V)\n" + rows("%g,1,%g", 1, 1), column: "B (V)"},
		{name: "each channel with its own times", text: "ta (s),A (V),t (s),B (V)\n" + rows("7,1,%g,%g", 1, 1), column: "B (V)"},
		{name: "quoted cells", text: "\"t (s)\",\"v (V)\"\n" + rows(`"%g","%g"`, 1, 1)},
		{name: "quoted decimal commas", text: "t_s,v_V\n\"0\",\"9,0\"\n\"5\",\"9,0\"\n\"10\",\"5,55\"\n\"15\",\"3,42\"\n\"20\",\"2,11\"\n"},
		{name: "UTF-16 with its mark", text: sixteen(binary.LittleEndian, true, "t (s)\tv (V)\r\n"+strings.ReplaceAll(tabs, "\n", "\r\n"))},
		{name: "UTF-16, other order, without a mark", text: sixteen(binary.BigEndian, false, "t_s;v_V\n"+semicolons)},
		{name: "UTF-8 with its mark, old line ends", text: "\ufefft_s;v_V\r" + strings.ReplaceAll(semicolons, "\n", "\r")},
		{name: "upright lines round the cells", text: "| t_s | v_V |\n|-----|-----|\n" + rows("| %g | %g |", 1, 1)},
		{name: "index in front, remarks behind", text: "No.,t_s,v_V,remark\n1,0,9,\n2,5,9,\n3,10,5.55,knee?\n4,15,3.42,\n5,20,2.11,last\n"},
		{name: "rows that end with the sign", text: "t_s,v_V\n" + rows("%g,%g,", 1, 1)},
		{name: "exponents, minus signs of print", text: "t_s;v_V\n0;9,0E+00\n5;9,0E+00\n1,0E+01;5,55\n15;3,42\n20;211E\u22122\n"},
		{name: "five thousand rows", text: long, scale: -2},
		{name: "decimal commas where commas part", text: "t_s,v_V\n0,9,0\n5,9,0\n10,5,55\n", refused: "line 2: the row has 3 cells, and the head names 2"},
		{name: "the same in some rows", text: "t_s,v_V\n0,9\n5,9\n10,5,55\n15,3,42\n", refused: "line 4: the row has 3 cells"},
		{name: "the same with a third column", text: "t_s,v_V,u_V\n0,0,9,0,0,1\n5,0,9,0,0,1\n7,0,5,0,0,1\n", refused: "line 2: the row has 6 cells"},
		{name: "commas that may part thousands", text: "t_s,v_mV\n0,\"9,000\"\n5,\"5,550\"\n10,\"2,110\"\n", refused: "line 2: a comma with three digits"},
		{name: "head and rows parted otherwise", text: "t_s,v_V\n0;9,0\n5;9,0\n10;5,55\n", refused: "line 1: the names are not parted"},
		{name: "times of day", text: "time (s),v_V\n10:00:00,9\n10:00:05,9\n", refused: `line 2: "10:00:00"`},
		{name: "no column of times", text: "Sample interval,0.5\nn,CH1 (V)\n0,9\n1,8\n2,7\n", refused: "line 2: no column of the table is a time"},
		{name: "two tables in one file", text: "t_s,v_V\n" + points + "t_s,v_V\n" + points, refused: "line 7: a second table"},
		{name: "rows of numbers above the head", text: points + "t_s,v_V\n" + points + "25,1\n", refused: "line 1: rows of numbers stand above the head"},
		{name: "a missing cell between spaces", text: "t_s v_V u_V\n0 9 0.1\n5 0.1\n10 5.55 0.1\n", refused: "line 3: the row has 2 cells"},
		{name: "two units of one column", text: "t (ms),v (V)\ns,V\n" + points, refused: "line 1: the column \"t (ms)\" has two units"},
		{name: "megavolts", text: "t_s,v_MV\n" + points, refused: "line 1: the column \"v_MV\" is in \"MV\", a million volts"},
		{name: "seconds by a capital letter", text: "Time (S),CH1 (V)\n" + points},
		{name: "minutes by a prefix", text: "t_s,v_V\n0,9\n5M,9\n10M,5.55\n", refused: "line 3: \"5M\""},
		{name: "a bad row within", text: "t_s,v_V\n0,9\n5,error\n10,5.55\n15,3.42\n20,2.11\n", refused: `line 3: "error"`},
		{name: "a foot", text: "t_s,v_V\n" + points + "end of record\n", refused: `line 7: "end of record"`},
		{name: "times too coarse for the rate", text: "t_s,v_V\n0.001,9\n0.001,8\n0.002,7\n", refused: "line 3: the time 0.001 s does not come after"},
		{name: "times of 1e-308", text: "t_s,v_V\n0,9\n1e-308,8\n2e-308,7\n", refused: "line 3: the time 1e-308 s"},
		{name: "a workbook", text: "PK\x03\x04\x14\x00\x06\x00", refused: "a workbook or an archive"},
	} {
		rec, err := calibrate.Table{Column: c.column}.Record([]byte(c.text))
		if c.refused != "" {
			var wrong *calibrate.TableError
			if !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.refused) || wrong.Hint == "" {
				t.Errorf("%d, %s: %v, want %q and a hint", i+1, c.name, err, c.refused)
			}
			continue
		}
		if err != nil {
			t.Errorf("%d, %s: %v", i+1, c.name, err)
			continue
		}
		want := times
		switch c.scale {
		case -2:
			if len(rec.T) != 5000 || rec.T[4999] != 49.99 || rec.V[4999] != 9-4.999 {
				t.Errorf("%d, %s: %d readings", i+1, c.name, len(rec.T))
			}
			continue
		case 60:
			want = []float64{0, 300, 600, 900, 1200}
		}
		right := len(rec.T) == len(want)
		for k := range want {
			right = right && math.Abs(rec.T[k]-want[k]) < 1e-9 && math.Abs(rec.V[k]-volts[k]) < 1e-9
		}
		if !right || c.doubted != (len(rec.Doubts) > 0) {
			t.Errorf("%d, %s: %v %v, doubts %v", i+1, c.name, rec.T, rec.V, rec.Doubts)
		}
		if c.told != "" && !strings.Contains(fmt.Sprint(rec.Notes), c.told) {
			t.Errorf("%d, %s: told %v, want %q", i+1, c.name, rec.Notes, c.told)
		}
	}
}
