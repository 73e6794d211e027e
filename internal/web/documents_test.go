package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// soldWatch is a watch bought from one client and sold to another.
func soldWatch(t *testing.T, s *site) shop.WatchID {
	t.Helper()
	ctx := t.Context()
	for _, c := range []shop.Client{{ID: "c_seller", Name: "S. Seller", Kind: "dealer"},
		{ID: "c_buyer", Name: "B. Buyer", Country: "NL"}} {
		if _, err := s.shop.People.Add(ctx, c); err != nil {
			t.Fatal(err)
		}
	}
	w, err := s.shop.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	deal := func(who, amount string) trade.Terms {
		return trade.Terms{Day: "2026-10-20", Client: who, Amount: money.MustParse(amount, "EUR")}
	}
	if _, err := s.shop.Trade.Buy(ctx, w.ID, trade.Buying{Terms: deal("c_seller", "5000"), Scheme: "margin"},
		"tester"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.shop.Trade.Move(ctx, w.ID, trade.Moving{To: shop.Listed}, "tester"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.shop.Trade.Sell(ctx, w.ID, trade.Selling{Terms: deal("c_buyer", "8200")}, "tester"); err != nil {
		t.Fatal(err)
	}
	return w.ID
}

func TestDocuments(t *testing.T) {
	s := serveEmpty(t)
	if p := s.page("/documents"); !strings.Contains(squeeze(p.Find("main").Text()), "None yet") ||
		p.Find("a[href='/documents/letterhead']").Length() == 0 {
		t.Error("the empty place does not say what to do")
	}
	id := soldWatch(t, s)
	if p := s.page("/documents?q=corvane"); p.Find("main ul.list a").Length() != 1 {
		t.Error("the watch is not found")
	}
	p := s.page("/documents?watch=" + url.QueryEscape(string(id)))
	rows := squeeze(p.Find("table.papers").Text())
	for _, want := range []string{"Report on condition and originality", "Statement of value",
		"Identification sheet", "Record of running", "Invoice", "Purchase statement", "B. Buyer"} {
		if !strings.Contains(rows, want) {
			t.Errorf("no %q in %q", want, rows)
		}
	}
	if strings.Contains(rows, "Listing") {
		t.Error("a listing is offered of a watch that is sold")
	}
	p.Find("table.papers a[href*='/papers/']").Each(func(_ int, a elements) {
		path, _ := a.Attr("href")
		got := s.get(path)
		s.wantStatus(got, http.StatusOK)
		if strings.Contains(path, ".pdf") != strings.HasPrefix(got.body, "%PDF-") {
			t.Errorf("%s is %.20q", path, got.body)
		}
	})
	if draft := s.get(watchPath(id) + "/papers/invoice.md").body; !strings.Contains(draft, "Invoice, draft") {
		t.Errorf("the draft reads %q", draft)
	}
	make := func(kind string) answer {
		return s.post("/documents", url.Values{"watch": {string(id)}, "kind": {kind}})
	}
	a := make("invoice")
	s.wantStatus(a, http.StatusSeeOther)
	where := strings.TrimSuffix(a.Header.Get("Location"), "?made=1")
	one := s.page(a.Header.Get("Location"))
	text := squeeze(one.Find("main").Text())
	for _, want := range []string{"Invoice 2026-0001", "Made and kept", "B. Buyer", "8,200", "prints as made",
		"kept encrypted"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %q", want, text)
		}
	}
	for _, ending := range []string{"pdf", "md", "json", "jsonld"} {
		s.wantStatus(s.get(where+"/"+ending), http.StatusOK)
	}
	s.wantStatus(s.get(where+"/doc"), http.StatusNotFound)
	s.wantStatus(s.get("/documents/pa_none"), http.StatusNotFound)
	again := make("invoice")
	s.wantStatus(again, http.StatusUnprocessableEntity)
	if says := squeeze(again.page(t).Find(".notice.wrong").Text()); !strings.Contains(says, "2026-0001") {
		t.Errorf("a second invoice: %q", says)
	}
	s.wantStatus(make("poem"), http.StatusUnprocessableEntity)
	s.wantStatus(make("report"), http.StatusSeeOther)
	if list := squeeze(s.page("/documents").Find("main table").Text()); !strings.Contains(list, "R-2026-0001") ||
		!strings.Contains(list, "2026-0001") {
		t.Errorf("the list reads %q", list)
	}
}

func TestLetterhead(t *testing.T) {
	s := serveEmpty(t)
	const path = "/documents/letterhead"
	wrong := s.post(path, url.Values{"name": {""}, "margin_words": {"x"}, "memo_risk": {"y"},
		"lines": {"7 Marrow Lane"}})
	s.wantStatus(wrong, http.StatusUnprocessableEntity)
	if p := wrong.page(t); p.Find(".field.wrong #f-name").Length() != 1 ||
		p.Find("textarea[name=lines]").Text() != "7 Marrow Lane" {
		t.Error("what is wrong is not told beside its field, or what was typed is lost")
	}
	s.wantStatus(s.post(path, url.Values{"name": {"Marrow Lane Watches"}, "margin_words": {"Margin scheme"}, "memo_risk": {"borne by the taker"}, "lines": {"7 Marrow Lane\r\n\r\nEastmere"}, "tax_number": {"XX1"}}), http.StatusSeeOther)
	id := soldWatch(t, s)
	md := s.get(watchPath(id) + "/papers/invoice.md").body
	for _, want := range []string{"Marrow Lane Watches", "7 Marrow Lane, Eastmere", "Tax number XX1", "Margin scheme"} {
		if !strings.Contains(md, want) {
			t.Errorf("no %q in %q", want, md)
		}
	}
	if md := s.get(watchPath(id) + "/report.md").body; !strings.Contains(md, "Marrow Lane Watches, 7 Marrow Lane") {
		t.Error("the report does not bear the letterhead")
	}
}
