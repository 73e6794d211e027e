package draw

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
)

// Shot is how the picture is taken. The zero Shot is 1,200 × 1,200 px, straight
// from above, fitted to the view, without noise or blur.
type Shot struct {
	WidthPx, HeightPx int
	MMPerPx           float64    // at the table in the middle of the picture; 0 fits the view
	ShiftPx           [2]float64 // moves the middle of the watch
	TiltDeg           float64    // between the camera's axis and the upright on the table
	TiltAxisDeg       float64    // direction of the axis of tilt in the picture
	RollDeg           float64    // turns the watch about the camera's axis
	DistanceMM        float64    // pinhole to table; 0 is 380
	Relief            float64    // 0 draws all parts in the plane of the table, 1 at their true heights
	LightFalloff      float64    // 0 to 1: loss of light towards one corner
	NoiseSD           float64    // of each channel, in steps of 255
	BlurPx            float64    // standard deviation
	JPEGQuality       int        // 0 is 92; used by Encode
	Background        string     // slate, linen, walnut, paper, or #rrggbb; "" by the view
	TargetMM          float64    // draws a printed square of this outer side about the watch; 0 for none
	Gloss             float64    // 0 to 1: reflection in the crystal
	PlainLight        bool       // no shadow on the dial
	// for Draw: front, dial, back, crown_side, bracelet, bracelet_droop, movement, clasp, papers
	View string
}

func (s Shot) complete() Shot {
	if s.WidthPx <= 0 {
		s.WidthPx = 1200
	}
	if s.HeightPx <= 0 {
		s.HeightPx = s.WidthPx
	}
	if !(s.DistanceMM > 0) {
		s.DistanceMM = 380
	}
	if s.JPEGQuality <= 0 || s.JPEGQuality > 100 {
		s.JPEGQuality = 92
	}
	return s
}

// fit gives the mm per px that shows a field of the given size.
func (s Shot) fit(widthMM, heightMM float64) float64 {
	if s.MMPerPx > 0 {
		return s.MMPerPx
	}
	return math.Max(widthMM/float64(s.WidthPx), heightMM/float64(s.HeightPx))
}

// finish lets light fall off and blurs it, encodes, adds noise and rounds to 8 bits.
func (c *canvas) finish(s Shot, seed uint64) *image.RGBA {
	c.falloff(s.LightFalloff)
	c.blur(s.BlurPx)
	out := image.NewRGBA(image.Rect(0, 0, c.w, c.h))
	sd := float32(s.NoiseSD)
	c.rows(box{0, 0, c.w, c.h}, func(y int) {
		src, dst := c.pix[3*y*c.w:], out.Pix[y*out.Stride:]
		for x := range c.w {
			h := hash(uint64(x), uint64(y), seed+0x5107)
			for k := range 3 {
				v := encode(src[3*x+k]) * 255
				if sd > 0 {
					v += sd * quickGauss(spread(h+uint64(k)*0x9e3779b97f4a7c15))
				}
				v += float32(h>>(20*k)&0xfffff) / (1 << 20) // dither: rounds up as often as the fraction says
				dst[4*x+k] = uint8(min(max(v, 0), 255))
			}
			dst[4*x+3] = 255
		}
	})
	return out
}

func (c *canvas) falloff(k float64) {
	if k == 0 {
		return
	}
	diag := math.Hypot(float64(c.w), float64(c.h))
	c.rows(box{0, 0, c.w, c.h}, func(y int) {
		row := c.pix[3*y*c.w : 3*(y+1)*c.w]
		for x := range c.w {
			d := (0.9*float64(x) + 1.1*float64(y)) / diag / 1.42
			f := float32(1 - k*d*d)
			for i := range 3 {
				row[3*x+i] *= f
			}
		}
	})
}

func (c *canvas) blur(sigma float64) {
	if sigma <= 0.05 {
		return
	}
	n := int(math.Ceil(3 * sigma))
	kernel := make([]float32, 2*n+1)
	sum := float32(0)
	for i := range kernel {
		d := float64(i - n)
		kernel[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		sum += kernel[i]
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	tmp := make([]float32, len(c.pix))
	convolve := func(dst, src []float32, x, y, dx, dy int) {
		var a, b, d float32
		for i, k := range kernel {
			xx := min(max(x+dx*(i-n), 0), c.w-1)
			yy := min(max(y+dy*(i-n), 0), c.h-1)
			p := src[3*(yy*c.w+xx):]
			a, b, d = a+k*p[0], b+k*p[1], d+k*p[2]
		}
		o := dst[3*(y*c.w+x):]
		o[0], o[1], o[2] = a, b, d
	}
	all := box{0, 0, c.w, c.h}
	c.rows(all, func(y int) {
		for x := range c.w {
			convolve(tmp, c.pix, x, y, 1, 0)
		}
	})
	c.rows(all, func(y int) {
		for x := range c.w {
			convolve(c.pix, tmp, x, y, 0, 1)
		}
	})
}

// JPEG encodes a picture; the same picture and quality give the same bytes.
func JPEG(img image.Image, quality int) []byte {
	var b bytes.Buffer
	if quality <= 0 || quality > 100 {
		quality = 92
	}
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil // only a picture over 65,535 px cannot be encoded
	}
	return b.Bytes()
}
