package tables

import (
	"strings"
	"testing"
)

// What stands beside an amount may make it another one. Cells as dealers write them, invented.
func TestWordsBesideAnAmount(t *testing.T) {
	l := vocabulary()
	for cell, want := range map[string]amount{
		"1200 + VAT":          {Amount: "1200", Net: true},
		"1.200 zzgl. MwSt":    {Amount: "1200", Net: true},
		"1200 HT":             {Amount: "1200", Net: true},
		"€1.200 + IVA 22%":    {Amount: "1200", Currency: "EUR", Net: true},
		"£1,200 incl 20% VAT": {Amount: "1200", Currency: "GBP"},
		"1 440 € TTC":         {Amount: "1440", Currency: "EUR"},
		"£1,200 ono":          {Amount: "1200", Currency: "GBP", Basis: "asking"},
		"1.200 VB":            {Amount: "1200", Basis: "asking"},
		"8,000 + BP":          {Amount: "8000", Basis: "hammer"},
		"8000 zzgl. Aufgeld":  {Amount: "8000", Basis: "hammer"},
		"3,6 TEUR":            {Amount: "3600", Currency: "EUR"},
		"$1,200 CAD":          {Amount: "1200", Currency: "CAD"},
		"A$1,200":             {Amount: "1200", Currency: "AUD"},
		"1200 RON":            {Amount: "1200", Currency: "RON"},
		"1200 (J. Meier)":     {Amount: "1200", Beside: "j meier"},
	} {
		if got, ok := l.amountOf(cell); !ok || got != want {
			t.Errorf("%q is %+v, %v; want %+v", cell, got, ok, want)
		}
	}
	for cell, why := range map[string]string{
		"from £1,200": "“from”", "ab 1.200": "“ab”", "1200 for both": "“for both”", "Anzahlung 1200": "“anzahlung”",
		"offer 1200": "“offer”", "1200 + trade": "“+ trade”", "max. 1200": "“max”", "1200 kr": "“kr”", "2400 DM": "“dm”",
		">1200": "not an amount", "1500 -> 1200": "more than one figure",
	} {
		if got, ok := l.amountOf(cell); ok || !strings.HasPrefix(l.noAmount(cell), why) {
			t.Errorf("%q is %+v, %v, %q; want it out with %s", cell, got, ok, l.noAmount(cell), why)
		}
	}
	for cell, want := range map[string]string{"4-5k": "4000 5000", "5-600": "500 600", "12-1300 €": "1200 1300",
		"4,5–5 T€": "4500 5000", "900-1.2k": "900 1200", "03/2024": " ", "3,500-4,000": "3500 4000"} {
		if low, high, _ := l.rangeOf(cell); low.Amount+" "+high.Amount != want && want != " " {
			t.Errorf("%q is %s to %s; want %s", cell, low.Amount, high.Amount, want)
		}
	}
	if _, _, ok := l.rangeOf("03/2024"); ok {
		t.Error("a month was taken for a range of prices")
	}
}
