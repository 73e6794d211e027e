package desk_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
	"midcase/opinion"
)

func buy(t *testing.T, b *shoptest.Bench, a intake.Arrival, price, day string) shop.WatchID {
	t.Helper()
	id := b.TakeIn(t, a).ID
	_, err := b.Trade.Buy(t.Context(), id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: shoptest.EUR(price),
		Day: day}}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// The worth of the stock counts what the shop owns, of a shared watch its own part.
func TestWorthOfTheStock(t *testing.T) {
	ctx := t.Context()
	b := shoptest.New(t).WithClients(t)
	kr1 := intake.Arrival{Maker: "Corvane", Reference: "KR-1", Place: "safe"}
	alone := buy(t, b, kr1, "3000", "2025-09-01")
	_, err := b.Desk.StockWorth(ctx, shoptest.Morning, 12, nil)
	if !errors.Is(err, shop.ErrNotFound) {
		t.Fatalf("without a sale to value by: %v", err)
	}
	b.WithSales(t)
	first, err := b.Desk.StockWorth(ctx, shoptest.Morning, 12, nil)
	if err != nil {
		t.Fatal(err)
	}
	if r := first.Interval90; first.Watches != 1 || !(r.Low() < first.Median && first.Median < r.High()) ||
		first.TiedUp != 3000 || len(first.LeftOut) != 0 {
		t.Fatalf("one watch: %+v", first)
	}
	shared := b.TakeIn(t, kr1).ID
	half := decimal.MustParse("0.5")
	if _, err := b.Trade.ShareBuy(ctx, shared, trade.Sharing{Terms: trade.Terms{Client: "c_seller",
		Amount: shoptest.EUR("3000")}, Stakes: []ledger.Stake{{Party: "c_partner", Share: half}}}, "Ines"); err != nil {
		t.Fatal(err)
	}
	consigned := b.TakeIn(t, kr1).ID
	if _, err := b.Trade.ConsignIn(ctx, consigned, trade.Consigning{Terms: trade.Terms{Client: "c_seller",
		Amount: shoptest.EUR("3000")}, Net: shoptest.EUR("2500")}, "Ines"); err != nil {
		t.Fatal(err)
	}
	w, valued, ready, err := b.Desk.StockWorthSoon(ctx, shoptest.Morning, 12, []opinion.MetalFall{{Metal: "steel", By: 0.2}},
		time.Minute)
	if err != nil || !ready || valued < 2 {
		t.Fatalf("ready %t after %d, %v", ready, valued, err)
	}
	if w.Watches != 2 || len(w.LeftOut) != 0 || w.TiedUp != 4500 {
		t.Errorf("%d watches for %.2f, left out %+v; want two for 4,500 and the consigned one not counted", w.Watches,
			w.TiedUp, w.LeftOut)
	}
	if share := w.Mean / first.Mean; math.Abs(share-1.5) > 0.02 {
		t.Errorf("with half of a second one the stock is worth %.3f times as much; want 1.5", share)
	}
	if len(w.Oldest) != 2 || w.Oldest[0].Watch != alone || w.Oldest[0].Days != 182 ||
		w.Oldest[0].Paid.String() != "3000.00 EUR" {
		t.Errorf("the oldest: %+v; want the first, 182 days", w.Oldest)
	}
	out, err := json.Marshal(w)
	if err != nil || !strings.Contains(string(out), `"statements"`) {
		t.Errorf("%v: %.200s", err, out)
	}
}
