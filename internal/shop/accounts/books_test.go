package accounts_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
)

// traded is a shop that bought two watches for 1,500 and 800, and sold the first for 2,500 under the margin scheme with
// tax at 20 %: a sixth of the margin of 1,000 is 166.67.
func traded(t *testing.T) (*shoptest.Bench, shop.WatchID) {
	t.Helper()
	b, ctx := shoptest.WithBook(t, nil).WithClients(t), t.Context()
	sold, kept := b.Offered(t), b.Offered(t)
	prices := map[shop.WatchID]string{sold: "1500", kept: "800"}
	for _, id := range []shop.WatchID{sold, kept} {
		if _, err := b.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller",
			Amount: shoptest.EUR(prices[id]), Day: "2026-01-10"}, Scheme: "margin"}, "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	rate := decimal.MustParse("0.20")
	terms := trade.Terms{Client: "c_buyer", Amount: shoptest.EUR("2500"), Day: "2026-02-20"}
	if _, err := b.Trade.Sell(ctx, sold, trade.Selling{Terms: terms, TaxRate: &rate}, "Ines"); err != nil {
		t.Fatal(err)
	}
	return b, sold
}

func TestStockBookAndMovementsTie(t *testing.T) {
	b, sold := traded(t)
	rows, err := b.Accounts.StockBook(t.Context())
	if err != nil || len(rows) != 2 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	at := slices.IndexFunc(rows, func(r accounts.StockBookRow) bool { return r.Watch == string(sold) })
	if r := rows[at]; r.Margin.Amount() != "1000.00" || r.Tax.Amount() != "166.67" || r.SellerName != "Selma Lund" ||
		r.BuyerName != "Bruno Vale" || r.Sold != "2026-02-20" {
		t.Errorf("%+v", r)
	}
	moves, err := b.Accounts.StockMoves(t.Context())
	if err != nil || len(moves) != 3 {
		t.Fatalf("%d movements, %v; want two bought and one sold", len(moves), err)
	}
	if m := moves[2]; !m.Sale || m.PartyName != "Bruno Vale" || m.Margin.Amount() != "1000.00" ||
		m.Tax.Amount() != "166.67" {
		t.Errorf("%+v", m)
	}
	page, total, err := b.Accounts.StockBookPage(t.Context(), 2, 1)
	if err != nil || total != 2 || len(page) != 1 || page[0].Watch != string(sold) {
		t.Errorf("the latest first, the second page of one row: %+v of %d, %v", page, total, err)
	}
}

// The profit is the same however it is summed: 2,500 less 166.67 of tax less 1,500.
func TestProfitIsOneFigure(t *testing.T) {
	b, sold := traded(t)
	for by, want := range map[string]string{"watch": string(sold), "reference": "Corvane KR-1", "route": "",
		"month": "2026-02"} {
		rows, err := b.Accounts.RankedProfit(t.Context(), by)
		if err != nil || len(rows) == 0 {
			t.Fatalf("%s: %v", by, err)
		}
		at := slices.IndexFunc(rows, func(r ledger.ProfitRow) bool { return r.Profit.Sign() != 0 })
		if at < 0 || rows[at].Profit.Amount() != "833.33" || want != "" && rows[at].Key != want {
			t.Errorf("by %s: %+v; want 833.33 at %s", by, rows, want)
		}
	}
	_, err := b.Accounts.Profit(t.Context(), "weather")
	shoptest.Refused(t, err, "by")
}

// What leaves the shop as text names the people who are on record and everybody else by nothing.
func TestTheLedgerAsText(t *testing.T) {
	b, _ := traded(t)
	ctx := t.Context()
	write := func(f func(*bytes.Buffer) error) string {
		t.Helper()
		var out bytes.Buffer
		if err := f(&out); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	journal := write(func(w *bytes.Buffer) error { return b.Accounts.WriteJournal(ctx, w) })
	bean := write(func(w *bytes.Buffer) error { return b.Accounts.WriteBeancount(ctx, w) })
	sheet := write(func(w *bytes.Buffer) error { return b.Accounts.WriteLedgerCSV(ctx, w) })
	for name, text := range map[string]string{"journal": journal, "the other form": bean} {
		if !strings.Contains(text, "Bruno Vale") || !strings.Contains(text, "2026-02-20") {
			t.Errorf("%s does not name who bought:\n%s", name, text)
		}
	}
	if strings.Contains(sheet, "Bruno Vale") || !strings.Contains(sheet, "c_buyer") {
		t.Errorf("the table names people:\n%s", sheet)
	}
	if err := b.Accounts.VerifyLedger(ctx); err != nil {
		t.Error(err)
	}
}

// The books of a day hold what was booked up to it, those read soon are ready, and a later entry is in the next look.
func TestBooksOfADay(t *testing.T) {
	b, _ := traded(t)
	ctx := t.Context()
	for day, want := range map[string]int{"2026-01-09": 0, "2026-01-10": 2, "2026-02-20": 3, "2027-01-01": 3} {
		books, err := b.Accounts.BooksAsOf(ctx, day)
		if err != nil || books.Posted() != want {
			t.Errorf("%s: %d entries, %v; want %d", day, books.Posted(), err, want)
		}
	}
	if n, ready, err := b.Accounts.BooksSoon(ctx, time.Minute); err != nil || !ready || n != 3 {
		t.Errorf("%d read, ready %t, %v", n, ready, err)
	}
	if _, err := b.Trade.Overhead(ctx, trade.Terms{Amount: shoptest.EUR("60"), Text: "rent"}, shoptest.EUR("0"),
		"Ines"); err != nil {
		t.Fatal(err)
	}
	if got := b.Balance(t, "expenses:overheads"); got != "60.00" {
		t.Errorf("overheads stand at %s", got)
	}
}

// The boxes of a return come from the months' figures: on a margin of 1,000 with 166.67 of tax the price without that
// tax is 2,333.33, of which the form takes whole pounds. Notice 718 and 700/12 of gov.uk, from memory.
func TestReturnsAreFilledIn(t *testing.T) {
	b, _ := traded(t)
	fill := func(id, period string) string {
		t.Helper()
		f, ok := ledger.ReturnFormOf(id)
		if !ok {
			t.Fatalf("no return %s", id)
		}
		from, to, ok := ledger.Span(period)
		if !ok {
			t.Fatalf("%s is no period", period)
		}
		var out []string
		err := b.Accounts.Books(t.Context(), func(books *ledger.Books) error {
			boxes, err := books.Return(f, from, to)
			for _, x := range boxes {
				out = append(out, x.Box+" "+x.Amount.Amount())
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return strings.Join(out, ", ")
	}
	for _, c := range []struct{ id, period, want string }{
		{"gb", "2026-Q1", "1 166.67, 2 0.00, 3 166.67, 4 0.00, 5 166.67, 6 2333.00, 7 2300.00"},
		{"gb", "2026-01", "1 0.00, 2 0.00, 3 0.00, 4 0.00, 5 0.00, 6 0.00, 7 2300.00"},
		{"ie", "2026", "T1 166.67, T2 0.00, T3 166.67, T4 0.00"},
		{"ie", "2025-Q4", "T1 0.00, T2 0.00, T3 0.00, T4 0.00"},
	} {
		if got := fill(c.id, c.period); got != c.want {
			t.Errorf("%s of %s: %s; want %s", c.id, c.period, got, c.want)
		}
	}
	for _, bad := range []string{"", "2026-Q5", "2026-13", "26", "2026-q1", "later"} {
		if from, to, ok := ledger.Span(bad); ok {
			t.Errorf("%q is a period from %s to %s", bad, from, to)
		}
	}
	if len(ledger.ReturnForms()) != 2 {
		t.Error(fmt.Sprint(ledger.ReturnForms()))
	}
}
