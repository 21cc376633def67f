// The budget of a result in a first-year's words: where its uncertainty comes from, how well each source is known, how
// that is known, and by how much it moves the result.

package report

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
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
	sort.SliceStable(terms, func(i, j int) bool { return terms[i].U > terms[j].U })
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

// A budgetTable has a row a source and a column a result: the share that each has in u² of each. Columns are numbered.
type budgetTable struct {
	names, says []string // of each result: its number and name, and its name, u and ν
	rows        []budgetRow
	others      string // sources that have no share worth a line in any result, in a sentence; else ""
}

type budgetRow struct {
	source string
	shares []string // in percent, "" where the source is none of a result's
	most   float64  // the largest
}

const budgetsSay = "A line says what percentage of u² of each result comes from that source. One marked (shared) is the instrument’s own and the " +
	"same in every photo of it at one setting, so it drops out when two such photos are compared."

// budgetOf puts the budgets of all results together, sources of large shares first.
func budgetOf(d *wire.Document) (b budgetTable) {
	const least = 0.005 // of u², what is worth a line
	n := 0
	for _, r := range d.Results {
		n += min(len(r.Budget), 1)
	}
	for _, r := range d.Results {
		if len(r.Budget) == 0 {
			continue
		}
		k := len(b.names)
		name := fmt.Sprintf("%d %s", k+1, ofResult(d, r, quantity(r)))
		b.names = append(b.names, name)
		dof := freedom(r.DOF, r.U)
		if !strings.HasPrefix(dof, ">") {
			dof = "= " + dof
		}
		b.says = append(b.says, name+": u = "+uncertainty(r.U, r.Value, r.Unit)+", ν "+dof)
		for i := range r.Budget {
			b.add(&r, &r.Budget[i], k, n)
		}
	}
	sort.SliceStable(b.rows, func(i, j int) bool { return cmp.Less(b.rows[j].most, b.rows[i].most) })
	from := slices.IndexFunc(b.rows, func(r budgetRow) bool { return r.most < least })
	if from < 0 {
		return b
	}
	var others []string
	for _, r := range b.rows[from:] {
		others = append(others, r.source)
	}
	b.rows, b.others = b.rows[:from], "Less than 0.5 % of everything: "+strings.Join(others, ", ")+"."
	return b
}

// add adds what a source does to the k-th of n results.
func (b *budgetTable) add(r *wire.Result, t *wire.Term, k, n int) {
	name := t.Source
	if t.Shared {
		name += " (shared)"
	}
	i := slices.IndexFunc(b.rows, func(o budgetRow) bool { return o.source == name && o.shares[k] == "" })
	if i < 0 {
		i = len(b.rows)
		b.rows = append(b.rows, budgetRow{source: name, shares: make([]string, n)})
	}
	row := &b.rows[i]
	row.shares[k] = "–"
	if t.U.Known() && r.U > 0 {
		share := float64(t.U * t.U / (r.U * r.U))
		row.shares[k], row.most = fmt.Sprintf("%.0f", 100*share), max(row.most, share)
	}
}
