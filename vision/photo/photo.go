// Package photo turns the bytes of a picture file into one upright photo in linear light. It is the
// only room that knows image decoders.
package photo

import (
	"errors"
	"image"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// A Photo is one upright photograph. Its samples stay as the decoder gave them (a JPEG's planes take
// 1.5 bytes a pixel) and become linear light when they are read. A Photo is never changed after
// Decode and may be read by several goroutines at once.
type Photo struct {
	W, H   int // px, upright
	Source Source
	Doubts []string // what a person should know of the file itself; may be nil
}

// A Source tells where a photo came from.
type Source struct {
	SHA256      string // of the file's bytes, hex
	Kind        string // "jpeg", "png", "webp" or "heic"
	Taken       string // date and time as the camera wrote them, "" if unknown
	Orientation int    // EXIF orientation 1..8 that was applied; 1 if none
}

// Options limits what Decode accepts. Nil or zero fields mean the defaults.
type Options struct {
	MaxBytes  int // bytes of the file; 0 means 64 MB
	MaxPixels int // pixels of the picture; 0 means 80 million
}

// A FormatError says that the file is damaged or not a picture at all: another file is needed.
type FormatError struct{ Reason, Hint string }

func (e *FormatError) Error() string { return e.Reason }

// An UnsupportedError says that the file is sound but of a kind or size that is not read here.
type UnsupportedError struct{ Reason, Hint string }

func (e *UnsupportedError) Error() string { return e.Reason }

// Decode reads JPEG, PNG, WebP, and HEIC where built in.
func Decode(data []byte, o *Options) (*Photo, error) {
	return nil, errors.New("photo: not built yet")
}

// New wraps a picture that is decoded and upright already.
func New(img image.Image) *Photo { return &Photo{} }

// Linear gives the red, green and blue of the pixel whose top-left corner is (x, y), in linear light
// 0..1. (x, y) must lie inside the photo.
func (p *Photo) Linear(x, y int) [3]float32 { return [3]float32{} }

// Sample gives the linear light at q, bilinear between pixel centres; ok is false closer than half a
// pixel to the border, or outside.
func (p *Photo) Sample(q geom.Pixel) (rgb [3]float32, ok bool) { return rgb, false }

// Reduced gives the photo in linear light, k×k pixels averaged to one (k >= 1; a remainder at the
// right and bottom is left out). A position q of the photo is q/k there: both frames count from the
// top-left corner.
func (p *Photo) Reduced(k int) [3]*raster.Plane { return [3]*raster.Plane{} }

// Region gives the linear light of the pixels in r, which is cut to the photo. Position q of the
// photo is q minus the cut rectangle's Min there.
func (p *Photo) Region(r image.Rectangle) (rgb [3]*raster.Plane, cut image.Rectangle) {
	return rgb, cut
}

// Upright gives the picture for people, in sRGB, with the orientation applied.
func (p *Photo) Upright() image.Image { return nil }
