package photo

import (
	"errors"
	"image"
	"image/color"
	"math"
)

// light reads a picture pixel by pixel without copying it. Pixel (0, 0) is the top
// left one whatever the bounds of the image are.
type light struct {
	img  image.RGBA64Image
	min  image.Point
	w, h int
}

// ErrNoPicture is returned for a nil picture or one without pixels.
var ErrNoPicture = errors.New("no picture")

func newLight(img image.Image) (light, error) {
	if img == nil || img.Bounds().Empty() {
		return light{}, ErrNoPicture
	}
	b := img.Bounds()
	r, ok := img.(image.RGBA64Image)
	if !ok {
		r = slow{img}
	}
	return light{img: r, min: b.Min, w: b.Dx(), h: b.Dy()}, nil
}

// slow serves images that give colours one by one only.
type slow struct{ image.Image }

func (s slow) RGBA64At(x, y int) color.RGBA64 {
	r, g, b, a := s.At(x, y).RGBA()
	return color.RGBA64{R: uint16(r), G: uint16(g), B: uint16(b), A: uint16(a)}
}

// encoded is the encoded sRGB colour of a pixel, 0 to 1; pixels outside repeat the
// border.
func (l light) encoded(x, y int) [3]float64 {
	x, y = min(max(x, 0), l.w-1), min(max(y, 0), l.h-1)
	c := l.img.RGBA64At(l.min.X+x, l.min.Y+y)
	return [3]float64{float64(c.R) / 65535, float64(c.G) / 65535, float64(c.B) / 65535}
}

// luma is the encoded lightness of a pixel, 0 to 1 (weights of Rec. BT.709).
func (l light) luma(x, y int) float64 {
	c := l.encoded(x, y)
	return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
}

// linear is a pixel in linear light.
func (l light) linear(x, y int) Linear {
	c := l.encoded(x, y)
	return Linear{decodeFast(c[0]), decodeFast(c[1]), decodeFast(c[2])}
}

// lumaAt is luma between pixels, bilinear.
func (l light) lumaAt(p Point) float64 {
	x, y := p[0]-0.5, p[1]-0.5
	i, j := math.Floor(x), math.Floor(y)
	u, v := x-i, y-j
	a, b := int(i), int(j)
	return (l.luma(a, b)*(1-u)+l.luma(a+1, b)*u)*(1-v) + (l.luma(a, b+1)*(1-u)+l.luma(a+1, b+1)*u)*v
}

// lightsAt are encoded lightness and linear light between pixels, bilinear.
func (l light) lightsAt(p Point) (encoded, linear float64) {
	x, y := p[0]-0.5, p[1]-0.5
	i, j := math.Floor(x), math.Floor(y)
	u, v := x-i, y-j
	a, b := int(i), int(j)
	for k, w := range [4]float64{(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v} {
		c := l.encoded(a+k&1, b+k>>1)
		encoded += w * (0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2])
		linear += w * (0.2126*decodeFast(c[0]) + 0.7152*decodeFast(c[1]) + 0.0722*decodeFast(c[2]))
	}
	return encoded, linear
}

// linearAt is linear between pixels, bilinear.
func (l light) linearAt(p Point) (out Linear) {
	x, y := p[0]-0.5, p[1]-0.5
	i, j := math.Floor(x), math.Floor(y)
	u, v := x-i, y-j
	a, b := int(i), int(j)
	c00, c10, c01, c11 := l.linear(a, b), l.linear(a+1, b), l.linear(a, b+1), l.linear(a+1, b+1)
	for k := range out {
		out[k] = (c00[k]*(1-u)+c10[k]*u)*(1-v) + (c01[k]*(1-u)+c11[k]*u)*v
	}
	return out
}

// inside reports whether a point lies in the picture, at least margin px from its
// border.
func (l light) inside(p Point, margin float64) bool {
	return p.finite() && p[0] >= margin && p[1] >= margin && p[0] <= float64(l.w)-margin && p[1] <= float64(l.h)-margin
}

// need refuses points outside the picture.
func (l light) need(field string, ps ...Point) error {
	for _, p := range ps {
		if !l.inside(p, 0) {
			return pickError(field, "a place in the picture", "(%g, %g) lies outside the picture of %d × %d px", p[0],
				p[1], l.w, l.h)
		}
	}
	return nil
}

var decodeTable = func() (t [4097]float64) {
	for i := range t {
		t[i] = DecodeSRGB(float64(i) / 4096)
	}
	return t
}()

// decodeFast is DecodeSRGB by a table, to 1 part in 10⁶.
func decodeFast(v float64) float64 {
	f := v * 4096
	i := int(f)
	if i >= 4096 {
		return decodeTable[4096]
	}
	return decodeTable[i] + (decodeTable[i+1]-decodeTable[i])*(f-float64(i))
}
