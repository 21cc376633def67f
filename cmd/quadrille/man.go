package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// newMan prints a manual page in the macros of man(7), all commands in one.
func newMan() *cobra.Command {
	return &cobra.Command{
		Use:   "man",
		Short: "Print a manual page: quadrille man > quadrille.1; man ./quadrille.1",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return manPage(c.OutOrStdout(), c.Root())
		},
	}
}

func manPage(out io.Writer, root *cobra.Command) error {
	var b strings.Builder
	fmt.Fprintf(&b, ".TH QUADRILLE 1\n.SH NAME\nquadrille \\- %s\n.SH DESCRIPTION\n%s", roff(root.Short), paragraphs(root.Long))
	for _, c := range root.Commands() {
		if !c.IsAvailableCommand() || c.Name() == "help" || c.Name() == "completion" {
			continue
		}
		fmt.Fprintf(&b, ".SH %s\n.B %s\n.PP\n%s", strings.ToUpper(c.Name()), roff(c.UseLine()), paragraphs(joined(c.Long, c.Short)))
		if c.HasExample() {
			fmt.Fprintf(&b, ".SS Examples\n.nf\n%s\n.fi\n", roff(c.Example))
		}
		for _, g := range groupsOf(c) {
			fmt.Fprintf(&b, ".SS %s\n", roff(g.head))
			g.flags.VisitAll(func(f *pflag.Flag) {
				kind, usage := pflag.UnquoteUsage(f)
				fmt.Fprintf(&b, ".TP\n.BR \\-\\-%s \" %s\"\n%s\n", roff(f.Name), roff(kind), roff(usage))
			})
		}
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// joined is the first of two texts that is not empty.
func joined(long, short string) string {
	if long != "" {
		return long
	}
	return short
}

// paragraphs writes text with its empty lines as new paragraphs, and what is set in as it stands.
func paragraphs(text string) string {
	var b strings.Builder
	for _, part := range strings.Split(text, "\n\n") {
		if strings.HasPrefix(part, "  ") {
			fmt.Fprintf(&b, ".PP\n.nf\n%s\n.fi\n", roff(part))
			continue
		}
		fmt.Fprintf(&b, ".PP\n%s\n", roff(part))
	}
	return b.String()
}

// roff escapes what is special in the macros: backslashes, hyphens of flags, and a dot or a quote that begins a line.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
