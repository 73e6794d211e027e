package picture

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/gen2brain/avif"
	"github.com/gen2brain/webp"
)

// The four quarters of the sample picture, so that every turn can be told.
var (
	red   = color.RGBA{200, 30, 30, 255}   // top left
	green = color.RGBA{30, 180, 30, 255}   // top right
	blue  = color.RGBA{30, 30, 200, 255}   // bottom left
	white = color.RGBA{240, 240, 240, 255} // bottom right
)

// quarters is a w × h picture of four coloured quarters.
func quarters(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := []color.RGBA{red, green, blue, white}[2*(2*y/h)+2*x/w]
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func asJPEG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asWebP(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := webp.Encode(&b, img, webp.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asAVIF(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := avif.Encode(&b, img, avif.Options{Quality: 90, Speed: 10}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asGIF(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := gif.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// ofModule is a sample file that a decoder's module brings for its own tests.
func ofModule(t testing.TB, module, name string) []byte {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
	if err != nil {
		t.Skipf("no go command to find %s with: %v", module, err)
	}
	b, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "testdata", name))
	if err != nil {
		t.Skipf("%s brings no %s: %v", module, name, err)
	}
	return b
}

// entry is one field of a TIFF directory.
type entry struct {
	tag, kind uint16
	n         uint32
	value     uint32
}

// withEXIFSegment puts an APP1 segment with orientation, time and place into a JPEG,
// as a camera does (CIPA DC-008, Exif 2.32). Offsets count from the TIFF header.
func withEXIFSegment(jpg []byte, orientation uint16) []byte {
	const ifd0, exifIFD, gpsIFD, data = 8, 62, 80, 110
	var t bytes.Buffer
	le := binary.LittleEndian
	t.WriteString("II*\x00")
	_ = binary.Write(&t, le, uint32(ifd0))
	dir := func(entries ...entry) {
		_ = binary.Write(&t, le, uint16(len(entries)))
		for _, e := range entries {
			_ = binary.Write(&t, le, e)
		}
		_ = binary.Write(&t, le, uint32(0))
	}
	dir(entry{0x0112, 3, 1, uint32(orientation)}, entry{0x010F, 2, 4, 0x006d6163}, entry{0x8769, 4, 1, exifIFD},
		entry{0x8825, 4, 1, gpsIFD})
	dir(entry{0x9003, 2, 20, data})
	dir(entry{1, 2, 2, 'N'}, entry{2, 5, 3, data + 20})
	t.WriteString("2026:03:01 10:15:00\x00")
	_ = binary.Write(&t, le, []uint32{48, 1, 51, 1, 30, 1})

	var out bytes.Buffer
	out.Write(jpg[:2])
	out.Write([]byte{0xff, 0xe1})
	_ = binary.Write(&out, binary.BigEndian, uint16(2+6+t.Len()))
	out.WriteString("Exif\x00\x00")
	out.Write(t.Bytes())
	out.Write(jpg[2:])
	return out.Bytes()
}

// hugePNG is a whole PNG header of a size that nobody's memory holds.
func hugePNG(w, h uint32) []byte {
	var b bytes.Buffer
	b.WriteString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		_ = binary.Write(&b, binary.BigEndian, uint32(len(data)))
		body := append([]byte(kind), data...)
		b.Write(body)
		_ = binary.Write(&b, binary.BigEndian, crc32.ChecksumIEEE(body))
	}
	ihdr := make([]byte, 13)
	binary.BigEndian.PutUint32(ihdr, w)
	binary.BigEndian.PutUint32(ihdr[4:], h)
	ihdr[8], ihdr[9] = 8, 2
	chunk("IHDR", ihdr)
	chunk("IDAT", []byte{0x78, 0x9c, 0x03, 0, 0, 0, 0, 1})
	chunk("IEND", nil)
	return b.Bytes()
}

// hugeJPEG is a JPEG whose header states 65,535 × 65,535 px.
func hugeJPEG(t testing.TB) []byte {
	b := bytes.Clone(asJPEG(t, quarters(16, 16)))
	at := bytes.Index(b, []byte{0xff, 0xc0})
	copy(b[at+5:], []byte{0xff, 0xff, 0xff, 0xff})
	return b
}

// cmykJPEG is the smallest JPEG of four colours: one block each, all of middle value.
// ITU-T T.81 for the segments; the Adobe marker says that there is no transform.
func cmykJPEG() []byte {
	var b bytes.Buffer
	b.Write([]byte{0xff, 0xd8})
	segment := func(marker byte, data ...byte) {
		b.Write([]byte{0xff, marker, byte((len(data) + 2) >> 8), byte(len(data) + 2)})
		b.Write(data)
	}
	segment(0xee, append([]byte("Adobe"), 0, 100, 0, 0, 0, 0, 0)...)
	segment(0xdb, append([]byte{0}, bytes.Repeat([]byte{1}, 64)...)...)
	segment(0xc0, 8, 0, 8, 0, 8, 4, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0, 4, 0x11, 0)
	counts := make([]byte, 16)
	counts[0] = 1
	segment(0xc4, append(append([]byte{0x00}, counts...), 0)...) // one DC code: no difference
	segment(0xc4, append(append([]byte{0x10}, counts...), 0)...) // one AC code: end of block
	segment(0xda, 4, 1, 0, 2, 0, 3, 0, 4, 0, 0, 63, 0)
	b.Write([]byte{0x00, 0xff, 0xd9})
	return b.Bytes()
}
