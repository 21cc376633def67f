package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"quadrille/cmd/internal/report"
)

// sheetsFlag is that of all commands that make a PDF.
func sheetsFlag(f *pflag.FlagSet, p *report.Print) {
	f.Var(&paperSize{letter: &p.Letter}, "sheets", "sheets of the PDF: a4 or letter (default a4)")
}

// printFlags are those of the commands whose pages have the display to scale.
func printFlags(f *pflag.FlagSet, p *report.Print) {
	f.BoolVar(&p.Budgets, "budgets", false, "print every budget of uncertainties in the PDF, not only the table of all of them")
	f.Var(&boxSize{&p.Box}, "scale", "size of a box of the display in the figure to scale: 10mm, 5mm, 1/4in (default 10mm)")
	sheetsFlag(f, p)
}

// boxSize is the flag of how large a box is in print, in mm: "10mm", "5 mm", "1/4in".
type boxSize struct{ mm *float64 }

func (b *boxSize) Type() string { return "size" }

func (b *boxSize) String() string {
	if b.mm == nil || *b.mm == 0 {
		return ""
	}
	return strconv.FormatFloat(*b.mm, 'g', 4, 64) + "mm"
}

func (b *boxSize) Set(text string) error {
	const least, most, inch = 2.0, 25.0, 25.4 // mm: finer boxes cannot be told apart, larger ones do not fit
	number, unit := strings.TrimSpace(text), 1.0
	if before, ok := strings.CutSuffix(number, "mm"); ok {
		number = before
	} else if before, ok := strings.CutSuffix(number, "in"); ok {
		number, unit = before, inch
	} else {
		return errors.New("give it with its unit, as 10mm or 1/4in")
	}
	above, below, fraction := strings.Cut(strings.TrimSpace(number), "/")
	v, err := strconv.ParseFloat(above, 64)
	if err == nil && fraction {
		var n float64
		n, err = strconv.ParseFloat(below, 64)
		v /= n
	}
	if v *= unit; err != nil || !(v >= least && v <= most) {
		return fmt.Errorf("give a size from %gmm to %gmm, as 10mm or 1/4in", least, most)
	}
	*b.mm = v
	return nil
}

// paperSize is the flag of the paper.
type paperSize struct {
	letter *bool
	given  string // "" if it was left out
}

func (p *paperSize) Type() string { return "name" }

func (p *paperSize) String() string { return p.given }

func (p *paperSize) Set(text string) error {
	switch p.given = strings.ToLower(text); p.given {
	case "a4":
		*p.letter = false
	case "letter":
		*p.letter = true
	default:
		return errors.New("give a4 or letter")
	}
	return nil
}
