package analysis

import (
	"os"
	"runtime/debug"
	"testing"
)

// Thousands of small records leave much behind and keep hardly anything: on a larger heap the collector has a tenth
// less of all work to do. The results do not depend on it.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	os.Exit(m.Run())
}
