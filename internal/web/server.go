package web

import (
	"context"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/web/doors"
	"midcase/internal/web/v1"
)

// Options of the server.
type Options struct {
	Log  *slog.Logger
	User string // who records evidence where nobody has to sign in
	TLS  bool   // the shop is reached over TLS only, its own or that of something in front
	// Address is where others find the shop, such as https://shop.example.
	Address string
	Hosts   doors.Hosts // under which names it is asked for
	// Key lets in where nobody signs in; none where something in front asks who is there.
	Key doors.Key
	// KeyAs is the person as whom the key lets in, where the shop has people: the owner of the demo.
	KeyAs string
	// FirstCode is what the first person must know of a shop that other machines reach; empty where the key
	// opens.
	FirstCode string
	// Proxied says that something in front of the shop passes requests on and names the browser's address.
	Proxied bool
	// ReadOnly shows the shop and refuses every change.
	ReadOnly bool
	// Notices are what everybody should know and stands on every page; BackedUp says when the last backup was made.
	// Either may be nil.
	Notices  func() []string
	BackedUp func() string
	Care     Care
	// Head gives size and root of the evidence log, for printing on reports.
	Head func(ctx context.Context) (size int64, root string, err error)
}

// Server is the web side of one shop.
type Server struct {
	*site
	sent sending
}

// New returns the handler that serves the shop.
func New(s *rooms.Shop, opt Options) http.Handler {
	if opt.Log == nil {
		opt.Log = slog.New(slog.DiscardHandler)
	}
	if opt.User == "" {
		opt.User = "the shop"
	}
	srv := &Server{site: &site{shop: s, opt: opt}}
	mux := http.NewServeMux()
	srv.routes(mux, srv.sent.enter)
	g := newGate(srv.site, mux)
	g.routes(mux)
	guarded := http.NewCrossOriginProtection().Handler(g.handler(srv.changing(srv.received(srv.once(withTokens(mux))))))
	return paced(headers(opt.TLS, opt.Hosts.Handler(compressed(limitBody(pinned(guarded))))))
}

// Serve serves until ctx ends, then lets requests finish.
func Serve(ctx context.Context, l net.Listener, h http.Handler) error {
	srv := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: idleAfter,
		WriteTimeout: time.Hour, // set anew for each request, and brought nearer by paced
		BaseContext: func(net.Listener) context.Context {
			return context.WithValue(context.Background(), stoppingKey{}, ctx.Done())
		}}
	done := make(chan error, 1)
	go func() { done <- srv.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	quiet, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	err := srv.Shutdown(quiet)
	if serveErr := <-done; !errors.Is(serveErr, http.ErrServerClosed) {
		err = errors.Join(err, serveErr)
	}
	return err
}

// pinned lets each request see one state of the book and the records.
func pinned(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		next.ServeHTTP(w, r.WithContext(shop.Pin(r.Context())))
	})
}

// errReadOnly refuses a change of a shop that is only shown.
var errReadOnly = errors.New("the shop is only shown")

// changing refuses every change where the shop is only shown; signing in and out is none.
func (s *site) changing(next http.Handler) http.Handler {
	if !s.opt.ReadOnly {
		return next
	}
	refused := s.page(func(http.ResponseWriter, *http.Request) error { return errReadOnly })
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		look := r.Method == http.MethodGet || r.Method == http.MethodHead
		if look || open(r.URL.Path) || r.URL.Path == "/sign-out" || turnedForm(r.URL.Path) {
			next.ServeHTTP(w, r)
			return
		}
		if strings.HasPrefix(r.URL.Path, v1.Prefix+"/") {
			status, says := explain(errReadOnly)
			v1.Refuse(w, status, says)
			return
		}
		refused.ServeHTTP(w, r)
	})
}

// headers are the same on every answer: nothing from elsewhere, nothing inline, and over TLS alone where the shop is
// reached so (RFC 6797; hosts below its name may be other people's, and are left alone).
func headers(tls bool, next http.Handler) http.Handler {
	const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; media-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if tls {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		h.Set("Cache-Control", "no-store") // personal data may be on it; what has none says otherwise
		next.ServeHTTP(w, r)
	})
}
