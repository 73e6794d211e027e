package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

const saleRows = "Sold;Maker;Ref;Price\n12.03.2024;Corvane;KR-1;4.200 EUR\n02.04.2024;Corvane;KR-2;3.900 EUR\n05.05.2024;Corvane;KR-1;on request\n"

// A file is read, shown as understood, brought in as one batch, found again when it comes a
// second time, and taken back.
func TestAFileIsBroughtInAndTakenBack(t *testing.T) {
	s := serveEmpty(t)
	a := s.sendFile("/bring-in", "file", "sales.csv", saleRows, nil)
	s.wantStatus(a, http.StatusSeeOther)
	at := a.Header.Get("Location")
	p := s.page(at)
	want(t, p.Find("h1"), "sales.csv")
	want(t, p.Find("main"), "Read as sales")
	want(t, p.Find("main"), "4200 EUR")
	want(t, p.Find("main"), "on request")
	want(t, p.Find("form[method=post] button"), "Bring in 2 sales")
	if s.page("/sales").Find("main:contains('KR-1')").Length() > 0 {
		t.Error("reading a file has brought it in")
	}

	form := url.Values{"as": {"sales"}}
	file, _, _ := strings.Cut(at, "?")
	done := s.post(file, form)
	s.wantStatus(done, http.StatusSeeOther)
	batch := done.Header.Get("Location")
	want(t, s.page(batch).Find("main"), "2 added")
	want(t, s.page("/bring-in").Find("table"), "sales.csv")
	s.wantStatus(s.post(file, form), http.StatusNotFound)

	again := s.sendFile("/bring-in", "file", "sales.csv", saleRows, nil)
	if p := s.page(again.Header.Get("Location")); p.Find("form[method=post] button:contains('Bring in')").Length() > 0 {
		t.Error("a file that is on record already can be brought in again")
	}

	s.wantStatus(s.post(batch, nil), http.StatusSeeOther)
	want(t, s.page(batch).Find(".notice"), "2 removed")
	if s.page("/sales").Find("main:contains('KR-1')").Length() > 0 {
		t.Error("the sales are still there")
	}
}

// What only a person can know is asked once for all rows; the rows wait for the answer.
func TestAnswersAreAskedForOnce(t *testing.T) {
	s := serveEmpty(t)
	a := s.post("/bring-in", url.Values{"pasted": {"Date\tMaker\tReference\tPrice\n2024-03-12\tCorvane\tKR-1\t4200\n2024-04-02\tCorvane\tKR-2\t3900\n"}})
	s.wantStatus(a, http.StatusSeeOther)
	at := a.Header.Get("Location")
	p := s.page(at)
	want(t, p.Find("label[for='a-currency']"), "without a currency")
	if p.Find("form[method=post] button").Length() > 0 {
		t.Error("rows without a currency can be brought in")
	}
	want(t, s.page(at+"&answer.currency=EUR").Find("form[method=post] button"), "Bring in 2 sales")
}

func TestWhatIsNoTableIsSaid(t *testing.T) {
	s := serveEmpty(t)
	for _, tt := range []struct{ pasted, says string }{
		{"", "No file was chosen"},
		{"I like watches", "no table that was understood"},
		{"BEGIN:VCARD\nVERSION:3.0\nEND:VCARD\n", "cards of contacts"},
	} {
		a := s.post("/bring-in", url.Values{"pasted": {tt.pasted}})
		s.wantStatus(a, http.StatusUnprocessableEntity)
		want(t, a.page(t).Find(".notice.wrong"), tt.says)
	}
}
