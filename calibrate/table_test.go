package calibrate_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"

	"math/rand/v2"
)

func table(t testing.TB, s calibrate.Table, text string) *calibrate.Record {
	t.Helper()
	rec, err := s.Record([]byte(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return rec
}

// Ways of writing the head and the numbers that are in common use: quantity over unit is that of the SI brochure (9th
// edition, 5.4.1), brackets and low lines common practice, no source; RFC 4180 for commas and quotes.
func TestTableReadsOneRecordHoweverWritten(t *testing.T) {
	const rows = "0,9.5,0.1\n10,7.25,0.1\n20,5.5,0.1\n30,,\n40,3,0.2\n"
	times, volts, sigma := []float64{0, 0.01, 0.02, 0.03, 0.04}, []float64{9.5, 7.25, 5.5, math.NaN(), 3}, []float64{0.1, 0.1, 0.1, math.Inf(1), 0.2}
	semicolons := strings.NewReplacer(",", ";", ".", ",").Replace(rows)
	for _, text := range []string{
		"t_ms,v_V,u_V\n" + rows,
		"t (ms),V (V),u (V)\n" + rows,
		"t / ms,V / V,u_V / V\n" + rows,
		"time [ms],voltage [V],sigma [V]\n" + rows,
		"# bench 3\n\nTime in ms,Voltage in V,Uncertainty in V\n" + rows,
		"time ms,volts V,err V\n" + rows,
		"t_ms,U / V,sigma\n" + rows,
		"t_ms;U_C (V);σ (V)\n" + semicolons,
		"t_ms\tv_V\tu(V)\n" + strings.ReplaceAll(rows, ",", "\t"),
		"t (ms);V (V);u_v\r\n" + strings.ReplaceAll(semicolons, "\n", "\r\n"),
		"\ufefft (ms),v_V,u_V,x_box,sigma_box,remark\n" + strings.ReplaceAll(rows, "\n", ",1,2,good\n"),
		"remark,u_V,v_V,t_ms\na,0.1,9.5,0\n# pen lifted\nb,0.1,7.25,1e1\nc,0.1,5.5,20\nd,,,30\n,0.2,3.00,40\n",
		"time,voltage,error\n(ms),(V),(V)\n" + rows,
		"t (\xb5s),v_V,u_V\n0,9.5,.1\n1e4,7.25,.1\n20000,5.5,.1\n30000,,\n40000,3,.2\n", // ISO 8859-1
		"\"t (ms)\",\"v (V)\",\"u (V)\"\n\"0\",\"9,5\",\"0,1\"\n10,7.25,0.1\n20,5.5,0.1\n30,,\n40,3,0.2\n",
		"t_ms,v_mV,u_mV\n0,9500,100\n10,7250,100\n20,5500,100\n30,,\n40,3000,200\n",
	} {
		rec := table(t, calibrate.Table{}, text)
		if !same(rec.T, times, 1) || !same(rec.V, volts, 10) || fmt.Sprint(rec.Sigma) != fmt.Sprint(sigma) || len(rec.Doubts) > 0 {
			t.Errorf("%q gives\n%v\n%v\n%v\n%q", text, rec.T, rec.V, rec.Sigma, rec.Doubts)
		}
	}
	rec := table(t, calibrate.Table{}, "t (ms)   V (V)\n0   9.5\n10   7,25\n20  5.5\n")
	if !same(rec.T, times[:3], 1) || !same(rec.V, volts[:3], 10) || rec.Sigma != nil {
		t.Errorf("parted by spaces: %v %v %v", rec.T, rec.V, rec.Sigma)
	}
}

func TestTableDoubtsUnitsThatItGuesses(t *testing.T) {
	for text, doubts := range map[string]int{
		"0,9\n1,8\n2,7\n":                 1,
		"t,V\n0,9\n1,8\n2,7\n":            1, // V is the name and the unit
		"time,voltage\n0,9\n1,8\n2,7\n":   2,
		"t_s,v_V\n0,9\n1,8\n2,7\n":        0,
		"t_s,v_V,u_V\n0,9,\n1,8,1\n2,7,1": 1, // a reading without its uncertainty
	} {
		if rec := table(t, calibrate.Table{}, text); len(rec.Doubts) != doubts || len(rec.T) != 3 || rec.V[0] != 9 {
			t.Errorf("%q: %v %v, doubts %q", text, rec.T, rec.V, rec.Doubts)
		}
	}
}

func TestTableTakesTheColumnThatIsNamed(t *testing.T) {
	const text = "t_s,a_V,u_V,b_V,sigma_V\n0,9,1,90,10\n1,8,1,80,10\n2,7,1,70,10\n"
	for column, want := range map[string][2]float64{"": {9, 1}, "a_V": {9, 1}, "b_V": {90, 10}} {
		rec := table(t, calibrate.Table{Column: column}, text)
		if rec.V[0] != want[0] || rec.Sigma[0] != want[1] {
			t.Errorf("%q: %v ± %v, want %v", column, rec.V[0], rec.Sigma[0], want)
		}
	}
	var wrong *calibrate.SetupError
	if _, err := (calibrate.Table{Column: "c"}).Record([]byte(text)); !errors.As(err, &wrong) || wrong.Field != "column" {
		t.Errorf("no column c: %v", err)
	}
}

func TestTableRefuses(t *testing.T) {
	const head = "t_s,v_V,u_V\n"
	for text, want := range map[string]string{
		"":                                         "empty",
		"# nothing\n\n":                            "empty",
		"PK\x03\x04\x00\x00":                       "not a table of text",
		"t_s\n1\n2\n":                              "line 1: the table has one column",
		"dear diary, nothing\n":                    "line 1: no column of the table is a time",
		"t_s,i_A\n1,2\n":                           "line 1: no column of the table is a voltage",
		"1,2,3\n2,3,4\n":                           "line 1: the table has 3 columns and no head",
		"# x\nt_s,V (kg)\n1,2\n":                   `line 2: the column "V (kg)" is in "kg"`,
		"t (V),v_V\n1,2\n":                         "is no unit of time",
		"t_s,V (mV),u_V\n1,2,3\n":                  "can be the uncertainty in volts or in the unit of",
		"t_s,v_V,U (V)\n1,2,3\n":                   "may be a voltage or an uncertainty",
		head:                                       "0 readings, too few",
		head + "1,2,1\n2,3,1\n":                    "2 readings, too few",
		head + "1,2,1\n2,NaN,1\n":                  `line 3: "NaN" in the column "v_V" is not a number`,
		head + "1,2,1\n2,Inf,1\n":                  `line 3: "Inf"`,
		head + "1,2,1\n2,0x10,1\n":                 `line 3: "0x10"`,
		head + "1,2,1\n\n# x\n1,3,1\n":             "line 5: the time 1 s does not come after the 1 s of line 2",
		head + "3,2,1\n2,3,1\n":                    "line 3: the time 2 s does not come after the 3 s of line 2",
		head + "1,2,0\n":                           "line 2: the uncertainty 0",
		head + "1,2,-1\n":                          "line 2: the uncertainty -1",
		head + "1,2,1\n,3,1\n":                     "line 3: there is a voltage without a time",
		head + "1,1e12,1\n":                        "line 2: \"1e12\"",
		"t_s;v_V\n1;1.234,5\n":                     `line 2: "1.234,5"`,
		"t_s,v / kg\n1,2\n":                        `the column "v / kg" is in "kg"`,
		"t_s;v in all\n1;2\n":                      "1 readings, too few",
		"a,b,c,d,e,f,g,h\n1,2\n":                   `the head has "a", "b", "c", "d", "e", "f", …`,
		head + strings.Repeat("ab", 20) + ",1,1\n": `line 2: "` + strings.Repeat("ab", 15) + `…" in`,
	} {
		_, err := calibrate.Table{}.Record([]byte(text))
		var wrong *calibrate.TableError
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), want) || wrong.Hint == "" {
			t.Errorf("%.40q: %v, want %q and a hint", text, err, want)
		}
	}
	for field, s := range map[string]calibrate.Table{
		"u-volts": {VoltsU: volts(-1)}, "u-time": {TimeU: seconds(math.NaN())}, "zero-accuracy": {ZeroLimit: math.Inf(1)},
		"volts-accuracy": {GainLimit: 2}, "time-accuracy": {TimeLimit: -1}, "probe": {Probe: -3},
	} {
		_, err := s.Record([]byte(head + "1,2,1\n2,3,1\n3,4,1\n"))
		var wrong *calibrate.SetupError
		if !errors.As(err, &wrong) || wrong.Field != field {
			t.Errorf("%s: %v", field, err)
		}
	}
	var wrong *calibrate.SetupError
	if _, err := (calibrate.Table{TimeU: seconds(1)}).Record([]byte("t_s,v_V\n1,2\n2,3\n3,4\n")); !errors.As(err, &wrong) || wrong.Field != "u-time" {
		t.Errorf("times uncertain, voltages not said: %v", err)
	}
}

// The effects are those of the scales, as Apply gives them for a photo.
func TestTableLimitsAreWhereTheySay(t *testing.T) {
	rows := func(n int) string {
		b := strings.Builder{}
		b.WriteString("t_s,v_V\n")
		for i := range n {
			fmt.Fprintf(&b, "%d,1\n", i)
		}
		return b.String()
	}
	large := rows(10) + "# "
	for _, c := range []struct{ within, beyond, want string }{
		{rows(1e6), rows(1e6 + 1), "line 1000002: the table has more than 1000000 readings"},
		{large + strings.Repeat("x", 64<<20-len(large)), large + strings.Repeat("x", 64<<20+1-len(large)), "larger than 64 MB"},
		{rows(10) + "10,1e9\n", rows(10) + "10,1.001e9\n", "larger than anything met at the bench"},
	} {
		if _, err := (calibrate.Table{}).Record([]byte(c.within)); err != nil {
			t.Errorf("just not %q: %v", c.want, err)
		}
		if _, err := (calibrate.Table{}).Record([]byte(c.beyond)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v", c.want, err)
		}
	}
}

// The count of readings to a slope is between two faults. Over five readings of a sine of 16 to the cycle a parabola's
// slope is 8.5 % low where the sine crosses zero, by its normal equations; over ten it would be a quarter. And noise of
// one standard deviation makes a slope of 1/√10 a reading over five, of 1/√2 over three (Savitzky and Golay, Anal.
// Chem. 36 (1964) 1627).
func TestSlopesFollowBendsAndAverageNoise(t *testing.T) {
	slopesOf := func(v []float64) []float64 {
		text := "t_s,v_V\n"
		for i, x := range v {
			text += fmt.Sprintf("%d,%.9f\n", i, x)
		}
		return table(t, calibrate.Table{VoltsU: volts(1e-9), TimeU: seconds(1)}, text).Sigma
	}
	sine := make([]float64, 65)
	for i := range sine {
		sine[i] = math.Sin(2 * math.Pi * float64(i) / 16)
	}
	for i := 8; i <= 56; i += 8 {
		if s := slopesOf(sine)[i] / (2 * math.Pi / 16); math.Abs(s-0.915) > 0.005 {
			t.Errorf("reading %d of a sine has %.3f of its slope, want 0.915", i, s)
		}
	}
	noise, sum := rand.New(rand.NewPCG(1, 2)), 0.0
	flat := make([]float64, 2000)
	for i := range flat {
		flat[i] = noise.NormFloat64()
	}
	for _, s := range slopesOf(flat)[2 : len(flat)-2] {
		sum += s * s
	}
	if rms := math.Sqrt(sum / float64(len(flat)-4)); math.Abs(rms-math.Sqrt(0.1)) > 0.03 {
		t.Errorf("noise of 1 makes slopes of %.3f, want %.3f", rms, math.Sqrt(0.1))
	}
}

func TestTableHasTheEffectsOfTheScales(t *testing.T) {
	rec := table(t, calibrate.Table{GainLimit: 0.02, ZeroLimit: 0.3, Probe: 10}, "t_s,v_V\n0,1\n100,2\n200,\n300,4\n")
	if rec.V[1] != 20 || len(rec.Effects) != 3 {
		t.Fatalf("%v, %d effects", rec.V, len(rec.Effects))
	}
	for i, want := range []float64{20 * 0.02 / math.Sqrt(3), 100 * 100e-6 / math.Sqrt(3), -3 / math.Sqrt(3)} {
		e := rec.Effects[i]
		if got := e.DV[1] + e.DT[1]; math.Abs(got-want) > 1e-12 || e.DV[2] != 0 {
			t.Errorf("%s moves the second reading by %v, want %v, and the gap by %v", e.Name, got, want, e.DV[2])
		}
	}
}

// A straight line and a parabola have the slope that the effective variance needs, exactly: Orear 1982, eq. 3.
func TestTimeUncertaintyEntersThroughTheSlope(t *testing.T) {
	text := "t_s,v_V\n"
	times := []float64{0, 0.5, 1, 2.5, 3, 4.5, 7, 8}
	for _, x := range times {
		text += fmt.Sprintf("%g,%g\n", x, 2-3*x+0.25*x*x)
	}
	rec := table(t, calibrate.Table{VoltsU: volts(0.3), TimeU: seconds(0.2)}, text)
	for i, x := range times {
		if want := math.Hypot(0.3, 0.2*(-3+0.5*x)); math.Abs(rec.Sigma[i]-want) > 1e-9 {
			t.Errorf("at %g s: sigma %v, want %v", x, rec.Sigma[i], want)
		}
	}
}

// An uncertainty is a claim: τ of hand readings whose times scatter more than their voltages must be off by its own u
// on the average. The 0.3 s is about the scatter of a hand with a stopwatch (common practice, no source).
func TestPullsOfHandReadings(t *testing.T) {
	const n, tau = 200, 10.34
	rng := rand.New(rand.NewPCG(5, 6))
	sum, squares := 0.0, 0.0
	for range n {
		text := "t_s,v_V\n"
		for k := range 16 {
			x := 2 * float64(k)
			text += fmt.Sprintf("%.3f,%.4f\n", x+0.3*rng.NormFloat64(), 9*math.Exp(-x/tau)+0.05*rng.NormFloat64())
		}
		rec := table(t, calibrate.Table{VoltsU: volts(0.05), TimeU: seconds(0.3)}, text)
		f, err := analysis.Analyse(t.Context(), rec, &analysis.Settings{Signal: analysis.SignalDecay, Settles: analysis.SettlesGround})
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		for _, r := range f.Results {
			if r.Quantity == "tau" && r.Method == "curve" {
				pull := (r.Value.X - tau) / r.Value.U
				sum, squares = sum+pull, squares+pull*pull
			}
		}
	}
	mean, rms := sum/n, math.Sqrt(squares/n)
	t.Logf("pulls of τ: mean %.2f, rms %.2f", mean, rms)
	if math.Abs(mean) > 0.3 || rms < 0.8 || rms > 1.2 {
		t.Errorf("pulls of τ: mean %.2f, rms %.2f", mean, rms)
	}
}

func FuzzTable(f *testing.F) {
	for _, s := range []string{"t_s,v_V,u_V\n0,9,1\n1,8,1\n2,7,1\n", "t (ms);U / mV\n0,5;9\n1;8\n3;7\n", "0 9\n1 8\n2 7\n", "a\tb\n\"", "time,V\n(ms),(V)\n1,2\n", "±,t\n", "u_,s_V/\n1"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		rec, err := calibrate.Table{VoltsU: unit.Value{X: 0.1, Unit: "V"}, TimeU: unit.Value{X: 0.1, Unit: "s"}}.Record(data)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		for i := range rec.T {
			if i > 0 && !(rec.T[i] > rec.T[i-1]) || !(rec.Sigma[i] > 0) || math.IsInf(rec.V[i], 0) {
				t.Fatalf("reading %d: %v s, %v ± %v V", i, rec.T[i], rec.V[i], rec.Sigma[i])
			}
		}
	})
}

func TestTableStatesItsLimits(t *testing.T) {
	const head = "# volts accuracy: ± 1 %\n# time accuracy: 50ppm\n# zero accuracy: ± 150 mV\n# volts accuracy: far too good\n"
	const rows = "t_s,v_V\n# zero accuracy: ± 9 V\n0,1\n1,2\n2,3\n"
	if got, want := (calibrate.Table{}).Stated([]byte(head+rows)), (calibrate.Table{GainLimit: 0.01, TimeLimit: 50e-6, ZeroLimit: 0.15}); got != want {
		t.Errorf("stated %+v, want %+v", got, want)
	}
	given := calibrate.Table{GainLimit: 0.02, TimeLimit: 1e-3, ZeroLimit: 0.1}
	if got := given.Stated([]byte(head + rows)); got != given {
		t.Errorf("what the table states came before what was given: %+v", got)
	}
	if got := (calibrate.Table{}).Stated([]byte(rows)); got != (calibrate.Table{}) {
		t.Errorf("a table that states nothing gives %+v", got)
	}
}
