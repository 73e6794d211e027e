package picture

import (
	"image"

	"golang.org/x/image/draw"
)

// Fit scales a picture down so that neither side exceeds side pixels; a smaller one
// is returned as it is. Every pixel of the original counts, so fine print stays
// readable.
func Fit(img image.Image, side int) image.Image {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	if w <= side && h <= side {
		return img
	}
	scale := float64(side) / float64(max(w, h))
	out := image.NewRGBA(image.Rect(0, 0, max(1, int(float64(w)*scale+0.5)), max(1, int(float64(h)*scale+0.5))))
	draw.BiLinear.Scale(out, out.Bounds(), img, img.Bounds(), draw.Src, nil)
	return out
}

// upright undoes the EXIF orientation.
func upright(img image.Image, orientation int) image.Image {
	if orientation <= 1 || orientation > 8 {
		return img
	}
	src := rgba(img)
	w, h := src.Rect.Dx(), src.Rect.Dy()
	size := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		// Along a row of the source the place in the result moves by a fixed step.
		u, v := place(orientation, 0, y, w, h)
		u1, v1 := place(orientation, 1, y, w, h)
		at, step := out.PixOffset(u, v), (u1-u)*4+(v1-v)*out.Stride
		row := src.Pix[y*src.Stride : y*src.Stride+4*w]
		for i := 0; i < len(row); i += 4 {
			copy(out.Pix[at:at+4], row[i:i+4])
			at += step
		}
	}
	return out
}

// rgba is the picture as RGBA with its origin at (0, 0).
func rgba(img image.Image) *image.RGBA {
	b := img.Bounds()
	if r, ok := img.(*image.RGBA); ok && b.Min == (image.Point{}) {
		return r
	}
	out := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(out, out.Rect, img, b.Min, draw.Src)
	return out
}

// place is where the pixel (x, y) of a w × h picture goes for an orientation of the
// EXIF standard.
func place(orientation, x, y, w, h int) (u, v int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	default: // 8
		return y, w - 1 - x
	}
}
