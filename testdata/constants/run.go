package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"
)

// An outcome is what a change came to.
type outcome string

const (
	noticed   outcome = "noticed"
	compiler  outcome = "does not compile"
	hangs     outcome = "hangs"
	unnoticed outcome = "UNNOTICED"
	inRange   outcome = "in its range"
	narrower  outcome = "NOTICED IN ITS RANGE"
	same      outcome = "no change" // half of 1, rounded up, or a multiple of 0
	notNamed  outcome = "NO TEST NAMED"
	broken    outcome = "TEST FAILS AS IT IS"
	missing   outcome = "NO SUCH TEST"
)

// fine says whether the outcome is what is asked of a constant.
func (o outcome) fine() bool {
	return o == noticed || o == compiler || o == hangs || o == inRange || o == same
}

// A runner runs tests with a file laid over the module's.
type runner struct {
	folder string
	limit  time.Duration
	among  string // an expression for the tests that are searched through

	sync.Mutex
	binaries map[string]*binary // by the rooms of the constants and of the tests
	clean    map[string]bool    // rooms and tests that were run without a change: whether they passed
	n        int
}

func newRunner(limit time.Duration, among string) (*runner, error) {
	folder, err := os.MkdirTemp("", "constants")
	return &runner{folder: folder, limit: limit, among: among, binaries: map[string]*binary{}, clean: map[string]bool{}}, err
}

func (r *runner) close() { os.RemoveAll(r.folder) }

// judge doubles and halves one constant.
func (c *constant) judge(r *runner) {
	begin := time.Now()
	defer func() { c.took = time.Since(begin) }()
	switch {
	case len(c.absent) > 0:
		c.doubled, c.halved = missing, missing
		return
	case len(c.tests) == 0 && c.bounds == nil:
		c.doubled, c.halved = notNamed, notNamed
		return
	case !r.pass(c):
		c.doubled, c.halved = broken, broken
		return
	}
	c.doubled = c.change(r, 2)
	c.halved = c.change(r, 0.5)
}

// reach doubles and halves one constant up to n times, and words the range in which its tests notice nothing.
func (c *constant) reach(r *runner, n int) string {
	c.bounds = nil
	if !r.pass(c) {
		return fmt.Sprintf("%s %s: %s", c.room, c.name, broken)
	}
	lo, hi, down, up := 1.0, 1.0, unnoticed, unnoticed
	for i := 0; i < n && up == unnoticed; i++ {
		if up = c.change(r, 2*hi); up == unnoticed {
			hi *= 2
		}
	}
	for i := 0; i < n && down == unnoticed; i++ {
		if down = c.change(r, lo/2); down == unnoticed {
			lo /= 2
		}
	}
	c.doubled, c.halved = up, down
	return fmt.Sprintf("%s %s = %s: nothing changes from %.3g to %.3g; %.3g: %s, %.3g: %s; %s",
		c.room, c.name, c.value, lo*c.number, hi*c.number, lo*c.number/2, down, hi*c.number*2, up, strings.Join(c.by, ", "))
}

// change runs the tests with the constant multiplied. Within the range of its comment they must not notice.
func (c *constant) change(r *runner, factor float64) outcome {
	within := false
	if c.bounds != nil {
		v := c.number * factor
		if c.whole {
			v = math.Ceil(v)
		}
		within = v >= c.bounds[0] && v <= c.bounds[1]
	}
	if len(c.tests) == 0 && within {
		return inRange
	}
	if len(c.tests) == 0 {
		return unnoticed
	}
	path := filepath.Join(c.room, c.file)
	src, err := os.ReadFile(path)
	if err != nil {
		return broken
	}
	out := c.multiplied(src, factor)
	if bytes.Equal(out, src) {
		return same
	}
	o, by, ok := r.flip(c, factor)
	if !ok {
		o, by = r.run(c.tests, path, out)
	}
	for _, name := range by {
		if !slices.Contains(c.by, name) {
			c.by = append(c.by, name)
		}
	}
	switch {
	case within && o == unnoticed:
		return inRange
	case within:
		return narrower
	}
	return o
}

// multiplied is the file with each number of the constant multiplied. Half of a whole number is rounded up, so that a
// count of one stays one.
func (c *constant) multiplied(src []byte, factor float64) []byte {
	var out []byte
	last := 0
	for _, l := range c.literals {
		text := string(src[l.from:l.to])
		var changed string
		switch {
		case text == "0" || factor < 1 && c.whole && text == "1":
			changed = text
		case factor >= 1:
			changed = fmt.Sprintf("((%s) * %.0f)", text, factor)
		case c.whole && !strings.Contains(text, "time."):
			changed = fmt.Sprintf("(((%s) + %.0f) / %.0f)", text, 1/factor-1, 1/factor)
		default:
			changed = fmt.Sprintf("((%s) / %.0f)", text, 1/factor)
		}
		out = append(append(out, src[last:l.from]...), changed...)
		last = l.to
	}
	return append(out, src[last:]...)
}

// pass says whether the tests of a constant pass as the module is; each set of them is asked once.
func (r *runner) pass(c *constant) bool {
	if len(c.tests) == 0 {
		return true
	}
	key := fmt.Sprint(c.tests)
	r.Lock()
	passed, known := r.clean[key]
	r.Unlock()
	if known {
		return passed
	}
	o, _, ok := r.flip(c, 1)
	if !ok {
		o, _ = r.run(c.tests, "", nil)
	}
	r.Lock()
	r.clean[key] = o == unnoticed
	r.Unlock()
	return o == unnoticed
}

var failed = regexp.MustCompile(`(?m)^--- FAIL: (Test\w+)`)

// run runs tests, room by room, with one file laid over. It stops at the first that fails; if all tests of a room are
// asked for, it names that one.
func (r *runner) run(tests []test, path string, src []byte) (o outcome, by []string) {
	args := []string{"test", "-count=1", "-vet=off", "-timeout", r.limit.String()}
	if path != "" {
		overlay, remove, err := r.layOver(path, src)
		if err != nil {
			return broken, nil
		}
		defer remove()
		args = append(args, "-overlay", overlay)
	}
	for len(tests) > 0 {
		n, pattern := r.together(tests)
		cmd := exec.Command("go", append(args, "-failfast", "-run", pattern, "./"+tests[0].room)...)
		if o, by := outcomeOf(cmd, tests[0].name == ""); o != unnoticed {
			return o, by
		}
		tests = tests[n:]
	}
	return unnoticed, nil
}

// flip runs the tests of a constant with its switch turned; not ok if it has none.
func (r *runner) flip(c *constant, factor float64) (o outcome, by []string, ok bool) {
	for tests := c.tests; len(tests) > 0; {
		b := r.binary(c.room, tests[0].room)
		if b == nil || !b.switched[c.id()] {
			return "", nil, false
		}
		n, pattern := r.together(tests)
		cmd := exec.Command(b.path, "-test.failfast", "-test.timeout", r.limit.String(), "-test.run", pattern)
		cmd.Dir = tests[0].room
		cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s*%g", variable, c.id(), factor))
		if o, by := outcomeOf(cmd, tests[0].name == ""); o != unnoticed {
			return o, by, true
		}
		tests = tests[n:]
	}
	return unnoticed, nil, true
}

// binary gives the tests of a room with the constants of another as switches; nil if they do not compile.
func (r *runner) binary(room, tests string) *binary {
	r.Lock()
	defer r.Unlock()
	key := room + " " + tests
	b, known := r.binaries[key]
	if !known {
		var err error
		if b, err = r.compile(room, tests); err != nil {
			fmt.Fprintln(os.Stderr, "constants:", err)
		}
		r.binaries[key] = b
	}
	return b
}

// together gives how many of the tests, from the first on, are one run, and the pattern for them. Whole tests of one
// room are; a part of a test is run alone, for its pattern would hold for all.
func (r *runner) together(tests []test) (n int, pattern string) {
	pattern = tests[0].pattern()
	switch {
	case tests[0].name == "":
		return 1, r.among
	case strings.Contains(tests[0].name, "/"):
		return 1, pattern
	}
	for n = 1; n < len(tests) && tests[n].room == tests[0].room && !strings.Contains(tests[n].name, "/"); n++ {
		pattern += "|" + tests[n].pattern()
	}
	return n, pattern
}

// outcomeOf runs a test and says whether it noticed, and which did if they are wanted.
func outcomeOf(cmd *exec.Cmd, wanted bool) (o outcome, by []string) {
	b, err := cmd.CombinedOutput()
	switch {
	case err == nil && bytes.Contains(b, []byte("no tests to run")):
		return missing, nil
	case err == nil:
		return unnoticed, nil
	case bytes.Contains(b, []byte("[build failed]")) || bytes.Contains(b, []byte("[setup failed]")):
		return compiler, nil
	case bytes.Contains(b, []byte("panic: test timed out")):
		return hangs, nil
	}
	if wanted {
		for _, m := range failed.FindAllSubmatch(b, -1) {
			by = append(by, string(m[1]))
		}
	}
	return noticed, by
}

// pattern is what the go command's -run needs for a test.
func (t test) pattern() string {
	return "^" + strings.ReplaceAll(t.name, "/", "$/^") + "$"
}

// layOver writes a file and the list by which the go command takes it for another; remove takes both away again.
func (r *runner) layOver(path string, src []byte) (overlay string, remove func(), err error) {
	r.Lock()
	r.n++
	n := r.n
	r.Unlock()
	file := filepath.Join(r.folder, fmt.Sprintf("%d.go", n))
	overlay = filepath.Join(r.folder, fmt.Sprintf("%d.json", n))
	full, err := filepath.Abs(path)
	if err != nil {
		return "", nil, err
	}
	list, err := json.Marshal(map[string]any{"Replace": map[string]string{full: file}})
	if err != nil {
		return "", nil, err
	}
	if err := os.WriteFile(file, src, 0o600); err != nil {
		return "", nil, err
	}
	if err := os.WriteFile(overlay, list, 0o600); err != nil {
		return "", nil, err
	}
	return overlay, func() { os.Remove(file); os.Remove(overlay) }, nil
}
