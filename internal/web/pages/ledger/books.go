package ledger

import (
	"context"
	"slices"
	"strconv"

	"midcase/edtf"
	"midcase/internal/shop/ledger"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// MonthsToClose are the months whose state may change, the latest first.
func MonthsToClose(all []Month) []form.Option {
	var out []form.Option
	for _, m := range all {
		if m.Over && m.State != "locked" {
			out = append(out, form.Option{Value: m.Month, Text: monthWords(m.Month) + ", " + m.State})
		}
	}
	return out
}

// YearsToClose are the years that are over and not closed.
func YearsToClose(all []Year) []form.Option {
	var out []form.Option
	for _, y := range slices.Backward(all) {
		if y.Entry == "" {
			out = append(out, form.Option{Value: y.Year, Text: y.Year})
		}
	}
	return out
}

func open(all []Year) bool { return len(YearsToClose(all)) > 0 }

func next(year string) string {
	n, err := strconv.Atoi(year)
	if err != nil {
		return year
	}
	return strconv.Itoa(n + 1)
}

func hasResults(all []ledger.Balance) bool {
	return slices.ContainsFunc(all, func(b ledger.Balance) bool {
		c := ledger.ClassOf(b.Account)
		return c == ledger.Income || c == ledger.Expense
	})
}

// monthWords is a month such as 2026-03 in words.
func monthWords(month string) string {
	m, err := edtf.ParseMonth(month)
	if err != nil {
		return month
	}
	return wording.Month(m)
}

// notNothing is an amount, empty for none.
func notNothing(ctx context.Context, m money.Money) string {
	if m.Sign() == 0 {
		return ""
	}
	return exact(ctx, m)
}

func plain(ctx context.Context, m money.Money) string { return notNothing(ctx, m) }

// difference is what an entry has on the account of exchange differences, where it has that side: below zero it is
// a gain.
func difference(e ledger.Entry, side int) money.Money {
	sum := money.Money{}
	for _, l := range e.Lines {
		if l.Account != ledger.ExchangeDiff || l.Base.Sign() == 0 {
			continue
		}
		if sum.IsZero() {
			sum = l.Base
		} else if added, err := sum.Add(l.Base); err == nil { // one currency, the shop's
			sum = added
		}
	}
	switch {
	case sum.Sign() != side:
		return money.Money{}
	case side < 0:
		return sum.Neg()
	}
	return sum
}

// rateOf is what 1 of a lot's currency stands for.
func rateOf(ctx context.Context, l ledger.MoneyLot) string {
	rate, err := l.Base.Decimal().Quo(l.Amount.Decimal())
	if err != nil {
		return ""
	}
	return wording.ReaderOf(ctx).Locale.Digits(rate.Round(4).Trim(2).String())
}
