// Constants checks that the constants of a package earn their keep: that a test notices when one is doubled or halved.
//
//	go run ./testdata/constants -room vision/upright
//	go run ./testdata/constants -room vision/photo,calibrate -only 'max.*'
//	go run ./testdata/constants -list
//	go run ./testdata/constants -search -room vision/geom
//
// It is run in the module's root. The method:
//
//  1. Every named numeric constant of a room, and every table of plain numbers, is found in the syntax tree (find.go).
//  2. The comment beside it, above it, above its group or above the function it stands in says which tests would notice
//     another value: every word that begins with Test, with a capital after it. Or it says "nothing changes from 0.2 to
//     0.8": within such a range the tests that are named, if any, must not notice another value.
//  3. The constant is doubled, and it is halved, in files that are laid over the module with the go command's -overlay,
//     so that the module itself is never touched: by a switch where it can be a variable (switches.go), else by
//     writing its file anew. Only the named tests are run (run.go).
//  4. A test that fails, panics, hangs or no longer compiles has noticed.
//
// With -search all tests of a constant's own room, or of the room that -in names, are run in place of the named ones,
// and the first that notices each change is listed: this is how a test is found for a constant that names none.
//
// With -reach 5 a constant is doubled up to five times, and halved as often, until its tests notice; the range in which
// they do not is printed. It is true of those tests only: whether it may be written beside the constant is to be
// judged.
//
// The program ends with status 1 if a constant has neither test nor range, if a test that it names is not there or
// fails as things are, or if neither change was noticed. Names given by iota and hexadecimal codes are what a language
// or a file format calls things; they steer nothing and are left out, as are names for sums and products of other
// names.
package main

import (
	"cmp"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strings"
	"sync"
	"text/tabwriter"
	"time"
)

// Options are the flags.
type options struct {
	rooms, only        string
	list, search, both bool
	reach              int
	jobs               int
	limit              time.Duration
	among, in          string
}

func main() {
	var o options
	flag.StringVar(&o.rooms, "room", "", "folders, with commas between; all that measure or decide if there is none")
	flag.StringVar(&o.only, "only", "", "a regular expression that the whole name of a constant must match")
	flag.BoolVar(&o.list, "list", false, "list constants, values and tests, and run nothing")
	flag.BoolVar(&o.search, "search", false, "run all tests of the room and list the first that notices each change")
	flag.StringVar(&o.among, "tests", ".", "an expression for the tests among which -search looks")
	flag.StringVar(&o.in, "in", "", "the room whose tests -search looks through; the constant's own if there is none")
	flag.BoolVar(&o.both, "both", false, "ask that both changes are noticed, not one of them")
	flag.IntVar(&o.reach, "reach", 0, "double and halve up to so many times until it is noticed, and print the range")
	flag.IntVar(&o.jobs, "jobs", 1, "how many test runs at a time")
	flag.DurationVar(&o.limit, "timeout", 5*time.Minute, "of one run; one that takes longer has noticed")
	flag.Parse()
	ok, err := check(o)
	if err != nil {
		fmt.Fprintln(os.Stderr, "constants:", err)
		os.Exit(2)
	}
	if !ok {
		os.Exit(1)
	}
}

// check prints the table, and says whether all constants that it chose earn their keep.
func check(o options) (bool, error) {
	if _, err := os.Stat("go.mod"); err != nil {
		return false, fmt.Errorf("run this in the module's root: %w", err)
	}
	all, err := choose(o.rooms, o.only)
	if err != nil {
		return false, err
	}
	if o.list {
		printList(all)
		return true, nil
	}
	if o.search {
		for _, c := range all {
			c.tests, c.absent, c.bounds = []test{{cmp.Or(o.in, c.room), ""}}, nil, nil
		}
	}
	r, err := newRunner(o.limit, o.among)
	if err != nil {
		return false, err
	}
	defer r.close()

	var wait sync.WaitGroup
	turn := make(chan struct{}, max(o.jobs, 1))
	for _, c := range all {
		wait.Add(1)
		turn <- struct{}{}
		go func() {
			defer wait.Done()
			if o.reach > 0 {
				fmt.Println(c.reach(r, o.reach))
			} else {
				c.judge(r)
			}
			fmt.Fprintf(os.Stderr, "%s %s: doubled %s, halved %s (%.0f s) %s\n",
				c.room, c.name, c.doubled, c.halved, c.took.Seconds(), strings.Join(c.by, ", "))
			<-turn
		}()
	}
	wait.Wait()
	if o.reach > 0 {
		return true, nil
	}
	return printTable(all, o.both), nil
}

// choose gives the constants of the rooms whose names match, with the tests that they name.
func choose(rooms, only string) ([]*constant, error) {
	name, err := regexp.Compile("^(?:" + only + ")$")
	if err != nil {
		return nil, err
	}
	folders, err := packages()
	if err != nil {
		return nil, err
	}
	chosen := folders
	if rooms != "" {
		chosen = strings.Split(rooms, ",")
	} else {
		// The simulator's constants are facts of the scenes that it draws, those of pages and commands are lengths and
		// names on paper: they decide nothing.
		chosen = slices.DeleteFunc(slices.Clone(folders), func(dir string) bool {
			return dir == "vision/synth" || strings.HasPrefix(dir, "cmd/") && dir != "cmd/internal/reading"
		})
	}
	tests, err := testsOf(folders)
	if err != nil {
		return nil, err
	}
	var all []*constant
	for _, dir := range chosen {
		found, err := constantsOf(filepath.ToSlash(filepath.Clean(dir)))
		if err != nil {
			return nil, err
		}
		for _, c := range found {
			if only == "" || name.MatchString(c.name) {
				all = append(all, c)
			}
		}
	}
	for _, c := range all {
		c.locate(tests)
	}
	return all, nil
}

// printList shows what was found in the files.
func printList(all []*constant) {
	w := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	for _, c := range all {
		fmt.Fprintf(w, "%s\t%s\t%s:%d\t%s\t%s\n", c.room, c.name, c.file, c.line, c.value, c.witness())
	}
	w.Flush()
}

// printTable shows what each change came to, and a summary of each room; it says whether every constant is kept.
func printTable(all []*constant, both bool) bool {
	w := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "constant\tplace\tvalue\tdoubled\thalved\tby")
	good := true
	type sum struct{ constants, tests, noticed, oneWay, unnoticed, ranges, none int }
	sums := map[string]*sum{}
	for _, c := range all {
		fmt.Fprintf(w, "%s\t%s/%s:%d\t%s\t%s\t%s\t%s\n",
			c.name, c.room, c.file, c.line, c.value, c.doubled, c.halved, c.witness())
		s := sums[c.room]
		if s == nil {
			s = new(sum)
			sums[c.room] = s
		}
		s.constants++
		if len(c.tests) > 0 {
			s.tests++
		}
		d, h := c.doubled.fine(), c.halved.fine()
		switch {
		case c.doubled == notNamed:
			s.none++
			good = false
		case c.doubled == inRange && c.halved == inRange:
			s.ranges++
		case d && h:
			s.noticed++
		case (d || h) && c.doubled != narrower && c.halved != narrower:
			s.oneWay++
			good = good && !both
		default:
			s.unnoticed++
			good = false
		}
	}
	w.Flush()
	fmt.Println()
	fmt.Fprintln(w, "room\tconstants\twith a test\tnoticed both ways\tone way\tnot noticed\ta range\tneither")
	var names []string
	for name := range sums {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		s := sums[name]
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\t%d\t%d\n",
			name, s.constants, s.tests, s.noticed, s.oneWay, s.unnoticed, s.ranges, s.none)
	}
	w.Flush()
	return good
}
