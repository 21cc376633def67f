// Package frame tells which rectangle of a lattice is a display's frame, how many boxes it has, and how well lattice
// and frame explain the picture.
//
// Stage: lattice.Grown -> Survey -> Frame. Entries: Of, which looks at the lattice and some boxes around what was
// grown, and Survey.Best, which places the frame.
//
// The lattice is nearly always found; which of its lines is the rim is the problem. Every piece of line is given a
// strength; a rectangle is good when the pieces in it are strong, when crossing lines end at its rims, when its size is
// one that displays have, and when the minor ticks stand on its centre lines and inside its rims.
package frame
