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
	want(t, p.Find("main"), "no price")
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
	if p.Find("form[method=post] button:contains('Bring in')").Length() > 0 {
		t.Error("rows without a currency can be brought in")
	}
	want(t, s.page(at+"&answer.currency=EUR").Find("form[method=post] button"), "Bring in 2 sales")
}

// A column is named by hand, a cell typed anew, and nothing comes in before its outcome was
// seen. The answers serve for the next file with the same headings.
func TestColumnsAndCellsAreMended(t *testing.T) {
	s := serveEmpty(t)
	const rows = "Maker;Ref;Wann;Betrag\nCorvane;KR-1;2024-03-12;4200\nCorvane;KR-2;sometime;3900\n"
	a := s.sendFile("/bring-in", "file", "march.csv", rows, nil)
	s.wantStatus(a, http.StatusSeeOther)
	file, _, _ := strings.Cut(a.Header.Get("Location"), "?")
	form := url.Values{"as": {"sales"}, "seen": {"none"}, "answer.currency": {"EUR"}, "answer.column.3": {"date"},
		"answer.column.4": {"price"}, "answer.cell.3.date": {"2024-04-02"}}
	again := s.post(file, form)
	s.wantStatus(again, http.StatusOK)
	p := again.page(t)
	want(t, p.Find("form[method=post] button"), "Bring in 2 sales")
	form.Set("seen", p.Find("input[name=seen]").AttrOr("value", ""))
	done := s.post(file, form)
	s.wantStatus(done, http.StatusSeeOther)
	want(t, s.page(done.Header.Get("Location")).Find("main"), "2 added")

	next := strings.ReplaceAll(strings.ReplaceAll(rows, "2024-03-12", "2024-06-12"), "sometime", "2024-06-20")
	b := s.sendFile("/bring-in", "file", "april.csv", next, nil)
	s.wantStatus(b, http.StatusSeeOther)
	file, _, _ = strings.Cut(b.Header.Get("Location"), "?")
	p = s.page(file + "?as=sales")
	want(t, p.Find("[role=status]"), "Read with your answers to the last file of this shape")
	want(t, p.Find("form[method=post] button"), "Bring in 2 sales")
}

// Cards of contacts are known for what they are and lead to their preview.
func TestCardsAreTakenToo(t *testing.T) {
	s := serveEmpty(t)
	a := s.post("/bring-in", url.Values{"pasted": {"BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Alba Ambrell\r\n" +
		"EMAIL:alba@ambrell.example\r\nEND:VCARD\r\n"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find("main"), "Alba Ambrell")
}

func TestWhatIsNoTableIsSaid(t *testing.T) {
	s := serveEmpty(t)
	for _, tt := range []struct{ pasted, says string }{
		{"", "No file was chosen"},
		{"I like watches", "no table that was understood"},
	} {
		a := s.post("/bring-in", url.Values{"pasted": {tt.pasted}})
		s.wantStatus(a, http.StatusUnprocessableEntity)
		want(t, a.page(t).Find(".notice.wrong"), tt.says)
	}
}

// A table of exchange rates is known as one, shown and added; a picture is led to its own page.
func TestRatesAreKnownAmongFiles(t *testing.T) {
	s := serveEmpty(t)
	a := s.sendFile("/bring-in", "file", "rates.csv", "Date,USD,GBP\n2026-01-02,1.1,0.85\n", nil)
	s.wantStatus(a, http.StatusSeeOther)
	at := a.Header.Get("Location")
	p := s.page(at)
	want(t, p.Find("main"), "Read as exchange rates")
	want(t, p.Find("tbody"), "GBP")
	file, _, _ := strings.Cut(at, "?")
	done := s.post(file, url.Values{"as": {"exchange rates"}})
	s.wantStatus(done, http.StatusSeeOther)
	want(t, s.page(done.Header.Get("Location")).Find(".notice"), "2 rates added")

	damaged := s.sendFile("/bring-in", "file", "stock.xlsx", "PK\x03\x04junk", nil)
	s.wantStatus(damaged, http.StatusUnprocessableEntity)
	want(t, damaged.page(t).Find("[role=alert]"), "the workbook is damaged")
	bare := s.sendFile("/bring-in", "file", "stock.csv", "Maker,Ref,Paid\n", nil)
	want(t, bare.page(t).Find("[role=alert]"), "no row below them")

	refused := s.sendFile("/bring-in", "file", "front.png", "\x89PNG\r\n\x1a\n", nil)
	s.wantStatus(refused, http.StatusUnprocessableEntity)
	want(t, refused.page(t).Find("[role=alert]"), "is a picture")
}
