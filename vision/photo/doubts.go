package photo

import "fmt"

const (
	// maxCoarseness of a JPEG's quantization, in units of T.81 table K.1, which its annex K calls good
	// at 1/2. A table twice as coarse blurs lines a few pixels wide and puts ripples beside them.
	maxCoarseness = 1.0

	// minBox is the size of a division, px, under which its five subdivisions blur into one another,
	// taking a display of 10×8 divisions that fills the picture. TestDoubts would notice.
	minBox = 40
)

// doubts tells in plain sentences what makes a reading from this file less sure.
func doubts(p *Photo, f facts) []string {
	var d []string
	if f.coarseness > maxCoarseness {
		// Encoders scale the tables of T.81 by 50/quality below quality 50 (common practice, no source).
		d = append(d, fmt.Sprintf("the photo was compressed strongly (about quality %.0f of 100), which smears thin lines; "+
			"use the file from the camera, not a copy from a message", 50/f.coarseness))
	}
	if box := min(max(p.W, p.H)/10, min(p.W, p.H)/8); box < minBox {
		d = append(d, fmt.Sprintf("the picture is small (%d×%d pixels): a box of the graticule can be at most about %d pixels wide; "+
			"take the photo at full size", p.W, p.H, box))
	}
	return d
}
