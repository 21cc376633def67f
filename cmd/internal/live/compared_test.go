package live_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"quadrille/cmd/internal/live"
)

// Two photos at two drives: the fast network of the mist timer at 3 V and at 6 V. τ must not change with the drive, and
// the time base, at one setting in both, is taken off.
func TestTwoDrivesSideBySide(t *testing.T) {
	var documents []json.RawMessage
	for _, c := range [][2]string{
		{"fast-blue.jpg", `{"file": "low", "volts_per_box": "0.5V", "time_per_box": "20ms", "ground": "-3"}`},
		{"fast-tube.jpg", `{"file": "high", "volts_per_box": "1V", "time_per_box": "20ms", "ground": "-3", "signal": "decay"}`},
	} {
		b, err := os.ReadFile("../../../testdata/photos/" + c[0])
		if err != nil {
			t.Fatal(err)
		}
		documents = append(documents, shared.Answer(t.Context(), b, []byte(c[1]), "", nil).Document)
	}
	same := live.Compare([]byte(jsonOf(t, map[string]any{"documents": documents})))
	if same.Status != 200 || len(same.Comparison.Same) == 0 || !same.Comparison.Agree() {
		t.Fatalf("status %d, %+v", same.Status, same.Error)
	}
	tau := same.Comparison.Same[0]
	if tau.Quantity != "tau" || tau.Trend == nil || !tau.Trend.Agree || len(tau.Pairs[0].Taken) != 1 {
		t.Errorf("τ: %+v", tau)
	}
	for _, says := range []string{"time constant τ: the same within the uncertainties",
		"against the height of the decays", "low: photo", "high: photo",
		"the time base at 20 ms a box"} {
		if !strings.Contains(strings.ToLower(same.Page), says) {
			t.Errorf("the page does not say %q", says)
		}
	}
	other := live.Compare([]byte(jsonOf(t, map[string]any{"documents": documents,
		"instruments": []string{"the old one", "the new one"}})))
	if other.Status != 200 || len(other.Comparison.Same[0].Pairs[0].Taken) != 0 {
		t.Errorf("two instruments share %+v", other.Comparison.Same[0].Pairs)
	}
}

// What is no list of readings is refused with a reason, and so are readings without anything in common.
func TestWhatIsNoComparisonIsRefused(t *testing.T) {
	one := `{"schema": 1}`
	results := `{"schema": 1, "results": [` + strings.Repeat(`{},`, 500) + `{}]}`
	for _, c := range []struct {
		name, given string
		status      int
		says        string
	}{
		{"no JSON", `x`, 400, "no list of readings"},
		{"one reading", `{"documents": [` + one + `]}`, 400, "not 1"},
		{"more than letters", `{"documents": [` + strings.Repeat(one+",", 26) + one + `]}`, 400, "not 27"},
		{"more results than any reading", `{"documents": [` + one + "," + results + `]}`, 400,
			"reading B: it has more than 500 results"},
		{"no reading", `{"documents": [1, 2]}`, 400, "reading A"},
		{"nothing in common", `{"documents": [` + one + "," + one + `]}`, 422, "nothing that was worked out"},
	} {
		got := live.Compare([]byte(c.given))
		if got.Status != c.status || got.Error == nil || !strings.Contains(got.Error.Reason, c.says) ||
			got.Error.Hint == "" || got.Page != "" {
			t.Errorf("%s: %d, %+v, want %d and %q", c.name, got.Status, got.Error, c.status, c.says)
		}
	}
}
