package ledger

import (
	"fmt"

	"github.com/govalues/decimal"

	"midcase/money"
)

// amount makes money of a decimal.
func amount(d decimal.Decimal, c money.Currency) (money.Money, error) {
	return money.New(d.Trim(c.MinorUnits()), c)
}

// Convert is the amount in another currency at a rate (of it for 1 of the amount's),
// to its minor unit, a half away from zero.
func Convert(m money.Money, rate decimal.Decimal, to money.Currency) (money.Money, error) {
	d, err := m.Decimal().Mul(rate)
	if err != nil {
		return money.Money{}, fmt.Errorf("%s at rate %s: %w", m, rate, err)
	}
	return amount(money.ToMinor(d, to), to)
}

// sub is m − n, both of one currency or no amount.
func sub(m, n money.Money) (money.Money, error) {
	if n.IsZero() {
		return m, nil
	}
	return m.Add(n.Neg())
}

// TaxIncluded is the tax within an amount at a rate: amount · r / (1 + r), to the
// minor unit. An amount below zero has none: losses of the margin scheme give nothing
// back (Directive 2006/112/EC, article 315).
func TaxIncluded(m money.Money, rate decimal.Decimal) (money.Money, error) {
	if m.Sign() <= 0 || rate.IsZero() {
		return amount(decimal.Zero, m.Currency())
	}
	if rate.IsNeg() {
		return money.Money{}, fmt.Errorf("tax rate %s: want 0 or more, such as 0.20", rate)
	}
	part, err := m.Decimal().Mul(rate)
	if err != nil {
		return money.Money{}, fmt.Errorf("tax on %s: %w", m, err)
	}
	whole, err := decimal.One.Add(rate)
	if err != nil {
		return money.Money{}, fmt.Errorf("tax on %s: %w", m, err)
	}
	tax, err := part.Quo(whole)
	if err != nil {
		return money.Money{}, fmt.Errorf("tax on %s: %w", m, err)
	}
	return amount(money.ToMinor(tax, m.Currency()), m.Currency())
}

// Split divides an amount by shares that sum to 1, to the minor unit, so that the
// parts sum to exactly the amount: each part is the difference of two rounded running
// sums. It does not change shares.
func Split(m money.Money, shares []decimal.Decimal) ([]money.Money, error) {
	sum, before := decimal.Zero, decimal.Zero
	out := make([]money.Money, len(shares))
	for i, share := range shares {
		if share.IsNeg() {
			return nil, fmt.Errorf("share %s: want 0 to 1", share)
		}
		var err error
		if sum, err = sum.Add(share); err != nil {
			return nil, err
		}
		upTo, err := m.Decimal().Mul(sum)
		if err != nil {
			return nil, fmt.Errorf("split %s: %w", m, err)
		}
		if i < len(shares)-1 {
			upTo = money.ToMinor(upTo, m.Currency())
		}
		part, err := upTo.Sub(before)
		if err != nil {
			return nil, err
		}
		before = upTo
		if out[i], err = amount(part, m.Currency()); err != nil {
			return nil, err
		}
	}
	if sum.Cmp(decimal.One) != 0 {
		return nil, fmt.Errorf("shares sum to %s; want 1", sum)
	}
	return out, nil
}
