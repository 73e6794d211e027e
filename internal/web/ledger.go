package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/ledger"
	"midcase/internal/web/form"
	page "midcase/internal/web/pages/ledger"
)

// ledgerPages show the shop's money and take entries.
type ledgerPages struct{ *site }

func (s *ledgerPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /ledger", s.page(s.withBooks("balance", s.balancePage)))
	mux.Handle("GET /ledger/journal", s.page(s.withBooks("journal", s.journalPage)))
	mux.Handle("GET /ledger/stock-book", s.page(s.withBooks("stock-book", s.stockBookPage)))
	mux.Handle("GET /ledger/vat", s.page(s.withBooks("vat", s.vatPage)))
	mux.Handle("GET /ledger/ageing", s.page(s.withBooks("ageing", s.ageingPage)))
	mux.Handle("GET /ledger/profit", s.page(s.withBooks("profit", s.profitPage)))
	mux.Handle("GET /ledger/due", s.page(s.withBooks("due", s.duePage)))
	mux.Handle("GET /ledger/enter", s.page(s.enterPage))
	mux.Handle("POST /ledger/enter", s.page(s.enterEntry))
	mux.Handle("POST /ledger/settle", s.page(s.settle))
	mux.Handle("POST /ledger/counter", s.page(s.counterEntry))
	mux.Handle("GET /ledger/money", s.page(s.withBooks("money", s.moneyPage)))
	mux.Handle("POST /ledger/money", s.page(s.changeMoney))
	mux.Handle("GET /ledger/periods", s.page(s.withBooks("periods", s.periodsPage)))
	mux.Handle("POST /ledger/periods", s.page(s.changePeriods))
	mux.Handle("GET /ledger/return", s.page(s.withBooks("return", s.returnPage)))
	s.fileRoutes(mux)
}

// booksWait is how long a page waits for the books. Reading a large ledger takes longer, once after
// a start; the page says so and comes again by itself.
const booksWait = 100 * time.Millisecond

const (
	journalRows = 40
	listRows    = 100
)

func (s *ledgerPages) ledgerHead(place, title string) page.Head {
	return page.Head{Frame: s.frame("ledger", title), Place: place, Base: string(s.shop.Currency())}
}

// withBooks shows a page of the ledger once the books are read.
func (s *ledgerPages) withBooks(place string, show handler) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		read, ready, err := s.shop.Accounts.BooksSoon(r.Context(), booksWait)
		if err != nil {
			return err
		}
		if !ready {
			w.Header().Set("Refresh", "1")
			w.Header().Set("Cache-Control", "no-store")
			return page.Loading(s.ledgerHead(place, "Ledger"), read).Render(r.Context(), w)
		}
		return show(w, r)
	}
}

func (s *ledgerPages) balancePage(w http.ResponseWriter, r *http.Request) error {
	d := page.BalanceData{Head: s.ledgerHead("balance", "Ledger")}
	err := s.shop.Accounts.Books(r.Context(), func(b *ledger.Books) (err error) {
		d.Entries = b.Posted()
		d.Balances, err = b.Balances()
		return err
	})
	if err != nil {
		return err
	}
	return page.Balance(d).Render(r.Context(), w)
}

// pageOf is the number of the page asked for, from 1.
func pageOf(r *http.Request) int {
	if n, err := strconv.Atoi(r.FormValue("page")); err == nil && n > 1 && n < 1e7 {
		return n
	}
	return 1
}

// journalQuery makes a query of what is searched for: a watch, an entry or the number of a document.
func (s *ledgerPages) journalQuery(r *http.Request) (accounts.JournalQuery, error) {
	q := accounts.JournalQuery{Account: ledger.Account(r.FormValue("account")), Watch: shop.WatchID(r.FormValue("watch")),
		Party: r.FormValue("party"), Page: pageOf(r), Rows: journalRows}
	text := strings.TrimSpace(r.FormValue("q"))
	if text == "" {
		return q, nil
	}
	if found, err := s.shop.Entries(r.Context(), shop.EntryFilter{ID: text}); err != nil || len(found) > 0 {
		q.ID = text
		return q, err
	}
	w, err := s.shop.Find(r.Context(), text)
	switch {
	case err == nil:
		q.Watch = w.ID
	case errors.Is(err, shop.ErrNotFound), errors.Is(err, shop.ErrAmbiguous):
		q.Document = text
	default:
		return q, err
	}
	return q, nil
}

func (s *ledgerPages) journalPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.journalData(r)
	if err != nil {
		return err
	}
	if r.FormValue("done") != "" {
		d.Note = "Booked."
	}
	return page.Journal(d).Render(r.Context(), w)
}

func (s *ledgerPages) journalData(r *http.Request) (page.JournalData, error) {
	ctx := r.Context()
	d := page.JournalData{Head: s.ledgerHead("journal", "Journal"), Q: strings.TrimSpace(r.FormValue("q")),
		Account: r.FormValue("account"), Query: url.Values{}}
	d.Reverse = &reversal.Of(ctx, reversing{Entry: d.Q}).View
	for _, name := range []string{"q", "account", "watch", "party"} {
		if v := strings.TrimSpace(r.FormValue(name)); v != "" {
			d.Query.Set(name, v)
		}
	}
	q, err := s.journalQuery(r)
	if err != nil {
		return d, err
	}
	if d.Page, err = s.shop.Accounts.Journal(ctx, q); err != nil {
		return d, err
	}
	if d.Names, _, err = s.shop.Names(ctx, "journal"); err != nil {
		return d, err
	}
	if d.Watch, err = s.shop.NamesOfWatches(ctx); err != nil {
		return d, err
	}
	if q.Watch != "" {
		d.WatchID, d.Title = string(q.Watch), d.Watch(string(q.Watch)).Title
	}
	return d, nil
}

func (s *ledgerPages) stockBookPage(w http.ResponseWriter, r *http.Request) error {
	d := page.StockBookData{Head: s.ledgerHead("stock-book", "Stock book"), At: pageOf(r)}
	var err error
	if d.Rows, d.Total, err = s.shop.Accounts.StockBookPage(r.Context(), d.At, listRows); err != nil {
		return err
	}
	d.Pages = (d.Total + listRows - 1) / listRows
	return page.StockBook(d).Render(r.Context(), w)
}

// vatRows are the figures of the months asked for.
func (s *ledgerPages) vatRows(r *http.Request) (rows []ledger.VATRow, by, problem string, err error) {
	from, to := strings.TrimSpace(r.FormValue("from")), strings.TrimSpace(r.FormValue("to"))
	by = r.FormValue("by")
	if by != "quarter" && by != "year" {
		by = "month"
	}
	for _, m := range []string{from, to} {
		if _, err := time.Parse("2006-01", m); m != "" && err != nil {
			problem = fmt.Sprintf("“%s” is not a month. Enter one such as 2026-01.", m)
		}
	}
	if problem != "" {
		return nil, by, problem, nil
	}
	err = s.shop.Accounts.Books(r.Context(), func(b *ledger.Books) (err error) {
		rows, err = b.VAT(from, to)
		return err
	})
	return page.Period(rows, by), by, "", err
}

func (s *ledgerPages) vatPage(w http.ResponseWriter, r *http.Request) error {
	d := page.VATData{Head: s.ledgerHead("vat", "VAT figures"), From: r.FormValue("from"), To: r.FormValue("to")}
	var err error
	if d.Rows, d.By, d.Problem, err = s.vatRows(r); err != nil {
		return err
	}
	if r.URL.RawQuery != "" {
		d.Query = "?" + url.Values{"from": {d.From}, "to": {d.To}, "by": {d.By}}.Encode()
	}
	if d.Problem != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return page.VAT(d).Render(r.Context(), w)
}

func (s *ledgerPages) ageingPage(w http.ResponseWriter, r *http.Request) error {
	d := page.AgeingData{Head: s.ledgerHead("ageing", "Ages of the stock"), At: pageOf(r)}
	var err error
	if d.Watch, err = s.shop.NamesOfWatches(r.Context()); err != nil {
		return err
	}
	err = s.shop.Accounts.Books(r.Context(), func(b *ledger.Books) error {
		all := b.Ageing(s.shop.Now())
		d.Total, d.Buckets = len(all), page.Buckets(all)
		d.At, d.Pages = at(d.At, d.Total)
		d.Rows = slices.Clone(window(all, d.At))
		return nil
	})
	if err != nil {
		return err
	}
	return page.Ageing(d).Render(r.Context(), w)
}

// at keeps the number of a page within those that a list has.
func at(page, total int) (int, int) {
	pages := (total + listRows - 1) / listRows
	return max(1, min(page, pages)), pages
}

// window is one page of a list.
func window[T any](all []T, at int) []T {
	first := min(len(all), (at-1)*listRows)
	return all[first:min(len(all), first+listRows)]
}

// profitBy is what profits are summed by, months where nothing sensible was asked.
func profitBy(r *http.Request) string {
	if by := r.FormValue("by"); slices.Contains([]string{"watch", "reference", "route"}, by) {
		return by
	}
	return "month"
}

func (s *ledgerPages) profitPage(w http.ResponseWriter, r *http.Request) error {
	d := page.ProfitData{Head: s.ledgerHead("profit", "Profit"), By: profitBy(r), At: pageOf(r)}
	all, err := s.shop.Accounts.RankedProfit(r.Context(), d.By)
	if err != nil {
		return err
	}
	if d.Watch, err = s.shop.NamesOfWatches(r.Context()); err != nil {
		return err
	}
	d.Total = len(all)
	d.At, d.Pages = at(d.At, d.Total)
	d.Rows = window(all, d.At)
	return page.Profit(d).Render(r.Context(), w)
}

// reversing asks why an entry is reversed.
type reversing struct {
	Entry  string `form:"entry" kind:"hidden"`
	Reason string `form:"reason,needed" label:"It was wrong, because" want:"why the entry was wrong"`
}

var reversal = form.Define[reversing]("reverse an entry")

// counterEntry reverses an entry that belongs to no watch.
func (s *ledgerPages) counterEntry(w http.ResponseWriter, r *http.Request) error {
	f, err := reversal.Read(r, reversing{})
	if err != nil {
		return err
	}
	var kept ledger.Entry
	if f.OK() {
		kept, err = s.shop.Trade.CounterEntry(r.Context(), f.V.Entry, f.V.Reason, s.user(r.Context()))
	}
	if f.Refused(err, nil) || !f.OK() {
		r.Form.Set("q", f.V.Entry)
		d, err := s.journalData(r)
		if err != nil {
			return err
		}
		d.Reverse = &f.View
		w.WriteHeader(http.StatusUnprocessableEntity)
		return page.Journal(d).Render(r.Context(), w)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/ledger/journal?done=1&q="+url.QueryEscape(kept.ID), http.StatusSeeOther)
	return nil
}
