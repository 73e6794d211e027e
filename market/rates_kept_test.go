package market

import (
	"math"
	"strings"
	"testing"
	"time"

	"midcase/money"
)

// TestRatesOfAnotherBase holds a shop's own table in dollars: typed rates, a central bank's file per euro
// that is merged in, and what is written is read again.
func TestRatesOfAnotherBase(t *testing.T) {
	day := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	r := NewRates("USD")
	if err := r.Set(day, "GBP", 1.25, "USD"); err != nil {
		t.Fatal(err)
	}
	if err := r.Set(day, "GBP", 1.25, "EUR"); err == nil {
		t.Error("a rate between two other currencies was taken")
	}
	file, err := ReadRates(strings.NewReader("Date,USD,CHF\n2026-03-03,1.10,0.95\n2026-03-02,1.00,N/A\n"))
	if err != nil {
		t.Fatal(err)
	}
	if n, err := r.Merge(file); err != nil || n != 3 {
		t.Fatalf("merged %d, %v; want 3 rates: EUR on two days, CHF on one", n, err)
	}
	var b strings.Builder
	if err := r.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	back, err := ReadRates(strings.NewReader(b.String()))
	if err != nil {
		t.Fatalf("%v in\n%s", err, b.String())
	}
	for _, c := range []struct {
		amount   float64
		from, to string
		day      int
		want     float64
	}{{100, "GBP", "USD", 2, 125}, {100, "EUR", "USD", 3, 110}, {95, "CHF", "USD", 3, 110},
		{100, "GBP", "EUR", 2, 125}} {
		got, err := back.Convert(c.amount, money.Currency(c.from), money.Currency(c.to), day.AddDate(0, 0, c.day-2))
		if err != nil || math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%g %s are %g %s (%v); want %g", c.amount, c.from, got, c.to, err, c.want)
		}
	}
	yen, err := ReadRates(strings.NewReader("Date per JPY,GBP\n2026-03-02,0.005\n"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Merge(yen); err == nil || !strings.Contains(err.Error(), "have no column USD") {
		t.Errorf("error %v; want the missing column named", err)
	}
}
