package web

import (
	"bytes"
	"crypto/rand"
	"net/http"
	"regexp"
	"strings"
)

// withTokens puts a hidden token into each form of a page that posts, so that none can be forgotten.
func withTokens(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		page := &tokened{ResponseWriter: w}
		defer page.close()
		next.ServeHTTP(page, r)
	})
}

// tokened holds an HTML page back until it is whole; everything else passes.
type tokened struct {
	http.ResponseWriter
	decided, html bool
	page          bytes.Buffer
}

func (t *tokened) decide() {
	if !t.decided {
		t.decided, t.html = true, strings.HasPrefix(t.Header().Get("Content-Type"), "text/html")
	}
}

// Unwrap lets http.ResponseController reach what is below.
func (t *tokened) Unwrap() http.ResponseWriter { return t.ResponseWriter }

func (t *tokened) WriteHeader(status int) {
	t.decide()
	t.ResponseWriter.WriteHeader(status)
}

func (t *tokened) Write(b []byte) (int, error) {
	if !t.decided && t.Header().Get("Content-Type") == "" {
		t.Header().Set("Content-Type", http.DetectContentType(b))
	}
	t.decide()
	if t.html {
		return t.page.Write(b)
	}
	return t.ResponseWriter.Write(b)
}

func (t *tokened) close() {
	if t.html {
		_, _ = t.ResponseWriter.Write(addTokens(t.page.Bytes()))
	}
}

// ofItsOwn finds the token that a form brings itself, since its page is asked for anew when it is gone back to.
var ofItsOwn = regexp.MustCompile(` data-once="([0-9a-f]+)"`)

// addTokens puts a hidden field into each form that posts, right after its start tag.
func addTokens(page []byte) []byte {
	open, post := []byte("<form"), []byte(`method="post"`)
	var out bytes.Buffer
	for {
		i := bytes.Index(page, open)
		if i < 0 {
			break
		}
		end := i + bytes.IndexByte(page[i:], '>') + 1
		if end <= i {
			break
		}
		out.Write(page[:end])
		if bytes.Contains(page[i:end], post) {
			token := rand.Text()
			if m := ofItsOwn.FindSubmatch(page[i:end]); m != nil {
				token = string(m[1])
			}
			out.WriteString(`<input type="hidden" name="` + formHeader + `" value="` + token + `"/>`)
		}
		page = page[end:]
	}
	out.Write(page)
	return out.Bytes()
}
