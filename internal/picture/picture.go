package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	_ "image/gif" // recognised so that it can be refused by name
	"image/jpeg"
	_ "image/png" // decoder
	"io"

	"github.com/bep/imagemeta"
	_ "github.com/gen2brain/avif" // decoder
	_ "github.com/gen2brain/heic" // decoder
	_ "github.com/gen2brain/webp" // decoder
	"golang.org/x/image/draw"
)

// Limits on what is taken in. A 50-megapixel picture is the most that a phone or
// camera of the trade makes; anything beyond is refused unread.
const (
	MaxBytes  = 64 << 20
	MaxPixels = 60_000_000
	MaxSide   = 20_000
)

// Errors that callers tell apart.
var (
	ErrNotAPicture = errors.New("not a picture that can be read")
	ErrTooLarge    = errors.New("picture too large")
	ErrBroken      = errors.New("picture is broken or cut short")
)

// Info is what a picture says about itself.
type Info struct {
	MediaType   string // image/jpeg, image/png, …
	WidthPx     int    // upright
	HeightPx    int    // upright
	Orientation int    // EXIF, 1–8
	Taken       string // EXIF time as YYYY-MM-DD; empty where there is none
}

var mediaTypes = map[string]string{
	"jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp", "avif": "image/avif", "heic": "image/heic",
}

// Inspect reads the header alone: kind, size, orientation and day. It refuses what
// is no picture, and sizes beyond the limits.
func Inspect(b []byte) (Info, error) {
	if len(b) > MaxBytes {
		return Info{}, fmt.Errorf("%w: %d MB; at most %d MB", ErrTooLarge, len(b)>>20, MaxBytes>>20)
	}
	c, format, err := image.DecodeConfig(bytes.NewReader(b))
	if err != nil {
		if errors.Is(err, io.ErrUnexpectedEOF) {
			return Info{}, fmt.Errorf("%w: the file ends inside its header", ErrBroken)
		}
		return Info{}, fmt.Errorf("%w; want JPEG, PNG, WebP, AVIF or HEIC", ErrNotAPicture)
	}
	media, ok := mediaTypes[format]
	if !ok {
		return Info{}, fmt.Errorf("%w: it is a %s; want JPEG, PNG, WebP, AVIF or HEIC", ErrNotAPicture, format)
	}
	if c.Width <= 0 || c.Height <= 0 {
		return Info{}, fmt.Errorf("%w: its size is %d × %d px", ErrBroken, c.Width, c.Height)
	}
	if c.Width > MaxSide || c.Height > MaxSide || c.Width*c.Height > MaxPixels {
		return Info{}, fmt.Errorf("%w: %d × %d px; at most %d megapixels and %d px a side", ErrTooLarge, c.Width, c.Height, MaxPixels/1_000_000, MaxSide)
	}
	info := Info{MediaType: media, WidthPx: c.Width, HeightPx: c.Height, Orientation: 1}
	if format == "jpeg" {
		info.Orientation, info.Taken = exif(b)
	}
	if info.Orientation >= 5 {
		info.WidthPx, info.HeightPx = info.HeightPx, info.WidthPx
	}
	return info, nil
}

// exif reads orientation and day; a picture without them is upright and undated.
func exif(b []byte) (orientation int, taken string) {
	orientation = 1
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(b), ImageFormat: imagemeta.JPEG, Sources: imagemeta.EXIF,
		HandleTag: func(t imagemeta.TagInfo) error {
			switch t.Tag {
			case "Orientation":
				if n, ok := t.Value.(uint16); ok && n >= 1 && n <= 8 {
					orientation = int(n)
				}
			case "DateTimeOriginal":
				if s, ok := t.Value.(string); ok && len(s) >= 10 {
					taken = s[0:4] + "-" + s[5:7] + "-" + s[8:10]
				}
			}
			return nil
		},
	})
	if err != nil {
		return 1, ""
	}
	return orientation, taken
}

// Decode reads the whole picture and turns it upright.
func Decode(b []byte) (image.Image, Info, error) {
	info, err := Inspect(b)
	if err != nil {
		return nil, Info{}, err
	}
	img, _, err := image.Decode(bytes.NewReader(b))
	if err != nil {
		return nil, Info{}, fmt.Errorf("%w: %v", ErrBroken, err)
	}
	return upright(img, info.Orientation), info, nil
}

// Small returns an upright JPEG of at most side pixels a side, without metadata.
func Small(b []byte, side, quality int) ([]byte, error) {
	img, _, err := Decode(b)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, Fit(img, side), &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("picture: %w", err)
	}
	return out.Bytes(), nil
}

// Fit scales a picture down so that neither side exceeds side pixels; a smaller one
// is returned as it is.
func Fit(img image.Image, side int) image.Image {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	if w <= side && h <= side {
		return img
	}
	scale := float64(side) / float64(max(w, h))
	out := image.NewRGBA(image.Rect(0, 0, max(1, int(float64(w)*scale+0.5)), max(1, int(float64(h)*scale+0.5))))
	draw.ApproxBiLinear.Scale(out, out.Bounds(), img, img.Bounds(), draw.Src, nil)
	return out
}

// upright undoes the EXIF orientation.
func upright(img image.Image, orientation int) image.Image {
	if orientation <= 1 || orientation > 8 {
		return img
	}
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	size := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			u, v := place(orientation, x, y, w, h)
			out.Set(u, v, img.At(b.Min.X+x, b.Min.Y+y))
		}
	}
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
