package web_test

import (
	"bytes"
	"image"
	"image/color"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// drop puts one picture on a new contact sheet and returns its address.
func (s *site) drop(name string, picture []byte) string {
	s.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	part, err := m.CreateFormFile("pictures", name)
	if err != nil {
		s.t.Fatal(err)
	}
	_, _ = part.Write(picture)
	_ = m.Close()
	r := s.request(http.MethodPost, "/contact-sheets", &b)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	a := s.do(r)
	s.wantStatus(a, http.StatusSeeOther)
	return a.Header.Get("Location")
}

// shaded is a drawing of large fields, as a picture has them at any size.
func shaded(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(40 + 60*((3*x/w+2*(4*y/h)+x*x*5/(w*w))%3))
			img.Set(x, y, color.RGBA{v, v, v, 255})
		}
	}
	return img
}

// A picture that was kept is known on the next sheet: the same file, and one made smaller; another is not.
func TestPicturesKeptBeforeAreKnown(t *testing.T) {
	s := serveBare(t)
	first := asJPEG(t, shaded(640, 480))
	at := s.drop("a.jpg", first)
	r := s.request(http.MethodPost, at, strings.NewReader(url.Values{"do": {"keep"}, "group.0": {"1"}, "keep": {"0"},
		"view.0": {"dial"}, "watch.1": {string(soundWatch)}}.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	s.wantStatus(s.do(r), http.StatusOK)
	for name, tt := range map[string]struct {
		picture []byte
		says    string
		kept    bool
	}{
		"the same file": {first, "the same file as one kept with", false},
		"made smaller":  {asJPEG(t, shaded(320, 240)), "much like one kept with", true},
		"another":       {asJPEG(t, painting(640, 480)), "", true},
	} {
		d := s.page(s.drop("b.jpg", tt.picture))
		said := d.Find("figure .warn").Text()
		_, checked := d.Find("figure input[name=keep]").Attr("checked")
		if tt.says == "" && said != "" || !strings.Contains(said, tt.says) || checked != tt.kept {
			t.Errorf("%s: %q, keep %v; want %q, %v", name, said, checked, tt.says, tt.kept)
		}
	}
}

// A half sorted sheet is there again after the program was stopped, for the one who opened it.
func TestSheetsOutliveTheProgram(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	dir := t.TempDir()
	s := served(t, dir)
	at := s.drop("a.jpg", asJPEG(t, shaded(640, 480)))
	s.close()
	s = served(t, dir)
	defer s.close()
	if n := s.page(at).Find("figure img").Length(); n != 1 {
		t.Errorf("%d pictures on the sheet after the program was started again; want 1", n)
	}
	if a := s.do(s.request(http.MethodGet, at+"/0", nil)); a.StatusCode != http.StatusOK {
		t.Errorf("its small picture answers %d", a.StatusCode)
	}
}
