package photo

import "quadrille/calibrate/remark"

// The doubts about a file.
const (
	// KindCompressed has quality, the JPEG encoder's usual number of 1 to 100.
	KindCompressed remark.Kind = "photo.compressed"
	// KindSmall has width_px and height_px, and box_px, how wide a box of the graticule can be at most.
	KindSmall remark.Kind = "photo.small"
)

const (
	// maxCoarseness of a JPEG's quantization, in units of T.81 table K.1, which its annex K calls good
	// at 1/2. A table twice as coarse blurs lines a few pixels wide and puts ripples beside them.
	// TestDoubtsNameStrongCompressionAndSmallPictures would notice.
	maxCoarseness = 1.0

	// minBox is the size of a division, px, under which its five subdivisions blur into one another,
	// taking a display of 10×8 divisions that fills the picture.
	// TestDoubtsNameStrongCompressionAndSmallPictures would notice.
	minBox = 40
)

// doubts tells what makes a reading from this file less sure.
func doubts(p *Photo, f facts) []remark.Remark {
	var d []remark.Remark
	if f.coarseness > maxCoarseness {
		// Encoders scale the tables of T.81 by 50/quality below quality 50 (common practice, no source).
		d = append(d, remark.Of(KindCompressed, remark.Number("quality", 50/f.coarseness)))
	}
	if box := min(max(p.W, p.H)/10, min(p.W, p.H)/8); box < minBox {
		d = append(d, remark.Of(KindSmall, remark.Count("width_px", p.W), remark.Count("height_px", p.H), remark.Count("box_px", box)))
	}
	return d
}
