package photo

import (
	"image"
	"testing"
)

// A part of a photo is the same whichever way the camera held it, at any reduction: what Region gives of
// single pixels, averaged and weighed.
func TestPartsOfATurnedPhotoAgree(t *testing.T) {
	weights := [3]float32{0.3, 0.45, 0.25}
	for o := 1; o <= 8; o++ {
		for name, img := range kinds(23, 17) {
			p := assemble(img, o)
			for k := 1; k <= 4; k++ {
				rgb, cut := p.ReducedRegion(image.Rect(-2, 1, 14, 40), k)
				grey, same := p.Grey(image.Rect(-2, 1, 14, 40), k, weights)
				if cut != same || cut.Min != image.Pt(0, 1) || cut.Dx() != 14/k*k || cut.Dy() != (p.H-1)/k*k {
					t.Fatalf("%s, orientation %d: cut to %v and %v", name, o, cut, same)
				}
				for j := range grey.H {
					for i, v := range grey.Row(j) {
						if k == 1 {
							one, _ := p.Region(image.Rect(i, j+1, i+1, j+2))
							for c := range one {
								if one[c].Pix[0] != rgb[c].Row(j)[i] {
									t.Fatalf("%s, orientation %d: (%d, %d)[%d] is %v alone, %v in a region", name, o, i, j, c, one[c].Pix[0], rgb[c].Row(j)[i])
								}
							}
						}
						want := 0.0
						for c := range rgb {
							want += float64(weights[c]) * float64(rgb[c].Row(j)[i])
						}
						if !near(v, want) {
							t.Fatalf("%s, orientation %d, by %d: grey (%d, %d) is %v, want %v", name, o, k, i, j, v, want)
						}
					}
				}
			}
		}
	}
}
