package web

import (
	"context"
	"errors"
	"net/http"
	"os"
	"syscall"

	"midcase/internal/papers"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/web/pages/failure"
)

// handler is a handler that may fail; what it returns is rendered in one place.
type handler func(w http.ResponseWriter, r *http.Request) error

// page turns a handler that may fail into an http.Handler.
func (s *site) page(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx := s.reader(shop.As(r.Context(), s.user(r.Context())), r)
		r = r.WithContext(ctx)
		err := h(w, r)
		if err == nil || errors.Is(err, context.Canceled) {
			return
		}
		status, says := explain(err)
		if status >= 500 {
			s.opt.Log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
		}
		if status == http.StatusServiceUnavailable {
			w.Header().Set("Retry-After", "60")
		}
		w.WriteHeader(status)
		_ = failure.Page(s.frame("", "Not done"), says).Render(r.Context(), w)
	})
}

// explain maps the few kinds of error to a status and to words.
func explain(err error) (int, string) {
	var invalid *shop.Invalid
	var denied *rights.Denied
	var behind *shop.ClockBehind
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &denied):
		return http.StatusForbidden, "This is not for you: " + denied.Error() + ". Ask an owner of the shop."
	case errors.As(err, &invalid):
		return http.StatusUnprocessableEntity, invalid.Error()
	case papers.NotTold(err):
		return http.StatusUnprocessableEntity, err.Error()
	case errors.As(err, &tooLarge):
		return http.StatusRequestEntityTooLarge, "What was sent is larger than this page takes in. Nothing was changed."
	case errors.Is(err, errMalformed):
		return http.StatusBadRequest, "What was sent is not a form that can be read. Load the page again and send " +
			"the form once more. Nothing was changed."
	case errors.Is(err, os.ErrDeadlineExceeded):
		return http.StatusRequestTimeout, "What was sent came too slowly and was cut off. Nothing was changed."
	case errors.Is(err, errReadOnly):
		return http.StatusServiceUnavailable, "This shop is only shown at the moment, so nothing was changed. Ask whoever runs the server when changes are possible again."
	case errors.Is(err, picture.ErrBusy):
		return http.StatusServiceUnavailable, "Too many pictures are being read at the moment. Try again in a " +
			"minute. Nothing was changed."
	case errors.Is(err, shop.ErrNotFound):
		return http.StatusNotFound, "There is no such entry: " + err.Error()
	case errors.Is(err, shop.ErrConflict):
		return http.StatusConflict, "Somebody else changed this meanwhile; look at it again and repeat your change. Nothing of yours was written."
	case errors.As(err, &behind):
		return http.StatusConflict, behind.Says() + " Then send it again."
	case errors.Is(err, shop.ErrExists), errors.Is(err, shop.ErrAmbiguous):
		return http.StatusConflict, err.Error()
	case errors.Is(err, shop.ErrTooLarge):
		return http.StatusRequestEntityTooLarge, err.Error()
	case errors.Is(err, shop.ErrDiskFull), errors.Is(err, syscall.ENOSPC):
		return http.StatusInsufficientStorage, "The disk is full. Nothing was recorded: free some space, then send it again."
	case errors.Is(err, shop.ErrReplaced), errors.Is(err, shop.ErrOtherLog):
		return http.StatusInternalServerError, "The database of the shop is not the one that was opened: its file was " +
			"deleted or replaced while the shop was served. Nothing was recorded. Stop the program, put the file back " +
			"or restore a backup, then start again."
	case errors.Is(err, shop.ErrDamaged):
		return http.StatusInternalServerError, "What is kept here is damaged and is not shown: " + err.Error() +
			". Restore it from a backup."
	}
	// The reason goes to the log alone: it may name users, machines and files.
	return http.StatusInternalServerError, "This did not work; the log of the program has the reason. Nothing was changed."
}
