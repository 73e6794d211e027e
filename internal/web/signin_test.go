package web_test

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/web"
)

const fourWords = "spring barrel ratchet pawl"

func withPeople(t *testing.T) *site {
	t.Helper()
	s := serveEmpty(t)
	if err := s.shop.Staff.Add(t.Context(), "Ines", fourWords, ""); err != nil {
		t.Fatal(err)
	}
	return s
}

func (s *site) signIn(name, password, back string) answer {
	s.t.Helper()
	return s.post("/sign-in", url.Values{"name": {name}, "password": {password}, "back": {back}})
}

func TestAShopWithPeopleAsksWhoIsThere(t *testing.T) {
	s := withPeople(t)
	a := s.get("/counter?reference=KR-1")
	if to := a.Header.Get("Location"); a.StatusCode != http.StatusSeeOther ||
		to != "/sign-in?back=%2Fcounter%3Freference%3DKR-1" {
		t.Fatalf("status %d to %q; want to be sent to sign in", a.StatusCode, to)
	}
	s.wantStatus(s.get("/api/watches"), http.StatusUnauthorized)
	s.wantStatus(s.get("/stock.csv"), http.StatusSeeOther)
	if lost := s.post("/take-in", url.Values{"reference": {"KR-1"}}); lost.StatusCode != http.StatusUnauthorized ||
		!strings.Contains(lost.body, "nothing was saved") {
		t.Errorf("a form without signing in: status %d, %q", lost.StatusCode, lost.words())
	}
	s.wantStatus(s.get("/assets/midcase.css"), http.StatusOK)
	s.wantStatus(s.get("/healthz"), http.StatusOK)
}

func TestSignInAndOut(t *testing.T) {
	s := withPeople(t)
	for _, wrong := range [][2]string{{"Ines", "spring barrel ratchet"}, {"Nobody", fourWords}, {"", ""}} {
		a := s.signIn(wrong[0], wrong[1], "/")
		s.wantStatus(a, http.StatusUnprocessableEntity)
		want(t, a.page(t).Find("#password-error"), "do not belong together")
	}
	a := s.signIn(" ines ", fourWords, "/counter")
	if to := a.Header.Get("Location"); a.StatusCode != http.StatusSeeOther || to != "/counter" {
		t.Fatalf("status %d to %q: %s", a.StatusCode, to, a.words())
	}
	for _, c := range a.Cookies() {
		if !c.HttpOnly || (c.SameSite != http.SameSiteLaxMode && c.SameSite != http.SameSiteStrictMode) {
			t.Errorf("cookie %s: HttpOnly %v, SameSite %v", c.Name, c.HttpOnly, c.SameSite)
		}
	}
	want(t, s.page("/counter").Find("footer"), "Signed in as Ines")
	s.wantStatus(s.post("/sign-out", nil), http.StatusSeeOther)
	s.wantStatus(s.get("/counter"), http.StatusSeeOther)
}

func TestSomebodyRemovedIsOutAtOnce(t *testing.T) {
	s := withPeople(t)
	s.signIn("Ines", fourWords, "/")
	if err := s.shop.Staff.Add(t.Context(), "Odo", fourWords, "owner"); err != nil {
		t.Fatal(err)
	}
	if err := s.shop.Staff.Remove(t.Context(), "Ines"); err != nil {
		t.Fatal(err)
	}
	s.wantStatus(s.get("/counter"), http.StatusSeeOther)
}

func TestPasswordsCannotBeGuessedAtSpeed(t *testing.T) {
	s := withPeople(t)
	for range 5 {
		s.signIn("Ines", "guess guess guess", "/")
	}
	a := s.signIn("INES ", fourWords, "/")
	s.wantStatus(a, http.StatusTooManyRequests)
	if a.Header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
}

// A browser may claim any address; only something in front of the shop is believed, and of what it passes on
// only the last, which it wrote itself.
func TestTheAddressOfATryCannotBeMadeUp(t *testing.T) {
	for _, proxied := range []bool{false, true} {
		s := servedWith(t, t.TempDir(), web.Options{User: "tester", Proxied: proxied})
		t.Cleanup(s.close)
		if err := s.shop.Staff.Add(t.Context(), "Ines", fourWords, ""); err != nil {
			t.Fatal(err)
		}
		try := func(password, claims string) answer {
			form := url.Values{"name": {"Ines"}, "password": {password}}
			r := s.request(http.MethodPost, "/sign-in", strings.NewReader(form.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.Header.Set("X-Forwarded-For", claims)
			return s.do(r)
		}
		for i := range 5 {
			try("guess guess guess", fmt.Sprintf("198.51.100.%d, 192.0.2.1", i))
		}
		s.wantStatus(try(fourWords, "198.51.100.9, 192.0.2.1"), http.StatusTooManyRequests)
		want := http.StatusTooManyRequests
		if proxied {
			want = http.StatusSeeOther
		}
		s.wantStatus(try(fourWords, "198.51.100.9, 192.0.2.2"), want)
	}
}

// Sessions end with the password, with being removed even if somebody adds the person again, and where
// the person ends them.
func TestWhatEndsASession(t *testing.T) {
	for name, do := range map[string]func(*site) error{
		"a new password": func(s *site) error { return s.shop.Staff.Add(t.Context(), "Ines", fourWords+"s", "") },
		"being added again": func(s *site) error {
			return errors.Join(s.shop.Staff.Add(t.Context(), "Odo", fourWords, "owner"),
				s.shop.Staff.Remove(t.Context(), "Ines"), s.shop.Staff.Add(t.Context(), "Ines", fourWords, ""))
		},
		"signing out everywhere": func(s *site) error { return s.shop.Staff.SignOutEverywhere(t.Context(), "Ines") },
	} {
		s := withPeople(t)
		s.signIn("Ines", fourWords, "/")
		s.wantStatus(s.get("/counter"), http.StatusOK)
		if err := do(s); err != nil {
			t.Fatal(err)
		}
		if a := s.get("/counter"); a.StatusCode != http.StatusSeeOther {
			t.Errorf("after %s the session goes on: status %d", name, a.StatusCode)
		}
	}
}

// What was gated stays gated, also where the last person is gone by whatever way.
func TestWithoutItsLastPersonARunningShopStaysShut(t *testing.T) {
	s := withPeople(t)
	s.wantStatus(s.get("/stock.csv"), http.StatusSeeOther)
	if err := s.shop.Staff.Remove(t.Context(), "Ines"); err != nil { // another program, which sees no server
		t.Fatal(err)
	}
	s.wantStatus(s.get("/stock.csv"), http.StatusSeeOther)
	s.wantStatus(s.get("/api/watches"), http.StatusUnauthorized)
	s.wantStatus(s.signIn("Ines", fourWords, "/"), http.StatusUnprocessableEntity)
}

func TestCookiesAreForTLSWhereTheShopIsReachedByIt(t *testing.T) {
	s := servedWith(t, t.TempDir(), web.Options{User: "tester", TLS: true, Proxied: true,
		Address: "https://shop.example:8730"})
	t.Cleanup(s.close)
	if err := s.shop.Staff.Add(t.Context(), "Ines", fourWords, ""); err != nil {
		t.Fatal(err)
	}
	all := s.signIn("Ines", fourWords, "/").Cookies()
	if len(all) != 2 {
		t.Errorf("%d cookies; want that of the session and that of the browser", len(all))
	}
	for _, c := range all {
		if !c.Secure || !c.HttpOnly {
			t.Errorf("cookie %s: Secure %t, HttpOnly %t", c.Name, c.Secure, c.HttpOnly)
		}
		if own := c.Name == "__Host-midcase_session_8730"; own != (c.Path == "/") || c.Domain != "" {
			t.Errorf("cookie %s: path %q, domain %q", c.Name, c.Path, c.Domain)
		}
	}
	if h := s.get("/sign-in").Header.Get("Strict-Transport-Security"); h != "max-age=31536000" {
		t.Errorf("Strict-Transport-Security %q", h)
	}
	if h := s.post("/sign-out", nil).Header.Get("Clear-Site-Data"); h != `"cache", "storage"` {
		t.Errorf("signing out leaves in the browser what it had: Clear-Site-Data %q", h)
	}
}

// No page and no file that may hold personal data stays behind in a browser or on the way.
func TestNothingPersonalIsStored(t *testing.T) {
	s := look(t)
	for _, path := range []string{"/", "/stock.csv", "/clients", "/clients.vcf", "/calendar", "/calendar.ics", "/ledger",
		"/ledger/journal.csv", "/api/watches", "/documents", watchPath(soundWatch), watchPath(soundWatch) + "/report.pdf",
		watchPath(soundWatch) + "/life", "/nowhere", "/settings", "/sales.csv"} {
		if c := s.get(path).Header.Get("Cache-Control"); !strings.Contains(c, "no-store") {
			t.Errorf("GET %s: Cache-Control %q; want no-store", path, c)
		}
	}
	if c := s.get("/assets/midcase.css").Header.Get("Cache-Control"); strings.Contains(c, "no-store") {
		t.Errorf("the style sheet: Cache-Control %q", c)
	}
}

func TestSigningInNeverLeadsAway(t *testing.T) {
	s := withPeople(t)
	for _, back := range []string{"https://example.org/x", "//example.org/x", `/\example.org`, "javascript:alert(1)", "/sign-in", "counter", "/a\r\nb"} {
		if to := s.signIn("Ines", fourWords, back).Header.Get("Location"); strings.Contains(to, "example") ||
			!strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || to == "/sign-in" {
			t.Errorf("back to %q leads to %q", back, to)
		}
	}
}

func TestWhatIsRecordedCarriesTheName(t *testing.T) {
	s := withPeople(t)
	s.signIn("Ines", fourWords, "/")
	a := s.post("/take-in", url.Values{"maker": {"corvane"}, "reference": {"KR-1"}, "serial": {"414459"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find("main"), "Ines")
}
