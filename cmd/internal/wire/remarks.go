package wire

// Doubts and notes go out twice: as sentences for people, and beside them, in a list of the same length and order,
// as data for programs, which must not go by the wording.

import (
	"math"
	"reflect"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/report/words"
)

// A Remark is a doubt or a note as data. Kinds never change their meaning; new ones may come. Values are numbers (null
// if not finite), texts, or true and false; lengths, times and voltages are in SI units, or in what their name ends
// with: _box, _px, _deg.
type Remark struct {
	Kind   string         `json:"kind"`
	About  Text           `json:"about"` // the trace that it is about, or "readings", where there are several; else null
	Values map[string]any `json:"values"`
	Text   string         `json:"text"` // the sentence, as in the list of texts
}

// Told words remarks both ways, for those who lay documents side by side.
func Told(list []remark.Remark) (texts []string, kinds []Remark) { return told("", list) }

// told words remarks on what is named, both ways.
func told(about string, list []remark.Remark) (texts []string, kinds []Remark) {
	texts, kinds = make([]string, 0, len(list)), make([]Remark, 0, len(list))
	for _, r := range list {
		texts, kinds = append(texts, words.About(about, words.Of(r))), append(kinds, asData(about, r))
	}
	return texts, kinds
}

func asData(about string, r remark.Remark) Remark {
	out := Remark{Kind: string(r.Kind), About: Text(about), Values: map[string]any{}, Text: words.About(about, words.Of(r))}
	for _, v := range r.Values {
		switch x := v.X.(type) {
		case float64:
			out.Values[v.Name] = nil
			if !math.IsNaN(x) && !math.IsInf(x, 0) {
				out.Values[v.Name] = x
			}
		case int:
			out.Values[v.Name] = float64(x) // as it comes back from JSON
		default:
			out.Values[v.Name] = x
		}
	}
	return out
}

// doubt adds doubts to those of the document, each once.
func (d *Document) doubt(about string, list []remark.Remark) {
	texts, kinds := told(about, list)
	for i, k := range kinds {
		if !slices.ContainsFunc(d.DoubtKinds, func(o Remark) bool { return reflect.DeepEqual(o, k) }) {
			d.Doubts, d.DoubtKinds = append(d.Doubts, texts[i]), append(d.DoubtKinds, k)
		}
	}
}

// note adds notes to those of the document.
func (d *Document) note(about string, list []remark.Remark) {
	texts, kinds := told(about, list)
	d.Notes, d.NoteKinds = append(d.Notes, texts...), append(d.NoteKinds, kinds...)
}
