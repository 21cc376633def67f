// The reader of one photo and of one comparison.

package notebook

import (
	"errors"
	"path"
	"slices"
	"strings"
	"unicode"

	"go.yaml.in/yaml/v4"

	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
)

const (
	// maxTraces is the most of one photo, more than displays have, and maxReadings the largest table in the notebook
	// itself, in bytes. TestLimits would notice.
	maxTraces   = 8
	maxReadings = 64 << 10
	// maxTable is the largest file of readings in bytes: 100,000 of them, which nobody takes by hand.
	// TestATableIsNamedWithItsLine would notice.
	maxTable = 4 << 20
)

// photo reads one and adds it; common are the values of the settings of all photos.
func (r *reader) photo(n *Notebook, node *yaml.Node, common map[string]*yaml.Node) {
	p := Photo{Line: node.Line}
	faults := len(r.faults)
	into := func(to *string, most int) func(_, value *yaml.Node) {
		return func(_, value *yaml.Node) { *to = r.text(value, most) }
	}
	var name string
	keys := map[string]func(key, value *yaml.Node){
		"file": into(&p.File, maxLine), "name": into(&name, maxName), "title": into(&p.Title, maxLine),
		"instrument": into(&p.Instrument, maxName), "sketch": into(&p.Sketch, maxLine),
		"generator": func(_, value *yaml.Node) { p.Generator = r.generator(value) },
		"display":   func(_, value *yaml.Node) { p.Display = r.quantities(value, "what the display says", true) },
		"by_hand":   func(_, value *yaml.Node) { p.ByHand = r.quantities(value, "what was read by hand", false) },
	}
	for _, f := range settings {
		keys[f.key] = r.setting(f, f.in(&p.Settings))
	}
	for _, f := range placing {
		keys[f.key] = into(f.in(&p.Placing), maxSetting)
	}
	keys["readings"] = func(_, value *yaml.Node) { p.Settings.Readings = r.table(value) }
	keys["readings_file"] = into(&p.Settings.ReadingsFile, maxLine)
	keys["traces"] = func(_, value *yaml.Node) {
		r.list(value, "traces", maxTraces, func(c *yaml.Node) { r.trace(&p.Settings, c) })
	}
	at := r.mapping(node, block{"a photo", keys})
	if node.Kind != yaml.MappingNode {
		return
	}
	if p.File == "" {
		if at["file"] == nil || at["file"].Kind == yaml.ScalarNode {
			r.fault(node, "add file: and the name of the photo", "a photo has no file")
		}
	} else if err := r.where.look(p.File, maxFile); err != nil {
		r.refused(at["file"], err)
	}
	if p.Sketch != "" {
		if err := r.where.look(p.Sketch, maxFile); err != nil {
			r.refused(at["sketch"], err)
		}
	}
	r.placing(&p, at)
	r.readings(&p, at)
	p.Name, p.named = name, name != ""
	if !p.named {
		p.Name = NameOf(p.File)
	}
	where := at["name"]
	if where == nil {
		where = node
	}
	switch i := slices.IndexFunc(n.Photos, func(o Photo) bool { return o.Name == p.Name }); {
	case strings.Contains(p.Name, "/"):
		r.fault(where, "leave the / out: in comparisons it stands before the way", "a name cannot have a / in it")
	case i >= 0 && p.Name != "":
		r.fault(where, "give each a name: of its own", "two photos are called %q, the first in line %d", cut(p.Name),
			n.Photos[i].Line)
	}
	r.generatorOnce(&p, at)
	n.Photos = append(n.Photos, p)
	if len(r.faults) == faults && !r.commonBad {
		r.together(n, node, at, common)
	}
}

// placing are the keys of how a photo's sketch was drawn.
var placing = []struct {
	key string
	in  func(*check.Settings) *string
}{
	{"squares_per_box", func(s *check.Settings) *string { return &s.SquaresPerBox }},
	{"origin", func(s *check.Settings) *string { return &s.Origin }},
	{"tolerance", func(s *check.Settings) *string { return &s.Tolerance }},
}

// placing refuses what says how a sketch was drawn where there is none, and what cannot be.
func (r *reader) placing(p *Photo, at map[string]*yaml.Node) {
	for _, f := range placing {
		var one check.Settings
		text := *f.in(&p.Placing)
		*f.in(&one) = text
		if text == "" {
			continue
		}
		if p.Sketch == "" {
			r.fault(at[f.key], "name the drawing with sketch, or leave it out", "%s is of a sketch, and there is none", f.key)
		}
		if _, err := one.Options(); err != nil {
			r.refused(at[f.key], err)
		}
	}
}

// NameOf is what a photo is called if it has no name: its file's without folders and ending.
func NameOf(file string) string {
	base := path.Base(file)
	if file == "" {
		return ""
	}
	name := strings.TrimSpace(strings.TrimSuffix(base, path.Ext(base)))
	if name == "" {
		name = base
	}
	if r := []rune(name); len(r) > maxName {
		name = string(r[:maxName])
	}
	return name
}

// together asks wire whether the settings of the last photo go together, with those of all photos, and whether the
// table of its readings is one.
func (r *reader) together(n *Notebook, node *yaml.Node, own, common map[string]*yaml.Node) {
	s, err := n.Given(len(n.Photos) - 1).Parse()
	if err == nil && s.Readings != nil {
		if _, err := s.Table.Stated(s.Readings.Data).Record(s.Readings.Data); err != nil {
			r.wrongTable(&n.Photos[len(n.Photos)-1], own, err)
		}
		return
	}
	wrong := (*reading.SettingError)(nil)
	if !errors.As(err, &wrong) {
		return
	}
	key := strings.ReplaceAll(wrong.Field, "-", "_")
	at := node
	if c := common[key]; c != nil {
		at = c
	}
	if traces := own["traces"]; traces != nil {
		at = traces
		for _, t := range traces.Content {
			for i := 0; i+1 < len(t.Content); i += 2 {
				if t.Content[i].Value == key {
					at = t.Content[i+1]
				}
			}
		}
	}
	if o := own[key]; o != nil {
		at = o
	}
	r.refused(at, err)
}

func (r *reader) trace(s *wire.Settings, node *yaml.Node) {
	var t wire.TraceFields
	keys := map[string]func(key, value *yaml.Node){}
	for _, f := range settings {
		if f.trace {
			keys[f.key] = r.setting(f, f.inTrace(&t))
		}
	}
	r.mapping(node, block{"a trace", keys})
	s.Traces = append(s.Traces, t)
}

func (r *reader) generator(node *yaml.Node) (g Generator) {
	said := func(to *string, want string) func(_, value *yaml.Node) {
		return func(_, value *yaml.Node) {
			*to = r.text(value, maxSetting)
			if *to == "" {
				return
			}
			if _, err := unit.Parse(*to, want); err != nil {
				r.refused(value, err)
			}
		}
	}
	r.mapping(node, block{"a generator", map[string]func(key, value *yaml.Node){
		"frequency": said(&g.Frequency, "Hz"), "drive": said(&g.Drive, "V"),
		"source_resistance": said(&g.SourceResistance, "Ω"),
	}})
	return g
}

// generatorOnce refuses what stands under generator and as a setting of the same photo.
func (r *reader) generatorOnce(p *Photo, at map[string]*yaml.Node) {
	s := &p.Settings
	for _, k := range []struct{ key, own, dial string }{
		{"known_frequency", s.KnownFrequency, p.Generator.Frequency},
		{"known_drive", s.KnownDrive, p.Generator.Drive},
		{"source_resistance", s.SourceResistance, p.Generator.SourceResistance},
	} {
		if k.own != "" && k.dial != "" && at[k.key] != nil {
			r.fault(at[k.key], "leave one of them out", "%s is given twice, here and under generator", k.key)
		}
	}
}

func (r *reader) quantities(node *yaml.Node, what string, readout bool) (list []Quantity) {
	keys := map[string]func(key, value *yaml.Node){}
	for name, want := range quantities {
		keys[name] = func(_, value *yaml.Node) {
			text := r.text(value, maxSetting)
			if text == "" {
				return
			}
			v, err := valueOf(text, want, readout)
			if err != nil {
				r.refused(value, err)
			}
			list = append(list, Quantity{name, text, v})
		}
	}
	r.mapping(node, block{what, keys})
	return list
}

// table gives a table of readings that stands in the notebook itself, behind "readings: |".
func (r *reader) table(n *yaml.Node) string {
	switch {
	case n.Kind != yaml.ScalarNode:
		r.fault(n, "write readings: | and the table below it, a line for each reading",
			"readings are a table of text, not %s", kindOf(n))
		return ""
	case n.Tag == "!!null":
		return ""
	case len(n.Value) > maxReadings:
		r.fault(n, "keep it in a file, and name that with readings_file", "the table is larger than %d kB", maxReadings>>10)
		return ""
	case strings.ContainsFunc(n.Value, func(c rune) bool { return unicode.IsControl(c) && !strings.ContainsRune("\n\r\t", c) }):
		r.fault(n, "write it as plain text", "the table has signs that are not printed")
		return ""
	}
	return n.Value
}

// readings loads the table that a photo names.
func (r *reader) readings(p *Photo, at map[string]*yaml.Node) {
	s := &p.Settings
	switch {
	case s.ReadingsFile != "" && s.Readings != "":
		r.fault(at["readings_file"], "leave one of them out", "the readings are given twice, here and as a file")
	case s.ReadingsFile != "":
		err := r.where.look(s.ReadingsFile, maxTable)
		if err == nil {
			var b []byte
			b, err = r.where.load(s.ReadingsFile, maxTable)
			p.readings = string(b)
		}
		if err != nil {
			r.refused(at["readings_file"], err)
		}
	}
}

// wrongTable tells what is wrong with a table of readings: in its own line, of its own file where it has one.
func (r *reader) wrongTable(p *Photo, at map[string]*yaml.Node, err error) {
	var table *calibrate.TableError
	var setup *calibrate.SetupError
	f := Fault{File: r.file, Reason: err.Error(), Hint: "mend the table, or leave it out"}
	switch {
	case errors.As(err, &table):
		f.Line, f.Reason, f.Hint = table.Line, table.Reason, words.AsKeys(table.Hint)
	case errors.As(err, &setup):
		f.Hint = words.AsKeys(setup.Hint)
	}
	switch n := at["readings"]; {
	case p.readings != "":
		f.File = p.Settings.ReadingsFile
	case f.Line > 0 && n.Style&yaml.LiteralStyle != 0: // it begins in the line below its sign
		f.Line += n.Line
	default:
		f.Line, f.Column = n.Line, n.Column
	}
	r.faults = append(r.faults, f)
}

func (r *reader) comparison(n *Notebook, node *yaml.Node) {
	c := Comparison{Line: node.Line, all: true}
	faults := len(r.faults)
	at := r.mapping(node, block{"a comparison", map[string]func(key, value *yaml.Node){
		"quantity": func(_, value *yaml.Node) {
			c.Quantity = r.text(value, maxName)
			if _, known := quantities[c.Quantity]; c.Quantity != "" && !known {
				var names []string
				for name := range quantities {
					names = append(names, name)
				}
				slices.Sort(names)
				hint := "the quantities are " + strings.Join(names, ", ")
				if near := nearest(c.Quantity, names); near != "" {
					hint = "write " + near
				}
				r.fault(value, hint, "there is no quantity %q", cut(c.Quantity))
			}
		},
		"of": func(_, value *yaml.Node) {
			if value.Kind == yaml.ScalarNode && value.Tag != "!!null" { // one alone
				value = &yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{value}}
			}
			if value.Tag == "!!null" {
				return
			}
			c.all = false
			r.list(value, "photos", maxPhotos, func(m *yaml.Node) { c.Of = append(c.Of, r.member(n, m)) })
		},
	}})
	if node.Kind != yaml.MappingNode || len(r.faults) > faults {
		return
	}
	if c.Quantity == "" {
		r.fault(node, "add quantity: tau, or another", "a comparison does not say of what")
	}
	if c.all {
		for _, p := range n.Photos {
			c.Of = append(c.Of, Member{Photo: p.Name})
		}
	}
	if !c.all && len(c.Of) == 0 || len(c.Of) == 1 && c.Of[0].Way != "" {
		r.fault(at["of"], "name two or more, such as [low, high] or [low/boxes, low/generator]",
			"one value alone cannot be compared")
	}
	for i, m := range c.Of {
		if slices.Contains(c.Of[:i], m) {
			r.fault(at["of"], "leave one of them out", "%q is to be compared with itself", cut(m.String()))
		}
		r.present(n, c.Quantity, m, at["of"])
	}
	n.Compare = append(n.Compare, c)
}

// String is a member as it is written.
func (m Member) String() string {
	if m.Way == "" {
		return m.Photo
	}
	return m.Photo + "/" + m.Way
}

func (r *reader) member(n *Notebook, node *yaml.Node) (m Member) {
	text := r.text(node, maxSetting)
	m.Photo, m.Way, _ = strings.Cut(text, "/")
	m.Photo, m.Way = strings.TrimSpace(m.Photo), strings.TrimSpace(m.Way)
	if node.Kind != yaml.ScalarNode {
		return m
	}
	var names []string
	for _, p := range n.Photos {
		names = append(names, p.Name)
	}
	if !slices.Contains(names, m.Photo) {
		hint := "the photos are called " + listed(names)
		if near := nearest(m.Photo, names); near != "" {
			hint = "write " + near
		}
		r.fault(node, hint, "there is no photo called %q", cut(m.Photo))
	}
	if m.Way != "" && !slices.Contains(ways, m.Way) {
		hint := "the ways are " + strings.Join(ways, ", ")
		if near := nearest(m.Way, ways); near != "" {
			hint = "write " + near
		}
		r.fault(node, hint, "there is no way %q to a quantity", cut(m.Way))
	}
	return m
}

// present asks whether what a member takes from elsewhere was given.
func (r *reader) present(n *Notebook, quantity string, m Member, at *yaml.Node) {
	i := slices.IndexFunc(n.Photos, func(p Photo) bool { return p.Name == m.Photo })
	if i < 0 || at == nil {
		return
	}
	p, has := &n.Photos[i], true
	with := func(list []Quantity) bool {
		return slices.ContainsFunc(list, func(q Quantity) bool { return q.Quantity == quantity })
	}
	switch s := n.Given(i); m.Way {
	case FromDisplay:
		has = with(p.Display)
	case ByHand:
		has = with(p.ByHand)
	case FromGenerator:
		has = quantity == "frequency" && p.Generator.Frequency != "" || quantity == "v_pp" && p.Generator.Drive != ""
	case FromKnown:
		has = quantity == "frequency" && s.KnownFrequency != "" || quantity == "tau" && s.KnownTau != "" ||
			quantity == "half_life" && s.KnownHalfLife != "" || quantity == "v_pp" && s.KnownDrive != ""
	}
	if !has {
		r.fault(at, "give it with the photo, or leave "+m.String()+" out", "%s has no %s that is its %s", m.Photo, m.Way,
			quantity)
	}
}
