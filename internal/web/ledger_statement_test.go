package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// A statement is read and shown; nothing is booked before a line is ticked, and a charge is booked once and undone.
func TestABankStatementOnThePage(t *testing.T) {
	s := serveEmpty(t)
	s.wantStatus(s.sendFile("/ledger/statement", "file", "none.csv", "", nil), http.StatusUnprocessableEntity)
	a := s.sendFile("/ledger/statement", "file", "bank.csv", "Date,Description,Amount\n2026-02-04,Bank charges,-4.50\n"+
		"2026-02-05,gift,17.00\n", nil)
	s.wantStatus(a, http.StatusSeeOther)
	at := a.Header.Get("Location")
	p := s.page(at)
	want(t, p.Find("h2"), "bank.csv")
	want(t, p.Find("table"), "a charge of the bank")
	want(t, p.Find("table"), "nothing found")
	if n := p.Find("input[name=line]").Length(); n != 1 {
		t.Errorf("%d lines can be booked; want the charge alone", n)
	}
	if strings.Contains(s.page("/ledger/journal").Text(), "charges of the bank") {
		t.Error("reading a statement has booked it")
	}
	s.wantStatus(s.post(at, nil), http.StatusUnprocessableEntity)
	s.wantStatus(s.post(at, url.Values{"line": {"2"}}), http.StatusUnprocessableEntity)
	done := s.post(at, url.Values{"line": {"1"}})
	s.wantStatus(done, http.StatusSeeOther)
	booked := s.page(done.Header.Get("Location"))
	want(t, booked.Find(".notice"), "Booked.")
	want(t, booked.Find("table"), "booked before")
	want(t, s.page("/ledger/journal").Find("table.journal"), "charges of the bank")
	s.wantStatus(s.get("/ledger/statement/nowhere"), http.StatusNotFound)

	order := s.sendFile("/ledger/statement", "file", "days.csv", "Date,Amount\n03/04/2026,10.00\n05/06/2026,-1.00\n", nil)
	want(t, s.page(order.Header.Get("Location")).Find("main"), "The month comes first")
	want(t, s.page(order.Header.Get("Location")+"?order=day-first").Find("table"), "10")
}
