package synth

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

var tenByEight = geom.Frame{Cols: 10, Rows: 8}

// The mist timer's slow discharge: τ = 22 kΩ · 470 µF = 10.34 s; half of 9 V is left after τ·ln 2 and
// 9/e V after τ.
func TestMistTimerFollowsTheDischargeLaw(t *testing.T) {
	sig := MistSlow(tenByEight)
	for _, c := range []struct{ after, want float64 }{
		{-1, 9}, {0, 9}, {10.34 * math.Ln2, 4.5}, {10.34, 9 / math.E}, {2 * 10.34, 9 / (math.E * math.E)},
	} {
		if got := sig.Volts(sig.Knee + c.after); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%g s after the knee: %g V, want %g V", c.after, got, c.want)
		}
	}
}

// The driven network's closed form against the circuit itself, integrated in small steps from rest
// through twenty periods: dV/dt = (drive − V)/τ.
func TestDrivenNetworkSolvesItsCircuit(t *testing.T) {
	for _, c := range []struct{ frequency, duty float64 }{{10, 0.5}, {60, 0.5}, {40, 0.2}} {
		sig := MistFast(tenByEight)
		sig.Frequency, sig.Duty, sig.Knee = c.frequency, c.duty, 0
		period := 1 / c.frequency
		const steps = 20000
		dt, v, worst := period/steps, 0.0, 0.0
		for n := range 20 * steps {
			since := (float64(n%steps) + 0.5) * dt
			drive := sig.VStart
			if since < (1-c.duty)*period {
				drive = 0
			}
			if n >= 19*steps {
				worst = max(worst, math.Abs(sig.Volts(float64(n%steps)*dt)-v))
			}
			mid := v + dt/2*(drive-v)/sig.Tau
			v += dt * (drive - mid) / sig.Tau
		}
		if worst > 1e-4 {
			t.Errorf("%g Hz, duty %g: closed form and circuit differ by %g V", c.frequency, c.duty, worst)
		}
	}
}

// What the panel shows of the discharge: the middle of each column's bar follows
// V = 9 V·exp(−t/10.34 s) within the converter's and the panel's steps, and without bias.
func TestPanelShowsTheDischarge(t *testing.T) {
	s, _ := ready(t, Scene{Seed: 5})
	l := newLCD(s)
	c := l.ink.traces[0]
	var sum, sum2, n, worst float64
	for i := l.frameL + 60; i <= l.frameR-60; i++ { // past the knee, and before the line meets the rim
		first, last := -1, -1
		for j := l.frameT; j <= l.frameB; j++ {
			if l.pix[j*l.w+i] == c {
				if first < 0 {
					first = j
				}
				last = j
			}
		}
		y := (l.centreY - float64(first+last)/2) / l.perBox
		if y < -3.8 {
			break
		}
		seconds := ((float64(i)-l.centreX)/l.perBox + 5) * 5
		e := y - (-4 + 9*math.Exp(-(seconds-5)/10.34)/1.5)
		sum, sum2, n, worst = sum+e, sum2+e*e, n+1, max(worst, math.Abs(e))
	}
	mean, sd := sum/n, math.Sqrt(sum2/n)
	// Steps of 0.04 box and noise of 0.02 box, of which the middle of six samples keeps about half.
	if n < 250 || math.Abs(mean) > 0.003 || sd > 0.02 || worst > 0.08 {
		t.Errorf("%v columns: off by %.4f box on average, %.4f rms, %.3f at worst", n, mean, sd, worst)
	}
}

// With a pen at the centre, the new sweep is left of it, and right of the gap the sweep before, one
// screen earlier.
func TestSlowSweepLeavesAGapAheadOfThePen(t *testing.T) {
	s, _ := ready(t, Scene{Pen: 1, GapBoxes: 0.5})
	for _, c := range []struct {
		x, t float64
		ok   bool
	}{{-5, 0, true}, {1, 30, true}, {1.2, 0, false}, {1.6, 33 - 50, true}} {
		got, ok := s.shownTime(c.x)
		if ok != c.ok || math.Abs(got-c.t) > 1e-9 {
			t.Errorf("x = %g box shows %g s (%v), want %g s (%v)", c.x, got, ok, c.t, c.ok)
		}
	}
	truth := traceTruth(s, "a", s.Signals[0])
	for _, x := range truth.XBox {
		if x > 1 && x < 1.5 {
			t.Fatalf("the ideal curve has a point at %g box, in the gap", x)
		}
	}
}

func TestNamesOfKindsFormsAndGridsParse(t *testing.T) {
	for _, k := range []Kind{Colour, Pale, Blue, Tube} {
		if got, err := ParseKind(k.String()); err != nil || got != k {
			t.Errorf("%v parses as %v, %v", k, got, err)
		}
	}
	for k := range formNames {
		f := Form(k)
		if got, err := ParseForm(f.String()); err != nil || got != f {
			t.Errorf("%v parses as %v, %v", f, got, err)
		}
		sig, perBox := Specimen(f, tenByEight)
		if err := (Scene{Signals: []Signal{sig}, TimePerBox: perBox}).Validate(); err != nil || sig.Form != f {
			t.Errorf("specimen of %v: %v, %v", f, sig.Form, err)
		}
	}
	for _, g := range []Grid{Dotted, Fine, Solid, Crosses, Axes, Ticks} {
		if got, err := ParseGrid(g.String()); err != nil || got != g {
			t.Errorf("%v parses as %v, %v", g, got, err)
		}
	}
	if _, err := ParseForm("chirp"); err == nil {
		t.Error("an unknown form was taken")
	}
}

// On a tube the beam of a discharge crosses each height when the law says: V = 9 V·exp(−t/10.34 s)
// reaches v after 10.34 s · ln(9 V/v).
func TestTubeShowsTheDischarge(t *testing.T) {
	s := Scene{Display: Display{Kind: Tube}, Camera: tiltedCamera}
	_, v := ready(t, s)
	img := greenLight(t, s)
	s.Signals = []Signal{{Form: Level, VStart: 99}} // off the screen
	bare := greenLight(t, s)
	for _, volts := range []float64{7.8, 6.3, 3.9, 3.3} { // between the graticule's lines
		at := func(height float64) geom.Pixel {
			seconds := 5 + 10.34*math.Log(9/height)
			return v.pixel(geom.Box{X: seconds/5 - 5, Y: height/1.5 - 4})
		}
		here, lower := at(volts), at(volts-0.05)
		row := math.Floor(here.Y) + 0.5
		want := here.X + (lower.X-here.X)*(row-here.Y)/(lower.Y-here.Y)
		got := centreOf(img, bare, geom.Pixel{X: want, Y: row}, 8, 0)
		if math.Abs(got.X-want) > 0.25 { // 1/200 box: the beam is 2 px wide and the curve bends under it
			t.Errorf("%g V: beam centred at x = %.2f px, the law says %.2f", volts, got.X, want)
		}
	}
}
