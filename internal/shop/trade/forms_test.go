package trade_test

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// sums are the balances by account; it fails where they do not add up to nothing.
func sums(t *testing.T, h *shoptest.Bench) map[ledger.Account]string {
	t.Helper()
	out, total := map[ledger.Account]string{}, eur("0")
	err := h.Accounts.Books(t.Context(), func(b *ledger.Books) error {
		all, err := b.Balances()
		for _, x := range all {
			out[x.Account] = x.Base.Amount()
			if err == nil {
				total, err = total.Add(x.Base)
			}
		}
		return err
	})
	if err != nil || total.Sign() != 0 {
		t.Fatalf("all accounts come to %s, %v", total, err)
	}
	return out
}

// Each kind of entry that is data can be booked from the desk, balances, and leaves a year that closes.
func TestEveryKindOfEntryIsBooked(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	const day = "2025-11-03"
	terms := func(client, amount string) trade.Terms {
		return trade.Terms{Client: client, Amount: eur(amount), Day: day}
	}
	own, consigned, sold := h.Offered(t), h.Offered(t), h.Offered(t)
	for _, id := range []shop.WatchID{own, sold} {
		done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: terms("c_seller", "1500")}, "Ines"))
	}
	done(t)(h.Trade.ConsignIn(ctx, consigned, trade.Consigning{Terms: terms("c_seller", "900"), Net: eur("800")}, "Ines"))
	owed := terms("c_buyer", "2000")
	owed.Pay = ledger.Receivable
	done(t)(h.Trade.Sell(ctx, sold, trade.Selling{Terms: owed}, "Ines"))
	for _, f := range ledger.Forms() {
		w, client, tax := shop.WatchID(""), "", eur("0")
		switch f.Watch {
		case "stock":
			w = own
		case "consigned":
			w = consigned
		}
		if f.Party != "" {
			client = "c_seller"
		}
		if f.ID == "bad-debt" {
			client = "c_buyer"
		}
		if f.Tax != "" {
			tax = eur("16.67")
		}
		if _, err := h.Trade.Enter(ctx, f.ID, w, terms(client, "100"), tax, "Ines"); err != nil {
			t.Errorf("%s: %v", f.ID, err)
		}
	}
	all := sums(t, h)
	for account, want := range map[ledger.Account]string{"expenses:bad_debts": "100.00", "liabilities:loans": "0.00",
		"expenses:write_down": "0.00", "expenses:wages": "200.00", "assets:receivable": "1900.00",
		"income:insurance": "-100.00", "liabilities:consignors": "100.00"} {
		if all[account] != want {
			t.Errorf("%s stands at %s; want %s", account, all[account], want)
		}
	}
	for field, enter := range map[string]func() error{
		"kind": func() error { _, err := h.Trade.Enter(ctx, "gifts", "", terms("", "1"), eur("0"), "Ines"); return err },
		"amount": func() error {
			_, err := h.Trade.Enter(ctx, "bad-debt", "", terms("c_buyer", "1900.01"), eur("0"), "Ines")
			return err
		},
		"year": func() error { _, err := h.Trade.CloseYear(ctx, "2026", "Ines"); return err },
	} {
		refusedFor(t, field, enter(), field)
	}
	if _, err := h.Trade.CloseYear(ctx, "2025", "Ines"); err != nil {
		t.Fatal(err)
	}
	for account, sum := range sums(t, h) {
		if (strings.HasPrefix(string(account), "income:") || strings.HasPrefix(string(account), "expenses:")) && sum != "0.00" {
			t.Errorf("the year is closed and %s stands at %s", account, sum)
		}
	}
}

// A part of the price given back lowers what the watch costs, on the record as in the books.
func TestASellerGivesBackAPartOfThePrice(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500")}}, "Ines"))
	m := done(t)(h.Trade.Reduce(ctx, id, trade.Terms{Client: "c_seller", Amount: eur("200")}, "Ines"))
	w, err := h.Watch(ctx, id)
	if err != nil || w.Cost.String() != "1300.00 EUR" || w.Client != "c_seller" || m.Price.String() != "200.00 EUR" {
		t.Errorf("cost %s, seller %s, %v", w.Cost, w.Client, err)
	}
	if l, err := h.Trade.Life(ctx, id); err != nil || l.CostSoFar.String() != "1300.00 EUR" {
		t.Errorf("by the books %s, %v", l.CostSoFar, err)
	}
	_, err = h.Trade.Reduce(ctx, id, trade.Terms{Client: "c_seller", Amount: eur("1300.01")}, "Ines")
	if err == nil {
		t.Error("more was given back than it cost")
	}
	_, err = h.Trade.Reduce(ctx, id, trade.Terms{Client: "c_nobody", Amount: eur("1")}, "Ines")
	refusedFor(t, "nobody", err, "client")
	if _, err := h.Trade.Undo(ctx, id, "it was another watch", "Ines"); err != nil {
		t.Fatal(err)
	}
	if w, err := h.Watch(ctx, id); err != nil || w.Cost.String() != "1500.00 EUR" {
		t.Errorf("undone, it cost %s, %v", w.Cost, err)
	}
}

// The lots of money in another currency are what is left of it, and what stands in it is stated at the closing rate.
func TestLotsOfMoneyAndTheirClosingRate(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	must := shoptest.Must[ledger.Entry](t)
	in := func(day, amount, rate string) {
		must(h.Trade.CapitalIn(ctx, trade.Terms{Day: day, Amount: usd(amount), Rate: decimal.MustParse(rate)}, "Ines"))
	}
	in("2026-01-05", "1000", "0.90")
	in("2026-02-05", "500", "0.95")
	lots, err := h.Trade.Lots(ctx)
	if err != nil || len(lots) != 2 {
		t.Fatalf("%+v, %v", lots, err)
	}
	refusedFor(t, "no rate", func() error { _, err := h.Trade.Revalue(ctx, "2026-02-28", nil, "Ines"); return err }(), "rate")
	rates := map[money.Currency]decimal.Decimal{"USD": decimal.MustParse("0.92")}
	entries, err := h.Trade.Revalue(ctx, "2026-02-28", rates, "Ines")
	if err != nil || len(entries) != 2 {
		t.Fatalf("%d entries, %v", len(entries), err)
	}
	// 1,000 × 0.90 + 500 × 0.95 = 1,375.00; at 0.92 it is 1,380.00.
	books, err := h.Accounts.BooksAsOf(ctx, "2026-02-28")
	if err != nil {
		t.Fatal(err)
	}
	all, err := books.Balances()
	if err != nil {
		t.Fatal(err)
	}
	at := eur("0")
	for _, x := range all {
		if strings.HasPrefix(string(x.Account), "assets:") {
			if at, err = at.Add(x.Base); err != nil {
				t.Fatal(err)
			}
		}
	}
	if at.Amount() != "1380.00" {
		t.Errorf("on the day it stands at %s; want 1380.00", at.Amount())
	}
	_, err = h.Trade.Revalue(ctx, "2026-02-28", rates, "Ines")
	refusedFor(t, "twice", err, "day")
}
