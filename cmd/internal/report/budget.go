// The budget of a result in a first-year's words: where its uncertainty comes from, how well each source is known, how
// that is known, and by how much it moves the result.

package report

import (
	"fmt"
	"slices"
	"strings"

	"quadrille/cmd/internal/wire"
)

// A termRow is a line of a budget: Known is how well the source is known, How how that is known, Per what one unit of
// it does to the result, U by how much it moves the result, Share its part of u².
type termRow struct{ Source, Value, Known, How, Per, U, Share, DOF, Shared string }

// distributions says how a source is known.
var distributions = map[wire.Text]string{
	"rectangular": "anywhere within limits",
	"normal":      "likelier near the middle",
	"t":           "as the points scatter",
}

func termOf(r *wire.Result, t *wire.Term) termRow {
	line := termRow{Source: t.Source, How: string(t.Distribution), U: uncertainty(t.U, r.Value, r.Unit), DOF: freedom(t.DOF, t.U)}
	if words, ok := distributions[t.Distribution]; ok {
		line.How = words
	}
	if t.Value.Known() {
		line.Value = exact(t.Value, string(t.Unit))
	}
	if !nameless(t) {
		line.Known, line.Per = knownTo(t), perInput(r, t)
	}
	if t.U.Known() && r.U > 0 {
		line.Share = percentOf(t, r)
	}
	if t.Shared {
		line.Shared = "shared"
	}
	return line
}

// nameless says that a source has no size of its own, as the scatter of many points has none: it is known by what it
// does to the result alone.
func nameless(t *wire.Term) bool { return t.Standard == 1 && (t.Unit == "1" || t.Unit == "") }

// knownTo is the standard uncertainty of the source; of a scale, which is a ratio, in percent or millionths.
func knownTo(t *wire.Term) string {
	switch x := t.Standard; {
	case t.Unit != "1" || !x.Known():
		return plain(x, string(t.Unit), 3)
	case x >= 1e-3:
		return significant(100*float64(x), 3) + " %"
	default:
		return significant(1e6*float64(x), 3) + " ppm"
	}
}

// perInput is what one unit of the source does to the result.
func perInput(r *wire.Result, t *wire.Term) string {
	if t.Unit == "1" {
		return plain(t.Sensitivity/100, r.Unit, 3) + " for 1 %"
	}
	return plain(t.Sensitivity, r.Unit, 3) + " for 1 " + string(t.Unit)
}

func percentOf(t *wire.Term, r *wire.Result) string {
	return fmt.Sprintf("%.0f %%", 100*float64(t.U*t.U/(r.U*r.U)))
}

// mainSources names the sources that make most of u², the largest first, for where the budget is folded.
func mainSources(r *wire.Result) string {
	const enough, most = 0.9, 3 // of u², and sources
	if !(r.U > 0) {
		return ""
	}
	terms := slices.Clone(r.Budget)
	slices.SortStableFunc(terms, func(a, b wire.Term) int {
		switch {
		case a.U > b.U:
			return -1
		case a.U < b.U:
			return 1
		}
		return 0
	})
	var parts []string
	sum := 0.0
	for _, t := range terms {
		if !t.U.Known() || len(parts) == most || sum >= enough {
			break
		}
		sum += float64(t.U * t.U / (r.U * r.U))
		parts = append(parts, t.Source+" "+percentOf(&t, r))
	}
	return strings.Join(parts, ", ")
}
