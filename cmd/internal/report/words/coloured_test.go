package words

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"testing"
)

var colourByPattern = regexp.MustCompile("#[0-9a-f]{6}")

// The naive twin is a regular expression of the standard library.
func TestColoursAreFoundAsByTheirPattern(t *testing.T) {
	pieces := []string{"#", "#91e5ee", "91", "e5", "f", "0", "A", "g", "a (", ") and ", "µ", "\xff", "#12345", "#FFCC00"}
	r := rand.New(rand.NewPCG(1, 2))
	for range 10_000 {
		text := ""
		for range r.IntN(8) {
			text += pieces[r.IntN(len(pieces))]
		}
		want := colourByPattern.ReplaceAllStringFunc(text, func(hex string) string {
			var c [3]uint8
			if _, err := fmt.Sscanf(hex, "#%02x%02x%02x", &c[0], &c[1], &c[2]); err != nil {
				t.Fatal(err)
			}
			return Colour(c)
		})
		if got := coloured(text); got != want {
			t.Fatalf("%q with its colours in words is %q, by the pattern %q", text, got, want)
		}
	}
}
