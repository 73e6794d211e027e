package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"time"

	"midcase/internal/status"
)

// log is the server's own log.
func (how serving) log(to io.Writer) *slog.Logger {
	opt := &slog.HandlerOptions{Level: slog.LevelWarn}
	if how.logJSON {
		return slog.New(slog.NewJSONHandler(to, opt))
	}
	return slog.New(slog.NewTextHandler(to, opt))
}

// watched serves what those who keep the server running look at, where an address for it is given, and counts what
// the shop answers.
func (a *app) watched(s *opened, how serving, log *slog.Logger, shop http.Handler) (http.Handler, error) {
	if how.statusAddr == "" {
		return shop, nil
	}
	l, err := net.Listen("tcp", how.statusAddr)
	if err != nil {
		return nil, fmt.Errorf("status on %s: %w", how.statusAddr, err)
	}
	st := status.New(a.ctx, func(ctx context.Context) error {
		_, err := s.Revision(ctx)
		return err
	})
	srv := &http.Server{Handler: st.Handler(), ReadHeaderTimeout: 10 * time.Second, WriteTimeout: time.Minute}
	go func() {
		if err := srv.Serve(l); err != nil && !errors.Is(err, http.ErrServerClosed) {
			log.Warn("status address failed", "error", err)
		}
	}()
	context.AfterFunc(a.ctx, func() {
		quiet, cancel := context.WithTimeout(context.WithoutCancel(a.ctx), time.Second)
		defer cancel()
		_ = srv.Shutdown(quiet)
	})
	fmt.Fprintf(a.err, "status on http://%s\n", l.Addr())
	return st.Counted(shop), nil
}
