package report_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"pgregory.net/rapid"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// hostile are texts that would be markup where text is not escaped.
var hostile = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onload='a()`, `</title><script>`, `</style><b>`, `<!--`, `-->`,
	`<![CDATA[`, `]]>`, `&lt;b&gt;`, `&#60;b&#62;`, `&amp`, `javascript:a()`, `</svg></figure>`, `<svg onload=a()>`, "\x00<b>", "\xff<b", "`", `{{.}}`,
	`<template>`, `</body></html>`, `<plaintext>`, `<textarea>`, "a\r\n<b>", `"`, `'`, `<`, `>`, `=`, `/`,
}

// poisoned puts texts of draw in all strings of a value, however deep.
func poisoned(v reflect.Value, draw func() string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			poisoned(v.Elem(), draw)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				poisoned(v.Field(i), draw)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			poisoned(v.Index(i), draw)
		}
	case reflect.String:
		v.SetString(draw())
	}
}

// skeleton is what a browser makes of a page, without its texts: elements with the names of their attributes, and those
// of their values that are more than text to a browser. It is made by another's parser, that of golang.org/x/net.
func skeleton(t testing.TB, page []byte) (out []string) {
	root, err := html.Parse(strings.NewReader(string(page)))
	if err != nil {
		t.Fatal(err)
	}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		switch n.Type {
		case html.ElementNode:
			names := []string{n.Data}
			for _, a := range n.Attr {
				names = append(names, a.Key)
				if a.Key == "src" || strings.HasPrefix(a.Key, "on") || a.Key == "http-equiv" || a.Key == "content" || a.Key == "id" || a.Key == "class" {
					names = append(names, a.Val)
				}
			}
			out = append(out, strings.Join(names, " "))
		case html.CommentNode:
			out = append(out, "a comment")
		}
		for c := range n.ChildNodes() {
			walk(c)
		}
	}
	walk(root)
	return out
}

// No text from outside ever becomes markup: whatever the strings of a document are, a browser sees the same elements
// with the same attributes.
func TestNoTextBecomesMarkup(t *testing.T) {
	with := func(draw func() string) *wire.Document {
		d := fixed(t)
		d.Error = &wire.Error{Reason: "r", Hint: "h"}
		d.Title = "t"
		signal := d.Signal
		poisoned(reflect.ValueOf(d), draw)
		// What decides which parts there are is no text.
		d.Signal = signal
		for i, r := range fixed(t).Results {
			d.Results[i].Quantity, d.Results[i].Trace = r.Quantity, r.Trace
		}
		for i, tr := range fixed(t).Traces {
			d.Traces[i].Name, d.Traces[i].Signal = tr.Name, tr.Signal
		}
		return d
	}
	n := 0
	plain := skeleton(t, report.Page(with(func() string { n++; return fmt.Sprint("plain ", n) }), nil, report.Print{}))
	if len(plain) < 100 {
		t.Fatalf("%d elements: the page has no parts", len(plain))
	}
	rapid.Check(t, func(r *rapid.T) {
		k := 0
		d := with(func() string {
			k++ // so that no two are the same, and said once
			return fmt.Sprint(rapid.OneOf(rapid.SampledFrom(hostile), rapid.String()).Draw(r, "text"), " ", k)
		})
		if got := skeleton(t, report.Page(d, nil, report.Print{})); !slices.Equal(got, plain) {
			for i := range got {
				if i >= len(plain) || got[i] != plain[i] {
					r.Fatalf("element %d is %q", i, got[i])
				}
			}
			r.Fatalf("%d elements, want %d", len(got), len(plain))
		}
	})
}

// Nor on the page of several readings.
func TestNoTextBecomesMarkupWhereReadingsAreCompared(t *testing.T) {
	page := func(of string) []byte {
		c := comparisonOf(t, func(d *wire.Document) { d.Photo.File, d.Doubts = of, []string{of} })
		c.Title = wire.Text(of)
		for i := range c.Sources {
			c.Sources[i].Name = fmt.Sprint(of, i)
		}
		files, err := report.ComparedFiles(c, report.Print{})
		if err != nil {
			t.Fatal(err)
		}
		return files["page.html"]
	}
	plain := skeleton(t, page("plain"))
	for _, of := range hostile {
		if got := skeleton(t, page(of)); !slices.Equal(got, plain) {
			t.Errorf("%q changes the page", of)
		}
	}
}
