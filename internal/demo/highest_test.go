package demo

import (
	"fmt"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/opinion"
)

// sameDeal holds the deal of an opinion against the comparison of routes that the same
// input gives.
func sameDeal(t *testing.T, name string, o opinion.Opinion, in opinion.SellingInput) {
	t.Helper()
	routes, err := opinion.CompareRoutes(in)
	if err != nil {
		t.Fatal(err)
	}
	if !o.Deal.Known || !routes.Known {
		t.Fatalf("%s: no deal: %q, %q", name, o.Deal.CannotTell, routes.CannotTell)
	}
	want := o.Deal.HighestPrice.String() + ", " + o.Deal.ExpectedProfit.String()
	if got := routes.HighestPrice.String() + ", " + routes.ExpectedProfit.String(); got != want {
		t.Errorf("%s: highest price and profit by the routes %s; the opinion says %s", name, got, want)
	}
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
	bought := 0
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
		if o.Deal.PaidPrice != nil {
			bought++
		}
	}
	if bought < 20 {
		t.Errorf("%d watches at the price paid; the test is meant for many", bought)
	}
}
