package web_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
)

func painting(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Set(x, y, color.RGBA{uint8(x * 7), uint8(y * 5), uint8(x * y), 255})
		}
	}
	return img
}

func asJPEG(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// hugePNG says that it is of a size that nobody could decode, in a few bytes.
func hugePNG(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, painting(4, 4)); err != nil {
		t.Fatal(err)
	}
	out := b.Bytes()
	binary.BigEndian.PutUint32(out[16:], 60000)
	binary.BigEndian.PutUint32(out[20:], 60000)
	binary.BigEndian.PutUint32(out[29:], crc32.ChecksumIEEE(out[12:29]))
	return out
}

func (s *site) upload(id string, picture []byte, fields map[string]string) answer {
	s.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, v := range fields {
		_ = m.WriteField(name, v)
	}
	if picture != nil {
		part, err := m.CreateFormFile("picture", "dial.jpg")
		if err != nil {
			s.t.Fatal(err)
		}
		_, _ = part.Write(picture)
	}
	_ = m.Close()
	r := s.request(http.MethodPost, "/watches/"+id+"/photos", &b)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.do(r)
}

func TestPhotographIsKeptAndShown(t *testing.T) {
	s := serveBare(t)
	original := asJPEG(t, painting(640, 480))
	a := s.upload(string(soundWatch), original, map[string]string{"view": "dial", "caption": "by daylight"})
	s.wantStatus(a, http.StatusSeeOther)
	d := s.page(a.Header.Get("Location"))
	src := d.Find(".photos img").AttrOr("src", "")
	small := s.get(src)
	s.wantStatus(small, http.StatusOK)
	got, err := jpeg.DecodeConfig(strings.NewReader(small.body))
	if err != nil || got.Width != 320 {
		t.Errorf("small picture: %v, %v; want 320 px wide", got, err)
	}
	full := s.get(d.Find(".photos a").AttrOr("href", ""))
	if full.body != string(original) {
		t.Error("the original is not served as it came")
	}
	if !strings.Contains(full.Header.Get("Cache-Control"), "immutable") {
		t.Error("a picture under its hash may be kept for ever")
	}
}

func TestBadPicturesAreRefused(t *testing.T) {
	s := serveBare(t)
	whole := asJPEG(t, painting(200, 200))
	var moving bytes.Buffer
	if err := gif.Encode(&moving, painting(20, 20), nil); err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{
		"none": nil, "empty": {}, "text": []byte("no picture at all"), "truncated": whole[:len(whole)/2], "header alone": whole[:20], "GIF": moving.Bytes(), "huge": hugePNG(t),
	} {
		a := s.upload(string(soundWatch), b, map[string]string{"view": "back", "caption": "kept"})
		if a.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d; want 422", name, a.StatusCode)
			continue
		}
		d := a.page(t)
		if d.Find("#e-picture").Length() == 0 {
			t.Errorf("%s: no error next to the picture: %s", name, a.words())
		}
		if d.Find("#f-caption").AttrOr("value", "") != "kept" || d.Find("#f-view option[selected]").AttrOr("value",
			"") != "back" {
			t.Errorf("%s: view and caption are lost", name)
		}
	}
	if n := s.page(watchPath(soundWatch)).Find(".photos figure").Length(); n != 0 {
		t.Errorf("%d photographs; want none", n)
	}
}
