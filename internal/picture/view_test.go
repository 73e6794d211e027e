package picture

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"
)

// iccFile is a small matrix profile with a plain power curve.
func iccFile(cols [3][3]float64, gamma float64) []byte {
	b := make([]byte, 132)
	copy(b[16:], "RGB XYZ ")
	copy(b[36:], "acsp")
	var body []byte
	tag := func(sig string, data []byte) {
		b = append(b, sig...)
		b = binary.BigEndian.AppendUint32(b, uint32(132+12*6+len(body)))
		b = binary.BigEndian.AppendUint32(b, uint32(len(data)))
		body = append(body, data...)
	}
	binary.BigEndian.PutUint32(b[128:], 6)
	for k, l := range []string{"r", "g", "b"} {
		xyz := []byte("XYZ \x00\x00\x00\x00")
		for i := range 3 {
			xyz = binary.BigEndian.AppendUint32(xyz, uint32(int32(math.Round(cols[k][i]*65536))))
		}
		curve := append([]byte("curv\x00\x00\x00\x00\x00\x00\x00\x01"), byte(int(gamma)),
			byte(math.Round((gamma-math.Floor(gamma))*256)), 0, 0)
		tag(l+"XYZ", xyz)
		tag(l+"TRC", curve)
	}
	return append(b, body...)
}

// Columns of the published Adobe RGB (1998) profile, XYZ under D50.
var adobeColumns = [3][3]float64{{0.60974, 0.31111, 0.01947}, {0.20528, 0.62567, 0.06087}, {0.14919, 0.06322, 0.74457}}

func withICC(img image.Image, icc []byte) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		return nil
	}
	body := append([]byte("ICC_PROFILE\x00\x01\x01"), icc...)
	seg := []byte{0xff, 0xe2, byte((len(body) + 2) >> 8), byte(len(body) + 2)}
	out := append([]byte{0xff, 0xd8}, append(seg, body...)...)
	return append(out, b.Bytes()[2:]...)
}

// Colours between Adobe RGB and sRGB by the published matrices of both spaces
// (Adobe RGB (1998) specification; IEC 61966-2-1): grey stays grey, and the Adobe green (60, 180,
// 60) becomes a stronger green in sRGB.
func TestViewFollowsProfile(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 32, 16))
	for y := range 16 {
		for x := range 32 {
			c := color.RGBA{128, 128, 128, 255}
			if x >= 16 {
				c = color.RGBA{150, 180, 60, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	seen, s, err := View(context.Background(), withICC(img, iccFile(adobeColumns, 563.0/256)))
	if err != nil {
		t.Fatal(err)
	}
	if s.Profile != "Adobe RGB (1998)" || s.Caution != "" {
		t.Errorf("profile %q, caution %q", s.Profile, s.Caution)
	}
	at := func(x int) [3]float64 {
		r, g, b, _ := seen.At(x, 8).RGBA()
		return [3]float64{float64(r) / 257, float64(g) / 257, float64(b) / 257}
	}
	grey := at(4)
	for k := range grey {
		if math.Abs(grey[k]-127) > 3 {
			t.Errorf("grey became %v", grey)
			break
		}
	}
	// linear Adobe (0.3095, 0.4622, 0.0414) by hand: sRGB linear
	// (1.39836·R − 0.39836·G, G, −0.04293·G + 1.04293·B)
	lin := func(v float64) float64 { return math.Pow(v/255, 563.0/256) }
	enc := func(v float64) float64 { return 255 * (1.055*math.Pow(v, 1/2.4) - 0.055) }
	r, g, b := lin(150), lin(180), lin(60)
	want := [3]float64{enc(1.39836*r - 0.39836*g), enc(g), enc(-0.04293*g + 1.04293*b)}
	for k, v := range at(26) {
		if math.Abs(v-want[k]) > 4 { // JPEG
			t.Errorf("channel %d is %.1f, want %.1f", k, v, want[k])
		}
	}
}

// A profile that makes no sense is not followed, and View says so.
func TestViewDoubtsProfile(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 16, 16))
	bad := adobeColumns
	bad[0][0] = 1.9 // white would be pink
	for name, icc := range map[string][]byte{"white is not white": iccFile(bad, 2.2),
		"cut short": iccFile(adobeColumns, 2.2)[:150], "no profile": []byte("hello")} {
		_, s, err := View(context.Background(), withICC(img, icc))
		if err != nil || s.Profile != "sRGB" || s.Caution == "" {
			t.Errorf("%s: profile %q, caution %q, %v", name, s.Profile, s.Caution, err)
		}
	}
}

// View shows the same pixels as Decode for every turn of EXIF.
func TestViewTurnsAsDecode(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 5, 3))
	for i := range img.Pix {
		img.Pix[i] = uint8(37 * i)
	}
	for o := 1; o <= 8; o++ {
		want := upright(img, o)
		got := image.Image(turned{RGBA64Image: img, orientation: o, min: img.Rect.Min, w: 5, h: 3})
		if want.Bounds().Dx() != got.Bounds().Dx() {
			t.Fatalf("turn %d: %v, want %v", o, got.Bounds(), want.Bounds())
		}
		for y := range want.Bounds().Dy() {
			for x := range want.Bounds().Dx() {
				r, g, b, _ := got.At(x, y).RGBA()
				r2, g2, b2, _ := want.At(want.Bounds().Min.X+x, want.Bounds().Min.Y+y).RGBA()
				if o > 1 && (r>>8 != r2>>8 || g>>8 != g2>>8 || b>>8 != b2>>8) {
					t.Fatalf("turn %d at %d, %d: another pixel", o, x, y)
				}
			}
		}
	}
}

func FuzzReadICC(f *testing.F) {
	f.Add(iccFile(adobeColumns, 2.2))
	f.Add(iccFile(adobeColumns, 1.8)[:170])
	f.Fuzz(func(t *testing.T, b []byte) {
		p, ok := readICC(b)
		if !ok {
			return
		}
		c := converted{image.NewUniform(color.White), p}.RGBA64At(0, 0)
		if c.A != 65535 {
			t.Errorf("white became %v", c)
		}
		jpegICC(b)
		pngICC(b)
		webpICC(b)
	})
}
