// Package lattice finds families of evenly spaced lines that cross, under perspective: a display's graticule, or
// squared paper. It tells neither where such a lattice ends nor what it is of.
//
// Stage: scene.Ridges -> Seeds -> Grow -> Grown. Entries: Seeds, which gives small affine lattices from periodicity in
// windows, and Grow, which follows one over the picture as far as its lines go on.
//
// On the lattice lines are at whole numbers. The inverse map, pixel -> lattice, is
//
//	i = (a·p)/(1 + c·p),   j = (b·p)/(1 + c·p)
//
// with one denominator for both families: c is the image of the line at infinity, which they share.
// Lines as data for a homography: R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed., section 4.1.
// Seeds first and the frame later: the measured comparison of two prototypes in testdata/measured/graticule.md.
package lattice
