package ledger

import (
	"errors"
	"fmt"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// Plan is how a buyer pays what is open for a watch: in monthly instalments with interest.
type Plan struct {
	Sale        string          `json:"sale"` // the id of the sale's entry
	Party       string          `json:"party"`
	Principal   money.Money     `json:"principal"` // open when the plan was made
	Rate        decimal.Decimal `json:"rate"`      // of interest a year, such as 0.06
	Before      money.Money     `json:"before"`    // interest on this watch that was received before
	Instalments []Instalment    `json:"instalments"`
}

// Instalment is one payment of a plan.
type Instalment struct {
	Day      string      `json:"day"` // due
	Amount   money.Money `json:"amount"`
	Interest money.Money `json:"interest"` // in it
	Left     money.Money `json:"left"`     // of the price, after it
}

// MostInstalments is how many a plan may have.
const MostInstalments = 360

// NewPlan divides what is open into so many equal monthly payments, the last of which takes the cents that are over.
// Interest of a month is a twelfth of the yearly rate of what is still left of the price, to the minor unit:
// payment = principal · i / (1 − (1 + i)^−n).
func NewPlan(principal money.Money, rate decimal.Decimal, n int, first string) (Plan, error) {
	p := Plan{Principal: principal, Rate: rate}
	start, err := time.Parse(dayForm, first)
	switch {
	case err != nil:
		return p, &TermsError{"first", fmt.Sprintf("“%s”", first), "the day of the first payment, such as 2026-03-01"}
	case principal.Sign() <= 0:
		return p, &TermsError{"amount", principal.String(), "a sum that is open"}
	case n < 2 || n > MostInstalments:
		return p, &TermsError{"instalments", fmt.Sprint(n), fmt.Sprintf("a number from 2 to %d", MostInstalments)}
	case rate.IsNeg() || rate.Cmp(decimal.One) >= 0:
		return p, &TermsError{"interest", rate.String(), "a yearly rate below 100 %, such as 6%, or 0"}
	}
	s := planSums{currency: principal.Currency()}
	monthly := s.keep(rate.Quo(decimal.MustNew(12, 0)))
	each, left := s.payment(principal.Decimal(), monthly, n), principal.Decimal()
	for k := range n {
		interest := money.ToMinor(s.keep(left.Mul(monthly)), s.currency)
		pays := each
		if k == n-1 || s.keep(each.Sub(interest)).Cmp(left) > 0 {
			pays = s.keep(left.Add(interest))
		}
		left = s.keep(left.Sub(s.keep(pays.Sub(interest))))
		p.Instalments = append(p.Instalments, Instalment{monthsAfter(start, k).Format(dayForm), s.money(pays),
			s.money(interest), s.money(left)})
	}
	if s.err == nil && !left.IsZero() || each.Sign() <= 0 {
		s.err = &TermsError{"instalments", fmt.Sprint(n), "fewer: an instalment would be less than a cent"}
	}
	return p, s.err
}

// monthsAfter is the same day of a later month, or its last day where it is shorter.
func monthsAfter(day time.Time, n int) time.Time {
	first := time.Date(day.Year(), day.Month()+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	return first.AddDate(0, 0, min(day.Day(), first.AddDate(0, 1, -1).Day())-1)
}

// planSums adds up and keeps the first error.
type planSums struct {
	currency money.Currency
	err      error
}

func (s *planSums) keep(d decimal.Decimal, err error) decimal.Decimal {
	s.err = errors.Join(s.err, err)
	return d
}

func (s *planSums) money(d decimal.Decimal) money.Money {
	m, err := amount(d, s.currency)
	s.err = errors.Join(s.err, err)
	return m
}

// payment is the equal payment, to the minor unit.
func (s *planSums) payment(principal, monthly decimal.Decimal, n int) decimal.Decimal {
	if monthly.IsZero() {
		return money.ToMinor(s.keep(principal.Quo(decimal.MustNew(int64(n), 0))), s.currency)
	}
	grown := decimal.One
	for range n {
		grown = s.keep(grown.Mul(s.keep(monthly.Add(decimal.One))))
	}
	share := s.keep(s.keep(monthly.Mul(grown)).Quo(s.keep(grown.Sub(decimal.One))))
	return money.ToMinor(s.keep(principal.Mul(share)), s.currency)
}

// Interest is all interest of the plan.
func (p Plan) Interest() (money.Money, error) {
	sum, err := amount(decimal.Zero, p.Principal.Currency())
	for _, one := range p.Instalments {
		if err == nil {
			sum, err = sum.Add(one.Interest)
		}
	}
	return sum, err
}

// Parts divides a payment, after so much was paid before, into interest and price: instalment by instalment, the
// interest of each first. More than is left of the plan is refused.
func (p Plan) Parts(before, paid money.Money) (interest, price money.Money, err error) {
	s := planSums{currency: p.Principal.Currency()}
	skip, take := before.Decimal(), paid.Decimal()
	sums := [2]decimal.Decimal{}
	for _, one := range p.Instalments {
		for i, part := range []decimal.Decimal{one.Interest.Decimal(),
			s.keep(one.Amount.Decimal().Sub(one.Interest.Decimal()))} {
			gone := lesser(part, skip)
			skip, part = s.keep(skip.Sub(gone)), s.keep(part.Sub(gone))
			now := lesser(part, take)
			take, sums[i] = s.keep(take.Sub(now)), s.keep(sums[i].Add(now))
		}
	}
	if take.IsPos() {
		return interest, price, &TermsError{"amount", paid.String(),
			"at most what is left of the plan, " + s.money(s.keep(paid.Decimal().Sub(take))).String()}
	}
	return s.money(sums[0]), s.money(sums[1]), s.err
}

// PayOff is what pays the plan off on a day, after so much was paid: the price that is left, and the interest of the
// months that have begun.
func (p Plan) PayOff(before money.Money, day string) (interest, price money.Money, err error) {
	s := planSums{currency: p.Principal.Currency()}
	skip := before.Decimal()
	sums := [2]decimal.Decimal{}
	begun := true
	for _, one := range p.Instalments {
		for i, part := range []decimal.Decimal{one.Interest.Decimal(),
			s.keep(one.Amount.Decimal().Sub(one.Interest.Decimal()))} {
			gone := lesser(part, skip)
			skip, part = s.keep(skip.Sub(gone)), s.keep(part.Sub(gone))
			if i == 1 || begun {
				sums[i] = s.keep(sums[i].Add(part))
			}
		}
		begun = one.Day < day // the month of the next
	}
	return s.money(sums[0]), s.money(sums[1]), s.err
}

func lesser(a, b decimal.Decimal) decimal.Decimal {
	if a.Cmp(b) < 0 {
		return a
	}
	return b
}

// Standing is how a plan stands on a day.
type PlanStanding struct {
	Paid    money.Money `json:"paid"`    // interest and price
	Overdue money.Money `json:"overdue"` // was due before the day and is not paid
	Since   string      `json:"since,omitempty"`
	Next    string      `json:"next,omitempty"` // the first day that is not paid in full
	Due     money.Money `json:"due"`            // on that day
}

// Standing is how the plan stands on a day, after so much was paid.
func (p Plan) Standing(paid money.Money, day string) (PlanStanding, error) {
	s := planSums{currency: p.Principal.Currency()}
	left, overdue := paid.Decimal(), decimal.Zero
	out := PlanStanding{Paid: paid, Due: s.money(decimal.Zero)}
	for _, one := range p.Instalments {
		gone := lesser(one.Amount.Decimal(), left)
		left = s.keep(left.Sub(gone))
		open := s.keep(one.Amount.Decimal().Sub(gone))
		if !open.IsPos() {
			continue
		}
		if out.Next == "" {
			out.Next, out.Due = one.Day, s.money(open)
		}
		if one.Day < day {
			overdue = s.keep(overdue.Add(open))
			if out.Since == "" {
				out.Since = one.Day
			}
		}
	}
	out.Overdue = s.money(overdue)
	return out, s.err
}
