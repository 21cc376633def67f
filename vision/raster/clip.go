package raster

// Clip gives v, or the nearer of lo and hi where v lies outside; NaN stays. In WebAssembly the built-in min and max of
// floats are calls, five times as slow as comparing.
func Clip[F Real](v, lo, hi F) F {
	if v < lo {
		return lo
	}
	if v > hi {
		return hi
	}
	return v
}
