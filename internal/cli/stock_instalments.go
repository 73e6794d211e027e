package cli

import (
	"fmt"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
)

type stockInstalCmd struct {
	stepFlags
	Parts int             `name:"parts" help:"How many monthly payments. Without it, print the plan that was agreed." placeholder:"12"`
	Rate  decimal.Decimal `help:"Interest a year, such as 6% (default: none)." placeholder:"RATE"`
	First string          `help:"Day of the first payment." placeholder:"2026-03-01"`
	Day   string          `help:"Day on which it was agreed (default: today)." placeholder:"2026-03-01"`
}

// cautionInterest goes with every plan that bears interest.
const cautionInterest = "Interest to consumers is regulated, and may be exempt from tax; check your local rules."

// Run agrees on instalments, or prints the plan.
func (c stockInstalCmd) Run(a *app, s *opened, w shop.Watch) error {
	if c.Parts == 0 {
		plan, paid, err := s.Trade.PlanOf(a.ctx, w.ID)
		if err == nil && plan == nil {
			return wrong("no. %d is not paid in instalments. Agree on them with --parts and --first", w.Number)
		}
		return c.print(a, plan, err, func() error {
			st, err := plan.Standing(paid, a.now().Format("2006-01-02"))
			if err != nil {
				return err
			}
			return a.plan(*plan, &st)
		})
	}
	m, err := s.Trade.Instalments(a.ctx, w.ID, trade.Paying{Day: c.Day, Instalments: c.Parts, Rate: c.Rate,
		First: c.First}, c.who())
	return c.print(a, m, err, func() error { return a.plan(*m.Plan, nil) })
}

// plan writes the payments of a plan and, where it is given, how it stands.
func (a *app) plan(p ledger.Plan, st *ledger.PlanStanding) error {
	rows := [][]string{{"DUE", "AMOUNT", "INTEREST IN IT", "LEFT OF THE PRICE"}}
	for _, one := range p.Instalments {
		rows = append(rows, []string{one.Day, exact(one.Amount), exact(one.Interest), exact(one.Left)})
	}
	if err := a.table(rows); err != nil {
		return err
	}
	if st != nil {
		fmt.Fprintf(a.out, "Paid so far: %s.", exact(st.Paid))
		if st.Next != "" {
			fmt.Fprintf(a.out, " Next: %s on %s.", exact(st.Due), st.Next)
		}
		if st.Overdue.Sign() > 0 {
			fmt.Fprintf(a.out, " Overdue since %s: %s.", st.Since, exact(st.Overdue))
		}
		fmt.Fprintln(a.out)
	}
	if !p.Rate.IsZero() {
		fmt.Fprintln(a.err, cautionInterest)
	}
	return nil
}
