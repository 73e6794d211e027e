package picture

import (
	"bytes"
	"context"
	"image"
	"image/color"

	"github.com/bep/imagemeta"
)

// turned shows an image upright without copying it.
type turned struct {
	image.RGBA64Image
	orientation int
	min         image.Point
	w, h        int // of the image as stored
}

// Bounds start at (0, 0).
func (t turned) Bounds() image.Rectangle {
	if t.orientation >= 5 {
		return image.Rect(0, 0, t.h, t.w)
	}
	return image.Rect(0, 0, t.w, t.h)
}

// RGBA64At is the colour of an upright pixel.
func (t turned) RGBA64At(x, y int) color.RGBA64 {
	u, v := sourceOf(t.orientation, x, y, t.w, t.h)
	return t.RGBA64Image.RGBA64At(t.min.X+u, t.min.Y+v)
}

// At is RGBA64At.
func (t turned) At(x, y int) color.Color { return t.RGBA64At(x, y) }

// ColorModel is that of 16-bit colours.
func (t turned) ColorModel() color.Model { return color.RGBA64Model }

// sourceOf is where the upright pixel (x, y) lies in a stored picture of w × h: the
// inverse of place. A quarter turn is undone by the other one; all else undoes itself.
func sourceOf(orientation, x, y, w, h int) (u, v int) {
	switch orientation {
	case 6:
		orientation = 8
	case 8:
		orientation = 6
	}
	if orientation >= 5 {
		w, h = h, w // of the upright picture
	}
	return place(orientation, x, y, w, h)
}

// wide serves images that give colours one by one only.
type wide struct{ image.Image }

func (s wide) RGBA64At(x, y int) color.RGBA64 {
	r, g, b, a := s.At(x, y).RGBA()
	return color.RGBA64{R: uint16(r), G: uint16(g), B: uint16(b), A: uint16(a)}
}

func asWide(img image.Image) image.RGBA64Image {
	if r, ok := img.(image.RGBA64Image); ok {
		return r
	}
	return wide{img}
}

// Seen is what View found of a picture beside its pixels.
type Seen struct {
	Info
	Focal35MM float64 // focal length for the 35 mm format by EXIF; 0 where it is not given
	Profile   string  // colour space that the pixels were in: sRGB, Display P3, Adobe RGB (1998), …
	Caution   string  // what is not sure about its colours; empty for nothing
}

// View opens a picture for measuring: upright and in sRGB, without copying its pixels.
// A colour profile is followed where it is of the plain kind and makes sense; otherwise
// the pixels are taken as sRGB and Caution says so. What lies beyond sRGB is clipped.
func View(ctx context.Context, b []byte) (image.Image, Seen, error) {
	return Shrunk(ctx, b, func(img image.Image) image.Image { return img })
}

// Shrunk is View of a picture whose stored pixels were made fewer first: colours and turns are then quickly worked out.
// The shape stays.
func Shrunk(ctx context.Context, b []byte, shrink func(image.Image) image.Image) (image.Image, Seen, error) {
	img, info, err := open(ctx, b)
	if err != nil {
		return nil, Seen{}, err
	}
	_, cmyk := img.(*image.CMYK)
	img = shrink(img)
	s := Seen{Info: info, Profile: "sRGB"}
	wideImg := asWide(img)
	bounds := img.Bounds()
	focal, interop := lens(b, info.MediaType)
	s.Focal35MM = focal
	icc := iccOf(b, info.MediaType)
	switch p, ok := readICC(icc); {
	case cmyk:
		s.Profile, s.Caution = "CMYK", "the picture is made for print (CMYK); its colours are only roughly known"
	case ok && !p.plain():
		wideImg, s.Profile = converted{wideImg, p}, p.name
	case !ok && len(icc) > 0:
		s.Caution = "its colour profile cannot be followed; its colours are taken as sRGB"
	case len(icc) == 0 && interop == "R03":
		p := adobe()
		wideImg, s.Profile = converted{wideImg, p}, p.name
	}
	if info.Orientation > 1 && info.Orientation <= 8 {
		return turned{RGBA64Image: wideImg, orientation: info.Orientation, min: bounds.Min, w: bounds.Dx(),
			h: bounds.Dy()}, s, nil
	}
	return wideImg, s, nil
}

// lens reads the focal length and the mark of the colour space from EXIF.
func lens(b []byte, media string) (focal float64, interop string) {
	kind, ok := withEXIF[media[len("image/"):]]
	if !ok {
		return 0, ""
	}
	defer func() {
		if recover() != nil { // damaged metadata say nothing; the picture may be whole
			focal, interop = 0, ""
		}
	}()
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(b), ImageFormat: kind, Sources: imagemeta.EXIF,
		HandleTag: func(t imagemeta.TagInfo) error {
			switch v := t.Value.(type) {
			case uint16:
				if t.Tag == "FocalLengthIn35mmFormat" && v >= 8 && v <= 2000 {
					focal = float64(v)
				}
			case string:
				if t.Tag == "InteropIndex" {
					interop = v
				}
			}
			return nil
		},
	})
	if err != nil {
		return 0, ""
	}
	return focal, interop
}
