package picture

import (
	"bytes"
	"context"
	"image"
	"testing"

	"golang.org/x/image/tiff"
)

// What telephones and scanners write is read whatever brand it names first.
func TestOtherBrands(t *testing.T) {
	ctx := context.Background()
	img := quarters(64, 48)
	clear := image.NewNRGBA(img.Bounds())
	for i := range clear.Pix {
		clear.Pix[i] = img.Pix[i]
		if i%4 == 3 {
			clear.Pix[i] = uint8(255 - i%9)
		}
	}
	named := func(b []byte, brand string) []byte {
		out := bytes.Clone(b)
		copy(out[8:], brand)
		return out
	}
	var tif bytes.Buffer
	if err := tiff.Encode(&tif, img, nil); err != nil {
		t.Fatal(err)
	}
	av := asAVIF(t, img)
	for name, b := range map[string][]byte{"tiff": tif.Bytes(), "avif with alpha": asAVIF(t, clear),
		"mif1 avif": named(av, "mif1"), "MA1B avif": named(av, "MA1B")} {
		got, info, err := Decode(ctx, b)
		if err != nil || info.WidthPx != 64 || got.Bounds().Dy() != 48 {
			t.Errorf("%s: %+v, %v", name, info, err)
		}
	}
	for name, b := range map[string][]byte{"heix": named(av[:40], "heix"), "mif1": named(av[:12], "mif1"),
		"tiff": tif.Bytes()[:9]} {
		if _, _, err := Decode(ctx, b); err == nil || !Faulty(err) {
			t.Errorf("cut short %s: %v", name, err)
		}
	}
}
