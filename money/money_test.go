package money

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The codes whose minor unit is not 2, from a public copy of the ISO 4217 table
// (github.com/datasets/currency-codes, data/codes-all.csv). UGX has 2 in that copy,
// which is older, and 0 since an amendment: from memory.
func TestMinorUnitsOfISO4217(t *testing.T) {
	want := map[Currency]int{"BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3, "UGX": 0}
	for _, c := range strings.Fields("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UYI VND VUV XAF XOF XPF") {
		want[Currency(c)] = 0
	}
	// Replaced by the euro, with no decimals in use: from memory.
	for _, c := range strings.Fields("BEF ESP GRD ITL LUF PTE") {
		want[Currency(c)] = 0
	}
	for c, got := range minorUnits {
		n, special := want[c]
		if !special {
			n = 2
		}
		if got != n || c.MinorUnits() != n {
			t.Errorf("%s: %d decimals, want %d", c, got, n)
		}
		delete(want, c)
	}
	for c := range want {
		t.Errorf("%s is missing", c)
	}
	// Codes of places where watches are sold, and the euro's forerunners.
	for _, c := range strings.Fields("AED AUD BRL CAD CHF CNY CZK DKK EUR GBP HKD HUF INR JPY KRW MXN NOK NZD PLN SAR SEK SGD THB TRY TWD USD ZAR " +
		"ATS BEF CYP DEM EEK ESP FIM FRF GRD HRK IEP ITL LTL LUF LVL MTL NLG PTE SIT SKK") {
		if _, err := ParseCurrency(c); err != nil {
			t.Error(err)
		}
	}
}

func TestParse(t *testing.T) {
	for _, tt := range []struct{ amount, currency, want string }{
		{"1234.5", "EUR", "1234.50 EUR"}, {"1234", "JPY", "1234 JPY"}, {"1.5", "kwd", "1.500 KWD"},
		{" 7 ", " usd ", "7.00 USD"},
		{"-3", "CHF", "-3.00 CHF"}, {"0", "EUR", "0.00 EUR"}, {"0.125", "EUR", "0.125 EUR"},
	} {
		m, err := Parse(tt.amount, tt.currency)
		if err != nil || m.String() != tt.want {
			t.Errorf("%q %q: %s %v, want %s", tt.amount, tt.currency, m, err, tt.want)
		}
	}
	for _, tt := range []struct{ amount, currency, want string }{
		{"1,234.50", "EUR", "plain decimal"}, {"1.234,50", "EUR", "plain decimal"}, {"1 234", "EUR", "plain decimal"},
		{"€5", "EUR", "plain decimal"},
		{"", "EUR", "plain decimal"}, {"NaN", "EUR", "plain decimal"}, {"Inf", "EUR", "plain decimal"},
		{"1e3", "EUR", "plain decimal"},
		{"99999999999999999999", "EUR", "amount"}, {".5", "EUR", "plain decimal"}, {"5.", "EUR", "plain decimal"},
		{"0.12345678901234567890123", "EUR", "19 figures"}, {"5", "", "three letters"}, {"5", "EURO", "three letters"},
		{"5", "XYZ", "not an ISO 4217 code"},
	} {
		if m, err := Parse(tt.amount, tt.currency); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q %q: %s, error %v, want %q", tt.amount, tt.currency, m, err, tt.want)
		}
	}
}

func TestCurrenciesDoNotAdd(t *testing.T) {
	a, b := MustParse("5", "EUR"), MustParse("5", "USD")
	if _, err := a.Add(b); !errors.Is(err, ErrCurrencies) {
		t.Errorf("5 EUR + 5 USD: %v", err)
	}
	huge := MustParse("9999999999999999999", "JPY")
	if _, err := huge.Add(huge); err == nil {
		t.Error("an overflow went unnoticed")
	}
}

func TestNoAmount(t *testing.T) {
	var none Money
	five := MustParse("5", "EUR")
	if sum, err := none.Add(five); err != nil || sum != five {
		t.Errorf("nothing + 5 EUR: %s %v", sum, err)
	}
	if sum, err := five.Add(none); err != nil || sum != five {
		t.Errorf("5 EUR + nothing: %s %v", sum, err)
	}
	if MustParse("0", "EUR").IsZero() || !none.IsZero() || none.String() != "no amount" {
		t.Error("nothing and 0 EUR are not told apart")
	}
	b, err := json.Marshal(none)
	if err != nil || string(b) != "null" {
		t.Errorf("%s %v", b, err)
	}
}

func TestRound(t *testing.T) {
	for _, tt := range []struct {
		x    float64
		c    Currency
		want string
	}{{1234.5678, "EUR", "1234.57 EUR"}, {1234.5678, "JPY", "1235 JPY"}, {1.23456, "KWD", "1.235 KWD"},
		{-2.345, "EUR", "-2.35 EUR"}, {2.345, "EUR", "2.35 EUR"}, {0.5, "JPY", "1 JPY"}, {2.5, "JPY", "3 JPY"}} {
		// Regulation (EC) 1103/97, article 5: a sum exactly half-way is rounded up.
		if m, err := Round(tt.x, tt.c); err != nil || m.String() != tt.want {
			t.Errorf("%g %s: %s %v, want %s", tt.x, tt.c, m, err, tt.want)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e30} {
		if m, err := Round(x, "EUR"); err == nil {
			t.Errorf("%g became %s", x, m)
		}
	}
	if _, err := Round(5, ""); err == nil {
		t.Error("an amount without a currency")
	}
}

func TestMoneyJSONRefuses(t *testing.T) {
	for _, bad := range []string{`{}`, `5`, `"5 EUR"`, `{"amount":5,"currency":"EUR"}`, `{"amount":"5"}`,
		`{"amount":"5,00","currency":"EUR"}`, `[]`} {
		m := MustParse("1", "EUR")
		if err := json.Unmarshal([]byte(bad), &m); err == nil {
			t.Errorf("%s was read as %s", bad, m)
		}
	}
}

func drawMoney(t *rapid.T, label string, c string) Money {
	return MustParse(rapid.StringMatching(`-?[0-9]{1,9}(\.[0-9]{1,3})?`).Draw(t, label), c)
}

func TestMoneyLaws(t *testing.T) {
	codes := []string{"EUR", "JPY", "KWD", "DEM"}
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom(codes).Draw(t, "currency")
		a, b := drawMoney(t, "a", c), drawMoney(t, "b", c)
		ab, err1 := a.Add(b)
		ba, err2 := b.Add(a)
		if err1 != nil || err2 != nil || ab.String() != ba.String() {
			t.Fatalf("%s + %s: %s, %s", a, b, ab, ba)
		}
		back, err := ab.Add(b.Neg())
		if err != nil || back.Decimal().Cmp(a.Decimal()) != 0 {
			t.Fatalf("%s + %s − %s = %s", a, b, b, back)
		}
		out, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		var again Money
		if err := json.Unmarshal(out, &again); err != nil || again.Decimal().Cmp(a.Decimal()) != 0 ||
			again.Currency() != a.Currency() {
			t.Fatalf("%s read back as %s %v", out, again, err)
		}
		text, err := Parse(a.Amount(), string(a.Currency()))
		if err != nil || text.String() != a.String() {
			t.Fatalf("%s parsed back as %s", a, text)
		}
		if a.Sign() != 0 && a.Sign() != -a.Neg().Sign() {
			t.Fatalf("%s and its negative have one sign", a)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"1234.50", "-0", "1e400", "+5", ".5", "5.", "0x10", "1_000"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := Parse(s, "EUR")
		if err != nil {
			return
		}
		again, err := Parse(m.Amount(), "EUR")
		if err != nil || again.Decimal().Cmp(m.Decimal()) != 0 {
			t.Errorf("%q: %s read back as %s %v", s, m, again, err)
		}
	})
}
