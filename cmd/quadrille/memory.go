package main

import (
	"math"
	"runtime/debug"
)

// memoryLimit is the size in bytes from which the garbage collector works before its time. A photo of 12 megapixels
// keeps some 70 MB alive while it is searched, and garbage of the same size would pile up on it; with the limit the
// process peaks below 140 MB on it, 170 MB at 48 megapixels, in the same time (TestAHardPhotoStaysWithin160MB).
const memoryLimit = 120 << 20

// limitMemory sets memoryLimit unless the environment has a limit.
func limitMemory() {
	if debug.SetMemoryLimit(-1) == math.MaxInt64 {
		debug.SetMemoryLimit(memoryLimit)
	}
}
