// Flags as a person needs them: help in groups, and for one that is not known or not written whole, the one that was
// meant.

package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"quadrille/analysis"
	"quadrille/calibrate/unit"
)

// A flagGroup is a heading of the help with its flags in order.
type flagGroup struct {
	head  string
	names string
}

// flagGroups are those of read, fit, compare, check and sheet; a flag that a command does not have is left out.
var flagGroups = []flagGroup{
	{"The drawing", "against squares-per-box origin tolerance"},
	{"Most used", "volts-per-box time-per-box ground resistance capacitance new out"},
	{"Settings of the instrument", "probe volts-accuracy time-accuracy trace"},
	{"Help by hand", "turn paper corners corner-uncertainty boxes from to signal"},
	{"Circuit, and what is known", "settles-at at input-resistance source-resistance known-frequency known-tau known-half-life known-level known-drive"},
	{"Table of readings", "readings readings-begin column u-volts u-time zero-accuracy"},
	{"Output", "full json fresh replace title budgets scale sheets figures-only monte-carlo show-stages help"},
}

// helpWidth is that of the narrowest terminals, in columns (common practice, no source).
const helpWidth = 80

// groupedUsage gives the usage of a command with its flags in groups; a flag of no group comes last.
func groupedUsage(c *cobra.Command) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Usage:\n  %s\n", c.UseLine())
	if c.HasExample() {
		fmt.Fprintf(&b, "\nExamples:\n%s\n", c.Example)
	}
	for _, g := range groupsOf(c) {
		fmt.Fprintf(&b, "\n%s:\n%s", g.head, g.flags.FlagUsagesWrapped(helpWidth))
	}
	return b.String()
}

// A shownGroup is a group with the flags that a command has.
type shownGroup struct {
	head  string
	flags *pflag.FlagSet
}

func groupsOf(c *cobra.Command) (out []shownGroup) {
	c.InitDefaultHelpFlag()
	left := map[string]bool{}
	c.Flags().VisitAll(func(f *pflag.Flag) { left[f.Name] = true })
	add := func(head string, names []string) {
		set := pflag.NewFlagSet("", pflag.ContinueOnError)
		set.SortFlags = false
		for _, name := range names {
			if f := c.Flags().Lookup(name); f != nil && left[name] && !f.Hidden {
				set.AddFlag(f)
			}
			delete(left, name)
		}
		if set.HasFlags() {
			out = append(out, shownGroup{head, set})
		}
	}
	for _, g := range flagGroups {
		add(g.head, strings.Fields(g.names))
	}
	rest := []string{}
	for name := range left {
		rest = append(rest, name)
	}
	slices.Sort(rest)
	add("Further", rest)
	return out
}

// complete lets a shell complete the values of flags that are one of a few words.
func complete(c *cobra.Command) {
	for name, words := range map[string][]string{
		"signal": append(analysis.Kinds(), analysis.SignalAuto), "ground": {"bottom", "centre", "auto"}, "settles-at": {"free", "ground"}, "turn": {"0", "90", "180", "270"},
	} {
		if c.Flags().Lookup(name) != nil {
			cobra.CheckErr(c.RegisterFlagCompletionFunc(name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)))
		}
	}
}

// flagHint is what to do about a flag that could not be read.
func flagHint(c *cobra.Command, err error) string {
	see := "see " + c.CommandPath() + " --help"
	_, name, found := strings.Cut(err.Error(), "unknown flag: --")
	if !found {
		return see
	}
	if meant := nearestFlag(c, name); meant != "" {
		return "did you mean --" + meant + "? Else " + see
	}
	return see
}

// nearestFlag is the flag of c that is spelled most like name: one that begins with it, that a few letters make of it,
// that has it in its name, or that begins alike; "" if none is near.
func nearestFlag(c *cobra.Command, name string) (nearest string) {
	name = strings.ToLower(strings.ReplaceAll(name, "_", "-"))
	// At most a third of the letters may be wrong: more, and another word is as near.
	best := len(name)/3 + 1
	begins := false
	for _, g := range groupsOf(c) { // in the order of the help, so that of two as near the more common one is told
		g.flags.VisitAll(func(f *pflag.Flag) {
			switch {
			case begins:
			case strings.HasPrefix(f.Name, name):
				nearest, begins = f.Name, true
			default:
				if d := editDistance(f.Name, name); d < best {
					nearest, best = f.Name, d
				}
			}
		})
	}
	if nearest != "" {
		return nearest
	}
	const alike = 4 // letters: "time", "volt", "freq"
	for _, near := range []func(flag string) bool{
		func(flag string) bool { return len(name) >= alike-1 && strings.Contains(flag, name) },
		func(flag string) bool { return len(name) >= alike && strings.HasPrefix(flag, name[:alike]) },
	} {
		for _, g := range groupsOf(c) {
			g.flags.VisitAll(func(f *pflag.Flag) {
				if nearest == "" && near(f.Name) {
					nearest = f.Name
				}
			})
		}
	}
	return nearest
}

// editDistance is the least number of letters to be put in, left out or changed that makes b of a (Levenshtein).
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			changed := corner
			if a[i] != b[j] {
				changed++
			}
			corner = row[j+1]
			row[j+1] = min(changed, row[j]+1, corner+1)
		}
	}
	return row[len(b)]
}

// inTwoParts finds a value in args that a space parts from its unit, "--volts-per-box 1.5 V", and says how to write it;
// "" if there is none.
func inTwoParts(args []string) string {
	for i := 2; i < len(args); i++ {
		flag, number, rest := args[i-2], args[i-1], args[i]
		if !strings.HasPrefix(flag, "--") || strings.Contains(flag, "=") || strings.HasPrefix(rest, "--") {
			continue
		}
		symbol, box, _ := strings.Cut(rest, "/")
		if _, err := unit.ParseSigned(number, "1"); err != nil || !isUnit(symbol) {
			continue
		}
		if box != "" {
			box = "/" + box
		}
		return fmt.Sprintf("%s %s: a space parts the value from its unit; write %s %s%s%s without it, or %s %q in quotes",
			number, rest, flag, number, symbol, box, flag, number+" "+rest)
	}
	return ""
}

// isUnit says that a text is a unit of a setting, with its prefix or without.
func isUnit(text string) bool {
	for _, in := range []string{"V", "s", "Hz", "Ω", "F"} {
		if _, err := unit.ParseSigned("1 "+text, in); err == nil && strings.TrimLeft(text, "0123456789.,+-") == text && text != "" {
			return true
		}
	}
	return false
}
