package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"testing"
)

// A turn by hand after every orientation of the file: as turning the upright picture pixel by pixel.
func TestATurnByHandComesAfterTheOrientation(t *testing.T) {
	const w, h = 5, 3
	stored := image.NewGray(image.Rect(0, 0, w, h))
	for i := range stored.Pix {
		stored.Pix[i] = uint8(16 * i)
	}
	for o := 1; o <= 8; o++ {
		before := assemble(stored, o)
		for degrees := 0; degrees < 360; degrees += 90 {
			after := assemble(stored, turnedBy(o, degrees))
			for y := range before.H {
				for x := range before.W {
					u, v, bw, bh := x, y, before.W, before.H
					for range degrees / 90 { // clockwise: what was at the left is at the top
						u, v, bw, bh = bh-1-v, u, bh, bw
					}
					if bw != after.W || bh != after.H {
						t.Fatalf("orientation %d by %d: %d×%d, want %d×%d", o, degrees, after.W, after.H, bw, bh)
					}
					if lightAt(after, u, v) != lightAt(before, x, y) {
						t.Fatalf("orientation %d by %d: pixel %d,%d is not that of %d,%d", o, degrees, u, v, x, y)
					}
				}
			}
		}
	}
}

func TestAPhotoIsTurnedByQuarters(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 3, 2))
	m.SetGray(0, 0, color.Gray{Y: 255}) // top left
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	upright, err := Decode(t.Context(), b.Bytes(), nil)
	if err != nil {
		t.Fatal(err)
	}
	p := upright.Clockwise(90)
	if p.W != 2 || p.H != 3 || lightAt(p, 1, 0)[0] != 1 || p.Source.Turned != 90 || p.Source.Orientation != 1 {
		t.Errorf("a quarter turn clockwise brings the top left corner to the top right: got %+v", p)
	}
	if p = p.Clockwise(270); p.W != 3 || p.H != 2 || lightAt(p, 0, 0)[0] != 1 || p.Source.Turned != 0 || upright.Source.Turned != 0 {
		t.Errorf("three more bring it back: got %+v", p)
	}
	for _, turn := range []int{-90, 1, 45, 360, 450} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("turned by %d", turn)
				}
			}()
			upright.Clockwise(turn)
		}()
	}
}
