// Package wire has the JSON document in which a reading leaves the program, and the JSON settings that
// start one. Commands, the web page and the WebAssembly build all pass through here, so that there is
// one shape of result and no second.
//
// The document is made for readers of JSON: units stand in the keys, lists are never null, what is not
// known is null, and a NaN or an infinity never reaches the text. It may only grow; Schema counts up
// if a key ever changes its meaning. Beside each list of doubts or notes, which are sentences for people, stands
// a list of the same length, doubt_kinds or note_kinds, that says the same as data: see Remark.
package wire

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"unicode"
	"unicode/utf8"
)

// Schema is the version of the document that this package writes.
const Schema = 1

// A Document is one reading. All lengths on the display are in boxes from the graticule's centre, x
// right and y up; all places on the photo are in pixels of the upright picture from its top-left
// corner, y down.
type Document struct {
	Schema    int        `json:"schema"`
	Title     Text       `json:"title"` // a heading that a person gave; null without
	Photo     Photo      `json:"photo"`
	Table     *Table     `json:"table"`           // nil for a photo; for a table, photo is empty and there is one trace, without boxes
	Graticule *Graticule `json:"graticule"`       // nil when none was found
	Paper     *Paper     `json:"paper,omitempty"` // of a drawing on squared paper, whose squares are the graticule
	Settings  Used       `json:"settings"`
	Traces    []Trace    `json:"traces"`
	// Settings, Signal and SignalFrom are those of the trace that is analysed, or of the first of several; each trace has
	// its own as well. Signal is the kind of signal that the results are of: "decay", "sine", "triangle", "ramp",
	// "states", "pulses", "noise" or "level"; SignalFrom says in words why it was taken for that.
	Signal      Text         `json:"signal"`
	SignalFrom  Text         `json:"signal_from"`
	SignalTold  Text         `json:"signal_told"` // the same for programs: "given", "recognised", or "for want" of a kind that fits
	Results     []Result     `json:"results"`
	Comparisons []Comparison `json:"comparisons"`
	WhatIfs     []WhatIf     `json:"what_ifs"` // what the usual mistakes would do to a decay
	Fits        []Fit        `json:"fits"`
	LogLines    []LogLine    `json:"log_lines"`
	Doubts      []string     `json:"doubts"`
	DoubtKinds  []Remark     `json:"doubt_kinds"`
	Notes       []string     `json:"notes"` // worth knowing, but they put no number in question
	NoteKinds   []Remark     `json:"note_kinds"`
	Readings    *Readings    `json:"readings"` // taken off the screen by hand and laid beside the trace; null without
	Stages      []Stage      `json:"stages"`
	Error       *Error       `json:"error"` // nil when every stage went through
}

// A Photo names the picture file.
type Photo struct {
	File   string `json:"file"`
	SHA256 Text   `json:"sha256"` // of the file's bytes, hex
	Width  Number `json:"width_px"`
	Height Number `json:"height_px"`
	Taken  Text   `json:"taken"` // as the camera wrote it
	// Orientation is the EXIF orientation, 1..8, that was applied before anything was measured.
	Orientation Number   `json:"orientation"`
	Turned      Number   `json:"turned"` // degrees clockwise, by hand or by the display's words, after the orientation
	Doubts      []string `json:"doubts"`
	DoubtKinds  []Remark `json:"doubt_kinds"`
}

// A Table names the file of a table of readings, which was read in the place of a photo.
type Table struct {
	File     string `json:"file"`
	SHA256   Text   `json:"sha256"`   // of the file's bytes, hex
	Readings Number `json:"readings"` // rows with a voltage
	Gaps     Number `json:"gaps"`     // rows with a time only
}

// Readings are a table laid beside the trace. Their own results have the trace "readings".
type Readings struct {
	File   string          `json:"file"`
	SHA256 Text            `json:"sha256"`
	Begin  Number          `json:"begin_s"` // from the left rim: where the table's time 0 lies
	Rows   []ReadingBeside `json:"rows"`
}

// A ReadingBeside is one reading and the trace at its time; what the trace does not reach is null.
type ReadingBeside struct {
	T          Number `json:"t_s"` // from the left rim
	V          Number `json:"v_v"`
	U          Number `json:"u_v"`
	Trace      Number `json:"trace_v"`
	Difference Number `json:"difference_v"` // reading less trace
	DU         Number `json:"u_difference_v"`
	Zeta       Number `json:"zeta"`
	Odd        bool   `json:"odd"`   // it stands apart from the others
	Apart      Number `json:"apart"` // by how much: its difference less the median of all, in the reading's own u
}

// A Graticule is the display's frame as found on the photo.
type Graticule struct {
	Columns int      `json:"columns"`
	Rows    int      `json:"rows"`
	Corners [4]Point `json:"corners_px"` // top-left first, then clockwise on the display
	// Nodes has Rows+1 lists, the bottom line first, of Columns+1 places, left first: whole boxes
	// from the frame's bottom-left corner, whether or not a line is drawn there.
	Nodes      [][]Point `json:"nodes_px"`
	LinesX     string    `json:"lines_x"` // "from edge" or "centred"
	LensK1     Number    `json:"lens_k1"` // radial term with the radius in half diagonals of the photo
	Residual   Number    `json:"residual_box"`
	Crossings  int       `json:"crossings_seen"`
	Found      string    `json:"found"` // "automatic" or "by hand"
	Doubts     []string  `json:"doubts"`
	DoubtKinds []Remark  `json:"doubt_kinds"`
}

// A Paper tells of a drawing on squared paper.
type Paper struct {
	// Thin is how many thin squares lie side by side between two heavy lines; 1 where all lines are alike.
	Thin int `json:"thin"`
	// Curl is the farthest that a crossing lies off the plane through all.
	Curl   Number `json:"curl_box"`
	Axes   []Axis `json:"axes"`
	Origin *Point `json:"origin_box"` // where a level and an upright axis cross; null without
	// Explained is which part of what is drawn the curves and axes are.
	Explained Number `json:"explained"`
}

// An Axis is a straight line that was drawn along the squares, from its left or lower end.
type Axis struct {
	Level bool  `json:"level"`
	From  Point `json:"from_box"`
	To    Point `json:"to_box"`
}

// Used is what turned boxes into volts and seconds.
type Used struct {
	VoltsPerBox Number `json:"volts_per_box"`
	TimePerBox  Number `json:"time_per_box"` // s
	GroundBox   Number `json:"ground_box"`   // null where ground was neither seen nor given
	GroundFrom  Text   `json:"ground_from"`  // in words
	Probe       Number `json:"probe"`
	// GainLimit and TimeLimit are the accuracies of the two scales, relative, as limits of a
	// rectangular distribution.
	GainLimit Number `json:"gain_limit"`
	TimeLimit Number `json:"time_limit"`
}

// A Trace is one curve. X, Y and Sigma have one value a sample, as have T, V and U unless the scales
// are unknown, when those three are empty. Y, V and their sigmas are null where the trace is hidden.
//
// Of a trace that was analysed without one of its scales, TimeUnit or VoltageUnit is "box": what is called _s or _v of
// it, here, in its fits and in its log lines, is then in boxes, of an axis that begins at the left rim or at ground.
type Trace struct {
	TimeUnit    Text     `json:"time_unit"`    // "s", or "box"; null where T is empty
	VoltageUnit Text     `json:"voltage_unit"` // "V", or "box"
	Name        string   `json:"name"`
	Colour      string   `json:"colour"`   // "#rrggbb", as photographed
	Chosen      bool     `json:"chosen"`   // analysed; more than one may be
	Coverage    Number   `json:"coverage"` // 0..1 of the frame's width
	GroundMark  Number   `json:"ground_mark_box"`
	X           Numbers  `json:"x_box"`
	Y           Numbers  `json:"y_box"`
	Sigma       Numbers  `json:"sigma_box"`
	T           Numbers  `json:"t_s"` // from the frame's left rim
	V           Numbers  `json:"v_v"`
	U           Numbers  `json:"u_v"`      // independent from sample to sample; the effects are not in it
	Stroke      Numbers  `json:"stroke_v"` // the height over which the display drew each sample; empty for a table
	Effects     []Effect `json:"effects"`
	Doubts      []string `json:"doubts"`
	DoubtKinds  []Remark `json:"doubt_kinds"`
	// Of a chosen one: what it was scaled with, and what it was taken for and why.
	Settings   *Used `json:"settings"`
	Signal     Text  `json:"signal"`
	SignalFrom Text  `json:"signal_from"`
	SignalTold Text  `json:"signal_told"`
}

// An Effect is a cause that moves all samples of a trace together; averaging does not lessen it.
type Effect struct {
	Source string `json:"source"`
	Shared bool   `json:"shared"` // the instrument's own, the same in every photo at one setting
	T      Number `json:"t_s"`    // root mean square over the samples of what one standard deviation does
	V      Number `json:"v_v"`
}

// A Result is one quantity by one method.
type Result struct {
	Trace    string   `json:"trace"`  // its name; "a, b" of two traces together, "readings" of those laid beside
	Traces   []string `json:"traces"` // the names of its traces, one by one; none of readings
	Signal   string   `json:"signal"` // of that trace; "" of two
	Quantity string   `json:"quantity"`
	Method   Text     `json:"method"`
	Label    Text     `json:"label"` // for people
	Value    Number   `json:"value"`
	Unit     string   `json:"unit"`
	U        Number   `json:"u"`          // standard uncertainty; null if not determined
	Expanded Number   `json:"expanded_u"` // k·u, about 95 %
	K        Number   `json:"k"`
	DOF      Number   `json:"dof"` // effective degrees of freedom; null when unlimited
	Budget   []Term   `json:"budget"`
	Trials   *Trials  `json:"monte_carlo"` // null if none was asked for, or none is possible
	// Interval is the 95 % interval of τ from a short decay, low and high, where ± U does not tell both sides; else null.
	// A high end that is null is open.
	Interval   *[2]Number `json:"interval"`
	Doubts     []string   `json:"doubts"`
	DoubtKinds []Remark   `json:"doubt_kinds"`
	Notes      []string   `json:"notes"`
	NoteKinds  []Remark   `json:"note_kinds"`
}

// Trials is what a Monte Carlo calculation says of a result: mean and standard deviation of the trials, and the ends of
// their middle 95 %.
type Trials struct {
	Trials int    `json:"trials"`
	Seed   uint64 `json:"seed"`
	Mean   Number `json:"mean"`
	U      Number `json:"u"`
	Low    Number `json:"low"`
	High   Number `json:"high"`
}

// A Term is one line of an uncertainty budget.
type Term struct {
	Source       string `json:"source"`
	Value        Number `json:"value"`
	Unit         Text   `json:"unit"` // of value and standard
	Distribution Text   `json:"distribution"`
	Standard     Number `json:"standard"`    // standard uncertainty of the input
	Sensitivity  Number `json:"sensitivity"` // of the result to the input
	U            Number `json:"u"`           // contribution, in the result's unit
	DOF          Number `json:"dof"`         // null when unlimited
	Shared       bool   `json:"shared"`
}

// A Comparison says whether results agree. Results are indices into the document's list of results.
type Comparison struct {
	Title   string `json:"title"`
	Results []int  `json:"results"`
	Zeta    Number `json:"zeta"` // difference over its standard uncertainty
	Agree   bool   `json:"agree"`
	Short   string `json:"short"` // the same for a line of a terminal
	Says    string `json:"says"`
	// Causes of a disagreement, the one that could explain most of it first; each says how much.
	Causes     []string `json:"causes"`
	CauseKinds []Remark `json:"cause_kinds"`
	What       Remark   `json:"what"` // what is compared
}

// A WhatIf is a mistake and what it would do, each a part of one sentence.
type WhatIf struct {
	Trace string `json:"trace"`
	If    string `json:"if"`
	Then  string `json:"then"`
	What  Remark `json:"what"`
}

// A Fit is a curve through part of a chosen trace.
type Fit struct {
	Trace       string  `json:"trace"`
	Label       string  `json:"label"`
	Formula     string  `json:"formula"`
	T           Numbers `json:"t_s"` // the curve, dense enough to draw
	V           Numbers `json:"v_v"`
	AtT         Numbers `json:"at_t_s"` // the samples used
	Off         Numbers `json:"off_v"`  // and how far each lies above the curve
	EffectiveN  Number  `json:"effective_n"`
	Correlation Number  `json:"correlation"`
}

// A LogLine is the straight line through ln(|V - VInf| / 1 V) against t.
type LogLine struct {
	Trace     string  `json:"trace"`
	Label     string  `json:"label"`
	T         Numbers `json:"t_s"`
	LnV       Numbers `json:"ln_v"`
	U         Numbers `json:"u_ln_v"`
	Slope     Number  `json:"slope_per_s"`
	Intercept Number  `json:"intercept"`
	VInf      Number  `json:"v_inf_v"`
}

// A Stage is one step of the pipeline and the time it took.
type Stage struct {
	Name    string `json:"name"`
	Seconds Number `json:"seconds"`
	Worked  bool   `json:"worked"` // false where all had been made before, for another reading of this photo, or nothing was to be made
}

// An Error says why a stage failed, by who can act on it, and what to do next.
type Error struct {
	Kind   string `json:"kind"`  // "file", "setting", "graticule", "trace", "analysis", "interrupted" or "program"
	Field  Text   `json:"field"` // of kind "setting": which one
	Reason string `json:"reason"`
	Hint   Text   `json:"hint"`
}

// A Point is a place on the photo, x then y.
type Point [2]Number

// A Number is null in JSON when it is not finite, and NaN in Go when it was null.
type Number float64

// Numbers is a list of numbers, written to nine significant digits: far finer than any uncertainty,
// and it keeps 0.1 from reading 0.10000000000000001. A nil list is written as an empty one.
type Numbers []float64

// Text is null in JSON when it is empty.
type Text string

// Known reports whether the number is one.
func (n Number) Known() bool { return !math.IsNaN(float64(n)) && !math.IsInf(float64(n), 0) }

func (n Number) MarshalJSON() ([]byte, error) { return appendNumber(nil, float64(n), -1), nil }

func (n *Number) UnmarshalJSON(b []byte) error {
	v, err := parseNumber(b)
	*n = Number(v)
	return err
}

func (p Point) MarshalJSON() ([]byte, error) {
	return Numbers{float64(p[0]), float64(p[1])}.MarshalJSON()
}

func (l Numbers) MarshalJSON() ([]byte, error) {
	b := make([]byte, 1, 2+12*len(l))
	b[0] = '['
	for i, v := range l {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendNumber(b, v, 9)
	}
	return append(b, ']'), nil
}

func (l *Numbers) UnmarshalJSON(b []byte) error {
	var raw []Number
	if err := json.Unmarshal(b, &raw); err != nil {
		return err
	}
	*l = make(Numbers, len(raw))
	for i, v := range raw {
		(*l)[i] = float64(v)
	}
	return nil
}

func (t Text) MarshalJSON() ([]byte, error) {
	if t == "" {
		return []byte("null"), nil
	}
	return json.Marshal(string(t))
}

func appendNumber(b []byte, v float64, digits int) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return append(b, "null"...)
	}
	if digits > 0 { // round first, or 'g' turns to exponents at the wrong places
		v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	}
	format := byte('f')
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e21) { // as encoding/json writes numbers
		format = 'e'
	}
	return strconv.AppendFloat(b, v, format, -1, 64)
}

func parseNumber(b []byte) (float64, error) {
	if bytes.Equal(b, []byte("null")) {
		return math.NaN(), nil
	}
	var v float64
	err := json.Unmarshal(b, &v)
	return v, err
}

// Encode writes the document as JSON, indented by one space, with a newline at the end.
func Encode(d *Document) ([]byte, error) { return EncodeValue(d) }

// EncodeValue is Encode for something that has documents in it.
func EncodeValue(v any) ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return visible(joinLists(out.Bytes())), nil
}

// visible writes the control characters that JSON leaves as they are, and what turns the direction of writing, as
// escapes: a document may be printed on a terminal. They stand in texts only, and mean the same there (RFC 8259, 7).
func visible(b []byte) []byte {
	told := func(r rune) bool {
		return r == 0x7f || r > 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r))
	}
	if bytes.IndexFunc(b, told) < 0 {
		return b
	}
	var out []byte
	for _, r := range string(b) {
		if told(r) {
			out = fmt.Appendf(out, `\u%04x`, r)
		} else {
			out = utf8.AppendRune(out, r)
		}
	}
	return out
}

// Decode reads what Encode wrote, of this version.
func Decode(b []byte) (*Document, error) {
	var d Document
	if err := json.Unmarshal(b, &d); err != nil {
		return nil, fmt.Errorf("not a reading's document: %w", err)
	}
	if d.Schema != Schema {
		return nil, fmt.Errorf("the document is of version %d, and this program reads version %d", d.Schema, Schema)
	}
	return &d, nil
}

// joinLists puts each list of numbers on one line: indented JSON would give every sample its own.
func joinLists(b []byte) []byte {
	out := make([]byte, 0, len(b))
	for i := 0; i < len(b); i++ {
		out = append(out, b[i])
		switch b[i] {
		case '"': // copy a string whole: its text may look like a list
			for i++; b[i] != '"'; i++ {
				out = append(out, b[i])
				if b[i] == '\\' {
					i++
					out = append(out, b[i])
				}
			}
			out = append(out, '"')
		case '[':
			end := i + 1
			for bytes.IndexByte([]byte("0123456789+-.eE, \nnul"), b[end]) >= 0 {
				end++
			}
			if b[end] != ']' {
				continue
			}
			for _, c := range b[i+1 : end] {
				if c != ' ' && c != '\n' {
					out = append(out, c)
				}
			}
			out = append(out, ']')
			i = end
		}
	}
	return out
}
