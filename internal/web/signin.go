package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/staff"
	"midcase/internal/web/pages/signin"
)

func (g *gate) show(w http.ResponseWriter, r *http.Request) error {
	return signin.Page(signin.Data{Frame: g.frame("", "Sign in"), Back: sameSite(r.FormValue("back")),
		Passkeys: staff.NoPasskeys(g.origin(r)) == ""}).Render(r.Context(), w)
}

func (g *gate) signIn(w http.ResponseWriter, r *http.Request) error {
	d := signin.Data{Frame: g.frame("", "Sign in"), Name: r.PostFormValue("name"),
		Back: sameSite(r.PostFormValue("back")), Passkeys: staff.NoPasskeys(g.origin(r)) == ""}
	try := staff.Try{Name: d.Name, Password: r.PostFormValue("password"), Code: r.PostFormValue("code"),
		Address: g.address(r)}
	if c, err := r.Cookie(browserCookie); err == nil {
		try.Browser = c.Value
	}
	p, err := g.shop.Staff.Admit(r.Context(), try)
	if err == nil {
		if err := g.enter(w, r, p, try.Browser, "signed in"); err != nil {
			return err
		}
		http.Redirect(w, r, d.Back, http.StatusSeeOther)
		return nil
	}
	if d.Problem = doorSays(err); d.Problem == "" {
		return err
	}
	var wait *staff.Wait
	status := http.StatusUnprocessableEntity
	switch {
	case errors.As(err, &wait):
		status = http.StatusTooManyRequests
		w.Header().Set("Retry-After", fmt.Sprint(int(wait.For.Seconds())+1))
	case errors.Is(err, staff.ErrBusy):
		status = http.StatusServiceUnavailable
		w.Header().Set("Retry-After", "5")
	}
	w.WriteHeader(status)
	return signin.Page(d).Render(r.Context(), w)
}

// doorSays is what somebody is told who did not get in; empty where something else is wrong.
func doorSays(err error) string {
	var wait *staff.Wait
	switch {
	case errors.As(err, &wait):
		return fmt.Sprintf("Too many tries. Try again in %d minutes.", int(wait.For.Minutes())+1)
	case errors.Is(err, staff.ErrBusy):
		return "Too many people are signing in at once. Try again in a few seconds."
	case errors.Is(err, staff.ErrCodeWanted):
		return "Enter your password once more, and the code that your app shows."
	case errors.Is(err, staff.ErrRefused):
		return "Name and password do not belong together, or the code is not the one your app shows now."
	}
	return ""
}

// browserCookie lets a browser be known that has signed in before, so that guesses made elsewhere do not
// keep its owner out.
const (
	browserCookie = "midcase_browser"
	browserLasts  = 400 * 24 * time.Hour // browsers keep no cookie longer
)

// enter begins the session of a person; how is what the record of the door says.
func (g *gate) enter(w http.ResponseWriter, r *http.Request, p staff.Person, browser, how string) error {
	if err := g.sessions.RenewToken(r.Context()); err != nil {
		return fmt.Errorf("sign in: %w", err)
	}
	g.sessions.Put(r.Context(), sessionUser, p.Name)
	g.sessions.Put(r.Context(), sessionMark, p.Mark())
	g.sessions.Put(r.Context(), sessionSeen, g.shop.Now().Unix())
	if !p.Remembers(browser) {
		http.SetCookie(w, &http.Cookie{Name: browserCookie, Value: p.Remember(), Path: "/sign-in", HttpOnly: true,
			Secure: g.opt.TLS, SameSite: http.SameSiteStrictMode, MaxAge: int(browserLasts / time.Second)})
	}
	in := shop.SignIn{Name: p.Name, Address: g.address(r).String(), What: how}
	return g.shop.Staff.Note(r.Context(), in)
}

func (g *gate) signOut(w http.ResponseWriter, r *http.Request) error {
	name := g.sessions.GetString(r.Context(), sessionUser)
	if err := g.sessions.Destroy(r.Context()); err != nil {
		return fmt.Errorf("sign out: %w", err)
	}
	if name != "" {
		in := shop.SignIn{Name: name, Address: g.address(r).String(), What: "signed out"}
		if err := g.shop.Staff.Note(r.Context(), in); err != nil {
			return err
		}
	}
	w.Header().Set("Clear-Site-Data", `"cache", "storage"`) // what was typed and not sent is personal too
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
