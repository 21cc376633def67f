package wire

import "testing"

// Both limits are counts that a person may give.
func TestTrialsAreFromAThousandToAMillion(t *testing.T) {
	for text, want := range map[string]int{"999": 0, "1000": 1000, "1000000": 1000000, "1000001": 0, "1e4": 0} {
		if n, err := trials(text); n != want || (err == nil) != (want > 0) {
			t.Errorf("%s: %d, %v", text, n, err)
		}
	}
}
