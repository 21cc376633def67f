package sketch

// The paper, straightened, as absorbance: how much light the paper's own white has lost at each cell, in natural
// logarithms, colour by colour. Light that falls unevenly and a soft shadow drop out of it, and ink is the same in
// both.

import (
	"context"
	"image"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
	"quadrille/vision/squares"
)

const (
	// mostPer and leastPer are the cells a square: a pen's stroke is 0.04 to 0.1 of a square, and a photo has no more
	// pixels than it has (TestHowFinelyTheSheetIsRead).
	mostPer, leastPer = 60, 12
	// mostCells keeps a large sheet within memory: 2.4 million cells are 30 MB in three colours
	// (TestHowFinelyTheSheetIsRead).
	mostCells = 2400000
	// margin is how many squares beyond the ruled part are looked at: curves run on for a while
	// (TestACurveGoesOnBeyondTheRuledPart).
	margin = 1.5
	// lightFloor is added to linear light before its logarithm: in black the noise must not count
	// (TestInkIsWhatTheRulingIsNot).
	lightFloor = 0.02
	// whiteBlock is the side in squares of the blocks in which the paper's white is told; the edge of a hand's shadow is
	// wider (TestAShadowIsNoInk).
	whiteBlock = 0.5
	// whiteRank: of the cells of a block so many are darker than its white: lines and ink cover less than half, and what
	// is brightest is noise (TestAShadowIsNoInk).
	whiteRank = 0.7
)

// A sheet has the absorbance of the part of the paper that is on the photo.
type sheet struct {
	paper *squares.Paper
	per   int // cells a square
	w, h  int
	// left and top are the place on the paper of the top-left corner of the first cell.
	left, top float64
	colour    [3]*raster.Plane // absorbance of red, green and blue light; 0 outside the photo
	outside   []bool           // cells that are not on the photo
}

// x and y give the place on the paper of a place in cells, counted from the sheet's corner; col and row the other way.
func (s *sheet) x(c float64) float64   { return s.left + c/float64(s.per) }
func (s *sheet) y(r float64) float64   { return s.top - r/float64(s.per) }
func (s *sheet) col(x float64) float64 { return (x - s.left) * float64(s.per) }
func (s *sheet) row(y float64) float64 { return (s.top - y) * float64(s.per) }

// readSheet straightens the photo. Its error is that of ctx.
func readSheet(ctx context.Context, ph *photo.Photo, p *squares.Paper) (*sheet, error) {
	across, up := p.Step(geom.Box{})
	wide, high := float64(p.Frame.Cols)+2*margin, float64(p.Frame.Rows)+2*margin
	per := min(max(int(math.Min(across, up)+0.5), leastPer), mostPer)
	for per > leastPer && float64(per*per)*wide*high > mostCells {
		per--
	}
	s := &sheet{paper: p, per: per, w: int(wide * float64(per)), h: int(high * float64(per)),
		left: p.Frame.Left() - margin, top: -p.Frame.Bottom() + margin}
	warp := raster.NewWarp(s.w, s.h, func(x, y float64) geom.Pixel { return p.Pixel(geom.Box{X: s.x(x), Y: s.y(y)}) })
	lo, hi := warp.Bounds()
	part := image.Rect(int(lo.X)-2, int(lo.Y)-2, int(hi.X)+3, int(hi.Y)+3)
	k := max(1, int(math.Min(across, up)/float64(per)))
	s.outside = make([]bool, s.w*s.h)
	for c := range s.colour { // light in logarithms at first
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var weights [3]float32
		weights[c] = 1
		light, cut := ph.Grey(part, k, weights)
		out := warp.Of(light, geom.Pixel{X: float64(cut.Min.X), Y: float64(cut.Min.Y)}, 1/float64(k), func(geom.Pixel) float32 { return -1 })
		for i, v := range out.Pix {
			if v < 0 {
				s.outside[i] = true
				v = 0
			}
			out.Pix[i] = float32(math.Log(float64(v) + lightFloor))
		}
		s.colour[c] = out
	}
	s.beyond()
	for c := range s.colour {
		s.whiten(c)
	}
	return s, nil
}

// whiten turns the log light of a colour into absorbance.
func (s *sheet) whiten(c int) {
	side := max(4, int(whiteBlock*float64(s.per)))
	bw, bh := (s.w+side-1)/side, (s.h+side-1)/side
	white := raster.New(bw, bh)
	p := s.colour[c]
	raster.Rows(bh, func(j0, j1 int) {
		var v []float32
		for j := j0; j < j1; j++ {
			for i := range bw {
				v = v[:0]
				for y := j * side; y < min((j+1)*side, s.h); y++ {
					for x := i * side; x < min((i+1)*side, s.w); x++ {
						if k := y*s.w + x; !s.outside[k] {
							v = append(v, p.Pix[k])
						}
					}
				}
				white.Pix[j*bw+i] = float32(math.Inf(-1))
				if len(v) > side*side/4 {
					white.Pix[j*bw+i] = raster.Rank(v, whiteRank)
				}
			}
		}
	})
	white = middled(white)
	raster.Rows(s.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range s.w {
				k := y*s.w + x
				if s.outside[k] {
					p.Pix[k] = 0
					continue
				}
				q := geom.Pixel{X: (float64(x) + 0.5) / float64(side), Y: (float64(y) + 0.5) / float64(side)}
				p.Pix[k] = white.Clamped(q) - p.Pix[k]
			}
		}
	})
}

// middled gives each block the median of itself and the blocks round it that have a value; blocks without any get the
// nearest row's.
func middled(p *raster.Plane) *raster.Plane {
	out := raster.New(p.W, p.H)
	for reach := 1; ; reach++ {
		lacking := false
		for j := range p.H {
			for i := range p.W {
				if reach > 1 && !math.IsInf(float64(out.Pix[j*p.W+i]), -1) {
					continue
				}
				var v []float32
				for y := max(j-reach, 0); y <= min(j+reach, p.H-1); y++ {
					for x := max(i-reach, 0); x <= min(i+reach, p.W-1); x++ {
						if b := p.Pix[y*p.W+x]; !math.IsInf(float64(b), -1) {
							v = append(v, b)
						}
					}
				}
				out.Pix[j*p.W+i] = float32(math.Inf(-1))
				if len(v) > 0 {
					out.Pix[j*p.W+i] = raster.Median(v)
				} else {
					lacking = true
				}
			}
		}
		if !lacking || reach > max(p.W, p.H) {
			return out
		}
	}
}
