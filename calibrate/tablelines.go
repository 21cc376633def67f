package calibrate

// The lines of a table of text. Nothing is taken from a known format: what parts the cells is the sign that makes the
// most lines rows of numbers, and the head is the last line of names and units that rows of numbers follow. What stands
// above it, as instruments write it, is left aside; what stands below it is data, each line of it.

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// lines are those of a table that hold something: neither empty, nor a comment, nor a rule of dashes.
type lines struct {
	text    []string // of each
	line    []int    // number of each in the file, from 1
	sign    rune     // between the cells; ' ' is any space
	comment string   // the last one before the first row of numbers, if it stands directly above
}

const tableHint = "give a table of text: a head such as t_s,v_V, then one reading a line, such as 0.5,8.91"

// looked is the number of lines from which the sign between the cells is told; of more preamble nobody knows.
const looked = 2000

// newLines decodes and cuts up a table.
func newLines(data []byte) (*lines, error) {
	if len(data) > MaxTableBytes {
		return nil, &TableError{0, fmt.Sprintf("the table is larger than %d MB", MaxTableBytes>>20), "keep every tenth row, say, or only the part of the record that is wanted"}
	}
	text, err := decoded(data)
	if err != nil {
		return nil, err
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	l, number, above := &lines{}, 0, ""
	for line := range strings.SplitSeq(text, "\n") {
		number++
		plain := strings.TrimSpace(line)
		if comment, ok := strings.CutPrefix(plain, "#"); ok {
			above = strings.TrimSpace(comment)
			continue
		}
		if plain == "" || strings.Trim(plain, "-=_+|: ") == "" {
			continue
		}
		if len(l.text) == 0 {
			l.comment = above
		}
		l.text, l.line = append(l.text, strings.Trim(line, " \u00a0")), append(l.line, number)
	}
	if len(l.text) == 0 {
		return nil, &TableError{0, "the table is empty", tableHint}
	}
	l.sign = l.between()
	return l, nil
}

// decoded gives the text of a file: UTF-8, UTF-16 or ISO 8859-1.
func decoded(data []byte) (string, error) {
	for _, k := range []struct{ begins, says, hint string }{
		{"PK\x03\x04", "this is a workbook or an archive, not a table of text", "open it and save the sheet as text (CSV)"},
		{"\xd0\xcf\x11\xe0", "this is an old workbook, not a table of text", "open it and save the sheet as text (CSV)"},
		{"\x1f\x8b", "this file is compressed", "unpack it first"},
		{"%PDF", "this is a PDF, not a table of text", tableHint},
	} {
		if bytes.HasPrefix(data, []byte(k.begins)) {
			return "", &TableError{0, k.says, k.hint}
		}
	}
	if high, ok := isUTF16(data); ok {
		units := make([]uint16, 0, len(data)/2)
		for i := 0; i+1 < len(data); i += 2 {
			units = append(units, uint16(data[i+high])<<8|uint16(data[i+1-high]))
		}
		data = []byte(string(utf16.Decode(units)))
	}
	if bytes.IndexByte(data, 0) >= 0 {
		return "", &TableError{0, "this is not a table of text", "save the table as text (CSV, UTF-8); " + tableHint}
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	if !utf8.ValidString(text) { // ISO 8859-1, for the sake of µ: its bytes are the first characters of Unicode
		latin := make([]rune, len(text))
		for i := range len(text) {
			latin[i] = rune(text[i])
		}
		text = string(latin)
	}
	return text, nil
}

// isUTF16 tells whether data is UTF-16, by its mark or, as tables are in Latin letters, by a zero in every other byte
// of its beginning; high is where the high byte of each pair lies (The Unicode Standard, 23.8).
func isUTF16(data []byte) (high int, ok bool) {
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		return 1, true
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return 0, true
	}
	var zeros [2]int
	begin := data[:min(len(data), 1000)]
	for i, b := range begin {
		if b == 0 {
			zeros[i%2]++
		}
	}
	for high := range 2 {
		if len(begin) > 3 && zeros[high] > len(begin)*2/5 && zeros[1-high] == 0 {
			return high, true
		}
	}
	return 0, false
}

// between tells what parts the cells: the sign that makes the most lines rows of numbers, and of several such the one
// that leaves the fewest other cells; without any such row, the first of the first line.
func (l *lines) between() rune {
	const signs = ";\t,| "
	best, most, purest := rune(0), 0, 0.0
	for _, sign := range signs {
		rows, pure := 0, 0.0
		for _, text := range l.text[:min(len(l.text), looked)] {
			if cells := cut(text, sign); numbersIn(cells) > 1 {
				rows++
				pure += float64(numbersIn(cells)) / float64(len(cells))
			}
		}
		if rows > most || rows == most && pure > purest+1e-9 {
			best, most, purest = sign, rows, pure
		}
	}
	if most > 0 {
		return best
	}
	for _, sign := range signs {
		if strings.ContainsRune(l.text[0], sign) {
			return sign
		}
	}
	return ' '
}

// cells of line i, without space around them.
func (l *lines) cells(i int) []string { return cut(l.text[i], l.sign) }

// cut parts a line into cells, of which those in quotes may hold the sign (RFC 4180).
func cut(text string, sign rune) (cells []string) {
	if sign == ' ' {
		return words(text)
	}
	if sign == '|' {
		text = strings.Trim(strings.TrimSpace(text), "|")
	}
	for {
		rest := strings.TrimLeft(text, " ")
		if strings.HasPrefix(rest, `"`) {
			if cell, after, ok := quotedCell(rest[1:], sign); ok {
				cells = append(cells, cell)
				if after == "" {
					return cells
				}
				text = after[utf8.RuneLen(sign):]
				continue
			}
		}
		cell, after, more := strings.Cut(text, string(sign))
		cells = append(cells, strings.Trim(cell, " \t\u00a0"))
		if !more {
			return cells
		}
		text = after
	}
}

// quotedCell reads a cell behind its first quote; after begins with the sign, or is empty. ok is false for a quote that
// is none.
func quotedCell(text string, sign rune) (cell, after string, ok bool) {
	var b strings.Builder
	for {
		part, rest, closed := strings.Cut(text, `"`)
		if !closed {
			return "", "", false
		}
		b.WriteString(part)
		if !strings.HasPrefix(rest, `"`) {
			rest = strings.TrimLeft(rest, " ")
			if rest != "" && !strings.HasPrefix(rest, string(sign)) {
				return "", "", false
			}
			return strings.TrimSpace(b.String()), rest, true
		}
		b.WriteByte('"')
		text = rest[1:]
	}
}

// words are the cells of a line that spaces part: a unit in brackets or behind a stroke belongs to the name before it.
func words(text string) (cells []string) {
	joins := false
	for _, word := range strings.Fields(text) {
		if len(cells) > 0 && (joins || strings.ContainsRune("([/", rune(word[0]))) {
			cells[len(cells)-1] += " " + word
		} else {
			cells = append(cells, strings.Trim(word, `"`))
		}
		joins = word == "/" || word[len(word)-1] == '/'
	}
	return cells
}

// numbersIn counts the cells that are numbers, with or without a unit.
func numbersIn(cells []string) (n int) {
	for _, c := range cells {
		if isNumber(c) {
			n++
		}
	}
	return n
}

func isNumber(cell string) bool {
	if cell == "" {
		return false
	}
	if _, ok := number(cell); ok {
		return true
	}
	_, _, ok := withUnit(cell)
	return ok
}

// number reads a cell, also with a decimal comma: where commas part the columns, only a quoted cell can have one. A
// cell that is not one finite number is not ok.
func number(cell string) (x float64, ok bool) {
	if at := strings.IndexByte(cell, ','); at >= 0 {
		if at+1 == len(cell) || strings.Count(cell, ",") > 1 || strings.Contains(cell, ".") {
			return 0, false
		}
		cell = strings.Replace(cell, ",", ".", 1)
	}
	cell = strings.Replace(cell, "\u2212", "-", 1)
	if strings.ContainsAny(cell, "xXpP_iInN") { // hexadecimal, underlines, Inf and NaN are Go's, not a bench's
		return 0, false
	}
	x, err := strconv.ParseFloat(cell, 64)
	return x, err == nil && math.Abs(x) < math.MaxFloat64
}

// A found is the head of a table: its names and units by column, the line it is in, and the first line below it.
type found struct {
	names, units []string
	line         int // in the file
	at, below    int // in lines
}

// findHead finds the head: the line of names, with the units in it or in the line below, that rows of numbers follow.
// ok is false of a table without one: its rows begin at below.
func (l *lines) findHead() (h found, ok bool, err error) {
	numbers := make([]bool, len(l.text)+1)
	first := -1
	for i := range l.text {
		if numbers[i] = numbersIn(l.cells(i)) > 1; numbers[i] && first < 0 {
			first = i
		}
	}
	most, second := 0, found{}
	for i := range l.text {
		if numbers[i] {
			continue
		}
		f, fits := l.headAt(i)
		if !fits || f.below == h.below && most > 0 {
			continue
		}
		rows := 1
		for numbers[f.below+rows] {
			rows++
		}
		switch {
		case most >= minReadings && rows >= minReadings:
			second = f
		case rows > most:
			h, most = f, rows
		}
	}
	if second.line > 0 {
		return h, false, &TableError{second.line, "a second table begins here", "keep one table in the file, and give the other by itself"}
	}
	if most > 0 {
		for i, rows := 0, 0; i < h.at; i++ {
			if rows++; !numbers[i] || len(l.cells(i)) != len(h.names) {
				rows = 0
			}
			if rows == minReadings {
				return h, false, &TableError{l.line[i+1-rows], "rows of numbers stand above the head", "put the head on top, and keep one table in the file"}
			}
		}
		return h, true, nil
	}
	switch {
	case first == 0 && l.comment != "":
		// Programs also write the head as a comment.
		names := cut(l.comment, l.sign)
		if len(names) == 1 {
			names = words(l.comment)
		}
		f := found{names: names, units: make([]string, len(names)), line: l.line[0] - 1}
		if tells, _ := f.tells(); tells && len(names) == len(l.cells(0)) {
			return f, true, nil
		}
		return found{line: l.line[0]}, false, nil
	case first == 0:
		return found{line: l.line[0]}, false, nil
	case first < 0:
		return l.namesAt(0), true, nil
	}
	h = l.namesAt(first - 1)
	if units := unitsRow(h.names); units != nil && first > 1 && len(l.cells(first-2)) == len(units) {
		h = l.namesAt(first - 2)
	}
	if len(h.names) > 1 {
		return h, true, nil
	}
	for _, sign := range ";\t,| " {
		names := cut(l.text[first-1], sign)
		if tells, _ := (found{names: names, units: make([]string, len(names))}).tells(); tells {
			return h, false, &TableError{l.line[first-1], "the names are not parted by the same sign as the numbers below them",
				"part the columns by the same sign in every line: comma, semicolon, tab or spaces"}
		}
	}
	return found{line: l.line[first], at: first, below: first}, false, nil
}

// namesAt takes line i for names, and the next one for units if it has nothing else.
func (l *lines) namesAt(i int) found {
	h := found{names: l.cells(i), line: l.line[i], at: i, below: i + 1}
	h.units = make([]string, len(h.names))
	if i+1 < len(l.text) {
		if apart := unitsRow(l.cells(i + 1)); apart != nil && len(apart) <= len(h.names) {
			copy(h.units, apart)
			h.below++
		}
	}
	return h
}

// headAt tells whether line i can be the head: it names a time and a voltage, and numbers follow.
func (l *lines) headAt(i int) (h found, ok bool) {
	h = l.namesAt(i)
	if len(h.names) < 2 || slices.ContainsFunc(h.names, isNumber) {
		return h, false
	}
	if h.below >= len(l.text) || numbersIn(l.cells(h.below)) == 0 {
		return h, false
	}
	tells, err := h.tells()
	return h, tells || err != nil && h.below > i+1 // with its units below it, it is a head, and what is wrong with it is told
}

// tells says whether h names a time and a voltage.
func (h found) tells() (bool, error) {
	times, volts := false, false
	for i, name := range h.names {
		c, err := classify(name, h.units[i], h.line)
		if err != nil {
			return false, err
		}
		times = times || c.kind == isTime
		volts = volts || c.kind == isVolts || c.kind == isVoltsU && isSmallU(name)
	}
	return times && volts, nil
}
