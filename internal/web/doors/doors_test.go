package doors_test

import (
	"context"
	"crypto/x509"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"midcase/internal/web/doors"
)

var inside = http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.Write([]byte("inside")) })

func TestForeignHostsAreRefused(t *testing.T) {
	h := doors.Hosts{Names: []string{"shop.example", "desk.example:9000"},
		Certificate: &x509.Certificate{DNSNames: []string{"counter.local"}}}.Handler(inside)
	at := &net.TCPAddr{IP: net.IPv4(192, 0, 2, 7), Port: 8686}
	for host, want := range map[string]int{
		"127.0.0.1:8686": 200, "localhost:8686": 200, "LOCALHOST": 200, "localhost.": 200,
		"[::1]:8686": 200, "127.9.9.9": 200,
		"192.0.2.7:8686": 200, "[::ffff:192.0.2.7]:8686": 200, "shop.example": 200, "Shop.Example.:443": 200,
		"desk.example": 200, "counter.local:8686": 200,

		"evil.example:8686": 421, "": 421, "192.0.2.8:8686": 421, "shop.example.evil.example": 421,
		"localhost.evil.example": 421, "127.0.0.1.evil.example": 421, "evil.example:127.0.0.1": 421,
		"[::1].evil.example": 421, "0.0.0.0:8686": 421,
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.Host = host
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, net.Addr(at)))
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != want || (want == 421) == strings.Contains(w.Body.String(), "inside") {
			t.Errorf("host %q: %d, %q; want %d", host, w.Code, w.Body, want)
		}
	}
}

// door is a handler behind a key.
func door(k doors.Key) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case k.Take(w, r, false):
		case k.Opens(r):
			inside(w, r)
		default:
			k.Refuse(w)
		}
	})
}

func ask(h http.Handler, address string, cookies ...*http.Cookie) *http.Response {
	r := httptest.NewRequest(http.MethodGet, address, nil)
	for _, c := range cookies {
		r.AddCookie(c)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

func TestTheKeyBecomesACookie(t *testing.T) {
	const at = "http://127.0.0.1:8686"
	key := doors.NewKey("secret of the desk")
	h := door(key)
	for _, address := range []string{at + "/", at + "/?key=", at + "/?key=guess"} {
		if got := ask(h, address).StatusCode; got != http.StatusUnauthorized {
			t.Errorf("%s: %d; want 401", address, got)
		}
	}
	_, query, _ := strings.Cut(key.In(at), "?")
	answer := ask(h, at+"/stock.csv?q=a&"+query)
	if to := answer.Header.Get("Location"); answer.StatusCode != http.StatusSeeOther || to != "/stock.csv?q=a" {
		t.Fatalf("with the key: %d to %q; want to be led to the same address without it", answer.StatusCode, to)
	}
	if to := ask(h, at+"//evil.example/?"+query).Header.Get("Location"); to != "/" {
		t.Errorf("the key leads away, to %q", to)
	}
	c := answer.Cookies()[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || strings.Contains(query, c.Value) {
		t.Errorf("cookie %+v", c)
	}
	if got := ask(h, at+"/", c).StatusCode; got != http.StatusOK {
		t.Errorf("with the cookie: %d", got)
	}
	if got := ask(door(doors.NewKey("secret of the desk")), at+"/", c).StatusCode; got != http.StatusOK {
		t.Errorf("with the cookie after a restart: %d", got)
	}
	if got := ask(door(doors.NewKey("another")), at+"/", c).StatusCode; got != http.StatusUnauthorized {
		t.Errorf("with the cookie of another shop: %d; want 401", got)
	}
	if got := ask(door(doors.Key{}), at+"/?key=").StatusCode; got != http.StatusUnauthorized {
		t.Errorf("no key at all: %d; want 401", got)
	}
}
