package shop_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
)

func TestSpellsOf(t *testing.T) {
	t.Parallel()
	move := func(id string, watch shop.WatchID, day string, from, to shop.State) shop.Movement {
		return shop.Movement{ID: id, Watch: watch, Day: day, From: from, To: to}
	}
	undo := move("u", "w_c", "2026-02-01", shop.Listed, shop.Bought)
	undo.Undoes = "c2"
	for name, c := range map[string]struct {
		moves []shop.Movement
		want  []shop.Spell
	}{
		"sold": {[]shop.Movement{move("a1", "w_a", "2026-01-01", "", shop.Bought),
			move("a2", "w_a", "2026-01-05", shop.Bought, shop.Listed), move("a3", "w_a", "2026-02-04", shop.Listed,
				shop.Sold)}, []shop.Spell{{"w_a", "2026-01-05", "2026-02-04", true}}},
		"by way of reserved": {[]shop.Movement{move("a1", "w_a", "2026-01-05", "", shop.Listed),
			move("a2", "w_a", "2026-01-20", shop.Listed, shop.Reserved), move("a3", "w_a", "2026-01-25", shop.Reserved,
				shop.Sold)}, []shop.Spell{{"w_a", "2026-01-05", "2026-01-25", true}}},
		"taken off, listed anew": {[]shop.Movement{move("b1", "w_b", "2026-01-05", "", shop.Listed), move("b2", "w_b", "2026-01-09", shop.Listed, shop.AtWorkshop), move("b3", "w_b", "2026-02-09", shop.AtWorkshop, shop.Listed)}, []shop.Spell{{"w_b", "2026-01-05", "2026-01-09", false}, {"w_b", "2026-02-09", "", false}}},
		"undone": {[]shop.Movement{move("c1", "w_c", "2026-01-05", "", shop.Bought),
			move("c2", "w_c", "2026-01-09", shop.Bought, shop.Listed), undo}, nil},
		"sold without a listing": {[]shop.Movement{move("d1", "w_d", "2026-01-05", "", shop.Bought),
			move("d2", "w_d", "2026-01-09", shop.Bought, shop.Sold)}, nil},
	} {
		got := shop.SpellsOf(c.moves)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v; want %v", name, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%s: %v; want %v", name, got[i], c.want[i])
			}
		}
	}
}

func TestJournalByPages(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.offered(t)
	for i := range 7 {
		if _, err := h.Trade.CapitalIn(ctx, trade.Terms{Amount: eur("100"), Document: []string{"A-1", "A-2"}[i%2]},
			"Ines"); err != nil {
			t.Fatal(err)
		}
	}
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("300"),
		Document: "P-1"}}, "Ines"))
	page := func(q accounts.JournalQuery) string {
		t.Helper()
		q.Rows = 3
		p, err := h.Accounts.Journal(ctx, q)
		if err != nil {
			t.Fatal(err)
		}
		var seqs []string
		for _, e := range p.Entries {
			seqs = append(seqs, string(rune('0'+e.Seq)))
		}
		return strings.Join(seqs, " ") + " of " + string(rune('0'+p.Total))
	}
	for _, c := range []struct {
		q    accounts.JournalQuery
		want string
	}{
		{accounts.JournalQuery{}, "7 6 5 of 8"}, {accounts.JournalQuery{Page: 2}, "4 3 2 of 8"}, {accounts.JournalQuery{Page: 3},
			"1 0 of 8"}, {accounts.JournalQuery{Page: 99}, "1 0 of 8"},
		{accounts.JournalQuery{Account: ledger.Capital}, "6 5 4 of 7"}, {accounts.JournalQuery{Account: "assets"}, "7 6 5 of 8"}, {accounts.JournalQuery{Account: "assets:stock"}, "7 of 1"}, {accounts.JournalQuery{Account: "expenses"}, " of 0"},
		{accounts.JournalQuery{Document: "a-2"}, "5 3 1 of 3"}, {accounts.JournalQuery{Watch: id},
			"7 of 1"}, {accounts.JournalQuery{Watch: id,
			Account: ledger.Capital}, " of 0"}, {accounts.JournalQuery{Party: "c_seller"}, "7 of 1"},
	} {
		if got := page(c.q); got != c.want {
			t.Errorf("%+v: %s; want %s", c.q, got, c.want)
		}
	}
	rows, total, err := h.Accounts.StockBookPage(ctx, 1, 5)
	if err != nil || total != 1 || rows[0].SellerName != "Selma Lund" {
		t.Errorf("%d rows of the stock book: %+v, %v", total, rows, err)
	}
	ranked, err := h.Accounts.RankedProfit(ctx, "month")
	if err != nil || len(ranked) != 1 {
		t.Errorf("profit: %+v, %v", ranked, err)
	}
	if read, ready, err := h.Accounts.BooksSoon(ctx, time.Second); !ready || read != 8 || err != nil {
		t.Errorf("%d entries read, ready %t, %v", read, ready, err)
	}
}

// TestSellingOf turns prices and terms into another currency, and learns from the shop's own history.
func TestSellingOf(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500"),
		Day: "2026-02-01"}}, "Ines"))
	done(t)(h.Trade.Move(ctx, id, trade.Moving{To: shop.Listed, Day: "2026-02-10", Asking: eur("2600")}, "Ines"))
	if _, err := h.SellingOf(ctx, id, h.Now(), "CHF"); err == nil {
		t.Error("no rate, and no error")
	}
	set, err := h.Settings(ctx)
	if err != nil {
		t.Fatal(err)
	}
	set.RatesCSV = "Date,CHF\n2026-02-20,0.90\n"
	if err := h.SetSettings(ctx, set); err != nil {
		t.Fatal(err)
	}
	own, err := h.SellingOf(ctx, id, h.Now(), "")
	if err != nil {
		t.Fatal(err)
	}
	francs, err := h.SellingOf(ctx, id, h.Now(), "CHF")
	if err != nil {
		t.Fatal(err)
	}
	if got := francs.Settings.Stock.Paid.String() + ", " + francs.Settings.Stock.Asking.String(); got != "1350.00 CHF, 2340.00 CHF" {
		t.Errorf("paid and asked: %s", got)
	}
	if a, b := own.Settings.Terms.FixedCost, francs.Settings.Terms.FixedCost; b < 0.899*a || b > 0.901*a {
		t.Errorf("fixed cost %g and %g", a, b)
	}
	if a, b := own.Settings.Selling.Routes[0].Fees[0].Fixed, francs.Settings.Selling.Routes[0].Fees[0].Fixed; b < 0.899*a || b > 0.901*a {
		t.Errorf("fee %g and %g", a, b)
	}
	if own.Settings.Time == nil || own.Settings.Time.Spells != 1 || own.Settings.Time.Sold != 0 {
		t.Errorf("history: %+v", own.Settings.Time)
	}
	listed := time.Date(2026, 2, 10, 0, 0, 0, 0, time.UTC)
	if days := h.Now().Sub(listed).Hours() / 24; own.Settings.Stock.DaysOnSale > days ||
		own.Settings.Stock.DaysOnSale < days-1.01 {
		t.Errorf("%g days on sale; want %g", own.Settings.Stock.DaysOnSale, days)
	}
	if _, err := h.Desk.StockWorth(ctx, h.Now(), 12, nil); err == nil {
		t.Error("the stock is valued without a sale")
	}
	for range 2 {
		if _, _, ready, err := h.Desk.StockWorthSoon(ctx, h.Now(), 12, nil, time.Minute); ready ||
			!errors.Is(err, shop.ErrNotFound) {
			t.Errorf("ready %t, %v; want that there are no sales", ready, err)
		}
	}
}
