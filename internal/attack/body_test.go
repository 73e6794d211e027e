package attack

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestMalformedFormsAreTheSendersFault(t *testing.T) {
	s := serve(t)
	const head = "--b\r\nContent-Disposition: form-data; name=\"kind\"\r\n\r\nclaim\r\n"
	for name, sent := range map[string]struct{ kind, body string }{
		"cut short":                {"multipart/form-data; boundary=b", head},
		"no boundary":              {"multipart/form-data", head + "--b--"},
		"another boundary":         {"multipart/form-data; boundary=c", head + "--b--"},
		"header of no form":        {"multipart/form-data; boundary=b", "--b\r\n\x00\x00: x\r\n\r\nx\r\n--b--"},
		"nothing":                  {"multipart/form-data; boundary=b", ""},
		"an escape that is none":   {"application/x-www-form-urlencoded", "kind=%zz"},
		"a type that is none":      {"application/x-www-form-urlencoded; =", "kind=claim"},
		"thousands of small parts": {"multipart/form-data; boundary=b", strings.Repeat(head, 5000) + "--b--"},
	} {
		for _, path := range []string{s.path("/record"), s.path("/photos"), "/sales/import", "/clients/imports"} {
			if status, _ := s.send(http.MethodPost, path, sent.kind, strings.NewReader(sent.body)); status != 400 {
				t.Errorf("POST %s, %s: status %d; want 400", path, name, status)
			}
		}
	}
}

// A form without files is no way to bring 80 MB; nor are the typed fields of one with files.
func TestLargeFormsAreCut(t *testing.T) {
	s := serve(t)
	big := strings.Repeat("a", 2<<20)
	if status, _ := s.post("/settings", url.Values{"name": {big}}); status != http.StatusRequestEntityTooLarge {
		t.Errorf("a form of 2 MB: status %d; want 413", status)
	}
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	if err := form.WriteField("caption", big); err != nil {
		t.Fatal(err)
	}
	form.Close()
	status, _ := s.send(http.MethodPost, s.path("/photos"), form.FormDataContentType(), &b)
	if status != http.StatusRequestEntityTooLarge {
		t.Errorf("a field of 2 MB in a form with files: status %d; want 413", status)
	}
	status, _ = s.send(http.MethodPost, "/sign-in", "multipart/form-data; boundary=b",
		strings.NewReader("--b\r\nContent-Disposition: form-data; name=\"x\"; filename=\"x\"\r\n\r\n"+big+"\r\n--b--"))
	if status != http.StatusRequestEntityTooLarge {
		t.Errorf("a file of 2 MB for the page that lets people in: status %d; want 413", status)
	}
}

// Files that a form brings are kept on disk while it is read; they once stayed there.
func TestFilesOfFormsDoNotStayOnDisk(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	s := serve(t)
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	file, err := form.CreateFormFile("picture", "a.jpg")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := file.Write(make([]byte, 40<<20)); err != nil {
		t.Fatal(err)
	}
	form.Close()
	if status, _ := s.send(http.MethodPost, s.path("/photos"), form.FormDataContentType(), &b); status != 422 {
		t.Errorf("a picture of zeros: status %d; want 422", status)
	}
	left, err := filepath.Glob(filepath.Join(dir, "multipart-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left on disk: %v, error %v", left, err)
	}
	if _, err := os.Stat(dir); err != nil {
		t.Fatal(err)
	}
}
