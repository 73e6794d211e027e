package web_test

import (
	"context"
	"net/http"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/market"
	"midcase/money"
)

// scarcePages are the pages that need a value, a cost or the market.
var scarcePages = []string{"/", "/stock.csv", "/counter", "/counter?reference=KR-1&asked=4000", "/market", "/sales", "/sales.csv",
	"/sales/suspects", "/settings", "/terms", "/stock/whole", "/ledger", "/clients", "/calendar", "/book", "/documents",
	"WATCH", "WATCH?as-of=1990-01-01", "WATCH?as-of=2019-01-01", "WATCH/deal", "WATCH/life",
	"WATCH/matches", "WATCH/report.md", "WATCH/report.pdf", "WATCH/papers/listing.md", "/api/WATCH/opinion"}

// TestNoStateOfTheDataFails asks for each page in shops whose sales, rates and amounts do not fit together.
func TestNoStateOfTheDataFails(t *testing.T) {
	sale := func(id, day, price, currency string) market.Sale {
		return market.Sale{ID: id, Date: day, Maker: "Corvane", Reference: "KR-1", Metal: "steel",
			Price: money.MustParse(price, currency)}
	}
	three := func(currency string) []market.Sale {
		return []market.Sale{sale("s_1", "2024-01-05", "4100", currency), sale("s_2", "2025-03-01", "4400", currency),
			sale("s_3", "2026-02-11", "4700", currency)}
	}
	for _, c := range []struct {
		name     string
		sales    []market.Sale
		rates    string
		currency string // of what was paid and is asked
		says     string // the watch's page
	}{
		{"no sales", nil, "", "EUR", "there are no sales to value it by"},
		{"sales in a currency without a rate", three("USD"), "", "EUR",
			"3 sales are in USD; values are in EUR: give exchange rates, or value in USD"},
		{"sales in two currencies without a rate", append(three("USD"), sale("s_4", "2025-05-05", "3600", "GBP")), "", "EUR",
			"3 sales are in USD and 1 sale is in GBP; values are in EUR: give exchange rates, or value in USD"},
		{"sales before the first rate", three("USD"), "Date,USD\n2026-10-30,1.1\n", "EUR", "3 sales are in USD"},
		{"a few sales without a rate", append(three("EUR"), sale("s_4", "2025-05-05", "3600", "GBP")), "", "EUR", ""},
		{"what was paid has no rate", three("EUR"), "", "USD", ""},
		{"nothing has a rate", three("GBP"), "", "USD", "3 sales are in GBP"},
		{"all sales are in the future", []market.Sale{sale("s_1", "2027-01-05", "4100", "EUR")}, "", "EUR",
			"no sale is on record by this day; the first is of"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := serveEmpty(t)
			ctx := context.Background()
			if _, err := s.shop.Stores().Sales.AddSales(ctx, c.sales, shoptest.Morning); err != nil {
				t.Fatal(err)
			}
			set, err := s.shop.Settings(ctx)
			if err != nil {
				t.Fatal(err)
			}
			set.RatesCSV = c.rates
			if err := s.shop.SetSettings(ctx, set); err != nil {
				t.Fatal(err)
			}
			w, err := s.shop.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1",
				Asked: money.MustParse("3900", c.currency)}, "tester")
			if err != nil {
				t.Fatal(err)
			}
			w.State, w.Owned, w.Cost = shop.Listed, shop.Own, money.MustParse("3500", c.currency)
			w.Asking, w.Acquired = money.MustParse("5200", c.currency), edtf.MustParse("2026-09-01")
			if _, err := s.shop.Stores().Watches.UpdateWatch(ctx, w); err != nil {
				t.Fatal(err)
			}
			for _, p := range scarcePages {
				p = strings.Replace(p, "WATCH", strings.TrimPrefix(watchPath(w.ID), "/"), 1)
				if !strings.HasPrefix(p, "/") {
					p = "/" + p
				}
				a := s.get(p)
				if strings.HasSuffix(p, "listing.md") { // nothing is told of a watch that nobody examined
					s.wantStatus(a, http.StatusUnprocessableEntity)
					continue
				}
				if a.StatusCode != http.StatusOK {
					t.Errorf("GET %s: status %d: %s", p, a.StatusCode, a.words())
				}
			}
			if a := s.get(watchPath(w.ID)); !strings.Contains(a.words(), c.says) {
				t.Errorf("the watch's page does not say %q: %s", c.says, a.words())
			}
		})
	}
}
