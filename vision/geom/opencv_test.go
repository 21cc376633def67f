package geom_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"quadrille/vision/geom"
)

// The outside reference: OpenCV 4.6.0, by testdata/opencv/reference.py.
type reference struct {
	Homographies []struct {
		Columns    int           `json:"columns"`
		Rows       int           `json:"rows"`
		Corners    [4][2]float64 `json:"corners_px"`
		Homography [9]float64    `json:"homography"`
		Boxes      [][2]float64  `json:"boxes"`
		Pixels     [][2]float64  `json:"pixels"`
		Sigma      float64       `json:"sigma_px"` // of each coordinate of a corner
		Covariance [8][8]float64 `json:"covariance"`
	} `json:"homographies"`
	Lenses []struct {
		Width        float64      `json:"width_px"`
		Height       float64      `json:"height_px"`
		K1           float64      `json:"k1"`
		Ideal        [][2]float64 `json:"ideal_px"`
		Seen         [][2]float64 `json:"seen_px"`
		Straightened [][2]float64 `json:"straightened_px"`
	} `json:"lenses"`
}

func readReference(t *testing.T) (r reference) {
	t.Helper()
	b, err := os.ReadFile("../../testdata/opencv/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Homographies) == 0 || len(r.Lenses) == 0 {
		t.Fatal("the reference is empty")
	}
	return r
}

func pixels(l [4][2]float64) (p [4]geom.Pixel) {
	for i, v := range l {
		p[i] = geom.Pixel{X: v[0], Y: v[1]}
	}
	return p
}

func TestHomographyOfEqualsOpenCV(t *testing.T) {
	worst := 0.0
	for i, c := range readReference(t).Homographies {
		h, err := geom.HomographyOf(geom.Frame{Cols: c.Columns, Rows: c.Rows}.Corners(), pixels(c.Corners))
		if err != nil {
			t.Fatal(err)
		}
		for k := range h {
			off := math.Abs(h[k]-c.Homography[k]) / max(1, math.Abs(c.Homography[k]))
			worst = max(worst, off)
			if off > 1e-12 {
				t.Errorf("case %d: h%d is %.15g, want %.15g", i, k, h[k], c.Homography[k])
			}
		}
		for k, b := range c.Boxes {
			p := h.Pixel(geom.Box{X: b[0], Y: b[1]})
			if d := math.Hypot(p.X-c.Pixels[k][0], p.Y-c.Pixels[k][1]); d > 1e-9 {
				t.Errorf("case %d: box %v is %g px off", i, b, d)
			}
			back := h.Box(geom.Pixel{X: c.Pixels[k][0], Y: c.Pixels[k][1]})
			if d := math.Hypot(back.X-b[0], back.Y-b[1]); d > 1e-12 {
				t.Errorf("case %d: the place of box %v leads back %g boxes off", i, b, d)
			}
		}
	}
	t.Logf("largest difference of an element: %.1e of it", worst)
}

// First-order propagation (JCGM 102:2011, 6.2: U = C·V·Cᵀ) from the corners to h0..h7. Both
// Jacobians are by differences, each of its own homography, with steps that differ by hundreds.
func TestCovarianceFromCornersEqualsOpenCV(t *testing.T) {
	const step = 1e-3 // px; the reference steps by 1/4 and 1/2 px
	worst := 0.0
	for i, c := range readReference(t).Homographies {
		from := geom.Frame{Cols: c.Columns, Rows: c.Rows}.Corners()
		var j [8][8]float64
		for k := range 8 {
			var ends [2]geom.Homography
			for e, sign := range [2]float64{1, -1} {
				moved := c.Corners
				moved[k/2][k%2] += sign * step
				h, err := geom.HomographyOf(from, pixels(moved))
				if err != nil {
					t.Fatal(err)
				}
				ends[e] = h
			}
			for p := range 8 {
				j[p][k] = (ends[0][p] - ends[1][p]) / (2 * step)
			}
		}
		for p := range 8 {
			for q := range 8 {
				cov := 0.0
				for k := range 8 {
					cov += c.Sigma * c.Sigma * j[p][k] * j[q][k]
				}
				off := math.Abs(cov-c.Covariance[p][q]) / math.Sqrt(c.Covariance[p][p]*c.Covariance[q][q])
				worst = max(worst, off)
				if off > 1e-6 {
					t.Errorf("case %d: covariance of h%d and h%d is %g, want %g", i, p, q, cov, c.Covariance[p][q])
				}
			}
		}
	}
	t.Logf("largest difference: %.1e of the standard deviations", worst)
}

// Brown's radial formula (D. C. Brown, Photogrammetric Engineering 37 (1971) 855), as OpenCV has it with
// k1 alone: an ideal point at radius r is seen at r·(1 + k1·r²). The sign is geom.Radial's: k1 > 0 is
// pincushion. OpenCV's r is in focal lengths, Radial's in half diagonals: the reference sets the one to
// the other, so that K and k1 are the same number.
func TestRadialEqualsOpenCV(t *testing.T) {
	worst := 0.0
	for _, c := range readReference(t).Lenses {
		l := geom.Radial{Centre: geom.Pixel{X: c.Width / 2, Y: c.Height / 2}, Scale: math.Hypot(c.Width, c.Height) / 2, K: c.K1}
		for i, p := range c.Ideal {
			seen := l.Bend(geom.Pixel{X: p[0], Y: p[1]})
			back := l.Straighten(geom.Pixel{X: c.Seen[i][0], Y: c.Seen[i][1]})
			bent := math.Hypot(seen.X-c.Seen[i][0], seen.Y-c.Seen[i][1])
			straight := math.Hypot(back.X-c.Straightened[i][0], back.Y-c.Straightened[i][1])
			worst = max(worst, bent, straight)
			if bent > 1e-9 || straight > 1e-9 {
				t.Errorf("K = %g, %v: bent %.1e px, straightened %.1e px off", c.K1, p, bent, straight)
			}
		}
	}
	t.Logf("largest difference: %.1e px", worst)
}
