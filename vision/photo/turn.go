package photo

import "image"

// A turn takes stored pixels to upright ones. The stored axes may be swapped, and each may run
// against the upright axis it lies along. Source: CIPA DC-008 (Exif), tag 274 Orientation, the same
// as TIFF 6.0 page 36, which say at which side of the upright picture the stored row 0 and column 0 are.
type turn struct {
	swap bool // stored columns run along the upright y axis
	fx   bool // stored x runs against its upright axis
	fy   bool // stored y runs against its upright axis
}

// turns has the eight orientations in the order of the tag's values 1 to 8.
var turns = [8]turn{
	{false, false, false}, // row 0 top, column 0 left
	{false, true, false},  // top, right: mirrored
	{false, true, true},   // bottom, right: half a turn
	{false, false, true},  // bottom, left
	{true, false, false},  // left, top: transposed
	{true, false, true},   // right, top: a quarter turn clockwise makes it upright
	{true, true, true},    // right, bottom
	{true, true, false},   // left, bottom: a quarter turn anticlockwise
}

// clockwise has the orientation that takes each one, and a quarter turn clockwise after it, at once.
// TestATurnByHandComesAfterTheOrientation would notice.
var clockwise = [8]int{6, 7, 8, 5, 2, 3, 4, 1}

// turnedBy gives the orientation 1..8 that is followed by a clockwise turn of so many degrees: 0, 90,
// 180 or 270.
func turnedBy(orientation, degrees int) int {
	for range degrees / 90 {
		orientation = clockwise[orientation-1]
	}
	return orientation
}

// size gives the upright size of w×h stored pixels.
func (t turn) size(w, h int) (int, int) {
	if t.swap {
		return h, w
	}
	return w, h
}

// pixel gives the stored pixel of an upright one; w and h are the stored size.
func (t turn) pixel(x, y, w, h int) (int, int) {
	if t.swap {
		x, y = y, x
	}
	if t.fx {
		x = w - 1 - x
	}
	if t.fy {
		y = h - 1 - y
	}
	return x, y
}

// rect gives the stored rectangle of an upright one.
func (t turn) rect(r image.Rectangle, w, h int) image.Rectangle {
	x0, y0 := t.pixel(r.Min.X, r.Min.Y, w, h)
	x1, y1 := t.pixel(r.Max.X-1, r.Max.Y-1, w, h)
	return image.Rect(min(x0, x1), min(y0, y1), max(x0, x1)+1, max(y0, y1)+1)
}

// place tells where stored row j of a w×h stored plane goes in the upright plane: its first element
// to index at, each next one step further.
func (t turn) place(j, w, h int) (at, step int) {
	x, y := 0, j
	if t.fy {
		y = h - 1 - j
	}
	if t.fx {
		x = w - 1
	}
	if t.swap { // the upright plane is h wide
		at, step = x*h+y, h
	} else {
		at, step = y*w+x, 1
	}
	if t.fx {
		step = -step
	}
	return at, step
}
