package intake_test

import (
	"bytes"
	"errors"
	"image"
	"image/gif"
	"image/jpeg"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
)

func jpegOf(t testing.TB, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, w, h)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestAddPhoto(t *testing.T) {
	b := shoptest.New(t)
	w := b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"})
	good := jpegOf(t, 300, 200)
	it, err := b.Intake.AddPhoto(t.Context(), w.ID, "dial", "by daylight", bytes.NewReader(good), "Ines")
	if err != nil {
		t.Fatal(err)
	}
	p := it.Data.(*evidence.Photo)
	if p.WidthPx != 300 || p.HeightPx != 200 || p.MediaType != "image/jpeg" || p.View != "dial" ||
		p.Caption != "by daylight" {
		t.Errorf("%+v", p)
	}
	if got, err := b.Picture(t.Context(), p.Blob); err != nil || !bytes.Equal(got, good) {
		t.Errorf("the picture came back as %d bytes, %v", len(got), err)
	}
	if _, err := b.Picture(t.Context(), strings.Repeat("0", 64)); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such picture: %v", err)
	}
}

func TestAddPhotoRefuses(t *testing.T) {
	b := shoptest.New(t)
	w := b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1"})
	var moving bytes.Buffer
	if err := gif.Encode(&moving, image.NewGray(image.Rect(0, 0, 9, 9)), nil); err != nil {
		t.Fatal(err)
	}
	good := jpegOf(t, 300, 200)
	huge := bytes.Clone(good)
	copy(huge[bytes.Index(huge, []byte{0xff, 0xc0})+5:], []byte{0xff, 0xff, 0xff, 0xff})
	for name, c := range map[string]struct {
		b           []byte
		view, field string
	}{
		"empty": {nil, "dial", "picture"}, "cut short": {good[:len(good)/2], "dial", "picture"}, "huge": {huge, "dial",
			"picture"},
		"GIF": {moving.Bytes(), "dial", "picture"}, "text": {[]byte("not a picture"), "dial",
			"picture"}, "unknown view": {good, "elbow", "view"},
	} {
		_, err := b.Intake.AddPhoto(t.Context(), w.ID, c.view, "", bytes.NewReader(c.b), "Ines")
		shoptest.Refused(t, err, c.field)
		if strings.Count(err.Error(), "give") != 1 && c.field == "picture" {
			t.Errorf("%s: said twice: %v", name, err)
		}
		if n, files := b.LogLength(t, w.ID), b.BlobFiles(t); n != 0 || files != 0 {
			t.Errorf("%s: %d items and %d files were kept", name, n, files)
		}
	}
	if _, err := b.Intake.AddPhoto(t.Context(), "w_none", "dial", "", bytes.NewReader(good), "Ines"); !errors.Is(err,
		shop.ErrNotFound) {
		t.Errorf("no such watch: %v", err)
	} else if files := b.BlobFiles(t); files != 0 {
		t.Errorf("no such watch: %d files were kept", files)
	}
	if _, err := b.Intake.AddPhoto(t.Context(), w.ID, "dial", "", failing{}, "Ines"); err == nil ||
		b.LogLength(t, w.ID) != 0 {
		t.Errorf("a reader that fails: %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the line went dead") }
