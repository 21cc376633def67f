// Package graticule finds the graticule of an oscilloscope's display on a photo: the homography from boxes to pixels,
// the lens, the curve of the face, the count of columns and rows, and how sure all that is.
//
// Stage: photo -> Graticule. Entry: Find; a Finder keeps what it has seen of a photo for further questions.
//
// The package does no work on pictures of its own. It orders the rooms below it:
//
//	photo -> scene ------> lattice ----> frame ------> fit ----> verdict
//	         (pictures,    (lines that   (which line   (to the   (what speaks for it,
//	         ridges)        cross)        is the rim)   photo)    what to doubt)
//	              \------> marks (frames without lines across) --/
//
// The ways to a hypothesis are rows of one table (ways.go), the cheap ones first; all hypotheses stand on one scale
// (standing.go), and the search ends when nothing that is left could change which of them leads.
package graticule
