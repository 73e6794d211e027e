package web_test

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/document"
	"midcase/internal/shop/rights"
	"midcase/internal/store"
	"midcase/internal/web"
)

// A server that is started again, and a second one beside it, know who is signed in; signing out ends it for both.
func TestSessionsOutliveARestart(t *testing.T) {
	s := serveEmpty(t)
	owner := s.as(rights.Owner)
	again := served(t, s.dir)
	t.Cleanup(again.close)
	home, err := url.Parse(owner.url)
	if err != nil {
		t.Fatal(err)
	}
	there, err := url.Parse(again.url)
	if err != nil {
		t.Fatal(err)
	}
	again.http.Jar.SetCookies(there, owner.http.Jar.Cookies(home))
	again.wantStatus(again.get("/people"), http.StatusOK)
	owner.wantStatus(owner.post("/sign-out", nil), http.StatusSeeOther)
	again.wantStatus(again.get("/people"), http.StatusSeeOther)
}

// An owner checks the shop and backs it up from a page, and is told why where it fails.
func TestCheckAndBackupByPage(t *testing.T) {
	t.Parallel()
	var to string
	var found []store.Finding
	printed, behind := false, true
	s := servedWith(t, t.TempDir(), web.Options{User: "tester",
		BackedUp: func() string { return "Last backup 9 days ago." },
		Care: web.Care{
			Check:    func(context.Context) ([]store.Finding, error) { return found, nil },
			KeepBook: func(context.Context) error { found = nil; return nil },
			BackUp: func(_ context.Context, where string) (string, error) {
				if to = where; where == "/full" {
					return "", errors.New("no space")
				}
				return "Backup 2026 made.", nil
			},
			To: func(context.Context) string { return "/media/disk" },
			Sheet: func(context.Context) (document.KeySheet, error) {
				return document.KeySheet{Shop: "Shop", Lines: []string{"  1   0123 4567   89"}}, nil
			},
			SheetToPrint: func() bool { return !printed },
			ClockBehind:  func() bool { return behind },
			ClockIsRight: func(context.Context, string) error { behind = false; return nil },
		}})
	t.Cleanup(s.close)
	if says := s.page("/").Find("a[href='/care#backup']").Parent().Text(); !strings.Contains(says, "9 days ago") {
		t.Errorf("the first page says %q", says)
	}
	if where, _ := s.page("/care").Find("input[name=to]").Attr("value"); where != "/media/disk" {
		t.Errorf("the place offered is %q", where)
	}
	act := func(fields url.Values, status int, says string) {
		t.Helper()
		a := s.post("/care", fields)
		s.wantStatus(a, status)
		want(t, a.page(t).Find("main"), says)
	}
	act(url.Values{"act": {"backup"}, "to": {"/elsewhere"}}, http.StatusOK, "Backup 2026 made.")
	if to != "/elsewhere" {
		t.Errorf("backed up to %q", to)
	}
	act(url.Values{"act": {"backup"}, "to": {"/full"}}, http.StatusUnprocessableEntity, "No backup was made: no space")
	act(url.Values{"act": {"backup"}, "to": {""}}, http.StatusUnprocessableEntity, "")
	act(url.Values{"act": {"check"}}, http.StatusOK, "Nothing is wrong.")
	if s.page("/care").Find("button[value=clock]").Length() != 1 {
		t.Error("the page does not ask whether the clock is right")
	}
	s.wantStatus(s.post("/care", url.Values{"act": {"clock"}}), http.StatusSeeOther)
	if s.page("/care").Find("button[value=clock]").Length() != 0 {
		t.Error("the page goes on asking whether the clock is right")
	}
	a := s.post("/care/sheet", nil)
	want(t, a.page(t).Find("pre"), "0123 4567 89")
	if a.Header.Get("Cache-Control") != "no-store" {
		t.Error("the recovery sheet may be kept by a browser")
	}
	if s.page("/").Find("a[href='/care#sheet']").Length() != 1 {
		t.Error("the first page does not ask for the recovery sheet to be printed")
	}
	printed = true
	if s.page("/").Find("a[href='/care#sheet']").Length() != 0 {
		t.Error("the first page goes on asking for the recovery sheet")
	}
	if a := s.post("/care/sheet", url.Values{"as": {"pdf"}}); !strings.HasPrefix(a.body, "%PDF-") {
		t.Errorf("the sheet as PDF begins with %.20q", a.body)
	}
	found = []store.Finding{{What: store.InBook, ID: "corvane.yaml", Says: "corvane.yaml was changed outside the program"}}
	act(url.Values{"act": {"check"}}, http.StatusOK, "changed outside the program")
	s.wantStatus(s.post("/care", url.Values{"act": {"keep-book"}}), http.StatusSeeOther)
	act(url.Values{"act": {"check"}}, http.StatusOK, "Nothing is wrong.")
}

// The account shows the secret of a new app as text and as a picture that a phone reads.
func TestTheAccountShowsTheSecret(t *testing.T) {
	owner := serveEmpty(t).as(rights.Owner)
	d := owner.page("/account")
	if src, _ := d.Find("img").Attr("src"); !strings.HasPrefix(src, "data:image/png;base64,") {
		t.Errorf("the picture is %.40q", src)
	}
	want(t, d.Find("main"), d.Find("input[name=secret]").AttrOr("value", "no secret"))
}

// A token opens what it was made for, and neither accounts nor people; one that is unknown opens nothing.
func TestATokenOpensWhatItWasMadeFor(t *testing.T) {
	s := serveEmpty(t)
	owner := s.as(rights.Owner)
	fields := url.Values{"act": {"token"}, "token_name": {"web site"}, "days": {"30"}, "clients": {"on"}}
	owner.wantStatus(owner.post("/account", fields), http.StatusUnprocessableEntity)
	fields.Set("token_password", "some other words than those")
	owner.wantStatus(owner.post("/account", fields), http.StatusUnprocessableEntity)
	fields.Set("token_password", fourWords)
	a := owner.post("/account", fields)
	owner.wantStatus(a, http.StatusOK)
	token := a.page(t).Find(".notice code").Text()
	if !strings.HasPrefix(token, "midcase_") {
		t.Fatalf("the page shows the token %q", token)
	}
	if strings.Contains(owner.get("/account").body, token) {
		t.Error("the token is shown a second time")
	}
	ask := func(token, method, path string) int {
		t.Helper()
		r, err := http.NewRequestWithContext(t.Context(), method, s.url+path, strings.NewReader(""))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Authorization", "Bearer "+token)
		answer, err := http.DefaultTransport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		return answer.StatusCode
	}
	for path, status := range map[string]int{"/api/watches": 200, "/clients.vcf": 200, "/ledger/journal.csv": 403,
		"/settings": 403, "/people": 403, "/account": 403, "/care": 403} {
		if got := ask(token, http.MethodGet, path); got != status {
			t.Errorf("%s: %d; want %d", path, got, status)
		}
	}
	if got := ask(token, http.MethodPost, "/settings"); got != http.StatusForbidden {
		t.Errorf("a change of settings: %d", got)
	}
	if got := ask(token+"x", http.MethodGet, "/api/watches"); got != http.StatusUnauthorized {
		t.Errorf("an unknown token: %d", got)
	}
	id, _ := owner.page("/account").Find("input[name=id]").Attr("value")
	owner.wantStatus(owner.post("/account", url.Values{"act": {"drop-token"}, "id": {id}}), http.StatusSeeOther)
	if got := ask(token, http.MethodGet, "/api/watches"); got != http.StatusUnauthorized {
		t.Errorf("after it was removed: %d", got)
	}
}

// Several forms of the account ask for the password, each in a field of its own, so that each label leads to its field.
func TestFieldsOfTheAccountAreApart(t *testing.T) {
	owner := serveEmpty(t).as(rights.Owner)
	seen := map[string]bool{}
	owner.page("/account").Find("[id]").Each(func(_ int, e elements) {
		id := e.AttrOr("id", "")
		if seen[id] {
			t.Errorf("two elements are called %s", id)
		}
		seen[id] = true
	})
	if !seen["f-now"] || !seen["f-code_password"] || !seen["f-token_password"] {
		t.Errorf("the page has %v; want three fields for the password", seen)
	}
}
