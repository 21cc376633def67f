// The reader: from the text to a tree of nodes, each with its line and column (YAML 1.2 by the YAML organisation's own
// module), and from that to a Notebook. Anchors, aliases, tags and deep nesting are refused before anything is made of
// the tree, so that a short text cannot stand for a long one.

package notebook

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
)

const (
	// maxDepth is the deepest nesting: notebook, photos, photo, traces, trace, value, with the document around them.
	maxDepth = 7
	// maxFaults are told; a file that is no notebook at all would have one a line. TestLimits would notice.
	maxFaults = 50
	// maxKeys is the most keys in one block, twice those there are. TestLimits would notice.
	maxKeys = 120
	// maxPhotos and maxCompare are those of a class. TestLimits would notice.
	maxPhotos  = 200
	maxCompare = 200
	// Characters of a name, of a line such as a title, and of a setting.
	maxName, maxLine, maxSetting = 60, 200, 500
)

// Read reads the notebook of this name in files: YAML, or a ZIP that holds one. The files that it names are looked up
// beside it, and only their presence and size is looked at, but for tables of readings, which are loaded. The error is
// Faults, or one of files.
func Read(files fs.FS, name string) (*Notebook, error) {
	where := place{files, path.Dir(name)}
	r := &reader{file: path.Base(name)}
	text, err := loadText(files, name)
	if err == nil && isZIP(text) {
		if text, err = load(files, name, maxPacked); err == nil {
			where, err = unpack(text)
		}
		if err == nil {
			r.file = path.Base(name) + "/" + Name
			text, err = loadText(where.files, path.Join(where.dir, Name))
		}
	}
	if no := (*refusal)(nil); errors.As(err, &no) {
		return nil, Faults{{File: path.Base(name), Reason: no.reason, Hint: no.hint}}
	}
	if err != nil {
		return nil, err
	}
	if wire.IsPhoto(text) {
		return nil, Faults{{File: r.file, Reason: "this is a photo, and no notebook",
			Hint: "give the notebook, which names the photo behind file; to begin one: quadrille sheet --new slow-discharge"}}
	}
	r.where = where
	n := r.notebook(text)
	if len(r.faults) > 0 {
		slices.SortStableFunc(r.faults, func(a, b Fault) int {
			if a.Line != b.Line {
				return a.Line - b.Line
			}
			return a.Column - b.Column
		})
		if more := len(r.faults) - maxFaults; more > 0 {
			r.faults = append(r.faults[:maxFaults], Fault{File: r.file, Reason: fmt.Sprintf("there are %d more", more),
				Hint: "mend these first"})
		}
		return nil, r.faults
	}
	return n, nil
}

type reader struct {
	file      string
	where     place
	faults    Faults
	commonBad bool // the settings of all photos have faults

	key string // whose value is being read
}

func (r *reader) fault(at *yaml.Node, hint, format string, a ...any) {
	r.faults = append(r.faults, Fault{r.file, at.Line, at.Column, fmt.Sprintf(format, a...), hint})
}

// refused is fault for what another room or another part of this one says.
func (r *reader) refused(at *yaml.Node, err error) {
	var (
		own     *refusal
		parse   *unit.ParseError
		setting *reading.SettingError
	)
	switch {
	case errors.As(err, &own):
		r.fault(at, own.hint, "%s", own.reason)
	case errors.As(err, &parse):
		r.fault(at, parse.Hint, "%s", parse.Reason)
	case errors.As(err, &setting):
		r.fault(at, words.AsKeys(setting.Hint), "%s", words.AsKeys(leadingFlag.ReplaceAllString(setting.Reason, "")))
	default:
		r.fault(at, "mend it, or leave it out", "%v", err)
	}
}

var leadingFlag = regexp.MustCompile(`^--[a-z-]+: `)

// tree parses the text; nil if there is no tree to go on with.
func (r *reader) tree(text []byte) *yaml.Node {
	whole := &yaml.Node{}
	if len(text) > maxText {
		r.fault(whole, "keep tables of readings in files of their own, and photos beside it",
			"the notebook is larger than %d kB", maxText>>10)
		return nil
	}
	document := &yaml.Node{}
	d := yaml.NewDecoder(bytes.NewReader(text))
	err := d.Decode(document)
	if err == nil && d.Decode(&yaml.Node{}) != io.EOF {
		err = refuse("keep one notebook in one file, without a second ---", "there is more behind the notebook's end")
	}
	if bad := (*yaml.LoadError)(nil); errors.As(err, &bad) {
		whole.Line, whole.Column = bad.Mark.Line, bad.Mark.Column
		reason, hint := plainer(text, bad)
		r.fault(whole, hint, "%s", reason)
		return nil
	}
	switch no := (*refusal)(nil); {
	case err == io.EOF || err == nil && (len(document.Content) == 0 || document.Content[0].Tag == "!!null"):
		r.fault(whole, "print one to begin with: quadrille sheet --new slow-discharge", "the notebook is empty")
		return nil
	case errors.As(err, &no):
		r.fault(whole, no.hint, "%s", no.reason)
		return nil
	case err != nil:
		r.fault(whole, "write it again as plain text in UTF-8", "it cannot be read as YAML: %v", err)
		return nil
	}
	if !r.simple(document, 0) {
		return nil
	}
	return document
}

// plainer says in plain words what is wrong with the text as YAML.
func plainer(text []byte, bad *yaml.LoadError) (reason, hint string) {
	line := []byte(nil)
	if lines := bytes.Split(text, []byte("\n")); bad.Mark.Line > 0 && bad.Mark.Line <= len(lines) {
		line = lines[bad.Mark.Line-1]
	}
	begins := func(with string) bool { return strings.HasPrefix(bad.Message, with) }
	switch {
	case bytes.HasPrefix(bytes.TrimLeft(line, " "), []byte("\t")):
		return "a tab stands before the text", "indent with spaces, two for each step"
	case begins("mapping values are not allowed"):
		return "a colon stands where none can", "put a value with a colon in it into quotes, and line the keys of one block up"
	case begins("found unexpected end of stream"):
		return fmt.Sprintf("a quote is opened in line %d and never closed",
			bad.ContextMark.Line), "close it with the same sign"
	case begins("did not find expected '-'"), begins("did not find expected key"):
		return "this line does not line up with those of its block", "give all keys of one block the same number of spaces, and each photo a dash"
	case begins("could not find expected ':'"):
		return "a key has no colon behind it", "write it as key: value"
	case begins("found character that cannot start"):
		return "a value cannot begin with this sign", "put it into quotes"
	case begins("unknown anchor"):
		return "a value cannot begin with *", "put it into quotes"
	}
	return "it is no YAML: " + bad.Message, "compare it with one that quadrille sheet --new prints"
}

// simple refuses what can make a short text stand for a long one, or for something else.
func (r *reader) simple(n *yaml.Node, depth int) bool {
	switch {
	case depth > maxDepth:
		r.fault(n, "a notebook goes no deeper than photos, traces, and a trace's settings", "this is nested too deep")
		return false
	case n.Kind == yaml.AliasNode || n.Anchor != "":
		r.fault(n, "write the value out, or put what is common under settings",
			"anchors (&) and aliases (*) are not read here")
		return false
	case n.Style&yaml.TaggedStyle != 0:
		r.fault(n, "leave the tag out: every value is a text", "tags (%s) are not read here", n.Tag)
		return false
	}
	ok := true
	for _, c := range n.Content {
		ok = r.simple(c, depth+1) && ok
	}
	return ok
}

// A block says what a mapping may have, and what is done with each value.
type block struct {
	what string // in words: "a photo"
	keys map[string]func(key, value *yaml.Node)
}

// mapping goes through the keys of n and gives the value of each.
func (r *reader) mapping(n *yaml.Node, b block) map[string]*yaml.Node {
	at := map[string]*yaml.Node{}
	if n.Tag == "!!null" && b.what != "a photo" && b.what != "a comparison" {
		return at // nothing is given
	}
	if n.Kind != yaml.MappingNode {
		r.fault(n, "write it as lines of key: value, such as file: low.jpg", "%s is a block of keys, not %s", b.what,
			kindOf(n))
		return at
	}
	if len(n.Content)/2 > maxKeys {
		r.fault(n, "begin with a notebook that quadrille sheet --new prints", "%s has more than %d keys", b.what, maxKeys)
		return at
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if key.Kind != yaml.ScalarNode {
			r.fault(key, "write it as key: value", "a key is a word, not %s", kindOf(key))
			continue
		}
		if before, twice := at[key.Value]; twice {
			r.fault(key, "leave one of them out", "%s is given twice, first in line %d", key.Value, before.Line)
			continue
		}
		read, known := b.keys[key.Value]
		if !known {
			has := "has"
			if strings.HasPrefix(b.what, "the settings") {
				has = "have"
			}
			r.fault(key, hintFor(key.Value, b), "%s %s no key %q", b.what, has, cut(key.Value))
			continue
		}
		at[key.Value] = value
		r.key = key.Value
		read(key, value)
	}
	return at
}

// hintFor says what was most likely meant by a key that is not known.
func hintFor(key string, b block) string {
	var names []string
	for name := range b.keys {
		names = append(names, name)
	}
	slices.Sort(names)
	if at := belongs(key); at != "" && at != b.what {
		return fmt.Sprintf("%s belongs to %s", key, at)
	}
	if near := nearest(key, names); near != "" {
		return "write " + near
	}
	return "the keys here are " + strings.Join(names, ", ")
}

// belongs says where a key that stands in the wrong block belongs, "" if nowhere.
func belongs(key string) string {
	_, measured := quantities[key]
	f, set := settingOf(key)
	switch {
	case key == "drive":
		return "a photo's generator"
	case key == "frequency":
		return "a photo's generator, display or by_hand"
	case measured:
		return "a photo's display or by_hand"
	case set && f.trace:
		return "the settings of a photo or of one of its traces"
	case set:
		return "the settings of a photo"
	}
	return ""
}

func kindOf(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a block of keys"
	case yaml.SequenceNode:
		return "a list"
	}
	if n.Tag == "!!null" {
		return "nothing"
	}
	return fmt.Sprintf("%q", cut(n.Value))
}

// cut makes a text short enough for a message.
func cut(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// text gives a value as it is written, without space around it; "" where nothing stands.
func (r *reader) text(n *yaml.Node, most int) string {
	switch {
	case n.Kind != yaml.ScalarNode && r.key == "sketch":
		r.fault(n, "write sketch: drawing.jpg; squares_per_box, origin and tolerance stand beside it, not below it",
			"sketch is the name of a file, not %s", kindOf(n))
		return ""
	case n.Kind != yaml.ScalarNode:
		r.fault(n, "write one value behind the colon", "%s is a text or a number, not %s", cut(r.key), kindOf(n))
		return ""
	case n.Tag == "!!null":
		return ""
	}
	text := strings.TrimSpace(n.Value)
	switch {
	case utf8.RuneCountInString(text) > most:
		r.fault(n, fmt.Sprintf("give at most %d characters", most), "this text is too long")
		return ""
	case strings.ContainsFunc(text, unicode.IsControl):
		r.fault(n, "write it in one line", "this text has line breaks or signs that are not printed")
		return ""
	}
	return text
}

// list calls each for the elements of a list.
func (r *reader) list(n *yaml.Node, what string, most int, each func(*yaml.Node)) {
	switch {
	case n.Kind != yaml.SequenceNode:
		r.fault(n, "begin each with a dash and a space", "%s are a list, not %s", what, kindOf(n))
		return
	case len(n.Content) > most:
		r.fault(n, "make two notebooks of it", "there are more than %d %s", most, what)
		return
	}
	for _, c := range n.Content {
		each(c)
	}
}

func (r *reader) notebook(text []byte) *Notebook {
	document := r.tree(text)
	if document == nil {
		return nil
	}
	n := &Notebook{where: r.where, written: document}
	root := document.Content[0]
	var common map[string]*yaml.Node
	version := ""
	into := func(to *string, most int) func(_, value *yaml.Node) {
		return func(_, value *yaml.Node) { *to = r.text(value, most) }
	}
	at := r.mapping(root, block{"a notebook", map[string]func(key, value *yaml.Node){
		"notebook":   into(&version, maxLine),
		"title":      into(&n.Title, maxLine),
		"by":         into(&n.By, maxLine),
		"date":       into(&n.Date, maxLine),
		"instrument": into(&n.Instrument, maxName),
		"settings": func(_, value *yaml.Node) {
			keys := map[string]func(key, value *yaml.Node){}
			for _, f := range settings {
				if !strings.HasPrefix(f.key, "readings") {
					keys[f.key] = r.setting(f, f.in(&n.Settings))
				}
			}
			faults := len(r.faults)
			common = r.mapping(value, block{"the settings of all photos", keys})
			r.commonBad = len(r.faults) > faults
		},
		"photos":  func(_, value *yaml.Node) {}, // below, once the common settings are known
		"compare": func(_, value *yaml.Node) {}, // and the photos
	}})
	if root.Kind != yaml.MappingNode {
		return nil
	}
	switch {
	// told already
	case at["notebook"] == nil && slices.ContainsFunc(r.faults, func(f Fault) bool { return f.Hint == "write notebook" }):
	case at["notebook"] == nil:
		r.fault(root, "begin it with the line notebook: "+Version, "this is no notebook: the key notebook is missing")
	case version != Version:
		r.fault(at["notebook"], "write notebook: "+Version+", or take a newer program",
			"there is no version %q of a notebook", cut(version))
	}
	switch photos := at["photos"]; {
	case photos == nil:
		r.fault(root, "add photos: and below it - file: NAME for each", "the notebook has no photos")
	case photos.Kind == yaml.SequenceNode && len(photos.Content) == 0 || photos.Tag == "!!null":
		r.fault(photos, "add - file: NAME for each", "the notebook has no photos")
	default:
		r.list(photos, "photos", maxPhotos, func(c *yaml.Node) { r.photo(n, c, common) })
	}
	if compare := at["compare"]; compare != nil && compare.Tag != "!!null" {
		r.list(compare, "comparisons", maxCompare, func(c *yaml.Node) { r.comparison(n, c) })
	}
	return n
}

// setting reads the text of f into a field, and asks wire whether it is one.
func (r *reader) setting(f setting, to reflect.Value) func(_, value *yaml.Node) {
	return func(_, value *yaml.Node) {
		text := r.text(value, maxSetting)
		if text == "" {
			return
		}
		to.SetString(text)
		if (f.key == "time_per_box" || f.key == "volts_per_box") && (text == "find" || text == "?") {
			return // whether there is enough to find it from depends on the others
		}
		var alone wire.Settings
		f.in(&alone).SetString(text)
		if f.key == "readings_begin" {
			alone.Readings = " "
		}
		if _, err := alone.Parse(); err != nil {
			r.refused(value, err)
		}
	}
}
