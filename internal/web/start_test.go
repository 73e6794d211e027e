package web_test

import (
	"bytes"
	"context"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// sendFile posts a form with one file.
func (s *site) sendFile(path, field, name, content string, more url.Values) answer {
	s.t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile(field, name)
	if err != nil {
		s.t.Fatal(err)
	}
	part.Write([]byte(content))
	for k, all := range more {
		for _, v := range all {
			w.WriteField(k, v)
		}
	}
	w.Close()
	r := s.request(http.MethodPost, path, &b)
	r.Header.Set("Content-Type", w.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.do(r)
}

// TestThreeQuestions founds a shop in dollars, and holds that pages and ledger are in dollars from then on.
func TestThreeQuestions(t *testing.T) {
	s := serveEmpty(t)
	want(t, s.page("/").Find("main"), "Answer three questions")
	bad := s.post("/start", url.Values{"country": {"US"}, "currency": {"XYZ"}, "name": {""}})
	s.wantStatus(bad, http.StatusUnprocessableEntity)
	a := s.post("/start", url.Values{"country": {"US"}, "currency": {""}, "name": {"Kestrel Lane Watches"}})
	s.wantStatus(a, http.StatusSeeOther)
	if s.shop.Currency() != "USD" {
		t.Fatalf("books in %s; want the dollars of the country chosen", s.shop.Currency())
	}
	want(t, s.page("/").Find("header"), "Kestrel Lane Watches")
	ctx := context.Background()
	seller, err := s.shop.People.Add(ctx, shop.Client{Name: "Selma Lund"})
	if err != nil {
		t.Fatal(err)
	}
	w, err := s.shop.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.shop.Trade.Buy(ctx, w.ID, trade.Buying{Terms: trade.Terms{Client: seller.ID,
		Amount: money.MustParse("4100", "USD"), Pay: ledger.Capital}}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	want(t, s.page("/ledger").Find("main"), "USD")
	other := s.post("/start", url.Values{"country": {"US"}, "currency": {"EUR"}, "name": {"Kestrel Lane Watches"}})
	s.wantStatus(other, http.StatusUnprocessableEntity)
	want(t, s.page("/start").Find("main"), "This is fixed")
	for _, p := range []string{"/", "/ledger", watchPath(w.ID), watchPath(w.ID) + "/life", "/counter?reference=KR-1"} {
		if text := squeeze(s.page(p).Find("main").Text()); strings.Contains(text, "EUR") {
			t.Errorf("%s speaks of EUR in a shop in dollars: %s", p, text)
		}
	}
}

// TestRatesTypedAndFromAFile adds rates both ways in a shop in dollars.
func TestRatesTypedAndFromAFile(t *testing.T) {
	s := serveEmpty(t)
	s.wantStatus(s.post("/start", url.Values{"country": {"US"}, "name": {"Kestrel Lane"}}), http.StatusSeeOther)
	a := s.post("/rates", url.Values{"day": {"2026-10-30"}, "currency": {"GBP"}, "rate": {"1.25"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page("/rates").Find("main"), "1 GBP = 1.25000 USD")
	s.wantStatus(s.sendFile("/rates/file", "file", "rates.csv", "Date,USD,CHF\n2026-10-30,1.10,0.88\n", nil),
		http.StatusSeeOther)
	want(t, s.page("/rates").Find("main"), "1 CHF = 1.25000 USD")
	want(t, s.page("/rates").Find("main"), "1 GBP = 1.25000 USD")
	bad := s.sendFile("/rates/file", "file", "rates.csv", "Name,USD\n2026-10-30,1.10\n", nil)
	s.wantStatus(bad, http.StatusUnprocessableEntity)
	s.wantStatus(s.post("/rates", url.Values{"day": {"2027-10-30"}, "currency": {"GBP"}, "rate": {"1.25"}}),
		http.StatusUnprocessableEntity)
}
