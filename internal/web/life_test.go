package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
)

// desk is an empty shop with one offered watch, at its address.
func desk(t *testing.T) (*site, shop.WatchID, string) {
	t.Helper()
	s := serveEmpty(t)
	w, err := s.shop.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	return s, w.ID, watchPath(w.ID) + "/life"
}

// step sends the form of an act and follows where it leads.
func (s *site) step(path, act string, fields ...string) {
	s.t.Helper()
	a := s.post(path, stepOf(act, fields...))
	s.wantStatus(a, http.StatusSeeOther)
	if to := a.Header.Get("Location"); a.StatusCode == http.StatusSeeOther {
		want(s.t, s.page(to).Find("[role=status]"), ",")
	}
}

func stepOf(act string, fields ...string) url.Values {
	v := url.Values{"act": {act}}
	for i := 0; i+1 < len(fields); i += 2 {
		v.Set(fields[i], fields[i+1])
	}
	return v
}

func acts(s *site, path string) string {
	var names []string
	s.page(path).Find("ul[aria-label=Steps] li").Each(func(_ int, li elements) {
		names = append(names,
			squeeze(li.Text()))
	})
	return strings.Join(names, ", ")
}

// TestLifeInTheBrowser takes a watch from the offer to the sale and back, by the forms alone.
func TestLifeInTheBrowser(t *testing.T) {
	s, id, path := desk(t)
	if got := acts(s, path); got != "Buy, Take on consignment, Buy with partners, Take in part exchange, Decline, Change location" {
		t.Errorf("offered, it may: %s", got)
	}
	s.step(path, "buy", "amount", "5,000", "client", "Selma Lund", "new_client", "1", "client_kind", "person", "paper",
		"passport", "number", "X1", "day", "2026-03-02", "document", "P-1", "place", "safe")
	p := s.page(path)
	want(t, p.Find(".lead"), "Bought since 2 Mar 2026, safe. It is the shop's own. It has cost 5,000 EUR so far. Nothing on record prevents a sale.")
	if got := acts(s, path); strings.Contains(got, "Buy,") || !strings.Contains(got, "Sell") ||
		!strings.Contains(got, "Write it off") {
		t.Errorf("bought, it may: %s", got)
	}
	s.step(path, "at_watchmaker", "holder", "The Bench", "due", "2026-04-01", "day", "2026-03-03")
	want(t, s.page(path).Find(".lead"), "in the hands of The Bench, due back 1 Apr 2026")
	s.step(path, "work", "what", "service", "amount", "400", "client", "The Bench", "new_client", "1", "client_kind",
		"workshop", "day", "2026-03-20", "bag_slot1", "crown", "bag_what1", "worn original")
	p = s.page(path)
	want(t, p.Find("#money ~ table"), "Cost so far, work included5,400 EUR")
	want(t, p.Find("#money ~ ul"), "Crown: worn original")
	s.step(path, "listed", "asking", "7900", "day", "2026-03-22")
	s.step(path, "reserve", "client", "Bruno Vale", "new_client", "1", "client_kind", "person", "due", "2026-04-10",
		"amount", "500", "day", "2026-03-25")
	want(t, s.page(path).Find("#money ~ table"), "Deposit of Bruno Vale500 EUR")
	if v, _ := s.page(path + "?act=sell").Find("input[name=client]").Attr("value"); v != "Bruno Vale" {
		t.Errorf("a sale offers %q as the buyer", v)
	}
	s.step(path, "sell", "amount", "7700", "client", "Bruno Vale", "route", "private client", "day", "2026-03-28",
		"document", "S-1")
	p = s.page(path)
	want(t, p.Find("#money ~ table"), "Sold for7,700 EURTax on it450 EURProfit1,850 EUR") // 2,700·20/120; 7,700−450−5,400
	s.step(path, "refund", "day", "2026-04-02")
	want(t, s.page(path).Find("#money ~ table"), "Cost so far, work included5,400 EUR")
	w, err := s.shop.Watch(t.Context(), id)
	if err != nil || w.State != shop.Returned || w.Asking.String() != "7900.00 EUR" {
		t.Errorf("%s, asking %s, %v", w.State, w.Asking, err)
	}
}

// TestUndoInTheBrowser takes the last step back; the ledger shows both entries and stands at nothing.
func TestUndoInTheBrowser(t *testing.T) {
	s, id, path := desk(t)
	s.step(path, "buy", "amount", "5000", "client", "Selma Lund", "new_client", "1", "client_kind", "person")
	a := s.post(path+"/undo", url.Values{"reason": {" "}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-reason"), "why the step was wrong")
	a = s.post(path+"/undo", url.Values{"reason": {"another watch was meant"}})
	s.wantStatus(a, http.StatusSeeOther)
	p := s.page(path)
	want(t, p.Find(".lead"), "Offered since")
	want(t, p.Find("table:last-of-type s"), "Bought")
	want(t, p.Find("#steps ~ table"), "another watch was meant")
	err := s.shop.Accounts.Books(t.Context(), func(b *ledger.Books) error {
		all, err := b.Balances()
		for _, x := range all {
			if x.Amount.Sign() != 0 {
				t.Errorf("%s stands at %s", x.Account, x.Amount)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	entries, err := s.shop.Entries(t.Context(), shop.EntryFilter{Watch: id})
	if err != nil || len(entries) != 2 || entries[1].Reverses != entries[0].ID {
		t.Errorf("%d entries, %v", len(entries), err)
	}
}

// TestStepsThatAreRefused leaves what was typed, names the field, and books nothing.
func TestStepsThatAreRefused(t *testing.T) {
	s, _, path := desk(t)
	if _, err := s.shop.People.Add(t.Context(), shop.Client{ID: "c_s", Name: "Selma Lund"}); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		act    string
		fields []string
		field  string
		says   string
	}{
		"no price": {"buy", []string{"client", "Selma Lund", "place", "safe"}, "amount", "an amount"},
		"price": {"buy", []string{"amount", "much", "client", "Selma Lund", "place", "safe"}, "amount",
			"an amount above zero"},
		"nobody": {"buy", []string{"amount", "5000", "place", "safe"}, "client", "Enter a client's name"},
		"unknown": {"buy", []string{"amount", "5000", "client", "No Body", "place", "safe"}, "client",
			"not on record"},
		"no rate": {"buy", []string{"amount", "5000 CHF", "client", "Selma Lund", "place", "safe"}, "rate",
			"EUR for 1 CHF"},
		"future": {"buy", []string{"amount", "5000", "client", "Selma Lund", "day", "2031-01-01", "place",
			"safe"}, "day", "not in the future"},
		"tax of margin": {"buy", []string{"amount", "5000", "client", "Selma Lund", "scheme", "margin", "tax", "100",
			"place", "safe"}, "tax", "none under the scheme"},
		"commission": {"consign", []string{"amount", "5000", "client", "Selma Lund", "place", "safe"}, "commission",
			"one of the two"},
		"percentage": {"consign", []string{"amount", "5000", "client", "Selma Lund", "commission", "x", "place",
			"safe"}, "commission", "a percentage"},
		"partner": {"share", []string{"amount", "5000", "client", "Selma Lund", "place", "safe"}, "partner",
			"a dealer on record"},
		"exchange": {"exchange", []string{"amount", "5000", "client", "Selma Lund", "against", "999", "place",
			"safe"}, "against", "the file or serial number"},
	} {
		a := s.post(path, stepOf(c.act, c.fields...))
		s.wantStatus(a, http.StatusUnprocessableEntity)
		p := a.page(t)
		if got := squeeze(p.Find("#e-" + c.field).Text()); !strings.Contains(got, c.says) {
			t.Errorf("%s: beside %s stands %q; want %q (%s)", name, c.field, got, c.says,
				squeeze(p.Find(".notice.wrong").Text()))
		}
		if v, _ := p.Find("input[name=place]").Attr("value"); v != "safe" {
			t.Errorf("%s: what was typed is lost", name)
		}
	}
	a := s.post(path, stepOf("sell", "amount", "5000"))
	s.wantStatus(a, http.StatusUnprocessableEntity) // no step of an offered watch
	entries, err := s.shop.Entries(t.Context(), shop.EntryFilter{})
	if err != nil || len(entries) != 0 {
		t.Errorf("%d entries, %v", len(entries), err)
	}
	s.wantStatus(s.get(watchPath("w_none")+"/life"), http.StatusNotFound)
}

// TestNothingTwice: a form sent again after it was done books nothing, and undoes nothing more.
func TestNothingTwice(t *testing.T) {
	s, id, path := desk(t)
	s.step(path, "buy", "amount", "5000", "client", "Selma Lund", "new_client", "1", "client_kind", "person")
	p := s.page(path + "?act=fee")
	form := stepOf("fee", "what", "photographs", "amount", "60", "version",
		p.Find("input[name=version]").AttrOr("value", ""))
	s.wantStatus(s.post(path, form), http.StatusSeeOther)
	a := s.post(path, form)
	s.wantStatus(a, http.StatusConflict)
	want(t, a.page(t).Find("[role=alert]"), "since you opened the form")
	undo := url.Values{"reason": {"by mistake"}, "step": {s.page(path).Find("input[name=step]").AttrOr("value", "")}}
	s.wantStatus(s.post(path+"/undo", undo), http.StatusSeeOther)
	s.wantStatus(s.post(path+"/undo", undo), http.StatusConflict)
	entries, err := s.shop.Entries(t.Context(), shop.EntryFilter{Watch: id})
	if err != nil || len(entries) != 3 {
		t.Errorf("%d entries, %v; want the purchase, the fee and its answer", len(entries), err)
	}
}

// TestTypedFigures: amounts are read as the reader writes them, and never guessed at.
func TestTypedFigures(t *testing.T) {
	s, _, path := desk(t)
	send := func(amount string) answer {
		r := s.request(http.MethodPost, path, strings.NewReader(stepOf("buy", "amount", amount, "client", "Selma Lund",
			"new_client", "1", "client_kind", "person").Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		r.Header.Set("Accept-Language", "de-DE")
		return s.do(r)
	}
	a := send("5,000")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-amount"), "two ways")
	s.wantStatus(send("5.000,50"), http.StatusSeeOther)
	want(t, s.page(path).Find(".lead"), "5,000.50 EUR")
}

// TestHoldInTheBrowser refuses a sale inside a hold, and lets it go ahead for a reason that is kept.
func TestHoldInTheBrowser(t *testing.T) {
	s, _, path := desk(t)
	if err := s.shop.Trade.SetRules(t.Context(), trade.LocalRules{Place: "here", HoldDays: 30}); err != nil {
		t.Fatal(err)
	}
	s.step(path, "buy", "amount", "5000", "client", "Selma Lund", "new_client", "1", "client_kind", "person", "day",
		"2026-10-25")
	want(t, s.page(path).Find("#holds ~ ul"),
		"Hold, days to hold: bought 2026-10-25; it must be held 30 days, so not sold before 2026-11-24")
	sale := []string{"amount", "7000", "client", "Bruno Vale", "new_client", "1", "client_kind", "person"}
	a := s.post(path, stepOf("sell", sale...))
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".notice.wrong"), "it must be held 30 days")
	if a.page(t).Find("input[name=override]").Length() != 1 {
		t.Error("no reason can be given")
	}
	s.step(path, "sell", append(sale, "override", "the police released it in writing")...)
	want(t, s.page(path).Find("#steps ~ table"), "against the hold “days to hold”: the police released it in writing")
}
