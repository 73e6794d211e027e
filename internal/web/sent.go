package web

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"mime/multipart"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"midcase/internal/shop"
	"midcase/internal/web/reply"
)

// formHeader carries the token of a form that the page's script sent in the background: the same one
// when it is sent again after no answer came. A form that the browser sent by itself has a hidden field
// of the same name, which withTokens puts in.
const formHeader = "Midcase-Form"

// leadsTo tells the script where an answer leads, since it cannot see that of a redirect.
const leadsTo = "Midcase-To"

// once lets a form be recorded once. What it records takes its token with it, in one transaction; a
// second request with the token waits for the first and gets its answer, also after a restart.
func (s *Server) once(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := formToken(r)
		if id == "" {
			next.ServeHTTP(w, r)
			return
		}
		defer s.sent.enter(id)()
		if s.answerAgain(w, r, id) {
			return
		}
		token := shop.NewToken(id, s.shop.Now())
		is := &kept{*reply.Hold()}
		next.ServeHTTP(is, r.WithContext(shop.WithToken(r.Context(), token)))
		// It failed, perhaps because another program has just recorded the same form.
		if !token.Taken() && is.Status >= http.StatusBadRequest && s.answerAgain(w, r, id) {
			return
		}
		if token.Taken() {
			if err := s.shop.AnswerForm(context.WithoutCancel(r.Context()), id, is.to()); err != nil {
				s.opt.Log.Error("answer of a form", "error", err)
			}
		}
		is.send(w, r)
	})
}

// formToken names what a form would record: its token, and for one that the browser sent by itself what
// was typed, since a page that is gone back to has its old token. It is empty where there is none.
func formToken(r *http.Request) string {
	if r.Method != http.MethodPost {
		return ""
	}
	h := sha256.New()
	if given := r.Header.Get(formHeader); given != "" {
		fmt.Fprintf(h, "%s %s", r.URL.Path, given)
		return hex.EncodeToString(h.Sum(nil))
	}
	kind := r.Header.Get("Content-Type")
	if !strings.HasPrefix(kind, "application/x-www-form-urlencoded") &&
		!strings.HasPrefix(kind, "multipart/form-data") {
		return ""
	}
	given := r.PostForm.Get(formHeader)
	if given == "" {
		return ""
	}
	r.PostForm.Del(formHeader)
	r.Form.Del(formHeader)
	fmt.Fprintf(h, "%s %s\n%s\n", r.URL.Path, given, r.PostForm.Encode())
	if r.MultipartForm != nil {
		writeFiles(h, r.MultipartForm.File)
	}
	return hex.EncodeToString(h.Sum(nil))
}

func writeFiles(w interface{ Write([]byte) (int, error) }, files map[string][]*multipart.FileHeader) {
	for _, name := range slices.Sorted(maps.Keys(files)) {
		for _, f := range files[name] {
			fmt.Fprintf(w, "%q %q %d\n", name, f.Filename, f.Size)
		}
	}
}

// answerWait is how long a request waits for the answer to the form that another program is recording.
const answerWait = 2 * time.Second

// answerAgain gives the answer to a form that was recorded before; where it never got one it leads back to
// where the form stood. It reports whether there was such a form.
func (s *Server) answerAgain(w http.ResponseWriter, r *http.Request, id string) bool {
	led, done, err := s.shop.FormAnswer(r.Context(), id)
	for end := time.Now().Add(answerWait); err == nil && done && led == "" && time.Now().Before(end); {
		select {
		case <-r.Context().Done():
			return true
		case <-time.After(answerWait / 20):
			led, done, err = s.shop.FormAnswer(r.Context(), id)
		}
	}
	if err != nil {
		s.page(func(http.ResponseWriter, *http.Request) error { return err }).ServeHTTP(w, r)
		return true
	}
	if !done {
		return false
	}
	again := &kept{*reply.Hold()}
	again.Head.Set("Location", cmp.Or(led, sameSite(r.Referer()), "/"))
	again.WriteHeader(http.StatusSeeOther)
	again.send(w, r)
	return true
}

// sending lets one request of a form run at a time.
type sending struct {
	mu  sync.Mutex
	now map[string]*turn
}

type turn struct {
	mu   sync.Mutex
	with int // requests that hold it or wait for it
}

// enter waits for its turn; what it returns ends it.
func (s *sending) enter(id string) (leave func()) {
	s.mu.Lock()
	if s.now == nil {
		s.now = map[string]*turn{}
	}
	t := s.now[id]
	if t == nil {
		t = &turn{}
		s.now[id] = t
	}
	t.with++
	s.mu.Unlock()
	t.mu.Lock()
	return func() {
		t.mu.Unlock()
		s.mu.Lock()
		defer s.mu.Unlock()
		if t.with--; t.with == 0 {
			delete(s.now, id)
		}
	}
}

// kept is an answer that is held until it is known whether it is the one to give.
type kept struct{ reply.Kept }

// to is where a redirect leads; empty for another answer.
func (k *kept) to() string {
	if k.Status != http.StatusSeeOther {
		return ""
	}
	return k.Head.Get("Location")
}

// send gives the answer: to the script, a redirect as a header that it follows.
func (k *kept) send(w http.ResponseWriter, r *http.Request) {
	if to := k.to(); to != "" && r.Header.Get(formHeader) != "" {
		maps.Copy(w.Header(), k.Head)
		w.Header().Del("Location")
		w.Header().Del("Content-Type")
		w.Header().Set(leadsTo, to)
		w.WriteHeader(http.StatusNoContent)
		return
	}
	k.Send(w)
}
