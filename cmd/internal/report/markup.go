// A small writer of HTML in which no text from outside can become markup: a string is text, and is escaped wherever it
// is put. What stands unescaped, the names of elements and attributes, the style sheet and the page's own drawings, has
// types that only constants and the functions of this file give. How elements are written, and what must be escaped in
// text and in attributes: HTML Living Standard, 13.1.2 to 13.1.4.

package report

import (
	"encoding/base64"
	"fmt"
	"strings"
)

// Markup is whole: all its elements are closed. A string never is.
type markup struct{ html string }

// A tag and an attributeName are constants: a string from outside does not become one unasked.
type (
	tag           string
	attributeName string
)

// An attribute's value is text.
type attribute struct {
	name  attributeName
	value string
}

// void elements have no inside and no end.
var void = map[tag]bool{"meta": true, "br": true, "img": true, "input": true}

// escapes are the characters that end a text or the value of an attribute, and NUL, which HTML does not have.
var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;", "\x00", "\ufffd")

// escaped is text as it stands in HTML and in SVG, between elements and between quotation marks.
func escaped(text string) string { return escapes.Replace(strings.ToValidUTF8(text, "\ufffd")) }

func text(s string) markup { return markup{escaped(s)} }

// element has attributes, nil for none, and what is inside it, one after the other.
func element(name tag, with []attribute, inside ...markup) markup {
	var b strings.Builder
	b.WriteString("<" + string(name))
	for _, a := range with {
		b.WriteString(" " + string(a.name))
		if a.value != "" {
			b.WriteString(`="` + escaped(a.value) + `"`)
		}
	}
	b.WriteString(">")
	if !void[name] {
		for _, m := range inside {
			b.WriteString(m.html)
		}
		b.WriteString("</" + string(name) + ">")
	}
	return markup{b.String()}
}

// block is an element whose parts stand on lines of their own.
func block(name tag, with []attribute, parts ...markup) markup {
	return element(name, with, markup{"\n"}, lines(parts...))
}

func class(name attributeName) []attribute { return []attribute{{"class", string(name)}} }

// para is a paragraph of one text; of is a class, or "".
func para(of attributeName, s string) markup {
	if of == "" {
		return element("p", nil, text(s))
	}
	return element("p", class(of), text(s))
}

// join puts one behind the other.
func join(parts ...markup) markup {
	var b strings.Builder
	for _, m := range parts {
		b.WriteString(m.html)
	}
	return markup{b.String()}
}

// lines puts each on a line of its own; an empty one takes none.
func lines(parts ...markup) markup {
	var b strings.Builder
	for _, m := range parts {
		if m.html != "" {
			b.WriteString(strings.TrimSuffix(m.html, "\n") + "\n")
		}
	}
	return markup{b.String()}
}

// each makes markup of everything in a list.
func each[T any](list []T, of func(T) markup) []markup {
	out := make([]markup, len(list))
	for i, x := range list {
		out[i] = of(x)
	}
	return out
}

// bullets is a list.
func bullets[T any](with []attribute, list []T, of func(T) markup) markup {
	return block("ul", with, each(list, func(x T) markup { return element("li", nil, of(x)) })...)
}

// section has a heading, which names it for screen readers. of is a class, or ""; id is unique on the page.
func section(of attributeName, id, heading string, parts ...markup) markup {
	var with []attribute
	if of != "" {
		with = class(of)
	}
	h2 := element("h2", []attribute{{"id", "h-" + id}}, text(heading))
	return block("section", append(with, attribute{"aria-labelledby", "h-" + id}), h2, lines(parts...))
}

// A cell of a table carries the name of its column, for narrow screens, which do not show the head.
type cell struct {
	name, says string
	main       bool // in bold
}

// grid is a table with a head and lines.
func grid(of attributeName, names []string, rows ...markup) markup {
	heads := each(names, func(name string) markup { return element("th", []attribute{{"scope", "col"}}, text(name)) })
	return block("table", class(of), element("thead", nil, element("tr", nil, heads...)), block("tbody", nil, rows...))
}

// line is a row of a table: what it is of, and its cells.
func line(with []attribute, of markup, cells ...cell) markup {
	all := []markup{element("th", []attribute{{"scope", "row"}}, of)}
	for _, c := range cells {
		var with []attribute
		if c.name != "" {
			with = append(with, attribute{"data-name", c.name})
		}
		if c.main {
			with = append(with, attribute{"class", "main"})
		}
		all = append(all, element("td", with, text(c.says)))
	}
	return element("tr", with, all...)
}

// styled is a style with one thing from outside, which is a number or a colour.
func styled[T float64 | [3]uint8](format attributeName, v T) attribute {
	return attribute{"style", fmt.Sprintf(string(format), v)}
}

// img is a picture that the page itself holds.
func img(p Picture, with ...attribute) markup {
	url := "data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(p.JPEG)
	return element("img", append([]attribute{{"src", url}}, with...))
}

// drawn is a figure, which escapes its own text.
func drawn(f figure) markup { return markup{f.inner(f.Title)} }

// document is a page that needs nothing else: it loads nothing from anywhere, and its policy forbids it to.
func document(title string, print Print, parts ...markup) []byte {
	return documentIn(pageStyle, title, print, parts...)
}

// documentIn is document in another style.
func documentIn(style, title string, print Print, parts ...markup) []byte {
	head := block("head", nil,
		element("meta", []attribute{{"charset", "utf-8"}}),
		element("meta", []attribute{{"name", "viewport"}, {"content", "width=device-width, initial-scale=1"}}),
		element("meta", []attribute{{"name", "color-scheme"}, {"content", "light dark"}}),
		element("meta", []attribute{{"http-equiv", "Content-Security-Policy"},
			{"content", "default-src 'none'; img-src data:; style-src 'unsafe-inline'"}}),
		element("title", nil, text(title)),
		element("style", nil, markup{style + "@page { size: " + print.cssSize() + "; margin: 12mm; }\n"}))
	body := block("body", nil, block("main", nil, parts...))
	return []byte("<!DOCTYPE html>\n" + block("html", []attribute{{"lang", "en"}}, head, body).html + "\n")
}

// care is on every page.
func care(cautions []string) markup {
	return section("care", "care", "Before you touch the circuit", bullets(nil, cautions, text))
}
