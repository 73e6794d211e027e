package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

func TestHeadersOnEveryAnswer(t *testing.T) {
	s := look(t)
	for _, path := range []string{"/", "/nowhere", "/assets/midcase.css", "/api/watches",
		watchPath(soundWatch) + "/report.pdf"} {
		h := s.get(path).Header
		policy := h.Get("Content-Security-Policy")
		for _, must := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'",
			"frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(policy, must) {
				t.Errorf("GET %s: policy %q lacks %s", path, policy, must)
			}
		}
		if strings.Contains(policy, "unsafe") || strings.Contains(policy, "http") {
			t.Errorf("GET %s: policy %q lets in what is inline or elsewhere", path, policy)
		}
		if h.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("GET %s: no nosniff", path)
		}
		if h.Get("Strict-Transport-Security") != "" {
			t.Errorf("GET %s: a shop without TLS asks for it", path)
		}
		for name, value := range map[string]string{"Referrer-Policy": "same-origin",
			"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin"} {
			if h.Get(name) != value {
				t.Errorf("GET %s: %s %q; want %q", path, name, h.Get(name), value)
			}
		}
	}
}

func TestNothingInlineAndNothingFromElsewhere(t *testing.T) {
	s := look(t)
	for _, path := range []string{"/", watchPath(goldWatch), "/market", "/settings", "/counter",
		watchPath(goldWatch) + "/record?kind=rate"} {
		d := s.page(path)
		if n := d.Find("[style], [onclick], [onload], [onchange], style").Length(); n > 0 {
			t.Errorf("GET %s: %d elements with inline style or script", path, n)
		}
		d.Find("script").Each(func(_ int, e elements) {
			if e.AttrOr("src", "") == "" || strings.TrimSpace(e.Text()) != "" {
				t.Errorf("GET %s: an inline script", path)
			}
		})
		d.Find("[src], [href], [action]").Each(func(_ int, e elements) {
			for _, name := range []string{"src", "href", "action"} {
				if v := e.AttrOr(name, ""); strings.Contains(v, "//") || strings.HasPrefix(v, "javascript:") {
					t.Errorf("GET %s: %s=%q leads elsewhere", path, name, v)
				}
			}
		})
	}
}

func TestPostFromAnotherSiteIsRefused(t *testing.T) {
	s := serveBare(t)
	for _, path := range []string{"/take-in", "/settings", "/counter", "/views", watchPath(soundWatch) + "/record",
		watchPath(soundWatch) + "/change", watchPath(soundWatch) + "/withdraw"} {
		r := s.request(http.MethodPost, path, strings.NewReader(url.Values{"maker": {"Corvane"},
			"reference": {"KR-1"}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "cross-site")
		s.wantStatus(s.do(r), http.StatusForbidden)
		r = s.request(http.MethodPost, path, strings.NewReader("maker=Corvane&reference=KR-1"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", "https://elsewhere.example")
		s.wantStatus(s.do(r), http.StatusForbidden)
	}
	if n := s.page("/").Find("table.stock tbody tr").Length(); n != 8 {
		t.Errorf("%d watches after refused posts; want the 8 that were there", n)
	}
}

func TestTextIsNeverMarkup(t *testing.T) {
	s := serveBare(t)
	const evil = `<script>alert(1)</script>`
	s.wantStatus(s.post("/take-in", url.Values{"maker": {evil}, "reference": {`"><img src=x>`}}), http.StatusSeeOther)
	d := s.page("/")
	if d.Find("td script, th script, th img").Length() > 0 {
		t.Error("typed text became markup")
	}
	want(t, d.Find("table.stock th[scope=row]"), evil)
}
