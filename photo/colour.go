package photo

import "math"

// Lab is a colour in CIELAB under D65 for the 2° observer: L*, a*, b*.
type Lab [3]float64

// Linear is a colour in linear light with the primaries of sRGB; 1 is the white of
// the picture.
type Linear [3]float64

// XYZ is a colour in CIE XYZ with Y of white 1.
type XYZ [3]float64

// White is D65 as the sum of the rows of the sRGB matrix, so that equal channels
// have no chroma.
var White = XYZ{0.95047, 1, 1.08883}

// Matrices of sRGB (IEC 61966-2-1, in the seven digits in common use) and its inverse.
var (
	toXYZ = [3][3]float64{
		{0.4124564, 0.3575761, 0.1804375},
		{0.2126729, 0.7151522, 0.0721750},
		{0.0193339, 0.1191920, 0.9503041},
	}
	fromXYZ = [3][3]float64{
		{3.2404542, -1.5371385, -0.4985314},
		{-0.9692660, 1.8760108, 0.0415560},
		{0.0556434, -0.2040259, 1.0572252},
	}
)

// DecodeSRGB turns an encoded channel of sRGB, 0 to 1, into linear light.
func DecodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// EncodeSRGB turns linear light into an encoded channel of sRGB; values outside 0 to
// 1 are not clipped.
func EncodeSRGB(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// XYZ converts linear sRGB to XYZ.
func (c Linear) XYZ() XYZ { return XYZ(times(toXYZ, c)) }

// Lab converts linear sRGB to CIELAB (CIE 15:2004).
func (c Linear) Lab() Lab { return c.XYZ().Lab() }

// Linear converts XYZ to linear sRGB, which may lie outside 0 to 1.
func (c XYZ) Linear() Linear { return Linear(times(fromXYZ, c)) }

// Lab converts XYZ to CIELAB under White.
func (c XYZ) Lab() Lab {
	x, y, z := labCurve(c[0]/White[0]), labCurve(c[1]/White[1]), labCurve(c[2]/White[2])
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// XYZ converts CIELAB to XYZ under White.
func (c Lab) XYZ() XYZ {
	y := (c[0] + 16) / 116
	x, z := y+c[1]/500, y-c[2]/200
	return XYZ{White[0] * labCurveBack(x), White[1] * labCurveBack(y), White[2] * labCurveBack(z)}
}

// Linear converts CIELAB to linear sRGB, which may lie outside 0 to 1.
func (c Lab) Linear() Linear { return c.XYZ().Linear() }

// Chroma is the distance from grey.
func (c Lab) Chroma() float64 { return math.Hypot(c[1], c[2]) }

func labCurve(t float64) float64 {
	if t > 216.0/24389 {
		return math.Cbrt(t)
	}
	return (24389.0/27*t + 16) / 116
}

func labCurveBack(f float64) float64 {
	if f > 6.0/29 {
		return f * f * f
	}
	return (116*f - 16) * 27 / 24389
}

func times(m [3][3]float64, v [3]float64) (out [3]float64) {
	for i := range m {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}
