package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"

	"midcase/internal/shop"
	"midcase/internal/shop/staff"
)

// sessionAsked is what is kept in a session of the challenge that a passkey is to answer.
const sessionAsked = "asked"

// origin is the address under which a browser has the shop open, as it says of itself to a passkey. The host is one of
// the shop's own names; see package doors.
func (g *gate) origin(r *http.Request) string {
	if g.opt.TLS {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

// passkey answers a browser's script in JSON.
func (g *gate) passkey(do func(http.ResponseWriter, *http.Request) (any, error)) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		w.Header().Set("Cache-Control", "no-store")
		v, err := do(w, r)
		if err != nil {
			status, says := http.StatusInternalServerError, "It did not work. Try again, or sign in with your password."
			var invalid *shop.Invalid
			var wait *staff.Wait
			switch {
			case errors.Is(err, staff.ErrRefused):
				status, says = http.StatusUnprocessableEntity, "It was refused: the password is wrong, the passkey is not known "+
					"here, or it took too long. Try again."
			case errors.As(err, &wait):
				status, says = http.StatusTooManyRequests, doorSays(err)
			case errors.Is(err, staff.ErrBusy):
				status, says = http.StatusServiceUnavailable, doorSays(err)
			case errors.As(err, &invalid):
				status, says = http.StatusUnprocessableEntity, "Wanted: "+invalid.Problems[0].Want+"."
			case errors.Is(err, shop.ErrNotFound):
				status, says = http.StatusNotFound, "Nobody is signed in."
			default:
				g.opt.Log.Error("passkey", "error", err)
			}
			w.WriteHeader(status)
			v = map[string]string{"error": says}
		}
		_ = json.NewEncoder(w).Encode(v)
	})
}

// keepAsked keeps a challenge in the session and hands the browser what it needs.
func (g *gate) keepAsked(r *http.Request, c staff.Challenge, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	g.sessions.Put(r.Context(), sessionAsked, c.Kept)
	return c.Options, nil
}

func (g *gate) askPasskey(_ http.ResponseWriter, r *http.Request) (any, error) {
	p, there, err := g.whoever(r)
	if err != nil || !there {
		return nil, errors.Join(err, shop.ErrNotFound)
	}
	a, err := readAnswer(r)
	if err != nil {
		return nil, err
	}
	// Else a browser left open would give the account away.
	if _, err := g.shop.Staff.Admit(r.Context(), staff.Try{Name: p.Name, Password: a.Password, Address: g.address(r),
		Again: true}); err != nil {
		return nil, err
	}
	c, err := g.shop.Staff.AskPasskey(r.Context(), p.Name, g.origin(r))
	return g.keepAsked(r, c, err)
}

// passkeyAnswer is what a browser's script sends.
type passkeyAnswer struct {
	Password string `json:"password"` // of whoever asks to add one

	Name   string          `json:"name"` // of a new passkey
	Back   string          `json:"back"` // where the person was going
	Answer json.RawMessage `json:"answer"`
}

// longestAnswer is far more than any device sends.
const longestAnswer = 64 << 10

func readAnswer(r *http.Request) (a passkeyAnswer, err error) {
	b, err := io.ReadAll(io.LimitReader(r.Body, longestAnswer))
	if err != nil {
		return a, fmt.Errorf("answer of a passkey: %w", err)
	}
	if json.Unmarshal(b, &a) != nil {
		return a, staff.ErrRefused
	}
	return a, nil
}

func (g *gate) addPasskey(_ http.ResponseWriter, r *http.Request) (any, error) {
	kept := g.sessions.PopString(r.Context(), sessionAsked)
	p, there, err := g.whoever(r)
	if err != nil || !there {
		return nil, errors.Join(err, shop.ErrNotFound)
	}
	a, err := readAnswer(r)
	if err != nil {
		return nil, err
	}
	err = g.shop.Staff.AddPasskey(r.Context(), p.Name, g.origin(r), kept, a.Name, a.Answer)
	return map[string]string{"to": "/account?done=passkey"}, err
}

func (g *gate) askSignIn(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, err := g.shop.Staff.AskSignIn(r.Context(), g.origin(r), g.address(r))
	return g.keepAsked(r, c, err)
}

func (g *gate) signInByPasskey(w http.ResponseWriter, r *http.Request) (any, error) {
	kept := g.sessions.PopString(r.Context(), sessionAsked)
	a, err := readAnswer(r)
	if err != nil {
		return nil, err
	}
	p, err := g.shop.Staff.AdmitPasskey(r.Context(), g.origin(r), kept, a.Answer, g.address(r))
	if err != nil {
		return nil, err
	}
	browser := ""
	if c, err := r.Cookie(browserCookie); err == nil {
		browser = c.Value
	}
	if err := g.enter(w, r, p, browser, "signed in by a passkey"); err != nil {
		return nil, err
	}
	return map[string]string{"to": sameSite(a.Back)}, nil
}
