// Package marks finds the frame of a display on which no lines run across the field: a rectangle with ticks inside its
// rims, with ticked centre axes, or with small crosses where lines would cross.
//
// Stage: scene -> Found. Entries: Find, and Near where a person gave the corners.
//
// As a person reads it: the frame is a rectangle of long lines, and the ticks or crosses are even in its perspective.
// Rectangles come from long lines (longlines.go, quads.go), each is fitted with a homography and the lens term on the
// photo itself, counts of boxes are tried by looking for their marks (strips.go, crosses.go, count.go), and the last
// fit is to the pieces of the rims and axes and to each mark that was seen (fit.go).
package marks
