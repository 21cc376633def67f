package photo

import (
	"math"
	"os"
	"testing"
)

func TestLightFollowsTheStandardsCurve(t *testing.T) {
	// The curve of IEC 61966-2-1:1999 clause 5.2, written in another way. The two branches meet to 1e-7.
	if d := linear(0.04045) - linear(math.Nextafter(0.04045, 1)); math.Abs(d) > 1e-7 {
		t.Error("the branches are", d, "apart")
	}
	for i, v := range light8 {
		c := float64(i) / 255
		want := c / 12.92
		if c > 0.04045 {
			want = math.Exp(2.4 * math.Log((c+0.055)/1.055))
		}
		if math.Abs(float64(v)-want) > 1e-7 {
			t.Errorf("light of %d is %v, want %v", i, v, want)
		}
		if lightOf[i*steps+zero] != v {
			t.Errorf("the tables differ at %d", i)
		}
	}
	// Values much quoted for 8-bit sRGB (from memory): 119 is the 18 % grey card to within 2 %, 128 is
	// 0.2159, 188 is the nearest to half, 1 is 0.000304.
	for _, c := range []struct {
		code      int
		want, tol float64
	}{{0, 0, 0}, {1, 0.0003035, 1e-7}, {119, 0.18, 0.005}, {128, 0.2158605, 1e-6}, {188, 0.5029, 1e-4}, {255, 1, 0}} {
		if got := float64(light8[c.code]); math.Abs(got-c.want) > c.tol {
			t.Errorf("light of %d is %v, want %v", c.code, got, c.want)
		}
	}
}

func TestLightOutsideTheRangeIsClipped(t *testing.T) {
	for i, v := range lightOf {
		if i <= zero && v != 0 || i >= zero+255*steps && v != 1 {
			t.Errorf("entry %d is %v", i, v)
		}
	}
	// The most that the equations of T.871 can reach stays inside the table.
	for _, cb := range []int32{0, 255 * whole} {
		for _, cr := range []int32{0, 255 * whole} {
			tt := tintOf(cb, cr)
			for _, d := range []int32{tt.r, tt.g, tt.b} {
				if luma(0)+d < 0 || luma(255)+d >= reach {
					t.Errorf("cb %d, cr %d: the tint %d leaves the table", cb, cr, d)
				}
			}
		}
	}
}

// testdata/swatches.webp was made by libwebp's cwebp 1.2.4 -q 95 of the colours below, 16 pixels
// wide; its dwebp gives them back to within 2.
func TestWebPHasItsWholeRange(t *testing.T) {
	data, err := os.ReadFile("testdata/swatches.webp")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Decode(t.Context(), data, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range []float64{0, 85, 170, 255} {
		for _, s := range []struct {
			y    int
			want [3]float64
		}{{8, [3]float64{v, v, v}}, {50, [3]float64{v, 40, 200}}} {
			got := p.Preview(1).RGBAAt(16*i+8, s.y)
			for c, g := range []uint8{got.R, got.G, got.B} {
				if math.Abs(float64(g)-s.want[c]) > 3 {
					t.Errorf("swatch %d at row %d is %v, want %v", i, s.y, got, s.want)
				}
			}
		}
	}
}
