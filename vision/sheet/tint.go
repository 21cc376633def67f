package sheet

import (
	"math"

	"quadrille/vision/raster"
)

// A Tint is a unit vector in linear RGB: what a stroke adds to the field.
type Tint [3]float32

// UnitTint is the direction of v.
func UnitTint(v [3]float64) Tint {
	v = Unit(v)
	return Tint{float32(v[0]), float32(v[1]), float32(v[2])}
}

// Unit is v at length 1; a vector of length 0 stays.
func Unit(v [3]float64) [3]float64 {
	n := math.Sqrt(Dot(v, v))
	if n == 0 {
		return v
	}
	return [3]float64{v[0] / n, v[1] / n, v[2] / n}
}

// Dot is the scalar product.
func Dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// Grey is the cosine of the angle to white light; negative for what is darker than the field.
func (d Tint) Grey() float64 {
	return float64(d[0]+d[1]+d[2]) / math.Sqrt(3)
}

// Angle is that between two tints, in radians.
func (d Tint) Angle(e Tint) float64 {
	return math.Acos(min(max(float64(d[0]*e[0]+d[1]*e[1]+d[2]*e[2]), -1), 1))
}

// Alike scores a cell of m light along the tint and v in all: m less what is off the tint, foreign being the price of
// that.
func (d Tint) Alike(foreign, m, v0, v1, v2 float32) float32 {
	if m <= 0 {
		return 0
	}
	off := v0*v0 + v1*v1 + v2*v2 - m*m
	return max(m-foreign*float32(math.Sqrt(float64(max(off, 0)))), 0)
}

// LightAlong gives, for every cell, the light above field and ink along the tint.
func (s *Sheet) LightAlong(d Tint) []float32 {
	out := make([]float32, s.NX*s.NY)
	raster.Rows(s.NX, func(a, b int) {
		for k := a * s.NY; k < b*s.NY; k++ {
			out[k] = d[0]*(s.Light[0][k]-s.Ink[0][k]) + d[1]*(s.Light[1][k]-s.Ink[1][k]) + d[2]*(s.Light[2][k]-s.Ink[2][k])
		}
	})
	return out
}

// InkAlong gives the ink's own light along the tint.
func (s *Sheet) InkAlong(d Tint) []float32 {
	out := make([]float32, s.NX*s.NY)
	raster.Rows(s.NX, func(a, b int) {
		for k := a * s.NY; k < b*s.NY; k++ {
			out[k] = d[0]*s.Ink[0][k] + d[1]*s.Ink[1][k] + d[2]*s.Ink[2][k]
		}
	})
	return out
}

// NoiseAlong gives one standard deviation of light. The channels of a photo share their luma and its noise, so they
// add up in amplitude, not in power.
func (s *Sheet) NoiseAlong(d Tint) *Knots {
	n := newKnots(&s.Grid)
	for k := range n.V {
		n.V[k] = abs(d[0])*s.Noise[0].V[k] + abs(d[1])*s.Noise[1].V[k] + abs(d[2])*s.Noise[2].V[k]
	}
	return n
}

// InkLight is the ink's light of any colour and either sign in every cell.
func (s *Sheet) InkLight() []float32 {
	out := make([]float32, s.NX*s.NY)
	raster.Rows(s.NX, func(a, b int) {
		for k := a * s.NY; k < b*s.NY; k++ {
			out[k] = max(abs(s.Ink[0][k]), abs(s.Ink[1][k]), abs(s.Ink[2][k]))
		}
	})
	return out
}

// ToSRGB encodes linear light 0..1 (IEC 61966-2-1).
func ToSRGB(v float64) uint8 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(v*255 + 0.5)
}

// FromSRGB is the inverse of ToSRGB, for three channels.
func FromSRGB(c [3]uint8) (rgb [3]float32) {
	for k, b := range c {
		v := float64(b) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		rgb[k] = float32(v)
	}
	return rgb
}
