// The words that the terminal and the page share: names of quantities and methods, the document's
// doubts with what they are about, and the cautions.

package report

import (
	"slices"
	"sort"
	"strings"
	"unicode"

	"quadrille/cmd/internal/wire"
)

var quantityNames = map[string]string{
	"tau":                 "time constant τ",
	"half_life":           "half-life",
	"v_start":             "voltage at the start",
	"v_end":               "voltage it settles at",
	"period":              "period",
	"frequency":           "frequency",
	"v_pp":                "peak-to-peak voltage",
	"v_rms":               "rms voltage",
	"v_mean":              "mean voltage",
	"v_sd":                "standard deviation",
	"v_high":              "high level",
	"v_low":               "low level",
	"v_offset":            "offset",
	"v_amplitude":         "amplitude",
	"phase":               "phase",
	"duty_factor":         "duty factor",
	"slope":               "slope",
	"symmetry":            "symmetry",
	"linearity":           "linearity",
	"pulse_duration":      "pulse duration",
	"pulse_position":      "place of the pulse",
	"burst_duration":      "duration of the burst",
	"step_time":           "time of the step",
	"bandwidth":           "bandwidth",
	"transition_duration": "transition duration",
	"time_at_level":       "time at a level",
	"resistance":          "resistance R",
	"capacitance":         "capacitance C",
	"loop_resistance":     "resistance that C sees",
	"phase_difference":    "phase difference",
	"delay":               "delay",
	"amplitude_ratio":     "amplitude ratio",
	"v_drive":             "drive",
	"mean_difference":     "difference",
}

var methodNames = map[string]string{
	"curve":     "curve through the points",
	"log_line":  "straight line through ln V",
	"half_life": "half-life ÷ ln 2",
	"rc":        "R × C from the meters",
	"from tau":  "from τ and the other part",
}

// saidByLabel are the quantities whose labels say all: "from the knee to 5 V".
var saidByLabel = []string{"v_start", "v_end", "time_at_level"}

// quantity names what a result is, and how it was found if the document says so.
func quantity(r wire.Result) string {
	name := quantityName(r.Quantity, r.Unit)
	if name == "" {
		name = strings.ReplaceAll(r.Quantity, "_", " ")
	}
	switch {
	case r.Label != "" && slices.Contains(saidByLabel, r.Quantity):
		return string(r.Label)
	case r.Quantity == "tau":
		name = "τ" // the methods are what tells them apart
	}
	return joinNonEmpty(": ", name, way(r))
}

// quantityName is what a quantity in a unit is called, "" if it has no name: a height in boxes is no voltage.
func quantityName(quantity, unit string) string {
	name := quantityNames[quantity]
	if unit == "box" {
		name = strings.Replace(name, "voltage", "height", 1)
	}
	return name
}

// way says how a result was found: in the words of its label, or by the name of its method.
func way(r wire.Result) string {
	if r.Label != "" {
		return string(r.Label)
	}
	if r.Method == wire.Text(r.Quantity) { // the half-life from half-lives
		return ""
	}
	if m, ok := methodNames[string(r.Method)]; ok {
		return m
	}
	return strings.ReplaceAll(string(r.Method), "_", " ")
}

// chosen gives the traces that were analysed.
func chosen(d *wire.Document) (list []*wire.Trace) {
	for i := range d.Traces {
		if d.Traces[i].Chosen {
			list = append(list, &d.Traces[i])
		}
	}
	return list
}

// several says that more than one trace was analysed, so that sentences must say which they are about.
func several(d *wire.Document) bool { return len(chosen(d)) > 1 }

// grouped says that not all results are of one trace, so that they stand under headings.
func grouped(d *wire.Document) bool { return several(d) || d.Readings != nil }

// ofResult puts the traces of a result before its name where there are several, and readings before those of readings.
func ofResult(d *wire.Document, r wire.Result, name string) string {
	if len(r.Traces) > 1 {
		return ofTrace(d, strings.Join(r.Traces, " and "), name)
	}
	return ofTrace(d, r.Trace, name)
}

// ofTrace puts a trace before the name of what is of it, where there are several, and likewise readings.
func ofTrace(d *wire.Document, trace, name string) string {
	if !several(d) && trace != wire.ReadingsName || trace == "" {
		return name
	}
	return trace + ": " + name
}

// heading is what stands above the results of a trace where there are several.
func heading(r wire.Result) string {
	if len(r.Traces) > 1 {
		return "Traces " + strings.Join(r.Traces, " and ")
	}
	if r.Trace == wire.ReadingsName {
		return "Readings by hand"
	}
	return "Trace " + r.Trace
}

// A remark is a sentence and what it is about. A doubt has its kind as well.
type remark struct{ About, Says, kind string }

// A remarks list has each sentence once.
type remarks []remark

// add adds sentences, and their kinds where these are given.
func (l *remarks) add(about string, sentences []string, kinds ...wire.Remark) {
	for i, s := range sentences {
		if !slices.ContainsFunc(*l, func(r remark) bool { return r.Says == s }) {
			r := remark{About: about, Says: s}
			if i < len(kinds) {
				r.kind = kinds[i].Kind
			}
			*l = append(*l, r)
		}
	}
}

// lines gives each remark as one line of text.
func (l remarks) lines() (out []string) {
	for _, r := range l {
		out = append(out, joinNonEmpty(": ", r.About, r.Says))
	}
	return out
}

// Doubts gives what the text and the pages of d tell to look at first, one line each. What leads to the exit status of
// a doubt is just what is told: a command with any of them ends with that status, and no other does.
func Doubts(d *wire.Document) []string { return doubts(d).lines() }

// doubts gathers those of all parts of the document, by what hangs on them: what may be wrong with the photo's stance
// and the grid is wrong with every number, a doubt about one result with that alone. What speaks against a trace that
// no number was taken from puts no number in question, and is left with that trace in the document.
func doubts(d *wire.Document) (l remarks) {
	l.add("", d.Doubts, d.DoubtKinds...)
	l.add("photo", d.Photo.Doubts, d.Photo.DoubtKinds...)
	if d.Graticule != nil {
		l.add("graticule", d.Graticule.Doubts, d.Graticule.DoubtKinds...)
	}
	for _, t := range d.Traces {
		if t.Chosen {
			l.add("trace "+t.Name, t.Doubts, t.DoubtKinds...)
		}
	}
	for _, r := range d.Results {
		l.add(ofResult(d, r, quantity(r)), r.Doubts, r.DoubtKinds...)
	}
	return l.ordered()
}

// ordered puts those first on which most hangs.
func (l remarks) ordered() remarks {
	sort.SliceStable(l, func(i, j int) bool { return l[i].consequence() < l[j].consequence() })
	return l
}

// consequences are kinds of doubts by their beginnings, those first on which most hangs, and what is to be done first
// where the doubt itself names no setting.
var consequences = []struct{ kinds, first string }{
	{"reading.may_be reading.words_turned reading.higher_than_wide", ""},
	{"graticule.", seeGrid},
	{"photo.", seeGrid},
	{"reading.as_high_as_wide", ""},
	{"reading.no_trace reading.other", seeTrace},
	{"trace.", seeTrace},
	{"reading.", ""},
	{kindSeenIsNotGiven, seeFit},
	{kindApart + " " + kindSketch, ""},
	{"calibrate.ground", "First say where 0 V is, with --ground bottom, centre, or BOXES up from the centre."},
	{"calibrate.", "First look at the settings above: are they those of the display?"},
	{"analysis.another_kind analysis.could_also_be analysis.not_recognised", "First name the kind of signal with --signal."},
	{"", seeFit},
}

const (
	seeGrid  = "First look at the grid as it is drawn on the photo, on the page that --out FOLDER makes; if it is wrong, so is all else: give --corners and --boxes."
	seeFit   = "First look at the fitted curve on the page that --out FOLDER makes: does it run along the trace?"
	seeTrace = "First look at the trace as it is drawn on the photo, on the page that --out FOLDER makes; --trace reads another one."
)

// consequence is the place of a doubt among the consequences.
func (r remark) consequence() int {
	return slices.IndexFunc(consequences, func(c struct{ kinds, first string }) bool {
		return c.kinds == "" || slices.ContainsFunc(strings.Fields(c.kinds), func(k string) bool { return strings.HasPrefix(r.kind, k) })
	})
}

// first is what is to be done first, of doubts in their order; "" where that is said in the first of them.
func (l remarks) first() string {
	if strings.Contains(l[0].Says, "--") {
		return ""
	}
	return consequences[l[0].consequence()].first
}

// notes gathers what is worth knowing of the results.
func notes(d *wire.Document) (l remarks) {
	l.add("", d.Notes)
	for _, r := range d.Results {
		l.add(ofResult(d, r, quantity(r)), r.Notes)
	}
	return l
}

// cautions are printed wherever a circuit is measured. They are the common safety rules of a teaching
// laboratory (common practice, no source).
var cautions = []string{
	"A charged capacitor stays charged, with the energy ½CV². Discharge it through a resistor before you touch it, and check it again later.",
	"An electrolytic capacitor has a polarity. Reversed or above its rated voltage it can burst.",
	"The ground clip of a mains-powered oscilloscope is connected to earth. Never clip it to a live point.",
	"The rules of your laboratory and the word of its supervisor come first.",
}

// caution is the same in one line of a terminal.
const caution = "Care: capacitors stay charged, mind polarity, ground clips are earth."

// Clean makes text from outside, such as a file's name, fit for a terminal or a comment: what is no letter but tells
// the terminal something becomes a space. Those are the control characters (C0 and C1 of ISO/IEC 6429), which could
// move the cursor or end a line, and what turns the direction of writing (Unicode Standard Annex 9), which could make a
// name look like another. Bytes that are no UTF-8 become the replacement character.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == 0x2028 || r == 0x2029 {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

// either is one of two words.
func either(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}
