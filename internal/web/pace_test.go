package web

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// A body that does not come on is cut however long it claims to be; one that comes on slowly is let through.
func TestSlowBodiesAreCut(t *testing.T) {
	const silence = 300 * time.Millisecond
	read := make(chan error, 1)
	srv := httptest.NewServer(pacedBy(silence, 100, http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		_, err := io.Copy(io.Discard, r.Body)
		read <- err
	})))
	defer srv.Close()
	for _, tt := range []struct {
		name       string
		bytes      int
		every      time.Duration
		letThrough bool
	}{
		{"steady", 80, 10 * time.Millisecond, true}, // twice as long as a silence, never silent
		{"one byte and silence", 1, 0, false},
		{"a drip, never silent, slower than the slowest", 60, silence / 4, false},
	} {
		c, err := net.Dial("tcp", strings.TrimPrefix(srv.URL, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		length := tt.bytes
		if !tt.letThrough {
			length = 1 << 20
		}
		fmt.Fprintf(c, "POST / HTTP/1.1\r\nHost: x\r\nContent-Length: %d\r\n\r\n", length)
		go func() {
			for range tt.bytes {
				if _, err := c.Write([]byte("x")); err != nil {
					return
				}
				time.Sleep(tt.every)
			}
		}()
		if err := <-read; (err == nil) != tt.letThrough {
			t.Errorf("%s: error %v; let through should be %v", tt.name, err, tt.letThrough)
		}
		c.Close()
	}
}

// An answer that nobody takes does not hold its handler; one that is taken slowly is given whole.
func TestAnswersThatAreNotTakenAreCut(t *testing.T) {
	const size = 64 << 20 // more than the buffers between two sockets
	wrote := make(chan error, 1)
	srv := httptest.NewServer(pacedBy(200*time.Millisecond, 100, http.HandlerFunc(func(w http.ResponseWriter,
		_ *http.Request) {
		_, err := w.Write(make([]byte, size))
		wrote <- err
	})))
	defer srv.Close()
	c, err := net.Dial("tcp", strings.TrimPrefix(srv.URL, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: x\r\n\r\n")
	if err := <-wrote; err == nil {
		t.Error("64 MB went to somebody who took nothing")
	}
	res, err := http.Get(srv.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	n, err := io.Copy(io.Discard, bufio.NewReader(res.Body))
	if n != size || err != nil || <-wrote != nil {
		t.Errorf("somebody who takes what comes got %d bytes, error %v; want %d", n, err, size)
	}
}

// A handler may think for longer than a silence before it answers, and after its body was read.
func TestThinkingIsNotSilence(t *testing.T) {
	srv := httptest.NewServer(pacedBy(50*time.Millisecond, 1, http.HandlerFunc(func(w http.ResponseWriter,
		r *http.Request) {
		if _, err := io.Copy(io.Discard, r.Body); err != nil {
			t.Error(err)
		}
		select {
		case <-r.Context().Done():
			t.Error("the request was cancelled while its handler was thinking")
		case <-time.After(300 * time.Millisecond):
		}
		fmt.Fprint(w, "done")
	})))
	defer srv.Close()
	for range 2 { // the second over the same connection
		res, err := http.Post(srv.URL, "text/plain", strings.NewReader("x"))
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(res.Body)
		res.Body.Close()
		if string(b) != "done" || err != nil {
			t.Errorf("answer %q, error %v", b, err)
		}
	}
}
