package main

import (
	"strings"
	"testing"
)

const room = `package room

// Group: TestOfTheGroup would notice.
const (
	// own is a length, and nothing changes from 0.2 to
	// 0.8 (TestOfOne, TestOfTwo/narrow).
	own, twin = 0.4, 2.0

	plain = 3 // taken from the group
	sum   = plain + plain
	code  = 0x1f
	text  = "3"
	first = iota
)

// sizes are usual: TestSizes.
var sizes = [][2]int{{10, 8}, {1, 12}}

var mixed = []any{1, "a"}

// f is tested by TestF.
func f() float64 {
	const half = 1
	return half
}
`

func TestConstantsAndWhatTheirCommentsNameAreFound(t *testing.T) {
	all, err := constantsIn("room", "a.go", []byte(room))
	if err != nil {
		t.Fatal(err)
	}
	want := []struct{ name, witness string }{
		{"own", "TestOfOne, TestOfTwo/narrow, nothing from 0.2 to 0.8"},
		{"twin", "TestOfOne, TestOfTwo/narrow, nothing from 0.2 to 0.8"},
		{"plain", "TestOfTheGroup (not there)"},
		{"sizes", "other.TestSizes"},
		{"half", "TestF"},
	}
	tests := map[string][]string{"TestOfOne": {"room"}, "TestOfTwo": {"room"}, "TestSizes": {"other"}, "TestF": {"other", "room"}}
	if len(all) != len(want) {
		t.Fatalf("%d constants, want %d", len(all), len(want))
	}
	for i, c := range all {
		c.locate(tests)
		if c.name != want[i].name || c.witness() != want[i].witness {
			t.Errorf("%s by %s, want %s by %s", c.name, c.witness(), want[i].name, want[i].witness)
		}
	}
	all[0].number, all[0].tests = 0.4, nil
	if o := all[0].change(nil, 2); o != inRange {
		t.Errorf("twice 0.4 lies within 0.2 to 0.8, but came to %s", o)
	}
}

func TestEachNumberIsMultiplied(t *testing.T) {
	all, err := constantsIn("room", "a.go", []byte(room))
	if err != nil {
		t.Fatal(err)
	}
	for _, check := range []struct {
		name   string
		factor float64
		want   string
	}{
		{"own", 2, "own, twin = ((0.4) * 2), 2.0"},
		{"twin", 0.5, "own, twin = 0.4, ((2.0) / 2)"},
		{"plain", 0.5, "plain = (((3) + 1) / 2)"},
		{"half", 0.5, "const half = 1\n"},
		{"sizes", 0.5, "{{(((10) + 1) / 2), (((8) + 1) / 2)}, {1, (((12) + 1) / 2)}}"},
	} {
		for _, c := range all {
			if c.name == check.name && !strings.Contains(string(c.multiplied([]byte(room), check.factor)), check.want) {
				t.Errorf("%s by %g is not %q", check.name, check.factor, check.want)
			}
		}
	}
}
