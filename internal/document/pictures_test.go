package document

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"strings"
	"testing"

	"codeberg.org/go-fonts/stix/stix2textitalic"
	"codeberg.org/go-fonts/stix/stix2textregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// bomb is a small PNG that claims to be 100,000 pixels wide and high.
func bomb() []byte {
	head := []byte("IHDR\x00\x01\x86\xa0\x00\x01\x86\xa0\x08\x02\x00\x00\x00")
	b := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), head...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(head))
}

func TestBadPictures(t *testing.T) {
	whole := jpegOf(t, disc(300, 200, white))
	for name, c := range map[string]struct {
		data []byte
		says string
	}{
		"none":      {nil, "empty"},
		"text":      {[]byte("a letter, not a picture"), "no picture of a kind"},
		"head only": {whole[:40], "cut short"},
		"half":      {whole[:len(whole)/2], "cut short"},
		"too large": {bomb(), "100000 × 100000"},
	} {
		r := minimal()
		r.Photos = []Photo{{View: "dial", Data: c.data}, {View: "back", Data: c.data}}
		if p := readPicture(c.data, 100); !strings.Contains(p.problem, c.says) {
			t.Errorf("%s: the problem is %q, want one that says %q", name, p.problem, c.says)
		}
		got := flat(text(t, pdfOf(t, r)))
		if n := strings.Count(got, "could not be read"); n != 2 {
			t.Errorf("%s: the PDF says %d times that a picture could not be read, want 2", name, n)
		}
	}
}

// TestPicturesAreMadeSmall holds sizes, shape and that nothing but the picture is
// carried over.
func TestPicturesAreMadeSmall(t *testing.T) {
	withPlace := jpegOf(t, disc(1500, 1000, white))
	comment := []byte("\xff\xfe\x00\x0eplace: home ")
	withPlace = append(append(append([]byte(nil), withPlace[:2]...), comment...), withPlace[2:]...)
	glass := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	for name, c := range map[string]struct {
		data []byte
		w, h int
	}{
		"larger than the page needs": {withPlace, 400, 266},
		"more than twice":            {jpegOf(t, disc(2100, 900, white)), 400, 171},
		"small":                      {jpegOf(t, disc(120, 90, white)), 120, 90},
		"transparent PNG":            {pngOf(t, glass), 40, 30},
		"a thread":                   {pngOf(t, disc(2000, 1, white)), 400, 1},
	} {
		p := readPicture(c.data, 400)
		if p.problem != "" || p.w != c.w || p.h != c.h {
			t.Errorf("%s: got %d × %d %s, want %d × %d", name, p.w, p.h, p.problem, c.w, c.h)
			continue
		}
		if bytes.Contains(p.jpeg, []byte("place")) {
			t.Errorf("%s: what stood beside the picture is in the document", name)
		}
	}
	img, err := jpeg.Decode(bytes.NewReader(readPicture(pngOf(t, glass), 400).jpeg))
	if err != nil {
		t.Fatal(err)
	}
	if r, g, b, _ := img.At(5, 5).RGBA(); r>>8 < 250 || g>>8 < 250 || b>>8 < 250 {
		t.Errorf("a clear pixel became %d, %d, %d: want white paper", r>>8, g>>8, b>>8)
	}
}

func TestBlocksAverage(t *testing.T) {
	img := image.NewYCbCr(image.Rect(0, 0, 7, 5), image.YCbCrSubsampleRatio420)
	for i := range img.Y {
		img.Y[i] = uint8(10 * i)
	}
	for i := range img.Cb {
		img.Cb[i], img.Cr[i] = 128, 90
	}
	got := blocks(img, 2)
	if got.Bounds() != image.Rect(0, 0, 3, 2) {
		t.Fatalf("bounds %v", got.Bounds())
	}
	// Samples 0, 10, 70, 80 of the first block.
	if c := got.YCbCrAt(0, 0); c != (color.YCbCr{Y: 40, Cb: 128, Cr: 90}) {
		t.Errorf("first block: got %v", c)
	}
}

// TestSerifKeepsItsLetters compares the outlines written anew with those of the
// font as its makers drew them, read by the same independent reader.
func TestSerifKeepsItsLetters(t *testing.T) {
	for face, original := range map[typeface][]byte{serif: stix2textregular.TTF, serifItalic: stix2textitalic.TTF} {
		b, err := faceFiles[face].file()
		if err != nil {
			t.Fatal(err)
		}
		want, err := sfnt.Parse(original)
		if err != nil {
			t.Fatal(err)
		}
		got, err := sfnt.Parse(b)
		if err != nil {
			t.Fatal(err)
		}
		size := fixed.I(int(want.UnitsPerEm()))
		for _, r := range "AQgéßøŁΩЖ&8@€“" {
			gi, _ := got.GlyphIndex(nil, r)
			wi, _ := want.GlyphIndex(nil, r)
			gb, ga, err1 := got.GlyphBounds(nil, gi, size, font.HintingNone)
			wb, wa, err2 := want.GlyphBounds(nil, wi, size, font.HintingNone)
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			if ga != wa {
				t.Errorf("%c: advance %v, want %v", r, ga, wa)
			}
			for _, d := range []fixed.Int26_6{gb.Min.X - wb.Min.X, gb.Min.Y - wb.Min.Y, gb.Max.X - wb.Max.X, gb.Max.Y - wb.Max.Y} {
				// One unit for rounding to whole units, and the tolerance of the curves.
				if d > 128 || d < -128 {
					t.Errorf("%c: bounds %v, want %v within 2 units of 1000", r, gb, wb)
					break
				}
			}
		}
	}
}

// TestQuadraticsStayClose measures the distance of the curves at many points.
func TestQuadraticsStayClose(t *testing.T) {
	p := []outlinePoint{{0, 0, true}, {0, 552, true}, {448, 1000, true}, {1000, 1000, true}}
	q := quadratics(p[0], p[1], p[2], p[3])
	from := p[0]
	n := len(q) / 2
	for k := range n {
		c, to := q[2*k], q[2*k+1]
		for _, s := range []float64{0.25, 0.5, 0.75} {
			u := 1 - s
			x, y := u*u*from.x+2*u*s*c.x+s*s*to.x, u*u*from.y+2*u*s*c.y+s*s*to.y
			v := (float64(k) + s) / float64(n)
			w := 1 - v
			cx := w*w*w*p[0].x + 3*w*w*v*p[1].x + 3*w*v*v*p[2].x + v*v*v*p[3].x
			cy := w*w*w*p[0].y + 3*w*w*v*p[1].y + 3*w*v*v*p[2].y + v*v*v*p[3].y
			if dx, dy := x-cx, y-cy; dx*dx+dy*dy > 4*outlineTolerance*outlineTolerance {
				t.Errorf("step %d at %g: %.2f, %.2f away", k, s, dx, dy)
			}
		}
		from = to
	}
}
