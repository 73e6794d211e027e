package web_test

import (
	"encoding/csv"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
)

// TestLedgerPages look at the books of the invented world's first watches.
func TestLedgerPages(t *testing.T) {
	s := look(t)
	for _, c := range []struct{ path, selector, text string }{
		{"/ledger", ".lead", "watches in stock at cost"},
		{"/ledger", "table tbody tr th", "Owners of consigned watches"},
		{"/ledger/journal", "table.journal caption", "entries, the newest first"},
		{"/ledger/journal?account=expenses", "table.journal", "Overheads"},
		{"/ledger/journal?q=P-26-001", "table.journal th", "Purchase"},
		{"/ledger/journal?watch=w_demo01", "table.journal", "No. 1 Corvane KR-1"},
		{"/ledger/journal?q=nothing-like-it", ".notice", "No entry passes"},
		{"/ledger/journal?page=200", "table.journal th", "Capital"},
		{"/ledger/stock-book", "table tbody tr", "Corvane KR-1"},
		{"/ledger/vat", ".lead", "Due in this time"},
		{"/ledger/vat?by=quarter&from=2026-01&to=2026-06", "table tbody tr th", "2026-Q1"},
		{"/ledger/vat?from=1999-01&to=1999-02", ".notice", "No entry falls"},
		{"/ledger/ageing", "table tbody tr", "91–180"},
		{"/ledger/profit", "table tbody tr th", "2026-09"},
		{"/ledger/profit?by=route", ".kinds strong", "by route"},
		{"/ledger/profit?by=watch", "h1", "Profit"},
		{"/ledger/due", "h1", "To settle"},
		{"/ledger/enter", "input[name=amount]", ""},
		{"/ledger/enter?kind=exchange", "input[name=in_rate]", ""},
	} {
		p := s.page(c.path)
		if sel := p.Find(c.selector); sel.Length() == 0 || !strings.Contains(squeeze(sel.Text()), c.text) {
			t.Errorf("GET %s: %s says %q; want %q", c.path, c.selector, squeeze(sel.Text()), c.text)
		}
		if !strings.Contains(p.Find("main").Text(), "no tax advice") {
			t.Errorf("GET %s: the caution is missing", c.path)
		}
	}
	s.wantStatus(s.get("/ledger/vat?from=May"), http.StatusUnprocessableEntity)
}

// TestLedgerFiles takes every file of the ledger; debits and credits of the journal sum to nothing.
func TestLedgerFiles(t *testing.T) {
	s := look(t)
	for path, start := range map[string]string{"/ledger/journal.csv": "seq,entry,", "/ledger/balance.csv": "account,class", "/ledger/stock-book.csv": "number,file", "/ledger/vat.csv?by=year": "year,margin_sales", "/ledger/profit.csv?by=watch": "watch,sold"} {
		a := s.get(path)
		s.wantStatus(a, http.StatusOK)
		rows, err := csv.NewReader(strings.NewReader(a.body)).ReadAll()
		if err != nil || !strings.HasPrefix(a.body, start) || len(rows) < 1 {
			t.Errorf("GET %s: %.40q, %v", path, a.body, err)
		}
	}
	a := s.get("/ledger/journal.txt")
	if !strings.Contains(a.body, "2026-01-02 * money put in to begin with") ||
		!strings.Contains(a.body, "equity:capital") {
		t.Errorf("the plain journal begins %.120q", a.body)
	}
}

// TestEntriesByHand books what belongs to no watch, and answers one by its opposite.
func TestEntriesByHand(t *testing.T) {
	s := serveEmpty(t)
	want(t, s.page("/ledger").Find(".notice"), "no entries yet")
	enter := func(fields ...string) answer {
		v := stepOf("", fields...)
		return s.post("/ledger/enter", v)
	}
	s.wantStatus(enter("kind", "capital", "amount", "20000", "day", "2026-01-02", "text", "to begin with"),
		http.StatusSeeOther)
	s.wantStatus(enter("kind", "capital-out", "amount", "1000", "day", "2026-01-03"), http.StatusSeeOther)
	s.wantStatus(enter("kind", "exchange", "amount", "1000", "in", "940 CHF", "in_rate", "1.06", "day", "2026-01-04"),
		http.StatusSeeOther)
	a := enter("kind", "overhead", "amount", "1200", "text", "rent", "day", "2026-01-05")
	s.wantStatus(a, http.StatusSeeOther)
	rent := a.Header.Get("Location")
	want(t, s.page(rent).Find("table.journal"), "Overheads")
	for name, c := range map[string]struct {
		fields []string
		field  string
	}{
		"nothing":       {[]string{"kind", "overhead", "text", "rent"}, "amount"},
		"no reason":     {[]string{"kind", "overhead", "amount", "5"}, "text"},
		"owed to no":    {[]string{"kind", "overhead", "amount", "5", "text", "rent", "pay", "owed"}, "client"},
		"same currency": {[]string{"kind", "exchange", "amount", "5", "in", "4"}, "in"},
		"no rate":       {[]string{"kind", "exchange", "amount", "5 USD", "in", "4 CHF"}, "in_rate"},
	} {
		a := enter(c.fields...)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		if a.page(t).Find("#e-"+c.field).Length() != 1 {
			t.Errorf("%s: nothing stands beside %s: %s", name, c.field, a.words())
		}
	}
	id := s.page(rent).Find("table.journal tbody").AttrOr("id", "")
	a = s.post("/ledger/counter", url.Values{"entry": {id}, "reason": {""}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-reason"), "why the entry was wrong")
	s.wantStatus(s.post("/ledger/counter", url.Values{"entry": {id}, "reason": {"paid by somebody else"}}),
		http.StatusSeeOther)
	a = s.post("/ledger/counter", url.Values{"entry": {id}, "reason": {"again"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	err := s.shop.Accounts.Books(t.Context(), func(b *ledger.Books) error {
		all, err := b.Balances()
		for _, x := range all {
			if x.Account == ledger.Overheads && x.Amount.Sign() != 0 || x.Account == ledger.Bank &&
				x.Amount.Currency() == "EUR" && x.Amount.Amount() != "18000.00" {
				t.Errorf("%s stands at %s", x.Account, x.Amount)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestSettlementInTheBrowser sells on credit and takes the money in two parts.
func TestSettlementInTheBrowser(t *testing.T) {
	s, _, path := desk(t)
	s.step(path, "buy", "amount", "5000", "client", "Selma Lund", "new_client", "1", "client_kind", "person", "paper",
		"passport", "number", "X1", "day", "2026-03-02")
	s.step(path, "sell", "amount", "7000", "client", "Bruno Vale", "new_client", "1", "client_kind", "person", "pay",
		"owed", "day", "2026-04-02")
	due := s.page("/ledger/due")
	want(t, due.Find("table tbody tr"), "owes for a watch2 Apr 2026")
	link, _ := due.Find("table tbody a").First().Attr("href")
	form := url.Values{}
	s.page(link).Find("#settle ~ form input").Each(func(_ int, in elements) {
		form.Set(in.AttrOr("name", ""),
			in.AttrOr("value", ""))
	})
	if form.Get("amount") != "7000.00 EUR" {
		t.Fatalf("the form offers %q", form.Get("amount"))
	}
	form.Set("amount", "9000")
	a := s.post("/ledger/settle", form)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-amount"), "at most 7000.00 EUR")
	form.Set("amount", "3000")
	s.wantStatus(s.post("/ledger/settle", form), http.StatusSeeOther)
	want(t, s.page("/ledger/due").Find("table tbody tr"), "4,000.00 EUR")
	form.Set("amount", "4000")
	s.wantStatus(s.post("/ledger/settle", form), http.StatusSeeOther)
	want(t, s.page("/ledger/due").Find(".notice"), "Nothing is open")
	s.wantStatus(s.post("/ledger/settle", form), http.StatusSeeOther) // the answer of the first
	form.Del("Midcase-Form")
	s.wantStatus(s.post("/ledger/settle", form), http.StatusUnprocessableEntity)
	open, err := s.shop.Entries(t.Context(), shop.EntryFilter{})
	if err != nil || len(open) != 4 {
		t.Errorf("%d entries, %v", len(open), err)
	}
}
