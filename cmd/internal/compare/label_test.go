package compare

import (
	"math/rand/v2"
	"regexp"
	"testing"
)

var digitsByPattern = regexp.MustCompile(`[0-9]+`)

// The naive twin is a regular expression of the standard library.
func TestNumbersInALabelAreTakenAsByTheirPattern(t *testing.T) {
	pieces := []string{"0", "12", "9", " ", "decay ", "…", ".", "é", "²", "\xff", "\n"}
	r := rand.New(rand.NewPCG(1, 2))
	for range 10_000 {
		text := ""
		for range r.IntN(8) {
			text += pieces[r.IntN(len(pieces))]
		}
		if got, want := withoutNumbers(text), digitsByPattern.ReplaceAllString(text, "…"); got != want {
			t.Fatalf("%q without numbers is %q, by the pattern %q", text, got, want)
		}
	}
}
