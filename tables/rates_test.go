package tables_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/unicode"

	"midcase/market"
	"midcase/tables"
)

var ratesDay = time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)

// The shapes are those in which banks commonly publish their rates (common practice, no published source): one file
// says the same rates in each.
func TestRatesInTheShapesOfBanks(t *testing.T) {
	t.Parallel()
	utf16, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String(
		"Date\tUSD\tEUR\n\t(1 USD)\t(1 EUR)\n27 Nov 2026\t0.80\t1.00\n26 Nov 2026\t0.79\t1.00\n")
	if err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		text string
		usd  float64 // USD per EUR on the day
	}{
		"plain":                          {"Date,USD,JPY,\n2026-11-27,1.25,160,\n2026-11-26,1.2,N/A,\n", 1.25},
		"semicolons, commas, quantities": {"Devisenkurse\n\nDatum;1 USD;100 JPY;1 EUR\n27.11.2026;0,80;0,625;1,00\n26.11.2026;0,79;0,62;1,00\n", 1.25},
		"tabs, UTF-16, second headings":  {utf16, 1.25},
		"a remark below":                 {"Datum;USD;GBP\n27.11.2026;1,2500;0,84\nQuelle: Bank\n", 1.25},
	} {
		plain, err := tables.RatesCSV([]byte(tt.text), "EUR", ratesDay)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		rates, err := market.ReadRates(bytes.NewReader(plain))
		if err != nil {
			t.Errorf("%s: %q: %v", name, plain, err)
			continue
		}
		got, err := rates.Convert(100, "EUR", "USD", ratesDay)
		if err != nil || got < 100*tt.usd-1e-6 || got > 100*tt.usd+1e-6 {
			t.Errorf("%s: 100 EUR are %v USD, %v; want %v", name, got, err, 100*tt.usd)
		}
	}
}

// A bad file of rates is refused with line, column, what was found and what would be right.
func TestBadRates(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][]string{
		"a;b\n1;2\n":                       {"column Date", "USD"},
		"Date,USD\n2026-11-27,abc\n":       {"line 2", "USD", `"abc"`},
		"Date,USD\n2026-11-27,-1\n":        {"line 2", "USD", "above zero"},
		"Date,USD\n03/04/2026,1.1\n":       {"line 2", "Date", "2026-03-31"},
		"Date,USD\nyesterday,1.1\n":        {"line 2", "yesterday", "2026-03-31"},
		"Date,USD\n":                       {"line 1", "no rates"},
		"Date,1 USD,GBP\n2026-11-27,1,2\n": {"column Date"},
	} {
		_, err := tables.RatesCSV([]byte(text), "CHF", ratesDay)
		if err == nil {
			t.Errorf("%q was taken", text)
			continue
		}
		for _, w := range want {
			if !strings.Contains(strings.ToLower(err.Error()), strings.ToLower(w)) {
				t.Errorf("%q: %v; want %q in it", text, err, w)
			}
		}
	}
}

func FuzzRatesCSV(f *testing.F) {
	f.Add("Date,USD\n2026-11-27,1.1\n")
	f.Add("Datum;1 USD\n27.11.2026;0,9\n")
	f.Fuzz(func(t *testing.T, text string) {
		plain, err := tables.RatesCSV([]byte(text), "CHF", ratesDay)
		if err == nil && !bytes.HasPrefix(plain, []byte("Date per ")) {
			t.Fatalf("%q", plain)
		}
	})
}
