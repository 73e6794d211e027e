package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop/ledger"
)

func done(t *testing.T, s *site, path string, fields ...string) answer {
	t.Helper()
	return s.post(path, stepOf("", fields...))
}

// 1,500 USD taken at 0.90 and changed at 0.95 are a gain of 75.00, which the page shows; what is left is stated at the
// closing rate once.
func TestMoneyInOtherCurrenciesOnItsPage(t *testing.T) {
	s := serveEmpty(t)
	want(t, s.page("/ledger/money").Find(".notice"), "No money in other currencies")
	s.wantStatus(done(t, s, "/ledger/money", "does", "carry", "carry", "average"), http.StatusSeeOther)
	want(t, s.page("/ledger/money").Find("main"), "weighted average")
	s.wantStatus(done(t, s, "/ledger/money", "does", "carry", "carry", "fifo"), http.StatusSeeOther)
	s.wantStatus(done(t, s, "/ledger/enter", "kind", "capital", "amount", "2500 USD", "rate", "0.90", "day", "2026-01-02"),
		http.StatusSeeOther)
	s.wantStatus(done(t, s, "/ledger/enter", "kind", "exchange", "amount", "1500 USD", "in", "1425", "day", "2026-02-02"),
		http.StatusSeeOther)
	p := s.page("/ledger/money")
	want(t, p.Find("table tbody tr"), "1,000.00 USD900.00")
	want(t, p.Find("#realised + table tbody tr"), "75.00")
	want(t, p.Find("main"), "It stays as it was chosen")
	a := done(t, s, "/ledger/money", "does", "carry", "carry", "average")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	a = done(t, s, "/ledger/money", "does", "revalue", "day", "2026-02-28", "rates", "USD 0.92")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-rates"), "is not a rate")
	s.wantStatus(done(t, s, "/ledger/money", "does", "revalue", "day", "2026-02-28", "rates", "USD = 0.92"), http.StatusSeeOther)
	a = done(t, s, "/ledger/money", "does", "revalue", "day", "2026-02-28", "rates", "USD = 0.93")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	s.wantStatus(done(t, s, "/ledger/money", "does", "nothing"), http.StatusNotFound)
}

// Months are filed, opened again and locked; a filed one takes no more entries; a year that is over is closed, and the
// next opens with its balances.
func TestPeriodsOnTheirPage(t *testing.T) {
	s := serveEmpty(t)
	s.wantStatus(done(t, s, "/ledger/enter", "kind", "capital", "amount", "20000", "day", "2025-03-02"), http.StatusSeeOther)
	s.wantStatus(done(t, s, "/ledger/enter", "kind", "overhead", "amount", "1200", "text", "rent", "day", "2025-04-02"),
		http.StatusSeeOther)
	a := done(t, s, "/ledger/periods", "does", "period", "month", "2031-01", "to", "filed")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-month"), "not on the list")
	s.wantStatus(done(t, s, "/ledger/periods", "does", "period", "month", "2025-04", "to", "filed"), http.StatusSeeOther)
	p := s.page("/ledger/periods")
	want(t, p.Find("table tbody"), "Apr 2025filed")
	want(t, p.Find("table tbody"), "May 2025open")
	a = done(t, s, "/ledger/enter", "kind", "overhead", "amount", "7", "text", "ink", "day", "2025-04-03")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	s.wantStatus(done(t, s, "/ledger/periods", "does", "period", "month", "2025-04", "to", "open"), http.StatusSeeOther)
	want(t, s.page("/ledger/periods").Find("table tbody"), "Apr 2025open")
	want(t, s.page("/ledger/periods?opening=2026").Find("main"), "the year before is not closed")
	s.wantStatus(done(t, s, "/ledger/periods", "does", "year", "year", "2025"), http.StatusSeeOther)
	p = s.page("/ledger/periods?opening=2026")
	want(t, p.Find("#opening ~ table"), "18,800.00")
	if strings.Contains(p.Find("#opening ~ table").Text(), "Overheads") {
		t.Error("a cost of the closed year opens the next")
	}
	want(t, p.Find("table tbody"), "Apr 2025locked")
	s.wantStatus(done(t, s, "/ledger/periods", "does", "year", "year", "2025"), http.StatusUnprocessableEntity)
	s.wantStatus(done(t, s, "/ledger/periods", "does", "deposit", "deposit", "yes", "kept", ""), http.StatusSeeOther)
	want(t, s.page("/ledger/periods").Find("select[name=deposit] option[selected]"), "yes")
	if f := s.get("/ledger/opening.csv?opening=2026"); !strings.Contains(f.body, "18800.00,EUR") {
		t.Errorf("the file of balances: %s", f.body)
	}
}

// Every kind that the command line books has a form that asks for what it needs, and says what is missing beside it.
func TestEveryKindIsEnteredByPage(t *testing.T) {
	s := serveEmpty(t)
	for _, k := range ledger.Forms() {
		p := s.page("/ledger/enter?kind=" + k.ID)
		want(t, p.Find("#book"), k.Name)
		if (p.Find("input[name=watch]").Length() == 1) != (k.Watch != "") || (p.Find("select[name=pay]").Length() == 1) != k.Money() {
			t.Errorf("%s asks for something else than it needs", k.ID)
		}
		a := done(t, s, "/ledger/enter", "kind", k.ID)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		want(t, a.page(t).Find("#e-amount"), "amount")
		if k.Party == "" && k.Watch == "" && k.Credit != ledger.Receivable {
			s.wantStatus(done(t, s, "/ledger/enter", "kind", k.ID, "amount", "120", "day", "2026-01-05"), http.StatusSeeOther)
			continue
		}
		a = done(t, s, "/ledger/enter", "kind", k.ID, "amount", "120", "client", "Nobody Known", "watch", "999")
		if k.Watch == "may" && k.Party == "" { // the watch alone is not found
			want(t, a.page(t).Find("#e-watch"), "is on file")
			continue
		}
		s.wantStatus(a, http.StatusUnprocessableEntity)
	}
}

// A lot is divided by value, and a seller's reduction lowers its cost. By hand: 900 over 200 and 400 is 300 and 600.
func TestALotAndAReductionByPage(t *testing.T) {
	s, _, path := desk(t)
	s.step(path, "buy", "amount", "5000", "client", "Selma Lund", "new_client", "1", "client_kind", "person", "paper",
		"passport", "number", "X1", "day", "2026-03-02")
	s.wantStatus(done(t, s, "/ledger/enter", "kind", "reduction", "amount", "200", "watch", "1", "client", "Selma Lund"),
		http.StatusSeeOther)
	a := done(t, s, "/ledger/enter", "kind", "reduction", "amount", "200", "watch", "77", "client", "Selma Lund")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-watch"), "No watch “77”")
	a = done(t, s, "/ledger/enter", "kind", "lot", "amount", "900", "watches", "1 = much", "client", "Selma Lund")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-watches"), "no worth that can be read")
}

// The boxes of a form by the quarter, and as a file.
func TestTheTaxReturnOnItsPage(t *testing.T) {
	s := look(t)
	p := s.page("/ledger/return?period=2026-Q1&form=gb")
	want(t, p.Find("table caption"), "Jan 2026 to Mar 2026")
	want(t, p.Find("table tbody tr th"), "1")
	want(t, p.Find("main"), "check your local rules")
	want(t, s.page("/ledger/return?form=ie").Find("table tbody tr th"), "T1")
	a := s.get("/ledger/return?period=soon")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-period"), "2026-Q1")
	f := s.get("/ledger/return.csv?" + url.Values{"period": {"2026-Q1"}, "form": {"ie"}}.Encode())
	if !strings.HasPrefix(f.body, "form,period,box") || !strings.Contains(f.body, "ie,2026-Q1,T1") {
		t.Errorf("the file: %s", f.body)
	}
}

// What is open is paid in instalments: by hand, 1,200 at 12 % in three are 408.03 with 12.00 interest in the first.
func TestInstalmentsByPage(t *testing.T) {
	s, _, path := desk(t)
	s.step(path, "buy", "amount", "1000", "client", "Selma Lund", "new_client", "1", "client_kind", "person", "paper",
		"passport", "number", "X1", "day", "2026-03-02")
	s.step(path, "sell", "amount", "1200", "client", "Bruno Vale", "new_client", "1", "client_kind", "person", "pay", "owed",
		"day", "2026-03-02", "override", "tried")
	want(t, s.page(path).Find("main"), "Still owed")
	s.step(path, "instalments", "parts", "3", "interest", "12", "first", "2026-03-02", "day", "2026-03-02")
	p := s.page(path)
	want(t, p.Find("#money").Parent(), "408.03")
	want(t, p.Find("#money").Parent(), "803.97")
	due := s.page("/ledger/due")
	link, ok := due.Find("main td a").First().Attr("href")
	if !ok {
		t.Fatal("nothing to settle")
	}
	want(t, s.page(link).Find("main"), "paid in instalments")
	if v, _ := s.page(link).Find("input[name=amount]").Attr("value"); !strings.HasPrefix(v, "408.03") {
		t.Errorf("the amount offered is %q", v)
	}
	u, err := url.Parse(link)
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	s.wantStatus(done(t, s, "/ledger/settle", "account", q.Get("account"), "client", q.Get("client"), "currency", "EUR",
		"watch", q.Get("watch"), "amount", "408.03"), http.StatusSeeOther)
	want(t, s.page(path).Find("#money").Parent(), "Next: 408.03")
}
