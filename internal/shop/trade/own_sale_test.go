package trade_test

import (
	"errors"
	"testing"

	"github.com/govalues/decimal"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
)

// A sale of the shop's own stands among those that values are read from: as it was sold, at the price that stands, and
// only for as long as it does.
func TestOwnSalesAreSalesLikeOthers(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t).WithClients(t), t.Context()
	id := b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "310077"}).ID
	b.Record(t, id, &evidence.Mark{What: "serial", Text: "310077"}, &evidence.Document{What: "papers"})
	stands := func(want string) {
		t.Helper()
		sale, err := b.Sale(ctx, shop.OwnSaleID(id))
		if want == "" {
			if !errors.Is(err, shop.ErrNotFound) {
				t.Errorf("the sale stands: %+v, %v", sale, err)
			}
			return
		}
		if err != nil || sale.Price.String() != want {
			t.Errorf("sold for %s, %v; want %s", sale.Price, err, want)
		}
	}
	stands("")
	done(t)(b.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500")}}, "Ines"))
	stands("")
	sell := func() shop.Movement {
		return done(t)(b.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: usd("2500"),
			Rate: decimal.MustParse("0.9"), Day: "2026-02-20"}, Route: "private client"}, "Ines"))
	}
	done(t)(b.Trade.Undo(ctx, id, "twice", "Ines"))
	done(t)(b.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1500"),
		Day: "2026-02-01"}}, "Ines"))
	sell()
	stands("2500.00 USD")
	sale, err := b.Sale(ctx, shop.OwnSaleID(id))
	if err != nil || sale.Date != "2026-02-20" || sale.Maker != "Corvane" || sale.Reference != "KR-1" ||
		sale.Venue != "private" || sale.Basis != "sold" || sale.Serial != "310077" || sale.Completeness != "papers" ||
		sale.Year < 1960 || sale.Year > 1969 || sale.Family == "" || sale.Source != "own sale, file 1" {
		t.Errorf("%+v, %v", sale, err)
	}
	done(t)(b.Trade.Move(ctx, id, trade.Moving{Place: "handed over"}, "Ines"))
	stands("2500.00 USD")
	done(t)(b.Trade.Refund(ctx, id, trade.Terms{Amount: usd("100"), Rate: decimal.MustParse("0.9")}, "Ines"))
	stands("2400.00 USD")
	done(t)(b.Trade.Undo(ctx, id, "no allowance", "Ines"))
	stands("2500.00 USD")
	done(t)(b.Trade.Refund(ctx, id, trade.Terms{}, "Ines"))
	stands("")
	done(t)(b.Trade.Undo(ctx, id, "it stays sold", "Ines"))
	stands("2500.00 USD")
	done(t)(b.Trade.Undo(ctx, id, "moved by mistake", "Ines"))
	stands("2500.00 USD")
	done(t)(b.Trade.Undo(ctx, id, "sold by mistake", "Ines"))
	stands("")
	done(t)(b.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("2600")}}, "Ines"))
	stands("2600.00 EUR")
	if n, err := b.SaleCount(ctx); err != nil || n != 1 {
		t.Errorf("%d sales, %v; want the one that stands", n, err)
	}
	done(t)(b.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_buyer", Amount: eur("2000")}}, "Ines"))
	stands("2600.00 EUR") // bought back: it was a sale
	done(t)(b.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_seller", Amount: eur("2900"),
		Override: "drawn"}}, "Ines"))
	stands("2600.00 EUR")
	if again, err := b.Sale(ctx, shop.OwnSaleAfter(id, 1)); err != nil || again.Price.String() != "2900.00 EUR" {
		t.Errorf("sold again for %s, %v", again.Price, err)
	}
	done(t)(b.Trade.Undo(ctx, id, "sold by mistake", "Ines"))
	done(t)(b.Trade.Undo(ctx, id, "not bought back", "Ines"))
	stands("2600.00 EUR")
	if n, err := b.SaleCount(ctx); err != nil || n != 1 {
		t.Errorf("%d sales, %v; want the first alone", n, err)
	}
}

// Sales that were booked before such sales were kept among those that values are read from are added once, each at the
// price that stands.
func TestEarlierOwnSalesAreAddedOnce(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	a, b := h.Offered(t), h.Offered(t)
	sell := func(id shop.WatchID, to, amount string) {
		t.Helper()
		done(t)(h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: to, Amount: eur(amount), Override: "drawn"},
			Route: "auction"}, "Ines"))
	}
	for _, id := range []shop.WatchID{a, b} {
		done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("500")}}, "Ines"))
	}
	sell(a, "c_buyer", "900")
	done(t)(h.Trade.Refund(ctx, a, trade.Terms{Amount: eur("50")}, "Ines"))
	done(t)(h.Trade.Buy(ctx, a, trade.Buying{Terms: trade.Terms{Client: "c_buyer", Amount: eur("700")}}, "Ines"))
	sell(a, "c_seller", "1000")
	sell(b, "c_buyer", "600")
	done(t)(h.Trade.Refund(ctx, b, trade.Terms{}, "Ines")) // taken back: no sale stands
	if r, err := h.Trade.OwnSalesMissing(ctx); err != nil || r != (trade.OwnAdded{Sales: 2, Known: 2}) {
		t.Fatalf("%+v, %v", r, err)
	}
	// As an earlier version left it.
	for n := range 2 {
		own := shop.OwnSale{ID: shop.OwnSaleAfter(a, n)}
		if _, err := h.Stores().Steps.KeepStep(ctx, shop.Step{Sold: &own}); err != nil {
			t.Fatal(err)
		}
	}
	if r, err := h.Trade.AddOwnSales(ctx); err != nil || r != (trade.OwnAdded{Sales: 2, Added: 2}) {
		t.Fatalf("%+v, %v", r, err)
	}
	for n, want := range []string{"850.00 EUR", "1000.00 EUR"} {
		if sale, err := h.Sale(ctx, shop.OwnSaleAfter(a, n)); err != nil || sale.Price.String() != want ||
			sale.Basis != "hammer" {
			t.Errorf("sale %d: %+v, %v", n, sale, err)
		}
	}
	if r, err := h.Trade.AddOwnSales(ctx); err != nil || r.Added != 0 || r.Known != 2 {
		t.Errorf("again: %+v, %v", r, err)
	}
}

// Of a watch that a partner sold, the whole price counts, not the part that the shop booked.
func TestOwnSaleOfASharedWatchHasTheWholePrice(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	id := h.Offered(t)
	done(t)(h.Trade.ShareBuy(ctx, id, trade.Sharing{Terms: trade.Terms{Client: "c_seller", Amount: eur("3000")},
		Stakes: []ledger.Stake{{Party: "c_partner", Share: decimal.MustParse("0.5")}}}, "Ines"))
	done(t)(h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("4000")}, Route: "trade"},
		"Ines"))
	sale, err := h.Sale(ctx, shop.OwnSaleID(id))
	if err != nil || sale.Price.String() != "4000.00 EUR" || sale.Venue != "trade" || sale.Condition != nil ||
		sale.Completeness != "" || sale.Year != 0 {
		t.Errorf("%+v, %v; want nothing that nobody looked at", sale, err)
	}
}
