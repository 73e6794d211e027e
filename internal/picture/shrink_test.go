package picture

import (
	"fmt"
	"image"
	"testing"

	"golang.org/x/image/draw"
)

// A picture shrunk first and then scaled is the one that is scaled at once, within what the eye tells.
func TestShrunkIsTheSamePicture(t *testing.T) {
	for _, ratio := range []image.YCbCrSubsampleRatio{image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422,
		image.YCbCrSubsampleRatio420, image.YCbCrSubsampleRatio440} {
		for _, size := range []image.Point{{1203, 901}, {1600, 1200}, {900, 1377}} {
			t.Run(fmt.Sprint(ratio, size), func(t *testing.T) {
				img := image.NewYCbCr(image.Rectangle{Max: size}, ratio)
				for y := range size.Y {
					for x := range size.X {
						img.Y[img.YOffset(x, y)] = uint8(40 + 150*x/size.X + 50*(y*3/size.Y%2))
						img.Cb[img.COffset(x, y)] = uint8(100 + 50*y/size.Y)
						img.Cr[img.COffset(x, y)] = uint8(100 + 60*x/size.X)
					}
				}
				small := shrunk(img, 120)
				if b := small.Bounds(); b.Dx() < 240*min(size.X, size.Y)/max(size.X, size.Y)-2 || b.Dx() >= size.X/2 {
					t.Fatalf("%v made %v", size, b)
				}
				a, b := Fit(img, 120).(*image.RGBA), image.NewRGBA(Fit(img, 120).Bounds())
				draw.BiLinear.Scale(b, b.Rect, small, small.Bounds(), draw.Src, nil)
				far := 0
				for i := range a.Pix {
					if d := int(a.Pix[i]) - int(b.Pix[i]); d > 12 || d < -12 {
						far++
					}
				}
				if far > len(a.Pix)/50 {
					t.Errorf("%d of %d values differ by more than 12", far, len(a.Pix))
				}
			})
		}
	}
}

// Other pictures, and those that are not much larger, are left alone.
func TestShrunkLeavesOthersAlone(t *testing.T) {
	for _, img := range []image.Image{image.NewRGBA(image.Rect(0, 0, 4000, 3000)),
		image.NewYCbCr(image.Rect(0, 0, 479, 300), image.YCbCrSubsampleRatio420),
		image.NewYCbCr(image.Rect(0, 0, 900, 900), image.YCbCrSubsampleRatio411)} {
		if shrunk(img, 120) != img {
			t.Errorf("%T of %v was changed", img, img.Bounds())
		}
	}
}
