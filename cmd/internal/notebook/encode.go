// The writer: keys in one order, comments kept with the keys that they stand at.

package notebook

import (
	"bytes"
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"quadrille/cmd/internal/wire"
)

// Encode writes the notebook, so that Read gives the same again. The comments of one that was read are kept with the
// key, the photo (by its name) or the comparison (by its place) that they stand at or above, where that is still there.
func (n *Notebook) Encode() ([]byte, error) {
	root := &yaml.Node{Kind: yaml.MappingNode}
	add(root, "notebook", Version)
	add(root, "title", n.Title)
	add(root, "by", n.By)
	add(root, "date", n.Date)
	add(root, "instrument", n.Instrument)
	common := &yaml.Node{Kind: yaml.MappingNode}
	addSettings(common, &n.Settings)
	addNode(root, "settings", common)
	photos := &yaml.Node{Kind: yaml.SequenceNode}
	for i := range n.Photos {
		photos.Content = append(photos.Content, photoNode(&n.Photos[i]))
	}
	addNode(root, "photos", photos)
	compare := &yaml.Node{Kind: yaml.SequenceNode}
	for _, c := range n.Compare {
		compare.Content = append(compare.Content, comparisonNode(c))
	}
	addNode(root, "compare", compare)
	document := &yaml.Node{Kind: yaml.DocumentNode, Content: []*yaml.Node{root}}
	if n.written != nil {
		carry(n.written, document)
	}
	var b bytes.Buffer
	e := yaml.NewEncoder(&b)
	e.SetIndent(2)
	if err := e.Encode(document); err != nil {
		return nil, fmt.Errorf("writing the notebook: %w", err)
	}
	if err := e.Close(); err != nil {
		return nil, fmt.Errorf("writing the notebook: %w", err)
	}
	return b.Bytes(), nil
}

func photoNode(p *Photo) *yaml.Node {
	out := &yaml.Node{Kind: yaml.MappingNode}
	add(out, "file", p.File)
	if p.named || p.Name != NameOf(p.File) {
		add(out, "name", p.Name)
	}
	add(out, "title", p.Title)
	add(out, "instrument", p.Instrument)
	addSettings(out, &p.Settings)
	traces := &yaml.Node{Kind: yaml.SequenceNode}
	for i := range p.Settings.Traces {
		one := &yaml.Node{Kind: yaml.MappingNode}
		alone := wire.Settings{TraceFields: p.Settings.Traces[i]}
		addSettings(one, &alone)
		traces.Content = append(traces.Content, one)
	}
	addNode(out, "traces", traces)
	generator := &yaml.Node{Kind: yaml.MappingNode}
	add(generator, "frequency", p.Generator.Frequency)
	add(generator, "drive", p.Generator.Drive)
	add(generator, "source_resistance", p.Generator.SourceResistance)
	addNode(out, "generator", generator)
	for _, list := range []struct {
		key string
		of  []Quantity
	}{{"display", p.Display}, {"by_hand", p.ByHand}} {
		said := &yaml.Node{Kind: yaml.MappingNode}
		for _, q := range list.of {
			add(said, q.Quantity, q.Text)
		}
		addNode(out, list.key, said)
	}
	add(out, "sketch", p.Sketch)
	for _, f := range placing {
		add(out, f.key, *f.in(&p.Placing))
	}
	return out
}

func comparisonNode(c Comparison) *yaml.Node {
	out := &yaml.Node{Kind: yaml.MappingNode}
	add(out, "quantity", c.Quantity)
	if !c.all {
		of := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
		for _, m := range c.Of {
			of.Content = append(of.Content, scalar(m.String()))
		}
		addNode(out, "of", of)
	}
	return out
}

func addSettings(to *yaml.Node, s *wire.Settings) {
	for _, f := range settings {
		add(to, f.key, f.in(s).String())
	}
}

// add puts a text under a key; one that is "" is left out.
func add(to *yaml.Node, key, text string) {
	if text != "" {
		to.Content = append(to.Content, scalar(key), scalar(text))
	}
}

// addNode is add for a block or a list, which is left out if it is empty.
func addNode(to *yaml.Node, key string, node *yaml.Node) {
	if len(node.Content) > 0 {
		to.Content = append(to.Content, scalar(key), node)
	}
}

// scalar is a text, in quotes only where it would not come back as itself: numbers do, what stands for nothing does
// not.
func scalar(text string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.ScalarNode, Value: text}
	if strings.Contains(text, "\n") {
		n.Style = yaml.LiteralStyle
		return n
	}
	var back yaml.Node
	if err := yaml.Unmarshal([]byte(text), &back); err != nil || len(back.Content) != 1 ||
		back.Content[0].Kind != yaml.ScalarNode ||
		back.Content[0].Tag == "!!null" || back.Content[0].Value != text || back.Content[0].Style != 0 {
		n.Tag, n.Style = "!!str", yaml.DoubleQuotedStyle
	}
	return n
}

// carry gives the comments of one tree to another, key by key.
func carry(from, to *yaml.Node) {
	comments(from, to)
	if from.Kind != to.Kind {
		return
	}
	switch to.Kind {
	case yaml.DocumentNode:
		carry(from.Content[0], to.Content[0])
	case yaml.MappingNode:
		for i := 0; i+1 < len(to.Content); i += 2 {
			if k := keyAt(from, to.Content[i].Value); k >= 0 {
				comments(from.Content[k], to.Content[i])
				carry(from.Content[k+1], to.Content[i+1])
			}
		}
	case yaml.SequenceNode:
		for i, c := range to.Content {
			if old := same(from, c, i); old != nil {
				carry(old, c)
			}
		}
	}
}

func comments(from, to *yaml.Node) {
	to.HeadComment, to.LineComment, to.FootComment = from.HeadComment, from.LineComment, from.FootComment
}

// keyAt is the place of a key in a mapping, -1 if it is not there.
func keyAt(n *yaml.Node, key string) int {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return i
		}
	}
	return -1
}

// same finds the element of a list that c was: for photos the one of this name, else the one at this place.
func same(list, c *yaml.Node, place int) *yaml.Node {
	if name := called(c); name != "" {
		for _, old := range list.Content {
			if called(old) == name {
				return old
			}
		}
		return nil
	}
	if place < len(list.Content) {
		return list.Content[place]
	}
	return nil
}

// called is the name of a photo's node, "" of any other.
func called(n *yaml.Node) string {
	if n.Kind != yaml.MappingNode {
		return ""
	}
	if k := keyAt(n, "name"); k >= 0 {
		return n.Content[k+1].Value
	}
	if k := keyAt(n, "file"); k >= 0 {
		return NameOf(n.Content[k+1].Value)
	}
	return ""
}
