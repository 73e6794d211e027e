package picture_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"strings"
	"testing"

	"midcase/internal/picture"
)

// ramp is a picture whose colour tells the place: red grows along x, green along y.
func ramp(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(255 * x / w), uint8(255 * y / h), 90, 255})
		}
	}
	return img
}

func TestListingCutsTheSquareAskedFor(t *testing.T) {
	img := ramp(1000, 800)
	out, err := picture.Listing{Middle: [2]float64{600, 300}, Half: 200}.Make(img, 100)
	if err != nil {
		t.Fatal(err)
	}
	if out.Bounds() != image.Rect(0, 0, 100, 100) {
		t.Fatalf("%v", out.Bounds())
	}
	for _, c := range []struct{ x, y, wantX, wantY int }{{0, 0, 402, 102}, {99, 0, 798, 102}, {50, 99, 602, 498}} {
		got := out.RGBAAt(c.x, c.y)
		want := img.RGBAAt(c.wantX, c.wantY)
		if math.Abs(float64(got.R)-float64(want.R)) > 1 || math.Abs(float64(got.G)-float64(want.G)) > 1 {
			t.Errorf("(%d, %d) is %v, want about %v", c.x, c.y, got, want)
		}
	}
}

// A line that slopes is level afterwards, whichever way it slopes and stands.
func TestListingStraightens(t *testing.T) {
	for _, deg := range []float64{-7, 3, 12, 88, 95} {
		img := image.NewRGBA(image.Rect(0, 0, 600, 600))
		s, c := math.Sincos(deg * math.Pi / 180)
		for y := range 600 {
			for x := range 600 {
				v := uint8(230)
				if d := -(float64(x)-300)*s + (float64(y)-300)*c; math.Abs(d) < 4 {
					v = 10
				}
				img.SetRGBA(x, y, color.RGBA{v, v, v, 255})
			}
		}
		level := [2][2]float64{{300 - 150*c, 300 - 150*s}, {300 + 150*c, 300 + 150*s}}
		out, err := picture.Listing{Level: &level, Middle: [2]float64{300, 300}, Half: 180}.Make(img, 360)
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range []int{5, 180, 354} {
			a, b := out.RGBAAt(k, 180), out.RGBAAt(k, 60)
			if math.Abs(deg) > 45 {
				a, b = out.RGBAAt(180, k), out.RGBAAt(60, k)
			}
			if a.R > 60 || b.R < 200 {
				t.Errorf("%g°: %v on the line and %v beside it at %d", deg, a, b, k)
			}
		}
	}
}

// A grey card becomes grey and the brightness stays.
func TestListingBalance(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 200, 200))
	for i := range img.Pix {
		img.Pix[i] = []uint8{150, 120, 100, 255}[i%4]
	}
	lin := func(v uint8) float64 { return math.Pow((float64(v)/255+0.055)/1.055, 2.4) }
	r, g, b := lin(150), lin(120), lin(100)
	out, err := picture.Listing{Gain: [3]float64{0.2 / r, 0.2 / g, 0.2 / b}}.Make(img, 200)
	if err != nil {
		t.Fatal(err)
	}
	c := out.RGBAAt(100, 100)
	if max(c.R, c.G, c.B)-min(c.R, c.G, c.B) > 1 || c.R < 110 || c.R > 140 {
		t.Errorf("the card came out as %v", c)
	}
}

func TestListingNeverInventsPixels(t *testing.T) {
	img := ramp(500, 400)
	for _, l := range []picture.Listing{{}, {Middle: [2]float64{120, 200}, Half: 300},
		{Level: &[2][2]float64{{10, 10}, {200, 60}}}} {
		out, err := l.Make(img, 2400)
		if err != nil {
			t.Fatal(err)
		}
		if out.Bounds().Dx() > 400 {
			t.Errorf("%+v was enlarged to %d px", l, out.Bounds().Dx())
		}
	}
	says, err := picture.Listing{Middle: [2]float64{120, 200}, Half: 300}.Says(img, picture.Seen{Profile: "Display P3"})
	if text := strings.Join(says, " "); err != nil || !strings.Contains(text, "240 px out of 500 × 400") ||
		!strings.Contains(text, "nothing was filled in") || !strings.Contains(text, "from Display P3") {
		t.Errorf("%v %v", says, err)
	}
	for name, l := range map[string]picture.Listing{
		"outside":      {Middle: [2]float64{-5, 20}, Half: 50},
		"too small":    {Middle: [2]float64{20, 20}, Half: 200},
		"no line":      {Level: &[2][2]float64{{10, 10}, {12, 11}}},
		"gain":         {Gain: [3]float64{1, 0, 1}},
		"not a number": {Middle: [2]float64{math.NaN(), 20}, Half: 50},
	} {
		if _, err := l.Make(img, 800); err == nil {
			t.Errorf("%s: made", name)
		}
	}
}

// The file holds the picture and no word beside it.
func TestListingFileHasNoMetadata(t *testing.T) {
	b, err := picture.Listing{}.JPEG(ramp(300, 300), 300)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := jpeg.Decode(bytes.NewReader(b)); err != nil {
		t.Fatal(err)
	}
	for at := 2; at+4 < len(b) && b[at] == 0xff && b[at+1] != 0xda; at += 2 + int(b[at+2])<<8 + int(b[at+3]) {
		if m := b[at+1]; m >= 0xe1 && m <= 0xef || m == 0xfe {
			t.Errorf("segment %x in the file", m)
		}
	}
}
