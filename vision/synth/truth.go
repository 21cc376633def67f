package synth

import (
	"encoding/json"
	"fmt"
	"math"

	"quadrille/vision/geom"
)

// A Truth is all that is known of a simulated photo. Pixels are those of the upright photo, (0, 0)
// the top-left corner of the top-left pixel; boxes count from the frame's centre, y up.
type Truth struct {
	Seed        uint64          `json:"seed"`
	Display     string          `json:"display"`
	WidthPx     int             `json:"width_px"`
	HeightPx    int             `json:"height_px"`
	Orientation int             `json:"orientation"` // EXIF, of the stored picture
	Columns     int             `json:"columns"`
	Rows        int             `json:"rows"`
	Centred     bool            `json:"centred"`
	CornersPx   [4][2]float64   `json:"corners_px"` // top-left first, clockwise
	NodesPx     [][][2]float64  `json:"nodes_px"`   // rows + 1 lists, bottom first, of columns + 1 places, left first
	LensK1      float64         `json:"lens_k1"`
	LensK2      float64         `json:"lens_k2"`    // the term of the fourth power, which geom.Radial lacks
	Homography  geom.Homography `json:"homography"` // box to ideal pixel; of a curved face, the plane at its centre
	TimePerBox  float64         `json:"time_per_box"`
	// CoveredBox lists what lies over the graticule and hides grid and traces: left, bottom, right and
	// top of each, in boxes.
	CoveredBox [][4]float64 `json:"covered_box,omitempty"`
	Traces     []TraceTruth `json:"traces"`
	Against    bool         `json:"against,omitempty"` // x against y: no trace is shown
	Marks      []Mark       `json:"marks,omitempty"`
	Others     []Other      `json:"others,omitempty"`
}

// A TraceTruth is one trace: its signal, and the ideal curve that the display was asked to show,
// without noise and steps, where it lies inside the frame.
type TraceTruth struct {
	Name        string    `json:"name"`
	Signal      string    `json:"signal"`
	VoltsPerBox float64   `json:"volts_per_box"`
	GroundBox   float64   `json:"ground_box"`
	VStart      float64   `json:"v_start"` // V; of driven, where each fall begins
	VEnd        float64   `json:"v_end"`   // V; of driven falls, what they tend to
	DriveV      *float64  `json:"drive_v,omitempty"`
	TauS        *float64  `json:"tau_s,omitempty"`
	KneeS       []float64 `json:"knee_s,omitempty"` // s from the left rim; of driven, every fall on the screen
	FrequencyHz *float64  `json:"frequency_hz,omitempty"`
	DutyFactor  *float64  `json:"duty_factor,omitempty"`
	// Of the forms that generators and logic give; absent where a form lacks them.
	WidthS float64 `json:"width_s,omitempty"` // of a single pulse, at half its height
	EdgeS  float64 `json:"edge_s,omitempty"`  // from one level to the other; of bent, how long the slope grows before the knee
	Pulses int     `json:"pulses,omitempty"`  // of a burst
	BitS   float64 `json:"bit_s,omitempty"`   // time of one bit
	HoldS  float64 `json:"hold_s,omitempty"`  // time of one step of a slow record
	SigmaV float64 `json:"sigma_v,omitempty"` // of noise: its rms
	VPp    float64 `json:"v_pp"`              // V; highest less lowest of the curve inside the frame, without noise
	Colour string  `json:"colour"`            // of the trace on the display, #rrggbb
	// Ground is where 0 V lies: "on the screen", "below" or "above" it.
	Ground string    `json:"ground"`
	XBox   []float64 `json:"x_box"`
	YBox   []float64 `json:"y_box"`
}

// curveSteps is how finely the ideal curve is given: points a box.
const curveSteps = 50

func truthOf(s Scene, v *view) Truth {
	d, f := s.Display, s.Display.Frame
	t := Truth{Seed: s.Seed, Display: d.Kind.String(), WidthPx: s.Camera.Width, HeightPx: s.Camera.Height,
		Orientation: s.Camera.Orientation, Columns: f.Cols, Rows: f.Rows, Centred: d.Centred,
		LensK1: s.Camera.K1, LensK2: s.Camera.K2, Homography: v.h0, TimePerBox: s.TimePerBox}
	if d.Kind != Tube && d.Table {
		t.CoveredBox = append(t.CoveredBox, [4]float64{f.Left(), -f.Bottom() - tableRows, -f.Left(), -f.Bottom()})
	}
	if d.Kind != Tube && d.Menu {
		t.CoveredBox = append(t.CoveredBox, [4]float64{-f.Left() - menuColumns, f.Bottom(), -f.Left(), -f.Bottom()})
	}
	if d.Kind != Tube {
		for _, p := range d.Panels {
			if p.Clear > 0 {
				continue
			}
			t.CoveredBox = append(t.CoveredBox, [4]float64{p.Left, p.Bottom, p.Right, p.Top})
		}
	}
	if s.Finger {
		t.CoveredBox = append(t.CoveredBox, fingerOf(s).covered(f))
	}
	for i, b := range f.Corners() {
		p := v.pixel(b)
		t.CornersPx[i] = [2]float64{p.X, p.Y}
	}
	for j := range f.Rows + 1 {
		row := make([][2]float64, f.Cols+1)
		for i := range row {
			p := v.pixel(geom.Box{X: f.Left() + float64(i), Y: f.Bottom() + float64(j)})
			row[i] = [2]float64{p.X, p.Y}
		}
		t.NodesPx = append(t.NodesPx, row)
	}
	if t.Against = s.Against; t.Against {
		t.Traces = []TraceTruth{}
		return t
	}
	for i, sig := range s.Signals {
		t.Traces = append(t.Traces, traceTruth(s, traceName(i), sig))
		t.Traces[i].Colour = shownColour(s, i)
	}
	t.Marks, t.Others = marksOf(s), othersOf(s)
	return t
}

// shownColour is that of trace i on its display, in sRGB.
func shownColour(s Scene, i int) string {
	c := [3]float32{0.1, 1, 0.4} // of a tube's phosphor, about
	if s.Display.Kind != Tube {
		c = s.inks().traces[i]
	}
	return fmt.Sprintf("#%02x%02x%02x", level(float32(srgb(float64(c[0])))), level(float32(srgb(float64(c[1])))), level(float32(srgb(float64(c[2])))))
}

func traceTruth(s Scene, name string, sig Signal) TraceTruth {
	f := s.Display.Frame
	t := TraceTruth{Name: name, Signal: sig.Form.String(), VoltsPerBox: sig.voltsPerBox(), GroundBox: sig.GroundBox,
		VStart: sig.VStart, VEnd: sig.VEnd, XBox: []float64{}, YBox: []float64{}}
	whole := float64(f.Cols) * s.TimePerBox
	switch sig.Form {
	case Decay:
		t.TauS, t.KneeS = &sig.Tau, []float64{sig.Knee}
	case Driven:
		duty, drive := sig.duty(), sig.VStart
		t.VStart, _ = sig.swing()
		t.VEnd = 0
		t.TauS, t.FrequencyHz, t.DutyFactor, t.DriveV = &sig.Tau, &sig.Frequency, &duty, &drive
		since, period := sig.phase(0)
		for knee := -since; knee < whole; knee += period {
			if knee >= 0 {
				t.KneeS = append(t.KneeS, knee)
			}
		}
	case Sine:
		t.FrequencyHz = &sig.Frequency
	case Square, Pulses, Ramp, Triangle, Rounded:
		duty := sig.duty()
		t.FrequencyHz, t.DutyFactor, t.EdgeS = &sig.Frequency, &duty, sig.Edge
		if sig.Form == Rounded {
			t.TauS = &sig.Tau
		}
	case HalfWave:
		t.FrequencyHz = &sig.Frequency
	case Level:
		t.VEnd = sig.VStart
	case Noise:
		t.VEnd, t.SigmaV = sig.VStart, sig.Noise*sig.voltsPerBox()
	case Bent:
		t.TauS, t.KneeS, t.EdgeS = &sig.Tau, []float64{sig.Knee}, sig.Edge
	case Step:
		t.KneeS, t.EdgeS = []float64{sig.Knee}, sig.Edge
	case Pulse:
		t.KneeS, t.WidthS, t.EdgeS = []float64{sig.Knee}, sig.Width, sig.Edge
	case Burst:
		duty := sig.duty()
		t.KneeS, t.FrequencyHz, t.DutyFactor, t.EdgeS, t.Pulses = []float64{sig.Knee}, &sig.Frequency, &duty, sig.Edge, sig.Count
	case Bits:
		t.BitS, t.EdgeS = 1/sig.Frequency, sig.Edge
	}
	t.HoldS = sig.Hold
	t.Ground = groundSide(sig.GroundBox, f)
	low, high := math.Inf(1), math.Inf(-1)
	for k := range f.Cols*curveSteps + 1 {
		x := f.Left() + float64(k)/curveSteps
		at, ok := s.shownTime(x)
		if !ok {
			continue
		}
		if y := sig.box(at); y >= f.Bottom() && y <= -f.Bottom() {
			t.XBox, t.YBox = append(t.XBox, x), append(t.YBox, y)
			low, high = min(low, y), max(high, y)
		}
	}
	t.VPp = max(0, high-low) * sig.voltsPerBox()
	return t
}

// Lens is the lens of the photo, but for its second term.
func (t Truth) Lens() geom.Radial {
	w, h := float64(t.WidthPx), float64(t.HeightPx)
	return geom.Radial{Centre: geom.Pixel{X: w / 2, Y: h / 2}, Scale: math.Hypot(w, h) / 2, K: t.LensK1}
}

// Frame is the size of the graticule.
func (t Truth) Frame() geom.Frame { return geom.Frame{Cols: t.Columns, Rows: t.Rows} }

// Encode writes the truth as JSON.
func (t Truth) Encode() ([]byte, error) {
	b, err := json.Marshal(t)
	if err != nil {
		return nil, fmt.Errorf("synth: %w", err)
	}
	return append(b, '\n'), nil
}

// DecodeTruth reads what Encode wrote. It refuses a text whose nodes do not fit its frame or whose
// curves are not lists of points.
func DecodeTruth(b []byte) (Truth, error) {
	var t Truth
	if err := json.Unmarshal(b, &t); err != nil {
		return Truth{}, fmt.Errorf("synth: not a truth file: %w", err)
	}
	fits := t.Rows > 0 && t.Columns > 0 && len(t.NodesPx) == t.Rows+1
	for _, row := range t.NodesPx {
		fits = fits && len(row) == t.Columns+1
	}
	for _, trace := range t.Traces {
		fits = fits && len(trace.XBox) == len(trace.YBox)
	}
	if !fits {
		return Truth{}, fmt.Errorf("synth: not a truth file: nodes or curves do not fit %d × %d boxes", t.Columns, t.Rows)
	}
	return t, nil
}
