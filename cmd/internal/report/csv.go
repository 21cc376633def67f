package report

import (
	"math"
	"strconv"
	"strings"

	"quadrille/cmd/internal/wire"
)

// CSV is the table of the points of the trace that is analysed, or of the first of several; nil when there is none.
func CSV(d *wire.Document) []byte {
	if list := chosen(d); len(list) > 0 {
		return pointsOf(d, list[0])
	}
	return nil
}

// tables gives the table of each trace that is analysed, by file name: points.csv, or points-a.csv and so on of
// several.
func tables(d *wire.Document) map[string][]byte {
	out := map[string][]byte{}
	for _, t := range chosen(d) {
		name := "points.csv"
		if several(d) {
			name = "points-" + t.Name + ".csv"
		}
		out[name] = pointsOf(d, t)
	}
	return out
}

// oneCell keeps a name in the one cell of its line, whatever parts the cells, as in a web address (RFC 3986, 2.1): what
// stood behind a comma of the name would else be a cell of its own, and a formula if it begins with = + - or @.
var oneCell = strings.NewReplacer("%", "%25", ",", "%2C", ";", "%3B", "\t", "%09", `"`, "%22")

// pointsOf is the table of the points of tr (RFC 4180 with line feeds), after a head of lines that begin with "#" and
// say what the columns are. A sample where the trace is hidden keeps its row, with v_V, u_V, y_box and sigma_box empty;
// t_s, or v_V and u_V, are empty throughout when the scale is not known.
func pointsOf(d *wire.Document, tr *wire.Trace) []byte {
	var b strings.Builder
	head := func(parts ...string) { b.WriteString("# " + Clean(strings.Join(parts, "")) + "\n") }
	file, sum := source(d)
	head("file: ", oneCell.Replace(file))
	if sum != "" {
		head("sha256: ", sum)
	}
	used := d.Settings
	if several(d) {
		head("trace: ", tr.Name)
		used = *tr.Settings
	}
	for _, s := range settingsOf(d, used) {
		head(s.Name, ": ", s.Value)
	}
	if d.Table == nil && used.VoltsPerBox.Known() && used.TimePerBox.Known() {
		head("volts accuracy:", limited("", used.GainLimit))
		head("time accuracy:", limited("", used.TimeLimit))
	}
	for _, e := range tr.Effects {
		if e.Source == "ground line" && e.V > 0 && voltsIn(tr) == "V" {
			head("zero accuracy: ± ", plain(wire.Number(math.Sqrt(3)*float64(e.V)), "V", 2)) // the limits of a rectangular distribution
		}
	}
	if d.Table != nil {
		head("t_s: seconds; v_V: volts; u_V: one standard deviation, independent from point to point")
	} else {
		head("t_s: seconds from the left rim of the graticule; v_V: volts from the ground line")
		head("x_box, y_box: boxes from the centre of the graticule, right and up")
		head("u_V, sigma_box: one standard deviation, independent from point to point")
	}
	for _, e := range tr.Effects {
		head("moves all points together, not in u_V: ", e.Source, " (", effectSize(e, tr), ")")
	}
	head("a point where the trace is hidden has empty fields")
	names, lists, seen := "t_s,v_V,u_V,x_box,y_box,sigma_box\n", []wire.Numbers{tr.T, tr.V, tr.U, tr.X, tr.Y, tr.Sigma}, tr.Y
	if timeIn(tr) != "s" {
		lists[0] = nil
	}
	if voltsIn(tr) != "V" {
		lists[1], lists[2] = nil, nil
	}
	if d.Table != nil {
		names, lists, seen = "t_s,v_V,u_V\n", lists[:3], tr.V
	}
	b.WriteString(names)
	var row []byte
	for i := range seen {
		hidden := math.IsNaN(seen[i])
		row = row[:0]
		for c, list := range lists {
			if c > 0 {
				row = append(row, ',')
			}
			place := c == 0 || c == 3
			if i < len(list) && (place || !hidden) && !math.IsNaN(list[i]) && !math.IsInf(list[i], 0) {
				row = strconv.AppendFloat(row, list[i], 'g', 9, 64)
			}
		}
		b.Write(append(row, '\n'))
	}
	return []byte(b.String())
}

func effectSize(e wire.Effect, tr *wire.Trace) string {
	var parts []string
	if e.V.Known() && e.V > 0 {
		parts = append(parts, plain(e.V, voltsIn(tr), 2))
	}
	if e.T.Known() && e.T > 0 {
		parts = append(parts, plain(e.T, timeIn(tr), 2))
	}
	if parts == nil {
		return "nothing"
	}
	return strings.Join(parts, " and ")
}
