package raster

// Connected components of a picture of on and off, from its spans: stretches of samples that are on in one
// line, so that the work grows with the outlines and not with the areas. Spans of neighbouring lines that
// touch are joined as disjoint sets (Z. Galil, G. F. Italiano, Data structures and algorithms for disjoint
// set union problems, ACM Computing Surveys 23 (1991) 319, section 1; paths are halved).

// A Span is the samples From to before To of one line. A line is a row or a column, as the caller likes.
type Span struct{ Line, From, To int }

// A Component is what hangs together; its rectangle is half open.
type Component struct {
	Line0, Line1 int
	From, To     int
	Area         int // samples
}

// Spans appends the stretches of on in a line.
func Spans(spans []Span, line int, on []bool) []Span {
	for i := 0; i < len(on); i++ {
		if !on[i] {
			continue
		}
		from := i
		for i < len(on) && on[i] {
			i++
		}
		spans = append(spans, Span{line, from, i})
	}
	return spans
}

// Components joins spans, which are in order of their lines, and in a line in order and apart. Spans of
// neighbouring lines hang together if they have a sample side by side (reach 0), or also if they meet at a
// corner (reach 1), or if fewer than reach samples lie between them. Components are in order of their first
// spans; of[i] is the component of spans[i].
func Components(spans []Span, reach int) (list []Component, of []int) {
	of = make([]int, len(spans)) // until the end: an earlier span of the same component, or the span itself
	first := func(i int) int {
		for of[i] != i {
			of[i] = of[of[i]]
			i = of[i]
		}
		return i
	}
	count := len(spans)
	before, line := 0, 0 // the first spans of the line above, and of this one
	for i, s := range spans {
		of[i] = i
		if s.Line != spans[line].Line {
			before, line = line, i
			if s.Line != spans[before].Line+1 {
				before = line
			}
		}
		for before < line && spans[before].To+reach <= s.From {
			before++
		}
		for k := before; k < line && spans[k].From < s.To+reach; k++ {
			if a, b := first(k), first(i); a != b {
				of[max(a, b)] = min(a, b)
				count--
			}
		}
	}
	list = make([]Component, 0, count)
	for i, s := range spans {
		if of[i] == i {
			of[i] = len(list)
			list = append(list, Component{s.Line, s.Line + 1, s.From, s.To, s.To - s.From})
			continue
		}
		of[i] = of[of[i]] // what it names is earlier and has its component by now
		c := &list[of[i]]
		c.Line1, c.From, c.To = s.Line+1, min(c.From, s.From), max(c.To, s.To)
		c.Area += s.To - s.From
	}
	return list, of
}
