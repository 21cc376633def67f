package upright

// What letters and figures look like: the shapes of several types, and how likely a blob is as one of them, the right
// way up or upside down.

import (
	_ "embed"
	"math"
)

const (
	// A patch has the shape of a letter (TestGlyphsAreThoseOfTheTypes).
	patchW, patchH = 8, 12
	patchN         = patchW * patchH
	// sharpness turns a correlation into a likelihood: exp(sharpness·c). From 14 to 24 as many real photos tell.
	// TestSymmetricLettersWeighNothing would notice half of it.
	sharpness = 18
	// stranger is the correlation with a letter from which a blob tells something: what is no letter has, with the letter
	// most like it, about that. 0.65 lets more photos tell, and twice as much noise (TestWithoutWordsNothingIsTold).
	stranger = 0.70
	// aspectSpread is the spread of the log of width over height from type to type.
	// TestTheWidthOfALetterMayDepartByAThird would notice.
	aspectSpread = 0.25
)

// A patch is a shape stretched to fill its rectangle, row by row, with mean 0 and length 1.
type patch [patchN]float32

// A glyph is one character of one type.
type glyph struct {
	shape  patch
	aspect float32 // log of width over height
	weight float32 // how often it is met
}

//go:embed glyphs.bin
var glyphData []byte

// Glyphs are stored as weight, width over height in 1/64, and a byte for each place of the patch.
// TestSymmetricLettersWeighNothing would notice.
const glyphSize = 2 + patchN

var glyphs = func() []glyph {
	out := make([]glyph, len(glyphData)/glyphSize)
	for i := range out {
		b := glyphData[i*glyphSize:][:glyphSize]
		out[i].weight, out[i].aspect = float32(b[0]), float32(math.Log(float64(b[1])/64))
		for k, v := range b[2:] {
			out[i].shape[k] = float32(v)
		}
		out[i].shape.normalise()
	}
	return out
}()

// normalise takes a patch to mean 0 and length 1; not ok if it is even.
func (p *patch) normalise() bool {
	var sum, square float32
	for _, v := range p {
		sum += v
	}
	for i := range p {
		p[i] -= sum / patchN
		square += p[i] * p[i]
	}
	if !(square > 1e-12) {
		return false
	}
	f := 1 / float32(math.Sqrt(float64(square)))
	for i := range p {
		p[i] *= f
	}
	return true
}

// upsideDown gives the patch after half a turn.
func (p *patch) upsideDown() *patch {
	var q patch
	for i, v := range p {
		q[patchN-1-i] = v
	}
	return &q
}

func dot(a, b *patch) float32 {
	var s0, s1, s2, s3 float32
	for i := 0; i < patchN; i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	return s0 + s1 + s2 + s3
}

// likeness gives the log likelihoods of a shape with that width over height as a letter that stands upright and as one
// upside down, each over that of something that is no letter.
func likeness(p *patch, aspect float64) (up, down float64) {
	q := p.upsideDown()
	la := math.Log(aspect)
	var u, d, all float64
	for i := range glyphs {
		g := &glyphs[i]
		a := (la - float64(g.aspect)) / aspectSpread
		all += float64(g.weight)
		if a*a > 9 {
			continue
		}
		w := float64(g.weight) * math.Exp(-a*a/2)
		u += w * math.Exp(sharpness*float64(dot(p, &g.shape)))
		d += w * math.Exp(sharpness*float64(dot(q, &g.shape)))
	}
	floor := math.Exp(sharpness*stranger) * all / 30
	return math.Log((u + floor) / floor), math.Log((d + floor) / floor)
}
