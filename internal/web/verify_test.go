package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/papers"
	"midcase/internal/shop"
)

// Whoever holds a paper learns that it was issued and what came since, and nothing else; who has only its number
// learns nothing.
func TestCheckAPaper(t *testing.T) {
	s := serve(t)
	ctx := t.Context()
	p, err := papers.Make(ctx, s.shop, papers.Order{Kind: shop.PaperReport, Watch: "w_demo01", By: "tester"})
	if err != nil {
		t.Fatal(err)
	}
	at := "/verify/" + p.Number + "?head=" + url.QueryEscape(papers.HeadOf(p).String())
	says := func(path string, status int) string {
		t.Helper()
		a := s.get(path)
		s.wantStatus(a, status)
		return squeeze(a.page(t).Find("main").Text())
	}
	bySum := "/verify?sha256=" + p.Files[0].SHA256
	for path, want := range map[string]string{at: "only its PDF tells", bySum: "as it was issued, to the last byte"} {
		text := says(path, http.StatusOK)
		for _, w := range []string{want, p.Number, "Nothing was recorded on the watch since"} {
			if !strings.Contains(text, w) {
				t.Errorf("%s: no %q in %q", path, w, text)
			}
		}
		if strings.Contains(text, "Corvane") {
			t.Errorf("%s names the watch: %q", path, text)
		}
	}
	if _, err := s.shop.Intake.Record(ctx, "w_demo01", "tester", &evidence.Rate{Position: "CH", SecPerDay: 4,
		AmplitudeDeg: 270}); err != nil {
		t.Fatal(err)
	}
	if text := says(at, http.StatusOK); !strings.Contains(text, "One item of evidence was recorded on the watch since") {
		t.Errorf("after a reading: %q", text)
	}
	for _, path := range []string{"/verify/" + p.Number, "/verify/" + p.Number + "?head=1:x", "/verify/R-1999-0001?head=1:x",
		"/verify?sha256=" + strings.Repeat("0", 64)} {
		if text := says(path, http.StatusNotFound); !strings.Contains(text, "issued no paper") {
			t.Errorf("%s: %q", path, text)
		}
	}
	if text := says("/verify?sha256=abc", http.StatusUnprocessableEntity); !strings.Contains(text, "64 figures") {
		t.Errorf("%q", text)
	}
}
