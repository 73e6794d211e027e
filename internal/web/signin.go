package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"

	"midcase/internal/shop/people"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/signin"
)

// gate asks who is there, where the shop has people. A shop without people is open:
// the command line serves such a one on the loopback interface only.
type gate struct {
	*site
	sessions *scs.SessionManager
	tries    tries
}

// sessionUser names the value of a session that holds the person's name.
const sessionUser = "user"

func newGate(s *site) *gate {
	m := scs.New() // kept in memory: who is signed in signs in again after a restart
	m.Lifetime = 30 * 24 * time.Hour
	m.IdleTimeout = 7 * 24 * time.Hour
	m.Cookie.Name = "midcase_session"
	m.Cookie.SameSite = http.SameSiteLaxMode
	m.Cookie.HttpOnly = true
	m.Cookie.Secure = s.opt.TLS
	return &gate{site: s, sessions: m, tries: tries{failed: map[string][]time.Time{}}}
}

func (g *gate) routes(mux *http.ServeMux) {
	mux.Handle("GET /sign-in", g.page(g.show))
	mux.Handle("POST /sign-in", g.page(g.signIn))
	mux.Handle("POST /sign-out", g.page(g.signOut))
}

// open are the paths that need nobody's name.
func open(path string) bool {
	return strings.HasPrefix(path, "/assets/") || strings.HasPrefix(path, "/feeds/") || path == "/healthz" ||
		path == "/sign-in"
}

// handler lets those through whom the shop knows.
func (g *gate) handler(next http.Handler) http.Handler {
	return g.sessions.LoadAndSave(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		people, err := g.shop.People.Staff(r.Context())
		switch {
		case err != nil:
			g.opt.Log.Error("people of the shop", "error", err)
			http.Error(w, "The shop cannot tell who may sign in: "+err.Error(), http.StatusInternalServerError)
		case len(people) == 0:
			g.withoutPeople(next, w, r)
		case open(r.URL.Path):
			next.ServeHTTP(w, r)
		default:
			name := g.sessions.GetString(r.Context(), sessionUser)
			if name != "" && knows(people, name) {
				next.ServeHTTP(w, r.WithContext(frame.WithUser(r.Context(), name)))
				return
			}
			g.refuse(w, r)
		}
	}))
}

// withoutPeople lets those in who have the key of this run; the calendar's address has a key of its own.
func (g *gate) withoutPeople(next http.Handler, w http.ResponseWriter, r *http.Request) {
	key := g.opt.Key
	switch {
	case key.Take(w, r, g.opt.TLS):
	case key.None(), key.Opens(r), strings.HasPrefix(r.URL.Path, "/feeds/"):
		next.ServeHTTP(w, r)
	default:
		key.Refuse(w)
	}
}

// knows says whether the person is still one of the shop's.
func knows(people []people.Person, name string) bool {
	for _, p := range people {
		if p.Name == name {
			return true
		}
	}
	return false
}

// refuse sends a reader to sign in and tells a program or a form that it must.
func (g *gate) refuse(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Cache-Control", "no-store")
	if r.Method == http.MethodGet && !strings.HasPrefix(r.URL.Path, "/api/") {
		http.Redirect(w, r, "/sign-in?back="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
		return
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		http.Error(w, `{"error":"sign in first"}`, http.StatusUnauthorized)
		return
	}
	d := signin.Data{Frame: g.frame("", "Sign in"), Back: sameSite(r.Referer()),
		Notice: "You are signed out; nothing was saved. What you typed is kept in this browser: sign in and go back."}
	w.WriteHeader(http.StatusUnauthorized)
	_ = signin.Page(d).Render(r.Context(), w)
}

func (g *gate) show(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Cache-Control", "no-store")
	return signin.Page(signin.Data{Frame: g.frame("", "Sign in"),
		Back: sameSite(r.FormValue("back"))}).Render(r.Context(), w)
}

func (g *gate) signIn(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Cache-Control", "no-store")
	d := signin.Data{Frame: g.frame("", "Sign in"), Name: r.PostFormValue("name"),
		Back: sameSite(r.PostFormValue("back"))}
	now := g.shop.Now()
	if wait := g.tries.wait(d.Name, now); wait > 0 {
		d.Problem = fmt.Sprintf("Too many tries under this name. Try again in %d minutes.", int(wait.Minutes())+1)
		w.WriteHeader(http.StatusTooManyRequests)
		return signin.Page(d).Render(r.Context(), w)
	}
	name, ok, err := g.shop.People.Admit(r.Context(), d.Name, r.PostFormValue("password"))
	if err != nil {
		return err
	}
	if !ok {
		g.tries.add(d.Name, now)
		d.Problem = "Name and password do not belong together."
		w.WriteHeader(http.StatusUnprocessableEntity)
		return signin.Page(d).Render(r.Context(), w)
	}
	g.tries.forget(d.Name)
	if err := g.sessions.RenewToken(r.Context()); err != nil {
		return fmt.Errorf("sign in: %w", err)
	}
	g.sessions.Put(r.Context(), sessionUser, name)
	http.Redirect(w, r, d.Back, http.StatusSeeOther)
	return nil
}

func (g *gate) signOut(w http.ResponseWriter, r *http.Request) error {
	if err := g.sessions.Destroy(r.Context()); err != nil {
		return fmt.Errorf("sign out: %w", err)
	}
	http.Redirect(w, r, "/sign-in", http.StatusSeeOther)
	return nil
}

// sameSite is the path and query of an address, so that signing in never leads away.
func sameSite(to string) string {
	u, err := url.Parse(to)
	if err != nil || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(u.Path, "//") ||
		strings.ContainsAny(to, "\\\r\n") || open(u.Path) {
		return "/"
	}
	return (&url.URL{Path: u.Path, RawQuery: u.RawQuery}).RequestURI()
}

// tries counts failed tries by name, so that a password cannot be guessed at speed.
type tries struct {
	mu     sync.Mutex
	failed map[string][]time.Time
}

const (
	mostTries  = 5
	triesCount = 15 * time.Minute
	mostNames  = 1000
)

// wait is how long a name must wait before the next try.
func (t *tries) wait(name string, now time.Time) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	all := t.failed[strings.ToLower(name)]
	if len(all) < mostTries {
		return 0
	}
	return all[len(all)-mostTries].Add(triesCount).Sub(now)
}

func (t *tries) add(name string, now time.Time) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.failed) >= mostNames {
		clear(t.failed) // a flood of made-up names
	}
	name = strings.ToLower(name)
	all := append(t.failed[name], now)
	t.failed[name] = all[max(0, len(all)-mostTries):]
}

func (t *tries) forget(name string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.failed, strings.ToLower(name))
}
