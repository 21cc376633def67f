package synth

import (
	"math"
	"slices"
	"testing"
)

// differs gives the extent in boxes of what two panels of one size show differently, and how many
// elements that are.
func differs(a, b *lcd) (box [4]float64, n int) {
	box = [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for k := range a.pix {
		if a.pix[k] != b.pix[k] {
			n++
			x, y := (float64(k%a.w)-a.centreX)/a.perBox, (a.centreY-float64(k/a.w))/a.perBox
			box = [4]float64{min(box[0], x), min(box[1], y), max(box[2], x), max(box[3], y)}
		}
	}
	return box, n
}

// A mark is drawn where the truth says, and its point is on the ground line; off the screen it stands at
// the rim.
func TestMarksStandWhereTheTruthSays(t *testing.T) {
	for form := range markNames {
		for _, ground := range []float64{-2.3, -6, 7} {
			if MarkForm(form) == MarkFlag && ground != -2.3 {
				continue // a flag stays at its height, out of sight
			}
			s := Scene{Signals: []Signal{{Form: Level, VStart: 1, GroundBox: ground, Codes: -1,
				Mark: ChannelMark{Form: MarkForm(form)}}}}
			s.Signals[0].VStart = 1 - ground // the trace stays where it is
			s.Display.Margins = [4]float64{1.5, 1, 1, 1}
			s = s.withDefaults()
			with := newLCD(s)
			truth, err := s.Truth()
			if err != nil {
				t.Fatal(err)
			}
			bare := newLCD(s)
			bare.fill(0, 0, bare.frameL-1, bare.h-1, bare.ink.bar)
			bare.fill(0, bare.frameB+1, bare.frameL+int(bare.perBox), bare.h-1, bare.ink.bar) // without the settings' words
			with.fill(with.frameL, with.frameB+1, with.frameL+int(with.perBox), with.h-1, with.ink.bar)
			got, n := differs(with, bare)
			m := truth.Marks[0]
			want, tol := m.InBox, 1.6/with.perBox
			if n < 10 || got[0] < want[0]-tol || got[1] < want[1]-tol || got[2] > want[2]+tol || got[3] > want[3]+tol {
				t.Errorf("%v at %g: %d elements in %.2f, the truth says %.2f", MarkForm(form), ground, n, got, want)
			}
			side := map[float64]string{-2.3: "right", -6: "down", 7: "up"}[ground]
			told := truth.Traces[0].Ground
			if m.Points != side || (side == "right") != (m.AtBox == ground) || told != groundSide(ground, truth.Frame()) {
				t.Errorf("%v at %g points %s at %g; the ground is %s", MarkForm(form), ground, m.Points, m.AtBox, told)
			}
		}
	}
}

// A cursor runs from rim to rim where the truth says, and nowhere else but for its label.
func TestCursorsRunFromRimToRim(t *testing.T) {
	for _, line := range []Pattern{Unbroken, Dashes, Points, DashPoints} {
		for _, upright := range []bool{true, false} {
			s := Scene{}.withDefaults()
			bare := newLCD(s)
			s.Display.Cursors = []Cursor{{Upright: upright, At: 1.3, Line: line}}
			got, n := differs(newLCD(s), bare)
			truth, _ := s.Truth()
			want := truth.Others[0].InBox
			for k := range got {
				if math.Abs(got[k]-want[k]) > 0.3 { // the longest gap of a pattern, boxes
					t.Errorf("pattern %d, upright %v: drawn in %.2f, the truth says %.2f", line, upright, got, want)
					break
				}
			}
			if n < 60 {
				t.Errorf("pattern %d, upright %v: %d elements", line, upright, n)
			}
		}
	}
}

// Busy scenes can be taken, show their main trace, and between them have everything that Features names.
func TestBusyScenesHaveItAll(t *testing.T) {
	seen := map[string]int{}
	forms := map[Form]int{}
	for seed := range uint64(400) {
		s := RandomBusy(seed)
		truth, err := s.Truth()
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for _, name := range s.Features() {
			seen[name]++
		}
		for _, sig := range s.Signals {
			forms[sig.Form]++
		}
		if len(truth.Traces[0].XBox) < 100 {
			t.Errorf("seed %d: only %d points of the main trace are on the screen", seed, len(truth.Traces[0].XBox))
		}
		for _, m := range truth.Marks {
			if m.What == "ground" && !slices.ContainsFunc(truth.Traces, func(tr TraceTruth) bool {
				return tr.Name == m.Trace && (tr.Ground != "on the screen" || tr.GroundBox == m.AtBox)
			}) {
				t.Errorf("seed %d: the mark %+v shows no trace's ground", seed, m)
			}
		}
	}
	for _, name := range []string{"traces 1", "traces 2", "traces 3", "traces 4", "mark: flag", "mark: pointer",
		"mark: outline", "mark: sign and pointer", "mark: sign and arrow", "mark: arrow", "mark: earth", "mark white",
		"mark inside the frame", "trigger signs inside", "trigger line", "cursors upright", "cursors level",
		"menu over the grid", "menu beside", "bare words", "box half clear", "box", "overview", "dots", "haze",
		"ground below", "ground above", "wide boxes", "slow sweep", "drawn in steps", "noisy trace", "glare", "lead in front",
		"finger", "readout of a tube", "bands", "tones evened", "denoised", "moire", "sharpening halos"} {
		if seen[name] < 4 {
			t.Errorf("%q is in %d of 400 scenes", name, seen[name])
		}
	}
	if len(forms) != len(formNames) {
		t.Errorf("signals %v", forms)
	}
}

// The beam of a tube writes words and cursors where the truth says, and nothing elsewhere.
func TestATubesReadoutLiesWhereTheTruthSays(t *testing.T) {
	s := Scene{Display: Display{Kind: Tube}, Signals: []Signal{{Form: Level, VStart: 99}}} // off the screen
	s, v := ready(t, s)
	bare := newTube(s, v)
	s.Display.Panels = []Panel{{Left: -4.5, Right: 0, Bottom: 2.9, Top: 3.6, Bare: true, Words: []string{"T 2 ms"}}}
	s.Display.Cursors = []Cursor{{At: -2, Line: Points}, {Upright: true, At: 3, Line: Dashes}}
	with := newTube(s, v)
	truth, err := s.Truth()
	if err != nil || len(truth.Others) != 3 {
		t.Fatalf("%d others, error %v", len(truth.Others), err)
	}
	lit := [3]int{}
	for k, light := range with.beam.Pix {
		if light-bare.beam.Pix[k] < 0.1 {
			continue
		}
		x, y := with.left+(float64(k%with.beam.W)+0.5)/with.perBox, with.top-(float64(k/with.beam.W)+0.5)/with.perBox
		const near = 0.1 // box: the beam's width
		where := slices.IndexFunc(truth.Others, func(o Other) bool {
			return x > o.InBox[0]-near && x < o.InBox[2]+near && y > o.InBox[1]-near && y < o.InBox[3]+near
		})
		if where < 0 {
			t.Fatalf("light at %.2f, %.2f", x, y)
		}
		lit[where]++
	}
	if min(lit[0], lit[1], lit[2]) < 50 {
		t.Errorf("samples lit by cursors and words: %v", lit)
	}
}

// A box or a menu that lets nothing through leaves most of the main trace to be seen (mostHidden), and a mark
// under it is told as hidden (coveredMark).
func TestBoxesLeaveTheMainTrace(t *testing.T) {
	for seed := range uint64(200) {
		s := RandomBusy(seed)
		for _, q := range s.Display.Panels {
			if share := s.hidden(q); !q.Bare && q.Clear == 0 && share > mostHidden {
				t.Errorf("seed %d: %.2f of the main trace lies under a panel", seed, share)
			}
		}
	}
	s := Scene{Signals: []Signal{{Form: Level, VStart: 1, GroundBox: -2,
		Mark: ChannelMark{Form: MarkPointer, Inside: 0.6}}}}
	for _, c := range []struct {
		panel Panel
		want  bool
	}{
		{Panel{Left: -5, Right: 0, Bottom: -3, Top: -1}, true},
		{Panel{Left: -5, Right: 0, Bottom: -3, Top: -1, Clear: 0.5}, false},
		{Panel{Left: -5, Right: 0, Bottom: -3, Top: -1, Bare: true}, false},
		{Panel{Left: -5, Right: 0, Bottom: -3, Top: -2.1}, false}, // a third of it
		{Panel{Left: -5, Right: 0, Bottom: -3, Top: -1.9}, true},
		{Panel{Left: -4.5, Right: 0, Bottom: -3, Top: -1}, true}, // its point
	} {
		s.Display.Panels = []Panel{c.panel}
		truth, err := s.Truth()
		if m := truth.Marks[0]; err != nil || m.Hidden != c.want {
			t.Errorf("under %+v the mark in %.2f is hidden: %v, want %v; %v", c.panel, m.InBox, m.Hidden, c.want, err)
		}
	}
}
