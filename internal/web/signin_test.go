package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

const fourWords = "spring barrel ratchet pawl"

func withPeople(t *testing.T) *site {
	t.Helper()
	s := serveEmpty(t)
	if err := s.shop.People.SetPassword(t.Context(), "Ines", fourWords); err != nil {
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
		if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode {
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
	if err := s.shop.People.SetPassword(t.Context(), "Odo", fourWords); err != nil {
		t.Fatal(err)
	}
	if err := s.shop.People.RemovePerson(t.Context(), "Ines"); err != nil {
		t.Fatal(err)
	}
	s.wantStatus(s.get("/counter"), http.StatusSeeOther)
}

func TestPasswordsCannotBeGuessedAtSpeed(t *testing.T) {
	s := withPeople(t)
	for range 5 {
		s.signIn("Ines", "guess guess guess", "/")
	}
	s.wantStatus(s.signIn("INES", fourWords, "/"), http.StatusTooManyRequests)
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
