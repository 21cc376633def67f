package desk

import (
	"net/http"
	"os"
	"strings"
	"testing"
)

// A HEIC photo that the browser could not read is read here, if this program has been built with its decoder; if not,
// the page is told what it is and what to do.
func TestAHEICPhotoIsReadOrNamed(t *testing.T) {
	photo, err := os.ReadFile("../../../vision/photo/testdata/decay.heic")
	if err != nil {
		t.Fatal(err)
	}
	w := post(testServer(""), "/answer", "photo", string(photo), "settings", mist, "have", "")
	a, d := answerOf(t, w.Body.Bytes())
	if !hasHEIC {
		if w.Code != http.StatusUnsupportedMediaType || !strings.Contains(d.Error.Reason, "HEIC") || !strings.Contains(string(d.Error.Hint), "as a JPEG") {
			t.Errorf("%d, %+v", w.Code, d.Error)
		}
		return
	}
	const tau = 10.34 // s, as it was drawn
	if w.Code != http.StatusOK || len(a.Pictures) == 0 {
		t.Fatalf("%d, %+v, %d pictures", w.Code, d.Error, len(a.Pictures))
	}
	for _, r := range d.Results {
		if r.Quantity == "tau" && r.Method == "curve" {
			if off := float64(r.Value) - tau; max(off, -off) > 2*float64(r.U) {
				t.Errorf("τ is %v with u %v, want %v", r.Value, r.U, tau)
			}
			return
		}
	}
	t.Errorf("no τ by the curve among %d results", len(d.Results))
}
