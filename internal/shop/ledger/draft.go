package ledger

import (
	"fmt"
	"midcase/typed"
	"strings"

	"github.com/govalues/decimal"

	"midcase/money"
)

// draft is an entry in the making. It knows one operation, transfer, which adds a
// debit and a credit of one amount: what is made so balances.
type draft struct {
	e   Entry
	err error
}

func begin(kind Kind, h Head) *draft {
	d := &draft{e: Entry{Kind: kind, Head: h}}
	if _, err := money.ParseCurrency(string(h.Base)); err != nil {
		d.fail("base: %w", err)
	}
	return d
}

func (d *draft) fail(format string, args ...any) {
	if d.err == nil {
		d.err = fmt.Errorf("%s: %w", strings.ReplaceAll(string(d.e.Kind), "_", " "), fmt.Errorf(format, args...))
	}
}

// TermsError is a term of a dealing that cannot be booked: what it is, what was given and what would do.
type TermsError struct{ Field, Found, Want string }

// Error implements error.
func (e *TermsError) Error() string { return e.Field + ": " + typed.Refusal(e.Found, e.Want) }

// need fails unless ok.
func (d *draft) need(ok bool, field string, found any, want string) {
	if !ok {
		d.fail("%w", &TermsError{Field: field, Found: fmt.Sprint(found), Want: want})
	}
}

// side is one end of a transfer.
type side struct {
	account Account
	watch   string
	party   string
}

func (d *draft) at(a Account) side { return side{a, d.e.Watch, d.e.Party} }

// rate is the rate of the amount's currency: the one given, or 1 for the shop's own.
func (d *draft) rate(m money.Money, given decimal.Decimal) decimal.Decimal {
	if m.Currency() == d.e.Base {
		return decimal.One
	}
	d.need(given.IsPos(), "rate", given, fmt.Sprintf("%s for 1 %s", d.e.Base, m.Currency()))
	return given
}

// inBase is the amount in the shop's currency.
func (d *draft) inBase(m money.Money, rate decimal.Decimal) money.Money {
	b, err := Convert(m, d.rate(m, rate), d.e.Base)
	if err != nil {
		d.fail("%w", err)
	}
	return b
}

// transfer debits one side and credits the other. Nothing is written for a zero
// amount; a negative one goes the other way.
func (d *draft) transfer(debit, credit side, m money.Money, rate decimal.Decimal) {
	if d.err != nil || m.Sign() == 0 {
		return
	}
	if m.Sign() < 0 {
		debit, credit, m = credit, debit, m.Neg()
	}
	rate = d.rate(m, rate)
	base := d.inBase(m, rate)
	d.e.Lines = append(d.e.Lines,
		Line{debit.account, m, rate, base, debit.watch, debit.party},
		Line{credit.account, m.Neg(), rate, base.Neg(), credit.watch, credit.party})
}

// difference moves what the account between currencies has come to in this entry, in the
// shop's currency, to an account of exchange differences.
func (d *draft) difference(to Account) {
	sum, err := amount(decimal.Zero, d.e.Base)
	for _, l := range d.e.Lines {
		if l.Account == Conversion && err == nil {
			sum, err = sum.Add(l.Base)
		}
	}
	if err != nil {
		d.fail("%w", err)
		return
	}
	d.transfer(d.at(to), d.at(Conversion), sum, decimal.One)
}

// take moves a whole lot from one side to another at its own rate, so that nothing
// of it is left in any currency.
func (d *draft) take(debit, credit side, l Lot) {
	d.transfer(debit, credit, l.Amount, l.Rate)
}

// sub is m − n.
func (d *draft) sub(m, n money.Money) money.Money {
	out, err := sub(m, n)
	if err != nil {
		d.fail("%w", err)
	}
	return out
}

// positive fails unless the amount is above zero.
func (d *draft) positive(field string, m money.Money) {
	d.need(m.Sign() > 0, field, m, "an amount above zero")
}

// paidFrom fails unless the account is one of those.
func (d *draft) oneOf(field string, a Account, of ...Account) {
	for _, x := range of {
		if a == x {
			return
		}
	}
	d.need(false, field, fmt.Sprintf("%q", a), fmt.Sprintf("one of %v", of))
}

// done returns the entry, checked.
func (d *draft) done() (Entry, error) {
	if d.err != nil {
		return Entry{}, d.err
	}
	if err := d.e.Check(); err != nil {
		return Entry{}, fmt.Errorf("%s: %w", strings.ReplaceAll(string(d.e.Kind), "_", " "), err)
	}
	return d.e, nil
}

// Lot is a sum that stands on an account in one currency, with what it came to in
// the shop's. Rate is the rate at which it came in; over several, the one that
// they come to together.
type Lot struct {
	Account Account
	Amount  money.Money
	Rate    decimal.Decimal
	Base    money.Money
	Party   string
	Watch   string // of what a buyer owes
}

// newLot is the lot of a sum of lines. Its rate is exact enough to give its base
// amount back.
func newLot(a Account, party string, m, base money.Money, last decimal.Decimal) (Lot, error) {
	l := Lot{Account: a, Amount: m, Base: base, Rate: decimal.One, Party: party}
	if m.Currency() == base.Currency() || m.Sign() == 0 {
		return l, nil
	}
	r, err := base.Decimal().Quo(m.Decimal())
	if err != nil {
		return Lot{}, err
	}
	if !r.IsPos() { // an amount so small that it came to nothing
		r = last
	}
	l.Rate = r
	return l, nil
}
