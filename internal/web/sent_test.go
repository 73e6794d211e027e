package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"midcase/internal/shop"
)

// takeInForm is a form that takes a watch in, sent by the script with a token.
func (s *site) takeInForm(token string) *http.Request {
	s.t.Helper()
	form := url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}}
	r := s.request(http.MethodPost, "/take-in", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	r.Header.Set("Midcase-Form", token)
	return r
}

func (s *site) watches() int {
	s.t.Helper()
	all, err := s.shop.Watches(s.t.Context(), shop.Filter{})
	if err != nil {
		s.t.Fatal(err)
	}
	return len(all)
}

// Twenty requests of one form at once take one watch in, and all get the same answer, also after a restart.
func TestOneFormIsRecordedOnce(t *testing.T) {
	s := serveEmpty(t)
	answers := make([]answer, 20)
	var done sync.WaitGroup
	for i := range answers {
		r := s.takeInForm("one")
		done.Go(func() { answers[i] = s.do(r) })
	}
	done.Wait()
	to := answers[0].Header.Get("Midcase-To")
	for _, a := range answers {
		if a.StatusCode != http.StatusNoContent || a.Header.Get("Midcase-To") != to || to == "" {
			t.Errorf("status %d, to %q; want 204 to %q", a.StatusCode, a.Header.Get("Midcase-To"), to)
		}
	}
	if n := s.watches(); n != 1 {
		t.Fatalf("%d watches were taken in; want 1", n)
	}
	after := served(t, s.dir)
	defer after.close()
	if a := after.do(after.takeInForm("one")); a.Header.Get("Midcase-To") != to {
		t.Errorf("after a restart: status %d, to %q; want to %q", a.StatusCode, a.Header.Get("Midcase-To"), to)
	}
	if n := after.watches(); n != 1 {
		t.Errorf("after a restart %d watches; want 1", n)
	}
	s.do(s.takeInForm("two"))
	if n := s.watches(); n != 2 {
		t.Errorf("another form: %d watches; want 2", n)
	}
}

// A browser without the script sends the hidden field: the same content is recorded once, other content again.
func TestHiddenTokenOfAForm(t *testing.T) {
	s := serveEmpty(t)
	token, ok := s.page("/take-in").Find(`form[method=post] input[name="Midcase-Form"]`).First().Attr("value")
	if !ok || len(token) < 20 {
		t.Fatalf("token %q", token)
	}
	form := url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}, "Midcase-Form": {token}}
	first, second := s.post("/take-in", form), s.post("/take-in", form)
	if first.StatusCode != http.StatusSeeOther || second.StatusCode != http.StatusSeeOther ||
		first.Header.Get("Location") != second.Header.Get("Location") {
		t.Errorf("led to %q, then %q", first.Header.Get("Location"), second.Header.Get("Location"))
	}
	form.Set("serial", "414459")
	s.post("/take-in", form)
	if n := s.watches(); n != 2 {
		t.Errorf("%d watches; want 2: sent twice alike, and once with a serial number", n)
	}
}
