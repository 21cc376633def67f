package live_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"quadrille/cmd/internal/live"
	"quadrille/cmd/internal/wire"
)

// sampleAnswer is the document of a sample photo.
func sampleAnswer(t *testing.T, name, settings string) json.RawMessage {
	t.Helper()
	b, err := os.ReadFile("../../../testdata/photos/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return shared.Answer(t.Context(), b, []byte(settings), "", nil).Document
}

// A display that is held against itself agrees, box by box; held half a box off, it does not, and where the display
// then lies on the picture is told.
func TestADrawingIsHeldAgainstAPhoto(t *testing.T) {
	display := sampleAnswer(t, "slow-pale.jpg", `{"volts_per_box": "1.5V", "time_per_box": "5s", "ground": "bottom"}`)
	same := live.Check(t.Context(), []byte(jsonOf(t, map[string]any{"drawing": display, "display": display, "settings": map[string]string{"squares_per_box": "1", "origin": "0,0"}})))
	if same.Status != 200 || !same.Check.Within || !strings.Contains(same.Page, "The drawing agrees with the screen") {
		t.Fatalf("status %d, %+v", same.Status, same.Error)
	}
	var d wire.Document
	if err := json.Unmarshal(display, &d); err != nil {
		t.Fatal(err)
	}
	if want := d.Graticule.Columns + d.Graticule.Rows + 2; len(same.Boxes) != want || len(same.Trace) == 0 || len(same.Numbers) < 3 {
		t.Errorf("%d lines, want %d; %d pieces of trace, %d numbers", len(same.Boxes), want, len(same.Trace), len(same.Numbers))
	}
	off := live.Check(t.Context(), []byte(jsonOf(t, map[string]any{"drawing": display, "display": display, "settings": map[string]string{"squares_per_box": "1", "origin": "0,0.5"}})))
	if off.Status != 200 || off.Check.Within || !strings.Contains(off.Page, "lies 0.50 box too low") {
		t.Errorf("status %d, verdict %q", off.Status, off.Check.Verdict)
	}
}

func TestWhatIsNoCheckIsRefused(t *testing.T) {
	display := sampleAnswer(t, "slow-pale.jpg", "{}")
	none := live.Refusal(415, wire.Error{Kind: "file", Reason: "no picture", Hint: "take one"}).Document
	for name, c := range map[string]struct {
		given  string
		status int
	}{
		"nothing":      {"", 400},
		"no list":      {"[]", 400},
		"one document": {jsonOf(t, map[string]any{"drawing": display}), 400},
		"no document":  {`{"drawing": 1, "display": {}}`, 400},
		"a setting":    {jsonOf(t, map[string]any{"drawing": display, "display": display, "settings": map[string]string{"tolerance": "much"}}), 400},
		"a failed one": {jsonOf(t, map[string]any{"drawing": none, "display": display}), 422},
	} {
		a := live.Check(t.Context(), []byte(c.given))
		if a.Status != c.status || a.Error == nil || a.Error.Reason == "" || a.Error.Hint == "" || a.Check != nil {
			t.Errorf("%s: status %d, %+v", name, a.Status, a.Error)
		}
	}
}
