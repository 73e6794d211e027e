package draw

import "math"

// rgb is a colour in sRGB, encoded, each channel 0 to 1.
type rgb [3]float32

func hex(v uint32) rgb {
	return rgb{float32(v>>16&255) / 255, float32(v>>8&255) / 255, float32(v&255) / 255}
}

func (c rgb) mix(d rgb, t float32) rgb {
	return rgb{c[0] + (d[0]-c[0])*t, c[1] + (d[1]-c[1])*t, c[2] + (d[2]-c[2])*t}
}

func (c rgb) scale(k float32) rgb { return rgb{c[0] * k, c[1] * k, c[2] * k} }

func (c rgb) add(k float32) rgb { return rgb{c[0] + k, c[1] + k, c[2] + k} }

// Lab is a CIELAB colour under D65.
type Lab [3]float64

// labToRGB converts CIELAB (D65) to encoded sRGB (IEC 61966-2-1), clipped.
func labToRGB(l Lab) rgb {
	fy := (l[0] + 16) / 116
	fx, fz := fy+l[1]/500, fy-l[2]/200
	inv := func(f float64) float64 {
		if f > 6.0/29 {
			return f * f * f
		}
		return 3 * 36.0 / 841 * (f - 4.0/29)
	}
	x, y, z := 0.95047*inv(fx), inv(fy), 1.08883*inv(fz)
	return rgb{
		encode(float32(3.2404542*x - 1.5371385*y - 0.4985314*z)),
		encode(float32(-0.9692660*x + 1.8760108*y + 0.0415560*z)),
		encode(float32(0.0556434*x - 0.2040259*y + 1.0572252*z)),
	}
}

const gammaSteps = 4096

var encodeTable, decodeTable = gammaTables()

func gammaTables() (enc, dec [gammaSteps + 2]float32) {
	for i := range enc {
		v := float64(i) / gammaSteps
		if v <= 0.0031308 {
			enc[i] = float32(12.92 * v)
		} else {
			enc[i] = float32(1.055*math.Pow(v, 1/2.4) - 0.055)
		}
		if v <= 0.04045 {
			dec[i] = float32(v / 12.92)
		} else {
			dec[i] = float32(math.Pow((v+0.055)/1.055, 2.4))
		}
	}
	return enc, dec
}

// encode turns a linear channel into encoded sRGB, clipped to 0 and 1.
func encode(v float32) float32 { return lookup(&encodeTable, v) }

// decode turns an encoded sRGB channel into linear light, clipped to 0 and 1.
func decode(v float32) float32 { return lookup(&decodeTable, v) }

func lookup(t *[gammaSteps + 2]float32, v float32) float32 {
	if !(v > 0) {
		return 0
	}
	if v >= 1 {
		return 1
	}
	if v < 0.004 && t == &encodeTable { // the table is too coarse near black
		if v <= 0.0031308 {
			return 12.92 * v
		}
		return float32(1.055*math.Pow(float64(v), 1/2.4) - 0.055)
	}
	f := v * gammaSteps
	i := int(f)
	return t[i] + (t[i+1]-t[i])*(f-float32(i))
}

func clamp01(v float64) float64 {
	if v < 0 {
		return 0
	}
	if v > 1 {
		return 1
	}
	return v
}

// smoothstep rises from 0 at a to 1 at b.
func smoothstep(a, b, x float64) float64 {
	t := clamp01((x - a) / (b - a))
	return t * t * (3 - 2*t)
}
