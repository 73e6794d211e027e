package web_test

import (
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/web"
	"midcase/internal/web/doors"
)

// A page of another site whose name was pointed at this machine sends its own name as Host.
func TestAForeignHostGetsNothingAndBooksNothing(t *testing.T) {
	s := serveEmpty(t)
	for _, path := range []string{"/", "/clients.vcf", "/stock.csv", "/api/watches", "/assets/midcase.css", "/healthz",
		"/calendar", "/sign-in"} {
		r := s.request(http.MethodGet, path, nil)
		r.Host = "evil.example:8730"
		a := s.do(r)
		s.wantStatus(a, http.StatusMisdirectedRequest)
		if a.Header.Get("Content-Security-Policy") == "" {
			t.Errorf("GET %s: no policy on the refusal", path)
		}
	}
	r := s.request(http.MethodPost, "/take-in", strings.NewReader("maker=Corvane&reference=KR-1"))
	r.Host = "evil.example:8730"
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", "http://evil.example:8730")
	s.wantStatus(s.do(r), http.StatusMisdirectedRequest)
	if n := s.page("/").Find("table.stock tbody tr").Length(); n != 0 {
		t.Errorf("%d watches booked from elsewhere", n)
	}
}

func TestTheFeedsAddressIsThatOfTheShop(t *testing.T) {
	s := servedWith(t, t.TempDir(), web.Options{User: "tester", Address: "https://shop.example",
		Hosts: doors.Hosts{Names: []string{"shop.example", "other.example"}}})
	t.Cleanup(s.close)
	r := s.request(http.MethodGet, "/calendar", nil)
	r.Host = "other.example"
	if a := s.do(r); !strings.Contains(a.body, "https://shop.example/feeds/") || strings.Contains(a.body, "other.example") {
		t.Errorf("the page does not give the feed's address at https://shop.example: %s", a.words())
	}
}

// Where nobody signs in, every address but the calendar's own wants the key.
func TestWithoutPeopleTheKeyOpens(t *testing.T) {
	key := doors.NewKey("secret")
	s := servedWith(t, t.TempDir(), web.Options{User: "tester", Key: key})
	t.Cleanup(s.close)
	for _, path := range []string{"/", "/clients.vcf", "/stock.csv", "/api/watches", "/assets/midcase.css", "/healthz",
		"/nowhere", "/sign-in", "/?key=guess"} {
		s.wantStatus(s.get(path), http.StatusUnauthorized)
	}
	s.wantStatus(s.post("/take-in", url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}}), http.StatusUnauthorized)
	s.wantStatus(s.get("/feeds/guess/calendar.ics"), http.StatusNotFound)
	s.wantStatus(s.get(strings.TrimPrefix(key.In(s.url), s.url)), http.StatusSeeOther)
	s.wantStatus(s.get("/stock.csv"), http.StatusOK)
	s.wantStatus(s.post("/take-in", url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}}), http.StatusSeeOther)

	other := *s.http
	other.Jar, _ = cookiejar.New(nil)
	res, err := other.Get(s.url + "/")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusUnauthorized {
		t.Errorf("another user of the machine: %d; want 401", res.StatusCode)
	}
}

// The key is for a shop without people; it signs nobody in.
func TestTheKeyIsNoName(t *testing.T) {
	key := doors.NewKey("secret")
	s := servedWith(t, t.TempDir(), web.Options{User: "tester", Key: key})
	t.Cleanup(s.close)
	if err := s.shop.Staff.Add(t.Context(), "Ines", fourWords, ""); err != nil {
		t.Fatal(err)
	}
	s.get(strings.TrimPrefix(key.In(s.url), s.url))
	s.wantStatus(s.get("/stock.csv"), http.StatusSeeOther) // the key is no name
}
