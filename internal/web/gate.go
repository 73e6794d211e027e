package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"sync/atomic"

	"github.com/alexedwards/scs/v2"

	"midcase/internal/shop/rights"
	"midcase/internal/shop/staff"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/signin"
	"midcase/internal/web/v1"
)

// gate asks who is there, where the shop has people. Without people the key of this run opens. Once it
// has asked it asks for good: that somebody removes the last person opens nothing.
type gate struct {
	*site
	mux      *http.ServeMux
	sessions *scs.SessionManager
	asks     atomic.Bool // the shop has had people since the server was started
}

func newGate(s *site, mux *http.ServeMux) *gate {
	m := newSessions(s)
	g := &gate{site: s, mux: mux, sessions: m}
	g.asks.Store(s.opt.FirstCode != "")
	return g
}

func (g *gate) routes(mux *http.ServeMux) {
	mux.Handle("GET /sign-in", g.page(g.show))
	mux.Handle("POST /sign-in", g.page(g.signIn))
	mux.Handle("POST /sign-out", g.page(g.signOut))
	mux.Handle("GET /account", g.page(g.account))
	mux.Handle("POST /account", g.page(g.changeAccount))
	mux.Handle("POST /account/passkeys/ask", g.passkey(g.askPasskey))
	mux.Handle("POST /account/passkeys", g.passkey(g.addPasskey))
	mux.Handle("POST /sign-in/passkey/ask", g.passkey(g.askSignIn))
	mux.Handle("POST /sign-in/passkey", g.passkey(g.signInByPasskey))
	(&showPages{gate: g, small: &thumbnails{}}).routes(mux)
	(&linkPages{gate: g, small: &thumbnails{}}).routes(mux)
}

// open are the paths that need nobody's name.
func open(path string) bool {
	return strings.HasPrefix(path, "/assets/") || strings.HasPrefix(path, "/feeds/") || path == "/healthz" ||
		path == "/sign-in" || path == "/sign-in/passkey" || path == "/sign-in/passkey/ask" || path == "/verify" ||
		strings.HasPrefix(path, "/verify/") || strings.HasPrefix(path, "/private/")
}

// handler lets those through whom the shop knows.
func (g *gate) handler(next http.Handler) http.Handler {
	return g.sessions.LoadAndSave(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		people, err := g.shop.Staff.People(r.Context())
		if len(people) > 0 {
			g.asks.Store(true)
		}
		show := g.shown(r.Context())
		if show.watch != "" && err == nil && !g.stillShown(r, people, show) {
			if err = g.sessions.Destroy(r.Context()); err == nil {
				show = turned{}
			}
		}
		switch {
		case err != nil:
			g.opt.Log.Error("people of the shop", "error", err)
			http.Error(w, "The shop cannot tell who may sign in. Try again; if it stays so, look at the "+
				"messages of the program.", http.StatusInternalServerError)
		case show.watch != "" && !show.allows(r):
			g.page(show.refuse(g.site)).ServeHTTP(w, r)
		case !g.asks.Load():
			g.withoutPeople(next, w, r)
		case len(people) == 0 && g.opt.FirstCode != "" && !strings.HasPrefix(r.URL.Path, "/assets/"):
			g.page(g.first).ServeHTTP(w, r)
		case open(r.URL.Path):
			next.ServeHTTP(w, r)
		default:
			g.ask(next, w, r, people)
		}
	}))
}

// ask lets those through who have signed in, or have the key of a demo.
func (g *gate) ask(next http.Handler, w http.ResponseWriter, r *http.Request, people []staff.Person) {
	if secret, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		g.askProgram(next, w, r, strings.TrimSpace(secret))
		return
	}
	p, ok := g.signedIn(r, people)
	if !ok && g.opt.KeyAs != "" {
		show := g.shown(r.Context())
		if show.watch == "" && g.opt.Key.Take(w, r, g.opt.TLS) {
			return
		}
		if show.key || g.opt.Key.Opens(r) {
			p, ok = staff.Known(people, g.opt.KeyAs)
		}
	}
	if ok {
		g.letIn(next, w, r.WithContext(as(r.Context(), p)))
		return
	}
	g.refuse(w, r)
}

// askProgram lets a program in that has a token, for what the token may. Accounts and people are not for programs.
func (g *gate) askProgram(next http.Handler, w http.ResponseWriter, r *http.Request, secret string) {
	p, may, err := g.shop.Staff.Bearer(r.Context(), secret)
	switch {
	case errors.Is(err, staff.ErrRefused):
		w.Header().Set("WWW-Authenticate", `Bearer error="invalid_token"`)
		refuseProgram(w, r, http.StatusUnauthorized, "this token is not known, or has ended")
	case err != nil:
		g.refusal(r, err).ServeHTTP(w, r)
	case strings.HasPrefix(r.URL.Path, "/account"), strings.HasPrefix(r.URL.Path, "/people"):
		refuseProgram(w, r, http.StatusForbidden, "not for programs")
	default:
		g.letIn(next, w, r.WithContext(rights.Limited(as(r.Context(), p), may)))
	}
}

// refuseProgram says to a program why it is not let in.
func refuseProgram(w http.ResponseWriter, r *http.Request, status int, says string) {
	if strings.HasPrefix(r.URL.Path, v1.Prefix+"/") {
		v1.Refuse(w, status, says)
		return
	}
	b, _ := json.Marshal(map[string]string{"error": says}) // text alone
	http.Error(w, string(b), status)
}

// letIn passes on what the person's role allows.
func (g *gate) letIn(next http.Handler, w http.ResponseWriter, r *http.Request) {
	if err := mayAsk(g.mux, r); err != nil {
		_, pattern := g.mux.Handler(r) // without the ids in the address
		if err := g.shop.Staff.NoteForbidden(r.Context(), g.user(r.Context()), pattern, g.address(r)); err != nil {
			g.opt.Log.Error("what was not allowed was not recorded", "error", err)
		}
		next = g.refusal(r, err)
	}
	next.ServeHTTP(w, r)
}

// refusal says why as a page, or to a program as JSON.
func (g *gate) refusal(r *http.Request, err error) http.Handler {
	if strings.HasPrefix(r.URL.Path, v1.Prefix+"/") {
		return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			status, says := explain(err)
			v1.Refuse(w, status, says)
		})
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		return (&api{g.site}).json(func(*http.Request) (any, error) { return nil, err })
	}
	return g.page(func(http.ResponseWriter, *http.Request) error { return err })
}

// withoutPeople lets those in who have the key of this run; the calendar's address has a key of its own.
func (g *gate) withoutPeople(next http.Handler, w http.ResponseWriter, r *http.Request) {
	key := g.opt.Key
	switch {
	case g.shown(r.Context()).key:
		next.ServeHTTP(w, r) // what is shown was held against the address before
	case key.Take(w, r, g.opt.TLS):
	case key.None(), key.Opens(r), strings.HasPrefix(r.URL.Path, "/feeds/"):
		next.ServeHTTP(w, r)
	default:
		key.Refuse(w)
	}
}

// signedIn is the person of a session that has not ended.
func (g *gate) signedIn(r *http.Request, people []staff.Person) (staff.Person, bool) {
	name := g.sessions.GetString(r.Context(), sessionUser)
	p, ok := staff.Known(people, name)
	ok = ok && name != "" && g.sessions.GetString(r.Context(), sessionMark) == p.Mark()
	return p, ok && g.stillUsed(r.Context())
}

// refuse sends a reader to sign in and tells a program or a form that it must.
func (g *gate) refuse(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet && !strings.HasPrefix(r.URL.Path, "/api/") {
		http.Redirect(w, r, "/sign-in?back="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
		return
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		refuseProgram(w, r, http.StatusUnauthorized, "sign in first")
		return
	}
	d := signin.Data{Frame: g.frame("", "Sign in"), Back: sameSite(r.Referer()),
		Notice: "You are signed out; nothing was saved. What you typed is kept in this browser: sign in and go back."}
	w.WriteHeader(http.StatusUnauthorized)
	_ = signin.Page(d).Render(r.Context(), w)
}

// address is where a request comes from. Something in front of the shop names the browser's address last,
// after what the browser itself may have claimed.
func (g *gate) address(r *http.Request) netip.Addr {
	if g.opt.Proxied {
		all := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
		if a, err := netip.ParseAddr(strings.TrimSpace(all[len(all)-1])); err == nil {
			return a.Unmap()
		}
	}
	at, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return netip.Addr{}
	}
	return at.Addr().Unmap()
}

// as returns a context in which a person does what a request asks for.
func as(ctx context.Context, p staff.Person) context.Context {
	return rights.With(frame.WithUser(ctx, p.Name), p.Role)
}
