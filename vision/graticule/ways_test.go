package graticule_test

import (
	"strings"
	"testing"

	"quadrille/vision/graticule"
)

func TestEachWayHasANameAndAReason(t *testing.T) {
	names, whys := graticule.Ways()
	seen := map[string]bool{}
	for i, name := range names {
		if name == "" || seen[name] || len(strings.Fields(whys[i])) < 3 {
			t.Errorf("way %d, %q: %q", i, name, whys[i])
		}
		seen[name] = true
	}
}
