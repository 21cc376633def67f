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

// deskMemoryLimit is the same for the page: a photo a core, those that are remembered, and bodies that wait. Two
// hundred posts at once of photos of 2.4 megapixels peak at 410 MB on two cores; no answer changes at half or twice.
const deskMemoryLimit = 512 << 20

// raiseMemoryLimit puts deskMemoryLimit in the place of memoryLimit, and leaves a limit of the environment.
func raiseMemoryLimit() {
	if debug.SetMemoryLimit(-1) == memoryLimit {
		debug.SetMemoryLimit(deskMemoryLimit)
	}
}
