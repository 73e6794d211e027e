// Package reply holds back what a handler answers, until it is known whether that is the answer to give.
//
// In goes what a handler writes; out come status, headers and body, which are sent, kept for a second request, or let
// go. Nothing is sent before Send. It is not for large files: all of it is in memory.
package reply

import (
	"bytes"
	"cmp"
	"maps"
	"net/http"
)

// Kept is an answer that is not sent yet. It is an http.ResponseWriter.
type Kept struct {
	Head   http.Header
	Status int // 0 until the handler has said it
	Body   bytes.Buffer
}

// Hold returns an answer without anything in it.
func Hold() *Kept { return &Kept{Head: http.Header{}} }

// Header implements http.ResponseWriter.
func (k *Kept) Header() http.Header { return k.Head }

// WriteHeader implements http.ResponseWriter: the first status counts.
func (k *Kept) WriteHeader(status int) { k.Status = cmp.Or(k.Status, status) }

// Write implements http.ResponseWriter.
func (k *Kept) Write(b []byte) (int, error) {
	k.WriteHeader(http.StatusOK)
	return k.Body.Write(b)
}

// Send gives the answer, as OK where the handler said no status.
func (k *Kept) Send(w http.ResponseWriter) {
	maps.Copy(w.Header(), k.Head)
	w.WriteHeader(cmp.Or(k.Status, http.StatusOK))
	_, _ = w.Write(k.Body.Bytes())
}
