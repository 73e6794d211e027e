package web_test

import (
	"compress/gzip"
	"io"
	"net/http"
	"strings"
	"testing"

	assets "midcase/web"
)

// raw asks as a browser does and returns the answer as it was sent.
func (s *site) raw(path string, header ...string) (*http.Response, []byte) {
	s.t.Helper()
	r := s.request(http.MethodGet, path, nil)
	r.Header.Set("Accept-Encoding", "gzip, deflate, br")
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	res, err := s.http.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return res, b
}

func TestTextIsCompressed(t *testing.T) {
	s := look(t)
	for path, within := range map[string]string{"/": "<table", "/stock.csv": "number,title", "/assets/midcase.css": "--paper", "/api" + watchPath(soundWatch) + "/opinion": `"schema"`} {
		res, b := s.raw(path)
		if res.Header.Get("Content-Encoding") != "gzip" || !strings.Contains(res.Header.Get("Vary"),
			"Accept-Encoding") {
			t.Errorf("%s: encoding %q, vary %q", path, res.Header.Get("Content-Encoding"), res.Header.Get("Vary"))
			continue
		}
		z, err := gzip.NewReader(strings.NewReader(string(b)))
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(z)
		if err != nil || !strings.Contains(string(text), within) {
			t.Errorf("%s: %v; no %q in it", path, err, within)
		}
		if len(b)*2 > len(text) {
			t.Errorf("%s: %d bytes of %d sent", path, len(b), len(text))
		}
	}
	r := s.request(http.MethodGet, "/", nil)
	r.Header.Set("Accept-Encoding", "identity")
	if a := s.do(r); a.Header.Get("Content-Encoding") != "" || !strings.Contains(a.body, "<table") {
		t.Error("compressed for one who did not ask for it")
	}
}

func TestWhatIsCompressedAlreadyIsNot(t *testing.T) {
	s := look(t)
	paths := []string{watchPath(soundWatch) + "/report.pdf"}
	if assets.Built("fonts/sans.woff2") {
		paths = append(paths, "/assets/fonts/sans.woff2")
	}
	for _, path := range paths {
		res, _ := s.raw(path)
		if res.StatusCode != http.StatusOK || res.Header.Get("Content-Encoding") != "" {
			t.Errorf("%s: status %d, encoding %q", path, res.StatusCode, res.Header.Get("Content-Encoding"))
		}
	}
}

func TestAssetsAreKept(t *testing.T) {
	s := look(t)
	res, _ := s.raw("/assets/midcase.css?v=" + assets.Version())
	if got := res.Header.Get("Cache-Control"); !strings.Contains(got, "immutable") {
		t.Errorf("a version's own address: %q", got)
	}
	res, _ = s.raw("/assets/midcase.css?v=older")
	if got := res.Header.Get("Cache-Control"); got != "no-cache" {
		t.Errorf("another version's address: %q; it must not be kept", got)
	}
	tag := res.Header.Get("ETag")
	if res, b := s.raw("/assets/midcase.css", "If-None-Match", tag); res.StatusCode != http.StatusNotModified ||
		len(b) != 0 {
		t.Errorf("asked again with %q: status %d, %d bytes", tag, res.StatusCode, len(b))
	}
	if res, b := s.raw("/assets/midcase.css", "Accept-Encoding", "identity", "Range",
		"bytes=0-9"); res.StatusCode != http.StatusPartialContent || len(b) != 10 {
		t.Errorf("a part: status %d, %d bytes", res.StatusCode, len(b))
	}
	s.wantStatus(s.get("/assets/"), http.StatusNotFound)
	s.wantStatus(s.get("/assets/fonts"), http.StatusNotFound)
}
