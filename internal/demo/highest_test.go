package demo

import (
	"fmt"
	"math"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/money"
	"midcase/opinion"
)

// sameDeal holds the deal of an opinion against the comparison of routes and the ladder
// that the same input gives: one profit and one chance of loss, to the last digit.
func sameDeal(t *testing.T, name string, o opinion.Opinion, in opinion.SellingInput) {
	t.Helper()
	routes, err := opinion.CompareRoutes(in)
	if err != nil {
		t.Fatal(err)
	}
	if !o.Deal.Known || !routes.Known {
		t.Fatalf("%s: no deal: %q, %q", name, o.Deal.CannotTell, routes.CannotTell)
	}
	if got, want := pair(routes.HighestPrice, routes.ExpectedProfit), pair(o.Deal.HighestPrice,
		o.Deal.ExpectedProfit); got != want {
		t.Errorf("%s: highest price and profit by the routes %s; the opinion says %s", name, got, want)
	}
	ladder, err := opinion.PriceLadder(in)
	if err != nil {
		t.Fatal(err)
	}
	if in.Settings.Stock.Sold {
		if ladder.Known {
			t.Errorf("%s is sold, and has a ladder", name)
		}
		return
	}
	best := ladder.Ladder.Rungs[ladder.Ladder.Best]
	for _, r := range routes.Comparison.Routes {
		if r.Name == o.Deal.Route && (r.ExpectedProfit != best.ExpectedNet || r.ChanceOfLoss != best.ChanceOfLoss ||
			r.Ask != best.Ask || math.Abs(r.ChanceOfLoss-*o.Deal.ChanceOfLoss) > 5e-5) {
			t.Errorf("%s: %g and %g by the routes, %g and %g by the ladder", name, r.ExpectedProfit, r.ChanceOfLoss,
				best.ExpectedNet, best.ChanceOfLoss)
		}
	}
	if best.ChanceUnsold > 0.5 {
		t.Errorf("%s: the best ask is one at which it never sells, with %g", name, best.ChanceUnsold)
	}
}

// pair writes two amounts; a consigned watch has no highest price.
func pair(highest, profit *money.Money) string {
	if highest == nil {
		return "none, " + profit.String()
	}
	return highest.String() + ", " + profit.String()
}

// TestOneHighestPriceOfPlainFiles holds all watches of the world against themselves, as the
// command line reads them.
func TestOneHighestPriceOfPlainFiles(t *testing.T) {
	all := formed(t)
	m, err := fitted()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range world().Watches {
		in := opinion.SellingInput{File: evidence.Fold(x.Evidence, today), Book: world().book, Market: m, AsOf: today}
		sameDeal(t, x.File, all[x.File], in)
	}
}

// TestOneHighestPriceInTheShop does so on the shop's own terms, with what it paid and what it learned
// of the time to sell.
func TestOneHighestPriceInTheShop(t *testing.T) {
	if testing.Short() {
		t.Skip("fits the market and forms sixty opinions")
	}
	st, err := store.Open(t.Context(), "sqlite:"+t.TempDir()+"/shop.db")
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	n := 0
	s, err := rooms.Open(t.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(Book())),
		shop.Options{Now: func() time.Time {
			return today
		}, NewID: func(prefix string) string { n++; return fmt.Sprintf("%s_%04d", prefix, n) }})
	if err != nil {
		t.Fatal(err)
	}
	w := NewWorld(1)
	sales := w.Sales
	w.Sales = nil
	for i := 0; i < len(sales); i += 8 {
		w.Sales = append(w.Sales, sales[i])
	}
	if err := w.Fill(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	bought, earned := 0, 0.0
	for _, x := range w.Watches {
		id := shop.WatchID(x.Evidence.ID)
		o, err := s.Opinion(t.Context(), id, today)
		if err != nil {
			t.Fatal(err)
		}
		in, err := s.SellingOf(t.Context(), id, today, "")
		if err != nil {
			t.Fatal(err)
		}
		sameDeal(t, x.File, o, in)
		rec, err := s.Watch(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if own := map[shop.Ownership]float64{shop.Own: 1, shop.InPartner: 0.5}; rec.State.Held() {
			earned += own[rec.Ownership()] * o.Deal.ExpectedProfit.Float()
		}
		if o.Deal.PaidPrice != nil {
			bought++
		}
	}
	worth, err := s.Desk.StockWorth(t.Context(), today, 12, nil)
	if err != nil || math.Abs(worth.ExpectedProfit-earned) > 1e-6*math.Abs(earned) {
		t.Errorf("the stock should earn %.2f, its watches %.2f together, %v", worth.ExpectedProfit, earned, err)
	}
	if bought < 20 {
		t.Errorf("%d watches at the price paid; the test is meant for many", bought)
	}
}
