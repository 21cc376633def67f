// Package sheet straightens the display: it reads the photo where the graticule says that the cells of the display
// are, and tells of every cell what the display shows where nothing is drawn (the field), what the graticule's lines
// add to it (the ink), and what is left.
//
// It is the first of the rooms that a trace goes through, and Read is its entry:
//
//	photo, graticule -> sheet.Read -> path.Find -> stroke.Measure -> trace.Extract
//
//	strip.go     the photo, sampled in strips half a box wide, a few samples a cell     (bilinear, in linear light)
//	field.go     the field and its noise at knots half a box apart                      (running medians)
//	crowd.go     the same where a fast wave covers most of the display
//	ink.go       what repeats from box to box, and along axes and rims                  (medians over folded boxes)
//	pixels.go    the display's own pixels, averaged away where a photo shows them       (a line in the spectrum)
//	tint.go      light along a colour of the display, and what it scores
//	lines.go     what the lines tell of the display: darker than the field, dotted, on a curved face
//
// Cells are at (i, j): column i from the left rim to the right one, row j from the bottom up. All light is linear, 1
// being the brightest that the photo can show.
package sheet
