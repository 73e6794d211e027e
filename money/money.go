package money

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"

	"github.com/govalues/decimal"
)

// Currency is an ISO 4217 alphabetic code, such as EUR.
type Currency string

var (
	code         = regexp.MustCompile(`^[A-Z]{3}$`)
	plainDecimal = regexp.MustCompile(`^[+-]?[0-9]+(?:\.([0-9]+))?$`)
)

// ParseCurrency accepts a three-letter ISO 4217 code in any case.
func ParseCurrency(s string) (Currency, error) {
	c := strings.ToUpper(strings.TrimSpace(s))
	if !code.MatchString(c) {
		return "", fmt.Errorf("currency %q: want an ISO 4217 code of three letters, such as EUR", s)
	}
	if _, ok := minorUnits[Currency(c)]; !ok {
		return "", fmt.Errorf("currency %q: not an ISO 4217 code in use", s)
	}
	return Currency(c), nil
}

// MinorUnits is the number of decimals of the currency (2 for EUR, 0 for JPY).
func (c Currency) MinorUnits() int {
	if n, ok := minorUnits[c]; ok {
		return n
	}
	return 2
}

// Money is an exact amount in one currency. The zero Money is "no amount".
type Money struct {
	amount   decimal.Decimal
	currency Currency
}

// ErrCurrencies is wrapped by every operation on two different currencies.
var ErrCurrencies = errors.New("amounts are in different currencies")

// Parse reads a plain decimal such as "1234.50" in the given currency. Thousands
// separators, signs of currency and decimal commas are refused, since guessing
// them moves a price by a factor of a thousand.
func Parse(amount, currency string) (Money, error) {
	c, err := ParseCurrency(currency)
	if err != nil {
		return Money{}, err
	}
	text := strings.TrimSpace(amount)
	form := plainDecimal.FindStringSubmatch(text)
	if form == nil {
		return Money{}, fmt.Errorf("amount %q: want a plain decimal such as 1234.50", amount)
	}
	d, err := decimal.Parse(text)
	if err != nil || d.Scale() < len(form[1]) { // a figure too long would be rounded in silence
		return Money{}, fmt.Errorf("amount %q: want at most 19 figures", amount)
	}
	return Money{d, c}, nil
}

// MustParse is Parse for amounts written in code; it panics on a bad one.
func MustParse(amount, currency string) Money {
	m, err := Parse(amount, currency)
	if err != nil {
		panic(err)
	}
	return m
}

// Round turns an estimate into an amount, to the currency's minor unit, a half away from zero. It errs
// on values that are not finite or too large to hold, and on an unknown currency.
func Round(estimate float64, c Currency) (Money, error) {
	if _, ok := minorUnits[c]; !ok {
		return Money{}, fmt.Errorf("currency %q: not an ISO 4217 code in use", string(c))
	}
	if math.IsNaN(estimate) || math.IsInf(estimate, 0) {
		return Money{}, fmt.Errorf("amount is not a number")
	}
	d, err := decimal.NewFromFloat64(estimate)
	if err != nil {
		return Money{}, fmt.Errorf("amount %g: %w", estimate, err)
	}
	return Money{ToMinor(d, c), c}, nil
}

// ToMinor rounds to the currency's minor unit, a half away from zero: the one rule of
// rounding for all amounts.
func ToMinor(d decimal.Decimal, c Currency) decimal.Decimal {
	scale := c.MinorUnits()
	if d.Scale() <= scale {
		return d
	}
	r := d.Round(scale) // half to even
	half, err := decimal.New(5, scale+1)
	if err != nil {
		return r
	}
	if diff, err := d.Sub(r); err == nil && diff.Abs().Cmp(half) == 0 && diff.Sign() == d.Sign() {
		if unit, err := decimal.New(int64(d.Sign()), scale); err == nil {
			if up, err := r.Add(unit); err == nil {
				return up
			}
		}
	}
	return r
}

// Decimal is the amount without its currency.
func (m Money) Decimal() decimal.Decimal { return m.amount }

// Currency is the currency, empty for the zero Money.
func (m Money) Currency() Currency { return m.currency }

// IsZero reports whether there is no amount at all (which differs from 0 EUR).
func (m Money) IsZero() bool { return m.currency == "" }

// Sign is −1, 0 or 1.
func (m Money) Sign() int { return m.amount.Sign() }

// Float is the amount as an estimate, for statistics and drawing only.
func (m Money) Float() float64 { f, _ := m.amount.Float64(); return f }

// Add returns m + n.
func (m Money) Add(n Money) (Money, error) {
	if m.IsZero() {
		return n, nil
	}
	if n.IsZero() {
		return m, nil
	}
	if m.currency != n.currency {
		return Money{}, fmt.Errorf("%s + %s: %w", m, n, ErrCurrencies)
	}
	d, err := m.amount.Add(n.amount)
	if err != nil {
		return Money{}, fmt.Errorf("%s + %s: %w", m, n, err)
	}
	return Money{d, m.currency}, nil
}

// Neg returns −m.
func (m Money) Neg() Money { return Money{m.amount.Neg(), m.currency} }

// String writes the amount and its currency: 1234.50 EUR.
func (m Money) String() string {
	if m.IsZero() {
		return "no amount"
	}
	return m.Amount() + " " + string(m.currency)
}

// Amount writes the decimal with at least the currency's minor units: 1234.50.
func (m Money) Amount() string { return m.amount.Pad(m.currency.MinorUnits()).String() }

type wire struct {
	Amount   string `json:"amount"`
	Currency string `json:"currency"`
}

// MarshalJSON writes {"amount":"1234.50","currency":"EUR"}, or null for the zero
// Money.
func (m Money) MarshalJSON() ([]byte, error) {
	if m.IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(wire{m.Amount(), string(m.currency)})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (m *Money) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*m = Money{}
		return nil
	}
	var w wire
	if err := json.Unmarshal(b, &w); err != nil {
		return fmt.Errorf(`money: want {"amount":"1234.50","currency":"EUR"}: %w`, err)
	}
	v, err := Parse(w.Amount, w.Currency)
	if err != nil {
		return err
	}
	*m = v
	return nil
}
