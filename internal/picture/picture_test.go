package picture

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"strings"
	"testing"
)

// sides says where row 0 and column 0 of the stored picture lie when it is seen
// upright: tag 0x0112 of CIPA DC-008 (Exif 2.32).
var sides = map[uint16][2]string{
	1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
	5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"},
}

// stored turns an upright picture into what a camera held that way would store.
func stored(upright *image.RGBA, orientation uint16) *image.RGBA {
	w, h := upright.Rect.Dx(), upright.Rect.Dy()
	sw, sh := w, h
	if orientation >= 5 {
		sw, sh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, sw, sh))
	for sy := range sh {
		for sx := range sw {
			u, v := 0, 0
			for i, side := range sides[orientation] {
				n := []int{sy, sx}[i]
				switch side {
				case "top":
					v = n
				case "bottom":
					v = h - 1 - n
				case "left":
					u = n
				case "right":
					u = w - 1 - n
				}
			}
			out.SetRGBA(sx, sy, upright.RGBAAt(u, v))
		}
	}
	return out
}

func like(a color.Color, b color.RGBA) bool {
	r, g, bl, _ := a.RGBA()
	near := func(x uint32, y uint8) bool { d := int(x>>8) - int(y); return d > -40 && d < 40 }
	return near(r, b.R) && near(g, b.G) && near(bl, b.B)
}

func wantQuarters(t *testing.T, img image.Image) {
	t.Helper()
	b := img.Bounds()
	for i, want := range []color.RGBA{red, green, blue, white} {
		x, y := b.Min.X+b.Dx()*(1+2*(i%2))/4, b.Min.Y+b.Dy()*(1+2*(i/2))/4
		if got := img.At(x, y); !like(got, want) {
			t.Errorf("quarter %d is %v, want about %v", i, got, want)
		}
	}
}

func TestEveryOrientationIsTurnedUpright(t *testing.T) {
	for orientation := uint16(1); orientation <= 8; orientation++ {
		b := withEXIFSegment(asJPEG(t, stored(quarters(64, 32), orientation)), orientation)
		img, info, err := Decode(context.Background(), b)
		if err != nil {
			t.Fatalf("orientation %d: %v", orientation, err)
		}
		if info.Orientation != int(orientation) || info.WidthPx != 64 || info.HeightPx != 32 ||
			info.MediaType != "image/jpeg" || info.Taken != "2026-03-01" {
			t.Errorf("orientation %d: %+v", orientation, info)
		}
		if img.Bounds() != image.Rect(0, 0, 64, 32) {
			t.Errorf("orientation %d: bounds %v", orientation, img.Bounds())
		}
		wantQuarters(t, img)
	}
}

// An orientation that the standard does not have says nothing.
func TestOddOrientationIsIgnored(t *testing.T) {
	for _, o := range []uint16{0, 9, 65535} {
		info, err := Inspect(withEXIFSegment(asJPEG(t, quarters(16, 8)), o))
		if err != nil || info.Orientation != 1 || info.WidthPx != 16 {
			t.Errorf("orientation %d: %+v, %v", o, info, err)
		}
	}
}

// Turning must not change pixels: exact on a picture that is not compressed.
func TestUprightMovesPixelsOnly(t *testing.T) {
	want := quarters(7, 5)
	want.SetRGBA(3, 1, color.RGBA{1, 2, 3, 255})
	for o := uint16(1); o <= 8; o++ {
		src := stored(want, o)
		before := bytes.Clone(src.Pix)
		got := upright(src, int(o))
		for y := range 5 {
			for x := range 7 {
				if got.At(x, y) != want.At(x, y) {
					t.Fatalf("orientation %d: pixel %d,%d is %v, want %v", o, x, y, got.At(x, y), want.At(x, y))
				}
			}
		}
		if !bytes.Equal(before, src.Pix) {
			t.Errorf("orientation %d: the picture given was changed", o)
		}
	}
	// A picture that does not begin at the origin.
	part := stored(want, 6).SubImage(image.Rect(1, 2, 4, 6)).(*image.RGBA)
	if got := upright(part, 6); got.Bounds() != image.Rect(0, 0, 4, 3) || got.At(0, 0) != part.At(1, 5) {
		t.Errorf("part of a picture: %v, %v", got.Bounds(), got.At(0, 0))
	}
}

func TestKinds(t *testing.T) {
	q := quarters(64, 48)
	deep := image.NewRGBA64(q.Rect)
	draw.Draw(deep, q.Rect, q, image.Point{}, draw.Src)
	paletted := image.NewPaletted(q.Rect, color.Palette{red, green, blue, white})
	draw.Draw(paletted, q.Rect, q, image.Point{}, draw.Src)
	for name, b := range map[string][]byte{
		"image/jpeg": asJPEG(t, q), "image/png": asPNG(t, q), "image/png of 16 bits": asPNG(t, deep),
		"image/png with a palette": asPNG(t, paletted),
		"image/webp":               asWebP(t, q), "image/avif": asAVIF(t, q),
	} {
		img, info, err := Decode(context.Background(), b)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !strings.HasPrefix(name, info.MediaType) || info.WidthPx != 64 || info.HeightPx != 48 ||
			info.Orientation != 1 || info.Taken != "" {
			t.Errorf("%s: %+v", name, info)
		}
		wantQuarters(t, img)
		small, err := Small(context.Background(), b, 32, 85)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if i, err := Inspect(small); err != nil || i.MediaType != "image/jpeg" || i.WidthPx != 32 || i.HeightPx != 24 {
			t.Errorf("%s: small: %+v, %v", name, i, err)
		}
	}
}

func TestHEIC(t *testing.T) {
	b := ofModule(t, "github.com/gen2brain/heic", "test8.heic")
	img, info, err := Decode(context.Background(), b)
	if err != nil || info.MediaType != "image/heic" || img.Bounds().Dx() != info.WidthPx ||
		img.Bounds().Dy() != info.HeightPx {
		t.Fatalf("%+v, %v", info, err)
	}
	if _, err := Small(context.Background(), b, 64, 80); err != nil {
		t.Error(err)
	}
}

// Of a moving picture the first frame is taken.
func TestMovingPicture(t *testing.T) {
	b := ofModule(t, "github.com/gen2brain/webp", "anim.webp")
	if img, info, err := Decode(context.Background(), b); err != nil || img.Bounds().Dx() != info.WidthPx {
		t.Fatalf("%+v, %v", info, err)
	}
}

func TestCMYK(t *testing.T) {
	img, info, err := Decode(context.Background(), cmykJPEG())
	if err != nil || info.WidthPx != 8 {
		t.Fatalf("%+v, %v", info, err)
	}
	if _, ok := img.(*image.CMYK); !ok {
		t.Fatalf("it is a %T; the sample is to be of four colours", img)
	}
	small, err := Small(context.Background(), cmykJPEG(), 100, 85)
	if err != nil {
		t.Fatal(err)
	}
	out, err := jpeg.Decode(bytes.NewReader(small))
	if err != nil || !like(out.At(4, 4), color.RGBA{64, 64, 64, 255}) {
		t.Errorf("half of every ink is %v, %v; want a dark grey", out.At(4, 4), err)
	}
}

func TestRefused(t *testing.T) {
	jpg := asJPEG(t, quarters(200, 200))
	for name, c := range map[string]struct {
		b    []byte
		kind error
		says string
	}{
		"empty":          {nil, ErrNotAPicture, "give JPEG"},
		"text":           {[]byte("date,maker,reference\n"), ErrNotAPicture, "give JPEG"},
		"GIF":            {asGIF(t, quarters(8, 8)), ErrNotAPicture, "it is a gif"},
		"huge PNG":       {hugePNG(100_000, 100_000), ErrTooLarge, "100000 × 100000 px"},
		"long PNG":       {hugePNG(30_000, 10), ErrTooLarge, "20000 px a side"},
		"huge JPEG":      {hugeJPEG(t), ErrTooLarge, "65535 × 65535 px"},
		"flat PNG":       {hugePNG(0, 10), ErrNotAPicture, ""},
		"cut JPEG":       {jpg[:len(jpg)/2], ErrBroken, "broken or cut short"},
		"cut in header":  {jpg[:20], ErrBroken, "header"},
		"hollow PNG":     {hugePNG(50, 50), ErrBroken, ""},
		"cut PNG":        {asPNG(t, quarters(200, 200))[:60], ErrBroken, ""},
		"beyond 64 MB":   {append(bytes.Clone(jpg), make([]byte, MaxBytes)...), ErrTooLarge, "at most 64 MB"},
		"header of WebP": {[]byte("RIFF\x00\x00\x00\x00WEBPVP8 "), nil, ""},
		"header of AVIF": {[]byte("\x00\x00\x00\x1cftypavif\x00\x00\x00\x00avifmif1"), nil, ""},
	} {
		_, _, err := Decode(context.Background(), c.b)
		if err == nil {
			t.Errorf("%s: was taken", name)
			continue
		}
		if c.kind != nil && !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
		for _, inner := range []string{"EOF", "image:", "png:", "jpeg:", "invalid format"} {
			if strings.Contains(err.Error(), inner) {
				t.Errorf("%s: the error shows %q: %v", name, inner, err)
			}
		}
		if small, err := Small(context.Background(), c.b, 100, 80); err == nil || small != nil {
			t.Errorf("%s: Small took it", name)
		}
	}
}

// A file cut anywhere is an error or, where only its end is missing, the picture;
// never something else.
func TestCutAnywhere(t *testing.T) {
	q := quarters(40, 40)
	for name, b := range map[string][]byte{"JPEG": asJPEG(t, q), "PNG": asPNG(t, q), "WebP": asWebP(t, q),
		"JPEG with EXIF": withEXIFSegment(asJPEG(t, q), 6)} {
		for n := 0; n < len(b); n += 1 + len(b)/40 {
			img, info, err := Decode(context.Background(), b[:n])
			if err == nil && (img == nil || info.WidthPx != 40) {
				t.Errorf("%s cut at %d of %d: %+v without an error", name, n, len(b), info)
			}
			if err != nil && !errors.Is(err, ErrBroken) && !errors.Is(err, ErrNotAPicture) {
				t.Errorf("%s cut at %d: %v", name, n, err)
			}
		}
	}
}

// No place, time or camera leaves the shop with a picture.
func TestSmallCarriesNoMetadata(t *testing.T) {
	b := withEXIFSegment(asJPEG(t, quarters(64, 32)), 6)
	if !bytes.Contains(b, []byte("Exif")) || !bytes.Contains(b, []byte("2026:03:01")) {
		t.Fatal("the sample carries no metadata, so the test proves nothing")
	}
	for _, side := range []int{16, 1000} { // made smaller, and left as large as it was
		small, err := Small(context.Background(), b, side, 85)
		if err != nil {
			t.Fatal(err)
		}
		for _, mark := range []string{"Exif", "2026:03:01", "cam", "II*\x00", "\xff\xe1"} {
			if bytes.Contains(small, []byte(mark)) {
				t.Errorf("side %d: the small picture still carries %q", side, mark)
			}
		}
		if info, err := Inspect(small); err != nil || info.Orientation != 1 || info.HeightPx < info.WidthPx {
			t.Errorf("side %d: %+v, %v; want it upright in its pixels", side, info, err)
		}
	}
}

func TestFit(t *testing.T) {
	for _, c := range []struct{ w, h, side, wantW, wantH int }{
		{100, 50, 200, 100, 50}, {100, 50, 100, 100, 50}, {400, 200, 100, 100, 50}, {200, 400, 100, 50, 100},
		{1000, 1, 100, 100, 1},
	} {
		img := quarters(c.w, c.h)
		got := Fit(img, c.side)
		if got.Bounds() != image.Rect(0, 0, c.wantW, c.wantH) {
			t.Errorf("%d × %d into %d: %v", c.w, c.h, c.side, got.Bounds())
		}
	}
	// Fine print: lines of one pixel come out as an even grey, not as stripes of chance.
	lines := image.NewGray(image.Rect(0, 0, 800, 800))
	for y := range 800 {
		for x := range 800 {
			lines.Pix[y*800+x] = uint8(255 * (x % 2))
		}
	}
	small := Fit(lines, 200)
	for x := 4; x < 196; x++ {
		if r, _, _, _ := small.At(x, 100).RGBA(); r>>8 < 117 || r>>8 > 138 {
			t.Fatalf("column %d is %d, want near 127", x, r>>8)
		}
	}
}

// The seeds leave out the kinds whose decoders a fuzzer cannot look into.
func FuzzDecode(f *testing.F) {
	q := quarters(24, 16)
	for _, b := range [][]byte{asJPEG(f, q), withEXIFSegment(asJPEG(f, q), 5), asPNG(f, q), asGIF(f, q), cmykJPEG(),
		hugePNG(100_000, 100_000), hugeJPEG(f), nil} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		info, err := Inspect(b)
		if err == nil && (info.WidthPx <= 0 || info.HeightPx <= 0 || info.WidthPx*info.HeightPx > MaxPixels ||
			info.Orientation < 1 || info.Orientation > 8) {
			t.Fatalf("taken: %+v", info)
		}
		if err == nil && info.WidthPx*info.HeightPx > 1<<20 {
			return // whole, but too much work for one run of a fuzzer
		}
		img, _, err := Decode(context.Background(), b)
		if (err == nil) != (img != nil) {
			t.Fatalf("%v with error %v", img, err)
		}
		if err != nil && !errors.Is(err, ErrNotAPicture) && !errors.Is(err, ErrTooLarge) && !errors.Is(err, ErrBroken) {
			t.Fatalf("an error of no kind: %v", err)
		}
	})
}

func BenchmarkSmall(b *testing.B) {
	jpg := withEXIFSegment(asJPEG(b, quarters(4000, 3000)), 6)
	for b.Loop() {
		if _, err := Small(context.Background(), jpg, 1600, 85); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkUpright(b *testing.B) {
	img, err := jpeg.Decode(bytes.NewReader(asJPEG(b, quarters(4000, 3000))))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		upright(img, 6)
	}
}
