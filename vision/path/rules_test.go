package path

import (
	"strings"
	"testing"
)

// The list shows the order in which rules are applied: stage by stage, and in a stage one after the other.
func TestTheRulesStandInTheOrderOfTheirUse(t *testing.T) {
	last, names := ofColour, map[string]bool{}
	for _, r := range Rules() {
		if r.test == nil || r.test.stage() < last {
			t.Errorf("%q stands behind a rule of a later stage", r.Name)
		}
		last = r.test.stage()
		if names[r.Name] || r.Name == "" {
			t.Errorf("the name %q is another rule's, or none", r.Name)
		}
		names[r.Name] = true
		if !strings.HasSuffix(r.Why, ".") || strings.Count(r.Why, ". ") > 0 {
			t.Errorf("%q gives no reason of one sentence: %q", r.Name, r.Why)
		}
	}
}
