package ledger

import (
	"cmp"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// monetary reports whether an account holds money or what is owed in money, which is stated at the rate of
// the last day (IAS 21, paragraph 23). Deposits of buyers are not: they are paid in watches.
func monetary(a Account) bool {
	switch a {
	case Bank, Cash, Receivable, Payable, Consignors, Partners, Loans:
		return true
	}
	return false
}

// Standing folds what stands in other currencies on accounts of money at the end of a day.
type Standing struct {
	base money.Currency
	day  string
	sums *lots
}

// NewStanding stands for the end of a day.
func NewStanding(base money.Currency, day string) *Standing { return &Standing{base, day, newLots()} }

// Post takes an entry up, where it is of that day or before.
func (s *Standing) Post(e Entry) {
	if e.Day > s.day || e.Kind == KindRevalue {
		return
	}
	for _, l := range e.Lines {
		if monetary(l.Account) && l.Amount.Currency() != s.base {
			s.sums.add(lotKey{account: l.Account, party: l.Party, currency: l.Amount.Currency()}, l)
		}
	}
}

// Currencies are those in which something stands.
func (s *Standing) Currencies() ([]money.Currency, error) {
	all, err := s.sums.standing(1)
	var out []money.Currency
	for _, l := range all {
		if !slices.Contains(out, l.Amount.Currency()) {
			out = append(out, l.Amount.Currency())
		}
	}
	slices.Sort(out)
	return out, err
}

// Revalue books what stands in other currencies at the rates of the last day of a period: the difference
// is income or expense of the period that is not realised. The second entry takes it back on the day after,
// so that money keeps the value at which it came in and a realised difference is counted once. Both are
// zero where nothing is to be booked. h is of that day; other is the id of the second entry.
func (s *Standing) Revalue(h Head, other string, rates map[money.Currency]decimal.Decimal) (at, after Entry,
	err error) {
	d := begin(KindRevalue, h)
	d.need(h.Day == s.day, "day", h.Day, s.day)
	all, err := s.sums.standing(1)
	if err != nil {
		return at, after, err
	}
	slices.SortStableFunc(all, func(a, b Lot) int { return cmp.Compare(a.Amount.Currency(), b.Amount.Currency()) })
	for _, l := range all {
		rate := rates[l.Amount.Currency()]
		d.need(rate.IsPos(), "rate", "none", "the closing rate of "+string(l.Amount.Currency()))
		if d.err != nil || rate.Cmp(l.Rate) == 0 || l.Amount.Sign() == 0 {
			continue
		}
		stands := side{l.Account, "", l.Party}
		d.transfer(d.at(Conversion), stands, l.Amount, l.Rate)
		d.transfer(stands, d.at(Conversion), l.Amount, rate)
	}
	if d.err != nil || len(d.e.Lines) == 0 {
		return Entry{}, Entry{}, d.err
	}
	d.difference(ExchangeOpen)
	if at, err = d.done(); err != nil {
		return at, after, err
	}
	day, err := time.Parse(dayForm, h.Day)
	if err != nil {
		return Entry{}, Entry{}, wrongEntry("day %q", h.Day)
	}
	after = at
	after.ID, after.Day, after.Lines = other, day.AddDate(0, 0, 1).Format(dayForm), nil
	for _, l := range at.Lines {
		l.Amount, l.Base = l.Amount.Neg(), l.Base.Neg()
		after.Lines = append(after.Lines, l)
	}
	return at, after, after.Check()
}
