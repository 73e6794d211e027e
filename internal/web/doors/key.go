package doors

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"
)

// Key lets in whoever has the address that was printed when the server started: the key in it becomes
// a cookie. The key is made anew at each start; the cookie follows from a secret that is kept, so that a
// browser stays known over a restart. Other users of the machine, and pages of other sites, have
// neither. The zero Key lets nobody in.
type Key struct{ text, secret string }

// NewKey makes a key that nobody can guess, for browsers that are then known by a secret.
func NewKey(secret string) Key { return Key{rand.Text(), secret} }

// None reports whether this is the zero Key.
func (k Key) None() bool { return k.text == "" }

// In returns an address with the key in it.
func (k Key) In(address string) string { return address + "/?" + keyField + "=" + k.text }

const (
	keyField  = "key"
	keyCookie = "midcase_key"
	keyLasts  = 30 * 24 * time.Hour
)

// Opens reports whether the request carries the cookie that the key became.
func (k Key) Opens(r *http.Request) bool {
	c, err := r.Cookie(cookieName(r))
	return err == nil && !k.None() && hmac.Equal([]byte(c.Value), []byte(k.cookie()))
}

// Take turns a key in the address into the cookie and leads to the same address without it. It reports
// whether it has answered.
func (k Key) Take(w http.ResponseWriter, r *http.Request, secure bool) bool {
	q := r.URL.Query()
	given := q.Get(keyField)
	if r.Method != http.MethodGet || k.None() || !hmac.Equal([]byte(given), []byte(k.text)) {
		return false
	}
	k.Give(w, r, secure)
	q.Del(keyField)
	to := (&url.URL{Path: r.URL.Path, RawQuery: q.Encode()}).RequestURI()
	if strings.HasPrefix(to, "//") { // would lead to another site
		to = "/"
	}
	w.Header().Set("Cache-Control", "no-store")
	http.Redirect(w, r, to, http.StatusSeeOther)
	return true
}

// Give lets this browser in from now on.
func (k Key) Give(w http.ResponseWriter, r *http.Request, secure bool) {
	http.SetCookie(w, &http.Cookie{Name: cookieName(r), Value: k.cookie(), Path: "/", HttpOnly: true,
		Secure: secure, SameSite: http.SameSiteLaxMode, MaxAge: int(keyLasts / time.Second)})
}

// TakeAway lets this browser in no more. The cookie is the same in all browsers and stays good in the others.
func (k Key) TakeAway(w http.ResponseWriter, r *http.Request, secure bool) {
	http.SetCookie(w, &http.Cookie{Name: cookieName(r), Path: "/", HttpOnly: true, Secure: secure,
		SameSite: http.SameSiteLaxMode, MaxAge: -1})
}

// Refuse tells somebody who has no key where it is.
func (k Key) Refuse(w http.ResponseWriter) {
	w.Header().Set("Cache-Control", "no-store")
	http.Error(w, "Only those who have the key may look into this shop. Open the address that midcase printed when "+
		"it was started, with the key in it: http://…/?key=…", http.StatusUnauthorized)
}

// cookie is what the key becomes; neither key nor secret can be told from it.
func (k Key) cookie() string {
	m := hmac.New(sha256.New, []byte(k.secret))
	m.Write([]byte(keyCookie))
	return hex.EncodeToString(m.Sum(nil))
}

// cookieName has the port in it, since a browser sends cookies to all ports of a machine: two shops
// served side by side do not take each other's.
func cookieName(r *http.Request) string {
	if _, port, err := net.SplitHostPort(r.Host); err == nil {
		return keyCookie + "_" + port
	}
	return keyCookie
}
