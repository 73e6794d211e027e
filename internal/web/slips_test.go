package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// The form that opens a file asks about a slip, and opens it with the reason.
func TestTakeInAsksAboutASlip(t *testing.T) {
	s := serveBare(t)
	form := url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}, "serial": {"999999999"}}
	a := s.post("/take-in", form)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	p := a.page(t)
	want(t, p.Find("#odd"), "999999999")
	if v := p.Find("input[name=serial]").AttrOr("value", ""); v != "999999999" {
		t.Errorf("the number typed is %q", v)
	}
	form.Set("held", "1")
	form.Set("why", "read twice")
	a = s.post("/take-in", form)
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find(".taken"), "kept all the same: read twice")
}

// The counter says what is odd beside its answer; “Keep it” alone keeps nothing then.
func TestTheCounterKeepsAnOddOneWithItsReason(t *testing.T) {
	s := serve(t)
	ask := url.Values{"line": {"KR-1 999999999 box 5200"}}
	p := s.page("/counter?" + ask.Encode())
	want(t, p.Find("section[aria-label=Answer]"), "999999999")
	if b := strings.TrimSpace(p.Find("section[aria-label=Answer] button").Text()); b != "Keep it all the same" {
		t.Errorf("the button is %q", b)
	}
	a := s.post("/counter", ask)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#odd"), "Nothing was kept yet")
	ask.Set("held", "1")
	ask.Set("why", "read twice")
	a = s.post("/counter", ask)
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find(".taken"), "kept all the same: read twice")
}
