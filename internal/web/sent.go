package web

import (
	"net/http"
	"sync"
)

// formHeader marks a form that the page's script sent in the background, by a token
// that stays the same when it is sent again after no answer came.
const formHeader = "Midcase-Form"

// sentForms remembers where the latest forms led to, so that one sent twice is done
// once. It forgets when the program ends.
type sentForms struct {
	mu    sync.Mutex
	to    map[string]string
	order []string
}

const formsRemembered = 512

// handler turns the redirect after a form into a header that the script follows,
// since a script cannot see where a redirect leads.
func (s *sentForms) handler(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		token := r.Header.Get(formHeader)
		if token == "" || r.Method != http.MethodPost {
			next.ServeHTTP(w, r)
			return
		}
		if to, done := s.seen(token); done {
			w.Header().Set("Midcase-To", to)
			w.WriteHeader(http.StatusNoContent)
			return
		}
		next.ServeHTTP(&leading{ResponseWriter: w, led: func(to string) { s.remember(token, to) }}, r)
	})
}

func (s *sentForms) seen(token string) (to string, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	to, ok = s.to[token]
	return to, ok
}

func (s *sentForms) remember(token, to string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.to == nil {
		s.to = map[string]string{}
	}
	if len(s.order) >= formsRemembered {
		delete(s.to, s.order[0])
		s.order = s.order[1:]
	}
	s.to[token] = to
	s.order = append(s.order, token)
}

// leading is a response whose redirect becomes a header.
type leading struct {
	http.ResponseWriter
	led func(to string)
}

func (l *leading) WriteHeader(status int) {
	if to := l.Header().Get("Location"); status == http.StatusSeeOther && to != "" {
		l.Header().Del("Location")
		l.Header().Set("Midcase-To", to)
		status = http.StatusNoContent
		l.led(to)
	}
	l.ResponseWriter.WriteHeader(status)
}

// Write implements io.Writer; a redirect's own text is not sent.
func (l *leading) Write(b []byte) (int, error) {
	if l.Header().Get("Midcase-To") != "" {
		return len(b), nil
	}
	return l.ResponseWriter.Write(b)
}
