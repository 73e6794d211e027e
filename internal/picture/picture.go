package picture

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	_ "image/gif" // recognised so that it can be refused by name
	"image/jpeg"
	_ "image/png" // decoder
	"io"
	"strings"
	"time"

	"github.com/bep/imagemeta"
	_ "github.com/gen2brain/webp" // decoder
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
	// At is the same with hour, minute and second, by the camera's clock, which names no zone: given as UTC.
	At time.Time
}

var mediaTypes = map[string]string{
	"jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp", "avif": "image/avif", "heic": "image/heic",
	"tiff": "image/tiff",
}

// Inspect reads the header alone: kind, size, orientation and day. It refuses what
// is no picture, and sizes beyond the limits.
func Inspect(b []byte) (Info, error) {
	if len(b) > MaxBytes {
		return Info{}, fmt.Errorf("%w: %d MB; at most %d MB", ErrTooLarge, len(b)>>20, MaxBytes>>20)
	}
	c, format, err := decodeConfig(b)
	if err != nil {
		if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, ErrBroken) {
			return Info{}, fmt.Errorf("%w: the file ends inside its header", ErrBroken)
		}
		return Info{}, fmt.Errorf("%w; give JPEG, PNG, WebP, AVIF, HEIC or TIFF", ErrNotAPicture)
	}
	media, ok := mediaTypes[format]
	if !ok {
		return Info{}, fmt.Errorf("%w: it is a %s; give JPEG, PNG, WebP, AVIF, HEIC or TIFF", ErrNotAPicture, format)
	}
	if c.Width <= 0 || c.Height <= 0 {
		return Info{}, fmt.Errorf("%w: its size is %d × %d px", ErrBroken, c.Width, c.Height)
	}
	if c.Width > MaxSide || c.Height > MaxSide || c.Width*c.Height > MaxPixels {
		return Info{}, fmt.Errorf("%w: %d × %d px; at most %d megapixels and %d px a side", ErrTooLarge, c.Width,
			c.Height, MaxPixels/1_000_000, MaxSide)
	}
	info := Info{MediaType: media, WidthPx: c.Width, HeightPx: c.Height, Orientation: 1}
	if kind, ok := withEXIF[format]; ok {
		info.Orientation, info.Taken, info.At = exif(b, kind)
	}
	if info.Orientation >= 5 {
		info.WidthPx, info.HeightPx = info.HeightPx, info.WidthPx
	}
	return info, nil
}

// withEXIF are the kinds whose orientation is told by EXIF alone. AVIF and HEIC
// turn their pictures by properties of their own, which their decoders follow.
var withEXIF = map[string]imagemeta.ImageFormat{"jpeg": imagemeta.JPEG, "png": imagemeta.PNG, "webp": imagemeta.WebP,
	"tiff": imagemeta.TIFF}

// decodeConfig reads the header. A decoder that gives up on what it reads in the
// worst way has met a broken picture.
func decodeConfig(b []byte) (c image.Config, format string, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: its header cannot be read", ErrBroken)
		}
	}()
	return image.DecodeConfig(bytes.NewReader(b))
}

// decode reads the pixels within the budget of memory and time.
func decode(ctx context.Context, b []byte, info Info) (img image.Image, err error) {
	need, err := info.need(b)
	if err != nil {
		return nil, err
	}
	release, err := reserve(ctx, need)
	if err != nil {
		return nil, err
	}
	defer release()
	limited, cancel := context.WithTimeout(ctx, mostTime)
	defer cancel()
	defer func() {
		if r := recover(); r != nil {
			img, err = nil, fmt.Errorf("%w: its pixels cannot be read", ErrBroken)
		}
	}()
	img, _, err = image.Decode(patient{limited, bytes.NewReader(b)})
	switch {
	case err == nil:
		return img, nil
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case limited.Err() != nil:
		return nil, fmt.Errorf("%w: more than %s", ErrTooSlow, mostTime)
	}
	return nil, fmt.Errorf("%w: %s", ErrBroken, words(err))
}

// words says why decoding failed without the decoder's own terms.
func words(err error) string {
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		return "the file ends before the picture does"
	}
	return "the picture data are damaged"
}

// exif reads orientation and day; a picture without them is upright and undated.
func exif(b []byte, kind imagemeta.ImageFormat) (orientation int, taken string, at time.Time) {
	orientation = 1
	defer func() {
		if recover() != nil { // damaged metadata say nothing; the picture may be whole
			orientation, taken, at = 1, "", time.Time{}
		}
	}()
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(b), ImageFormat: kind, Sources: imagemeta.EXIF,
		HandleTag: func(t imagemeta.TagInfo) error {
			switch t.Tag {
			case "Orientation":
				if n, ok := t.Value.(uint16); ok && n >= 1 && n <= 8 {
					orientation = int(n)
				}
			case "DateTimeOriginal":
				if s, ok := t.Value.(string); ok && len(s) >= 10 {
					taken = s[0:4] + "-" + s[5:7] + "-" + s[8:10]
					at, _ = time.Parse("2006:01:02 15:04:05", strings.TrimRight(s, "\x00 "))
				}
			}
			return nil
		},
	})
	if err != nil {
		return 1, "", time.Time{}
	}
	return orientation, taken, at
}

// Check reads the whole picture and drops its pixels: a picture that passes can be shown.
func Check(ctx context.Context, b []byte) (Info, error) {
	_, info, err := open(ctx, b)
	return info, err
}

// Decode reads the whole picture and turns it upright.
func Decode(ctx context.Context, b []byte) (image.Image, Info, error) {
	img, info, err := open(ctx, b)
	if err != nil {
		return nil, Info{}, err
	}
	return upright(img, info.Orientation), info, nil
}

// open reads the picture as it is stored, not yet turned.
func open(ctx context.Context, b []byte) (image.Image, Info, error) {
	info, err := Inspect(b)
	if err != nil {
		return nil, Info{}, err
	}
	img, err := decode(ctx, b, info)
	return img, info, err
}

// Small returns an upright JPEG of at most side pixels a side, without metadata.
func Small(ctx context.Context, b []byte, side, quality int) ([]byte, error) {
	img, info, err := open(ctx, b)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	// Made small first and turned then: the fewer pixels, the quicker the turn.
	if err := jpeg.Encode(&out, upright(Fit(shrunk(img, side), side), info.Orientation),
		&jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("picture: %w", err)
	}
	return out.Bytes(), nil
}
