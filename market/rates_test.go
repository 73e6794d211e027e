package market_test

import (
	"strings"
	"testing"
	"time"

	"midcase/market"
	"midcase/money"
)

// A table in the layout of a central bank's reference rates; the figures are made up.
const rates = `Date,USD,JPY,GBP,
2024-03-28,1.0800,163.40,0.8550,
2024-04-02,1.0750,N/A,0.8560,
2024-03-01,1.0810,162.50,,
`

func rateTable(t testing.TB) *market.Rates {
	t.Helper()
	r, err := market.ReadRates(strings.NewReader(rates))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func day(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }

func TestRates(t *testing.T) {
	r := rateTable(t)
	for _, c := range []struct {
		from, to money.Currency
		on       time.Time
		want     float64 // 0 where there is no rate
	}{
		{"EUR", "EUR", day(1990, 1, 1), 1},
		{"EUR", "USD", day(2024, 3, 28), 1.08},
		{"USD", "EUR", day(2024, 4, 2), 1 / 1.075},
		{"USD", "GBP", day(2024, 4, 2), 0.8560 / 1.075},
		{"EUR", "USD", day(2024, 4, 1), 1.08}, // Easter Monday: the last rate before
		{"EUR", "JPY", day(2024, 4, 2), 163.40},
		{"EUR", "USD", day(2024, 4, 12), 1.075}, // ten days old
		{"EUR", "USD", day(2024, 4, 13), 0},     // eleven
		{"EUR", "USD", day(2024, 2, 29), 0},     // before the first
		{"EUR", "GBP", day(2024, 3, 5), 0},      // empty
		{"CHF", "EUR", day(2024, 4, 2), 0},
	} {
		got, err := r.Convert(1, c.from, c.to, c.on)
		if c.want == 0 {
			if err == nil {
				t.Errorf("%s to %s on %s: got %g, want an error", c.from, c.to, c.on, got)
			}
			continue
		}
		if err != nil {
			t.Error(err)
		}
		near(t, string(c.from+c.to), got, c.want, 1e-12)
	}
}

func TestRatesThatAreRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                                       "empty",
		"Day,USD\n":                              "want Date",
		"Date,DOLLAR\n":                          "ISO 4217",
		"Date,USD,USD\n":                         "appears twice",
		"Date,USD\n31/02/2024,1\n":               "rates:2: date",
		"Date,USD\n2024-01-01,1.2.3\n":           "rates:2: USD: rate",
		"Date,USD\n2024-01-01,-1\n":              "above zero",
		"Date,USD\n2024-01-01,1\n2024-01-01,2\n": "appears twice",
	} {
		if _, err := market.ReadRates(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want %q", text, err, want)
		}
	}
}

// Sales in another currency count at the rate of their day; without one they are
// left out and named.
func TestFitConverts(t *testing.T) {
	var sales []market.Sale
	for i := 0; i < 40; i++ {
		s := market.Sale{Line: i + 2, Date: day(2024, 4, 2).AddDate(0, 0, i%5).Format(time.DateOnly), Maker: "Aster",
			Reference: "A1"}
		price, cur := 1000*(1+0.01*float64(i)), money.Currency("EUR")
		if i%2 == 1 {
			price, cur = price*1.075, "USD"
		}
		s.Price, _ = money.Round(price, cur)
		sales = append(sales, s)
	}
	sales[1].Date = "2024-06-01"
	m, rep, err := market.Fit(table(t, sales), market.Options{Currency: "EUR", Rates: rateTable(t)})
	if err != nil {
		t.Fatal(err)
	}
	if rep.RowsUsed != 39 || rep.RowsRejected != 1 || rep.Rejected[0].Line != 3 ||
		!strings.Contains(rep.Rejected[0].Want, "rate to EUR") {
		t.Errorf("%+v", rep)
	}
	v, err := m.Value(market.Subject{Maker: "Aster", Reference: "A1"}, day(2024, 4, 6), market.Retail)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "median", v.Median, 1195, 0.03)
	if _, rep, _ := market.Fit(table(t, sales), market.Options{Currency: "EUR"}); rep.RowsRejected != 20 {
		t.Errorf("without rates %d rows were left out, want the 20 in dollars", rep.RowsRejected)
	}
}
