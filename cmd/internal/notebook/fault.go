// What is wrong with a notebook, where, and what to do about it.

package notebook

import (
	"fmt"
	"slices"
	"strings"
)

// A Fault is one thing that is wrong. Line and Column count from 1; both are 0 where the whole file is meant, Column
// alone where it is not known.
type Fault struct {
	File         string
	Line, Column int
	Reason, Hint string
}

// Where is the place as compilers write it, "notebook.yaml:12:5".
func (f Fault) Where() string {
	switch {
	case f.Line == 0:
		return f.File
	case f.Column == 0:
		return fmt.Sprintf("%s:%d", f.File, f.Line)
	}
	return fmt.Sprintf("%s:%d:%d", f.File, f.Line, f.Column)
}

func (f Fault) Error() string { return f.Where() + ": " + f.Reason }

// Faults are all that were found, in the order of the file.
type Faults []Fault

// Error has a line for each fault.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}

// nearest gives the name among those that there are that was most likely meant, "" if none is near: up to a third of
// its letters may be wrong, but one always; or it is the only one with a word that begins so; or it is called so
// elsewhere (TestASlipIsNamedWithItsPlace would notice).
func nearest(name string, names []string) string {
	best, least := "", 0
	for _, n := range names {
		d := distance(plain(name), plain(n))
		if d <= max(1, len([]rune(n))/3) && (best == "" || d < least) {
			best, least = n, d
		}
	}
	if best != "" {
		return best
	}
	if also := alsoCalled[plain(name)]; slices.Contains(names, also) {
		return also
	}
	return begun(plain(name), names)
}

// alsoCalled are keys and quantities by the other names that the trade has for them (common practice, no source).
var alsoCalled = map[string]string{
	"time_constant": "tau", "τ": "tau", "half_time": "half_life", "duty_cycle": "duty_factor", "pulse_width": "pulse_duration",
	"rise_time": "transition_duration", "fall_time": "transition_duration", "peak_to_peak": "v_pp",
	"drawing": "sketch", "photo": "file", "picture": "file", "author": "by", "measured_by_hand": "by_hand",
}

// begun gives the only name that begins like this, or has a word that does; "" of fewer than three letters, and where
// there are several.
func begun(word string, names []string) (found string) {
	if len(word) < 3 {
		return ""
	}
	for _, n := range names {
		if strings.Contains("_"+plain(n), "_"+word) {
			if found != "" {
				return ""
			}
			found = n
		}
	}
	return found
}

// plain takes off what is no slip of the hand.
func plain(s string) string {
	return strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(strings.TrimLeft(s, "-")))
}

// distance counts the letters to be put in, left out, changed, or swapped with their neighbour, to make b of a (optimal
// string alignment, after Damerau, Comm. ACM 7 (1964) 171). Long names are cut: no name here is longer.
func distance(a, b string) int {
	const most = 80
	s, t := []rune(a), []rune(b)
	s, t = s[:min(len(s), most)], t[:min(len(t), most)]
	before, last, row := []int(nil), make([]int, len(t)+1), make([]int, len(t)+1)
	for k := range last {
		last[k] = k
	}
	for i := range s {
		row[0] = i + 1
		for k := range t {
			change := last[k]
			if s[i] != t[k] {
				change++
			}
			row[k+1] = min(change, last[k+1]+1, row[k]+1)
			if i > 0 && k > 0 && s[i] == t[k-1] && s[i-1] == t[k] {
				row[k+1] = min(row[k+1], before[k-1]+1)
			}
		}
		before, last, row = last, row, make([]int, len(t)+1)
	}
	return last[len(t)]
}

// listed names the first few of many.
func listed(names []string) string {
	const most = 12
	names = slices.Clone(names)
	if len(names) > most {
		names = append(names[:most], "…")
	}
	return strings.Join(names, ", ")
}

// A refusal is why something is not taken, before it has its place.
type refusal struct{ reason, hint string }

func (r *refusal) Error() string { return r.reason }

func refuse(hint, format string, a ...any) error { return &refusal{fmt.Sprintf(format, a...), hint} }
