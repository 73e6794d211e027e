package web

import (
	"io"
	"net/http"
	"time"
)

// A slow phone at a fair may take long over a picture, as long as it comes on; one that does not come on holds a
// connection, and enough of them hold all.
const (
	silence   = 30 * time.Second // without a byte
	slowest   = 4 << 10          // bytes a second, after a silence to begin with
	chunk     = 64 << 10         // bytes of an answer that a reader must take within a silence
	idleAfter = 2 * time.Minute  // between requests
)

// paced ends requests whose body does not come on, and answers that are not taken.
func paced(next http.Handler) http.Handler { return pacedBy(silence, slowest, next) }

func pacedBy(silence time.Duration, slowest int, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		control := http.NewResponseController(w)
		if r.Body != nil && r.Body != http.NoBody {
			body := &pacedBody{ReadCloser: r.Body, control: control, began: time.Now(), silence: silence,
				slowest: slowest}
			body.extend()
			r.Body = body
		}
		out := &pacedAnswer{w, control, silence}
		next.ServeHTTP(out, r)
		out.extend() // for what is still in the buffers
	})
}

type pacedBody struct {
	io.ReadCloser
	control  *http.ResponseController
	began    time.Time
	received int
	silence  time.Duration
	slowest  int
}

// extend gives the next bytes a silence's time, and all of them together the time that the slowest would take.
func (b *pacedBody) extend() {
	now := time.Now()
	total := b.began.Add(b.silence + time.Duration(b.received)*time.Second/time.Duration(b.slowest))
	end := now.Add(b.silence)
	if total.Before(end) {
		end = total
	}
	_ = b.control.SetReadDeadline(end) // tests answer into memory, where nothing is slow
}

func (b *pacedBody) Read(p []byte) (int, error) {
	b.extend()
	n, err := b.ReadCloser.Read(p)
	b.received += n
	if err == io.EOF {
		// The server now listens whether the sender leaves; that may last as long as the answer takes.
		_ = b.control.SetReadDeadline(time.Time{})
	}
	return n, err
}

type pacedAnswer struct {
	http.ResponseWriter
	control *http.ResponseController
	silence time.Duration
}

// Unwrap lets a response controller find what lies below.
func (a *pacedAnswer) Unwrap() http.ResponseWriter { return a.ResponseWriter }

func (a *pacedAnswer) extend() { _ = a.control.SetWriteDeadline(time.Now().Add(a.silence)) }

func (a *pacedAnswer) Write(p []byte) (n int, err error) {
	for len(p) > 0 && err == nil {
		a.extend()
		var k int
		k, err = a.ResponseWriter.Write(p[:min(len(p), chunk)])
		n, p = n+k, p[k:]
	}
	_ = a.control.SetWriteDeadline(time.Time{}) // thinking about what comes next may take as long as it needs
	return n, err
}
