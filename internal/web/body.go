package web

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"strings"
)

// What a request may bring.
const (
	maxBody = 80 << 20 // a form with one picture or sound
	maxForm = 1 << 20  // a form without files, and the typed part of one with files
	maxRest = 8 << 20  // read on behind either limit and thrown away
)

// limitBody lets only forms with files be large, and those only where somebody has been let in.
func limitBody(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		limit := int64(maxForm)
		if isMultipart(r) && !open(r.URL.Path) {
			limit = maxBody
		}
		r.Body = &limitedBody{ReadCloser: http.MaxBytesReader(w, r.Body, limit), rest: io.LimitReader(r.Body, maxRest)}
		next.ServeHTTP(w, r)
	})
}

// limitedBody reads on a little behind its limit before it says that the body is too large: a browser that is cut off
// while it still sends shows "connection reset" in place of the answer.
type limitedBody struct {
	io.ReadCloser
	rest io.Reader
}

func (b *limitedBody) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		_, _ = io.Copy(io.Discard, b.rest) // what cannot be read is not missed
	}
	return n, err
}

func isMultipart(r *http.Request) bool {
	return strings.HasPrefix(strings.ToLower(r.Header.Get("Content-Type")), "multipart/")
}

// received reads the form of a request before its handler runs, in the one place that says what is wrong with a
// form and takes its files away again.
func (s *site) received(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost {
			next.ServeHTTP(w, r)
			return
		}
		err := receive(r)
		// net/http removes the files only of the request that it made itself, not of the copies that contexts make.
		defer func() {
			if r.MultipartForm != nil {
				_ = r.MultipartForm.RemoveAll()
			}
		}()
		if err != nil {
			w.Header().Set("Connection", "close") // the rest of the body is not waited for
			s.page(func(http.ResponseWriter, *http.Request) error { return err }).ServeHTTP(w, r)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// receive reads the form of a request. Files of more than a form's size are kept on disk, not in memory.
func receive(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return notRead(err)
	}
	if err := r.ParseMultipartForm(maxForm); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return notRead(err)
	}
	typed := 0
	for name, values := range r.PostForm {
		for _, v := range values {
			typed += len(name) + len(v)
		}
	}
	if typed > maxForm {
		return &http.MaxBytesError{Limit: maxForm}
	}
	return nil
}

var errMalformed = errors.New("malformed form")

// notRead tells what the sender did wrong from what went wrong here.
func notRead(err error) error {
	var tooLarge *http.MaxBytesError
	var here *os.PathError // no room for a file
	switch {
	case errors.As(err, &tooLarge), errors.As(err, &here), errors.Is(err, os.ErrDeadlineExceeded):
		return err
	case errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("%w: it ends too early", errMalformed)
	}
	return fmt.Errorf("%w: %w", errMalformed, err)
}
