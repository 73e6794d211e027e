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
		if p := readPicture(c.data, 100); !strings.Contains(p.problem.String(), c.says) {
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
		if !p.problem.IsZero() || p.w != c.w || p.h != c.h {
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

// Of twenty photos a report without its annex reads those on its pages alone, each once, and has six pages.
func TestOnlyPicturesOnThePagesAreRead(t *testing.T) {
	r := twentyPhotos(t, 120, 90)
	w := newWriter(r)
	var pics shelf
	s := setPages(w.r, w.reportFront(), w.plateOne(), w.sections(), &pics)
	if n := len(pics); n < 2 || n > 1+briefPlates {
		t.Errorf("%d pictures were read; want those on the pages, at most %d", n, 1+briefPlates)
	}
	for n, p := range pics {
		if !p.problem.IsZero() || p.w != 90 || p.h != 120 {
			t.Errorf("picture %d: %d × %d, %q; want it upright, 90 × 120", n, p.w, p.h, p.problem)
		}
	}
	before := &pics[1].jpeg[0]
	setPages(w.r, w.reportFront(), w.plateOne(), w.sections(), &pics)
	if &pics[1].jpeg[0] != before {
		t.Error("a picture was read twice")
	}
	if got := bytes.Count(pdfOf(t, r), []byte("/Type /Page\n")); s.pdf.PageCount() == 0 || got > briefPages {
		t.Errorf("%d pages; want at most %d", got, briefPages)
	}
}

// A photo on its side is made small as it is stored and turned then: it shows the same as one that was turned first.
func TestPicturesAreTurnedAfterTheyAreMadeSmall(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 400, 300))
	fillWhite(img)
	for y := range 150 {
		for x := range 200 {
			img.Set(x, y, color.RGBA{200, 0, 0, 255}) // upper left as stored, upper right as seen
		}
	}
	p := readPicture(onItsSide(jpegOf(t, img)), 100)
	if !p.problem.IsZero() || p.w != 75 || p.h != 100 {
		t.Fatalf("%d × %d, %q; want 75 × 100", p.w, p.h, p.problem)
	}
	seen, err := jpeg.Decode(bytes.NewReader(p.jpeg))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		x, y int
		red  bool
	}{{60, 20, true}, {15, 20, false}, {60, 80, false}, {15, 80, false}} {
		_, green, _, _ := seen.At(c.x, c.y).RGBA()
		if (green < 0x4000) != c.red {
			t.Errorf("at %d, %d: red %v; want %v", c.x, c.y, !c.red, c.red)
		}
	}
}
