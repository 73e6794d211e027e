package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"image"
	"image/color"
	"io"
	"math"
)

// profile turns the encoded channels of a matrix-based colour profile into linear
// sRGB.
type profile struct {
	name   string
	curve  [3][]float64  // encoded 0 to 1 in even steps → linear
	matrix [3][3]float64 // to linear sRGB
}

// fromD50 carries XYZ under D50, in which profiles speak, to linear sRGB (Bradford
// adaptation; the usual seven digits).
var fromD50 = [3][3]float64{
	{3.1338561, -1.6168667, -0.4906146},
	{-0.9787684, 1.9161415, 0.0334540},
	{0.0719453, -0.2289914, 1.4052427},
}

// readICC reads a profile of the ICC (ISO 15076-1) that has a matrix and three curves;
// false for other kinds and for profiles whose white is not white.
func readICC(b []byte) (*profile, bool) {
	if len(b) < 132 || string(b[36:40]) != "acsp" || string(b[16:20]) != "RGB " {
		return nil, false
	}
	var p profile
	var xyz [3][3]float64 // rows X, Y, Z; columns red, green, blue
	for k, letter := range []string{"r", "g", "b"} {
		col, ok := xyzTag(iccTag(b, letter+"XYZ"))
		if !ok {
			return nil, false
		}
		for i := range 3 {
			xyz[i][k] = col[i]
		}
		if p.curve[k], ok = curveTag(iccTag(b, letter+"TRC")); !ok {
			return nil, false
		}
	}
	for i, white := range []float64{0.9642, 1, 0.8249} {
		if math.Abs(xyz[i][0]+xyz[i][1]+xyz[i][2]-white) > 0.03 {
			return nil, false
		}
	}
	for i := range 3 {
		for k := range 3 {
			for j := range 3 {
				p.matrix[i][k] += fromD50[i][j] * xyz[j][k]
			}
		}
	}
	p.name = nameOf(xyz)
	return &p, true
}

// nameOf tells the usual colour spaces by their primaries under D50 (columns of the
// published profiles).
func nameOf(xyz [3][3]float64) string {
	for _, c := range []struct {
		name     string
		red, grn [2]float64
	}{
		{"sRGB", [2]float64{0.4360, 0.2225}, [2]float64{0.3851, 0.7169}},
		{"Display P3", [2]float64{0.5151, 0.2412}, [2]float64{0.2919, 0.6922}},
		{"Adobe RGB (1998)", [2]float64{0.6097, 0.3111}, [2]float64{0.2053, 0.6257}},
	} {
		if math.Abs(xyz[0][0]-c.red[0])+math.Abs(xyz[1][0]-c.red[1])+math.Abs(xyz[0][1]-c.grn[0])+
			math.Abs(xyz[1][1]-c.grn[1]) < 0.01 {
			return c.name
		}
	}
	return "other RGB"
}

// iccTag is the data of a tag; nil where there is none.
func iccTag(b []byte, sig string) []byte {
	n := binary.BigEndian.Uint32(b[128:])
	for i := range min(n, 200) {
		at := 132 + 12*int(i)
		if at+12 > len(b) {
			return nil
		}
		if string(b[at:at+4]) != sig {
			continue
		}
		from, size := int64(binary.BigEndian.Uint32(b[at+4:])), int64(binary.BigEndian.Uint32(b[at+8:]))
		if from+size > int64(len(b)) {
			return nil
		}
		return b[from : from+size]
	}
	return nil
}

func fixed(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }

func xyzTag(t []byte) (out [3]float64, ok bool) {
	if len(t) < 20 || string(t[:4]) != "XYZ " {
		return out, false
	}
	for i := range out {
		out[i] = fixed(t[8+4*i:])
	}
	return out, true
}

const curveSteps = 1024

// curveTag reads a curve or a parametric curve into even steps.
func curveTag(t []byte) ([]float64, bool) {
	if len(t) < 12 {
		return nil, false
	}
	f, ok := curveOf(t)
	if !ok {
		return nil, false
	}
	out := make([]float64, curveSteps+1)
	for i := range out {
		v := f(float64(i) / curveSteps)
		if math.IsNaN(v) || v < -0.01 || v > 1.01 || i > 0 && v < out[i-1]-1e-6 {
			return nil, false
		}
		out[i] = min(max(v, 0), 1)
	}
	return out, true
}

func curveOf(t []byte) (func(float64) float64, bool) {
	switch string(t[:4]) {
	case "curv":
		n := int(binary.BigEndian.Uint32(t[8:]))
		switch {
		case n == 0:
			return func(x float64) float64 { return x }, true
		case n < 0 || len(t) < 12+2*n:
			return nil, false
		case n == 1:
			g := float64(binary.BigEndian.Uint16(t[12:])) / 256
			return func(x float64) float64 { return math.Pow(x, g) }, g > 0.5 && g < 4
		}
		return func(x float64) float64 {
			at := x * float64(n-1)
			i := min(int(at), n-2)
			a, b := float64(binary.BigEndian.Uint16(t[12+2*i:])), float64(binary.BigEndian.Uint16(t[14+2*i:]))
			return (a + (b-a)*(at-float64(i))) / 65535
		}, true
	case "para":
		kind := int(binary.BigEndian.Uint16(t[8:]))
		counts := []int{1, 3, 4, 5, 7}
		if kind >= len(counts) || len(t) < 12+4*counts[kind] {
			return nil, false
		}
		return parametric(kind, t), true
	}
	return nil, false
}

// parametric is the curve of types 0 to 4 of ISO 15076-1, 10.18.
func parametric(kind int, t []byte) func(float64) float64 {
	var q [7]float64 // g a b c d e f
	for i := range []int{1, 3, 4, 5, 7}[kind] {
		q[i] = fixed(t[12+4*i:])
	}
	g, a, b, c, d, e, f := q[0], q[1], q[2], q[3], q[4], q[5], q[6]
	switch kind {
	case 0:
		return func(x float64) float64 { return math.Pow(x, g) }
	case 1:
		c, d = 0, -b/a
	case 2:
		e, f, d, c = c, c, -b/a, 0
	case 3:
		e, f = 0, 0
	}
	return func(x float64) float64 {
		if x >= d {
			return math.Pow(max(a*x+b, 0), g) + e
		}
		return c*x + f
	}
}

// adobe is the space that cameras mark by EXIF alone (interoperability index R03).
func adobe() *profile {
	p := &profile{name: "Adobe RGB (1998)", matrix: [3][3]float64{{1.39836, -0.39836, 0}, {0, 1, 0},
		{0, -0.04293, 1.04293}}}
	for k := range p.curve {
		p.curve[k] = make([]float64, curveSteps+1)
		for i := range p.curve[k] {
			p.curve[k][i] = math.Pow(float64(i)/curveSteps, 563.0/256)
		}
	}
	return p
}

// plain reports whether a profile is sRGB as near as matters.
func (p *profile) plain() bool { return p.name == "sRGB" }

// converted shows an image in sRGB without copying it; what lies beyond sRGB is
// clipped.
type converted struct {
	image.RGBA64Image
	p *profile
}

// RGBA64At is the colour of a pixel in sRGB.
func (c converted) RGBA64At(x, y int) color.RGBA64 {
	v := c.RGBA64Image.RGBA64At(x, y)
	in := [3]float64{along(c.p.curve[0], v.R), along(c.p.curve[1], v.G), along(c.p.curve[2], v.B)}
	var out [3]uint16
	for i, row := range c.p.matrix {
		out[i] = encoded(row[0]*in[0] + row[1]*in[1] + row[2]*in[2])
	}
	return color.RGBA64{R: out[0], G: out[1], B: out[2], A: v.A}
}

// At is RGBA64At.
func (c converted) At(x, y int) color.Color { return c.RGBA64At(x, y) }

// ColorModel is that of 16-bit colours.
func (c converted) ColorModel() color.Model { return color.RGBA64Model }

func along(t []float64, v uint16) float64 {
	at := float64(v) / 65535 * curveSteps
	i := min(int(at), curveSteps-1)
	return t[i] + (t[i+1]-t[i])*(at-float64(i))
}

func encoded(v float64) uint16 {
	switch {
	case v <= 0:
		return 0
	case v >= 1:
		return 65535
	case v <= 0.0031308:
		return uint16(12.92*v*65535 + 0.5)
	}
	return uint16((1.055*math.Pow(v, 1/2.4)-0.055)*65535 + 0.5)
}

// iccOf finds the colour profile in a file; nil where there is none.
func iccOf(b []byte, media string) []byte {
	switch media {
	case "image/jpeg":
		return jpegICC(b)
	case "image/png":
		return pngICC(b)
	case "image/webp":
		return webpICC(b)
	}
	// AVIF and HEIC: a colour box of kind prof within the first part of the file
	head := b[:min(len(b), 1<<20)]
	i := bytes.Index(head, []byte("colrprof"))
	if i < 4 {
		return nil
	}
	size := int64(binary.BigEndian.Uint32(b[i-4:]))
	if size < 12 || int64(i-4)+size > int64(len(b)) {
		return nil
	}
	return b[i+8 : int64(i-4)+size]
}

// jpegICC joins the APP2 segments of a profile (ICC.1, annex B.4).
func jpegICC(b []byte) []byte {
	const mark = "ICC_PROFILE\x00"
	var parts [256][]byte
	for at := 2; at+4 <= len(b) && b[at] == 0xff && b[at+1] != 0xda; {
		size := int(binary.BigEndian.Uint16(b[at+2:]))
		end := at + 2 + size
		if size < 2 || end > len(b) {
			break
		}
		body := b[at+4 : end]
		if b[at+1] == 0xe2 && len(body) > len(mark)+2 && string(body[:len(mark)]) == mark {
			parts[body[len(mark)]] = body[len(mark)+2:]
		}
		at = end
	}
	return bytes.Join(parts[:], nil)
}

const maxICC = 4 << 20

func pngICC(b []byte) []byte {
	for at := 8; at+12 <= len(b); {
		size := int64(binary.BigEndian.Uint32(b[at:]))
		kind := string(b[at+4 : at+8])
		if int64(at)+12+size > int64(len(b)) || kind == "IDAT" {
			return nil
		}
		body := b[at+8 : int64(at)+8+size]
		if kind == "iCCP" {
			_, rest, ok := bytes.Cut(body, []byte{0})
			if !ok || len(rest) < 2 {
				return nil
			}
			z, err := zlib.NewReader(bytes.NewReader(rest[1:]))
			if err != nil {
				return nil
			}
			out, err := io.ReadAll(io.LimitReader(z, maxICC))
			if err != nil {
				return nil
			}
			return out
		}
		at += 12 + int(size)
	}
	return nil
}

func webpICC(b []byte) []byte {
	for at := 12; at+8 <= len(b); {
		size := int64(binary.LittleEndian.Uint32(b[at+4:]))
		if int64(at)+8+size > int64(len(b)) {
			return nil
		}
		if string(b[at:at+4]) == "ICCP" {
			return b[at+8 : int64(at)+8+size]
		}
		at += 8 + int(size+size%2)
	}
	return nil
}
