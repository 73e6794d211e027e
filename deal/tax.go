package deal

import (
	"fmt"

	"github.com/govalues/decimal"

	"midcase/money"
)

// inside is the share of a price that is tax when the price contains it: r/(1+r).
func (t Tax) inside() float64 {
	if t.Scheme == "" || t.Scheme == NoTax {
		return 0
	}
	return t.Rate / (1 + t.Rate)
}

// Due is the tax on one sale, with the price paid and the sale price both as the
// parties paid them. Under the margin scheme it is max(0, sale − purchase)·r/(1+r)
// (EU Directive 2006/112, Art. 315; the rate is inside the margin, and work done
// does not lower it); under the ordinary scheme sale·r/(1+r), less the tax inside
// the price paid where that can be reclaimed.
func (t Tax) Due(purchase, sale float64) float64 {
	q := t.inside()
	switch t.Scheme {
	case MarginTaxed:
		return q * max(0, sale-purchase)
	case Ordinary:
		if t.RecoverInput {
			return q * (sale - purchase)
		}
		return q * sale
	}
	return 0
}

// DueExact is Due in exact decimals, rounded to the currency's minor unit (ties to
// the even one). It errs on amounts in two currencies and on a tax that Check refuses.
func (t Tax) DueExact(purchase, sale money.Money) (money.Money, error) {
	if err := t.check(); err != nil {
		return money.Money{}, err
	}
	if sale.IsZero() || purchase.IsZero() {
		return money.Money{}, bad("tax", "an amount that is missing", "both the price paid and the sale price")
	}
	taxed := sale
	if t.Scheme == MarginTaxed || t.Scheme == Ordinary && t.RecoverInput {
		margin, err := sale.Add(purchase.Neg())
		if err != nil {
			return money.Money{}, fmt.Errorf("%w: tax: %w", ErrInput, err)
		}
		taxed = margin
	}
	if t.inside() == 0 || t.Scheme == MarginTaxed && taxed.Sign() < 0 {
		return money.Parse("0", string(sale.Currency()))
	}
	return insideExact(taxed, t.Rate)
}

// insideExact is the tax inside an amount: amount·rate/(1+rate).
func insideExact(amount money.Money, rate float64) (money.Money, error) {
	r, err := decimal.NewFromFloat64(rate)
	if err != nil {
		return money.Money{}, fmt.Errorf("%w: tax.rate: %w", ErrInput, err)
	}
	before, err := r.Add(decimal.One)
	if err != nil {
		return money.Money{}, fmt.Errorf("%w: tax.rate: %w", ErrInput, err)
	}
	due, err := amount.Decimal().Mul(r)
	if err == nil {
		due, err = due.Quo(before)
	}
	if err != nil {
		return money.Money{}, fmt.Errorf("%w: tax on %s: %w", ErrInput, amount, err)
	}
	return money.Parse(money.ToMinor(due, amount.Currency()).String(), string(amount.Currency()))
}
