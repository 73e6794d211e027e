package cli

import (
	"fmt"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

type ledgerPeriodCmd struct {
	output
	Month string `arg:"" optional:"" help:"Month, such as 2026-03. Without one, print what is filed and locked."`
	To    string `arg:"" optional:"" help:"filed, locked or open." enum:",filed,locked,open" default:""`
}

// Run shows or sets what is filed and locked.
func (c ledgerPeriodCmd) Run(a *app, s *opened) error {
	rules, err := s.Trade.BookRules(a.ctx)
	if c.Month != "" {
		if c.To == "" {
			return wrong("nothing was said about %s. Add filed, locked or open", c.Month)
		}
		rules, err = s.Trade.SetPeriod(a.ctx, c.Month, trade.PeriodState(c.To))
	}
	return c.line(a, rules, err, "Filed up to: %s. Locked up to: %s.", orElse(rules.Filed, "nothing"),
		orElse(rules.Locked, "nothing"))
}

type ledgerRulesCmd struct {
	output
	Carry       string `help:"How money in other currencies goes out: fifo or average. Fixed once something is booked." enum:",fifo,average" default:""`
	DepositTax  string `help:"Is tax due when a deposit comes in? yes or no." enum:",yes,no" default:""`
	KeptDeposit string `help:"Is tax due on a deposit that the shop keeps? yes or no." enum:",yes,no" default:""`
}

// Run shows or sets how the shop keeps its books.
func (c ledgerRulesCmd) Run(a *app, s *opened) error {
	rules, err := s.Trade.BookRules(a.ctx)
	if c.Carry+c.DepositTax+c.KeptDeposit != "" {
		rules, err = s.Trade.ChangeBookRules(a.ctx, func(b *trade.BookRules) {
			b.Carry = orElse(c.Carry, b.Carry)
			for to, said := range map[**bool]string{&b.DepositTax: c.DepositTax, &b.KeptTax: c.KeptDeposit} {
				if said != "" {
					yes := said == "yes"
					*to = &yes
				}
			}
		})
	}
	a.caution(table{output: c.output})
	return c.line(a, rules, err, "Money in other currencies: %s. Tax on deposits: %s; on deposits kept: %s.",
		orElse(rules.Carry, ledger.FirstInFirstOut), answered(rules.DepositTax), answered(rules.KeptTax))
}

func answered(yes *bool) string {
	switch {
	case yes == nil:
		return "not answered yet, none is booked"
	case *yes:
		return "yes"
	}
	return "no"
}

type ledgerLotsCmd struct{ table }

// Run lists money in other currencies.
func (c ledgerLotsCmd) Run(a *app, s *opened) error {
	all, err := s.Trade.Lots(a.ctx)
	return list(a, c.table, all, err, "No money in other currencies.", "ACCOUNT|SINCE|AMOUNT|IN "+string(s.Currency()),
		func(l ledger.MoneyLot) cells { return cells{l.Account, l.Day, l.Amount, l.Base.Amount()} })
}

type ledgerRevalueCmd struct {
	doer
	output
	Day  string   `arg:"" help:"Last day of the period, such as 2026-03-31."`
	Rate []string `help:"Closing rate, such as USD=0.95; may be repeated (default: the shop's table of rates)." placeholder:"CURRENCY=RATE"`
}

// Run states what stands in other currencies at closing rates.
func (c ledgerRevalueCmd) Run(a *app, s *opened) error {
	rates := map[money.Currency]decimal.Decimal{}
	for _, one := range c.Rate {
		code, text, _ := strings.Cut(one, "=")
		currency, err := money.ParseCurrency(code)
		if err != nil {
			return misuse{err}
		}
		rate, err := parseRate(text)
		if err != nil {
			return misuse{err}
		}
		rates[currency] = rate.Decimal
	}
	if _, err := time.Parse(time.DateOnly, c.Day); err != nil {
		return misuse{notADay(c.Day)}
	}
	all, err := s.Trade.Revalue(a.ctx, c.Day, rates, c.who())
	if err != nil {
		return refused(err)
	}
	if c.JSON {
		return a.printJSON(filled(all))
	}
	if len(all) == 0 {
		fmt.Fprintln(a.out, "Nothing to book: what stands in other currencies is at these rates already.")
	}
	for _, e := range all {
		fmt.Fprintln(a.out, e.Day, e.ID)
	}
	return nil
}
