package market_test

import (
	"strings"
	"testing"
	"time"

	"midcase/market"
)

// TestSalesLeftOutAreNamed holds that a value of a maker whose sales are all in a currency without a rate says so.
func TestSalesLeftOutAreNamed(t *testing.T) {
	file := "date,maker,reference,price,currency\n2025-01-10,Ardwick,C-1,4000,EUR\n2025-02-10,Ardwick,C-1,4200,EUR\n" +
		"2025-03-10,Ostrau,M-4,500000,JPY\n"
	table, bad, err := market.ReadCSV(strings.NewReader(file), "sales.csv", market.ReadOptions{})
	if err != nil || len(bad) > 0 {
		t.Fatal(bad, err)
	}
	day := time.Date(2025, 6, 1, 0, 0, 0, 0, time.UTC)
	m, _, err := market.Fit(table, market.Options{Currency: "EUR", AsOf: day})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []market.Subject{{Maker: "Ostrau", Reference: "M-4"}, {Maker: "Ardwick", Reference: "C-1"}} {
		maker, want := s.Maker, s.Maker == "Ostrau"
		v, err := m.Value(s, day, market.Retail)
		if err != nil {
			t.Fatal(err)
		}
		told := false
		for _, s := range v.Says {
			told = told || s.Kind == "market.left-out" && strings.Contains(s.String(), "1 sale is in JPY")
		}
		if told != want {
			t.Errorf("%s: sales without a rate named: %v, want %v (%v)", maker, told, want, v.Says)
		}
	}
}
