package cli

import (
	"errors"
	"fmt"
	"time"

	"midcase/deal"
	"midcase/estimate"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/opinion"
)

type stockCmd struct {
	List  stockListCmd  `cmd:"" help:"List the stock, or search it: year, dial, polish, papers, serial, client and more."`
	Worth stockWorthCmd `cmd:"" help:"What the whole stock is worth, as a range, and what it is concentrated in."`

	stockSteps `embed:""`
}

type stockWorthCmd struct {
	output
	AsOf   time.Time           `help:"As of this day." placeholder:"2026-03-01"`
	Months float64             `help:"How many months ahead prices may move." default:"12"`
	Fall   []opinion.MetalFall `help:"How far the premium of a metal might fall, in percent of it, such as gold18=20, or all prices, such as all=10; may be repeated (default: all=10, and 20 for each metal dearer than steel)." placeholder:"METAL=PERCENT" sep:"none"`
}

// Run values the stock.
func (c stockWorthCmd) Run(a *app, s *opened) error {
	asOf, err := a.past(c.AsOf)
	if err != nil {
		return err
	}
	if !(c.Months >= 0 && c.Months <= 120) {
		return wrong("--months: %g is out of range. Give 0 to 120", c.Months)
	}
	w, err := s.Desk.StockWorth(a.ctx, asOf, c.Months, c.Fall)
	if errors.Is(err, shop.ErrNotFound) {
		return fmt.Errorf("%w: import some with 'midcase sales import'", err)
	}
	return c.print(a, w, err, func() error { return a.printStock(w) })
}

func watchCount(n int) string {
	if n == 1 {
		return "1 watch"
	}
	return fmt.Sprintf("%d watches", n)
}

const (
	groupsShown = 8
	oldestShown = 3
)

// printStock writes the stock for reading in a terminal.
func (a *app) printStock(w desk.StockWorth) error {
	fmt.Fprintf(a.out, "%s as of %s\n", a.bold(watchCount(w.Watches)), w.AsOf)
	fmt.Fprintf(a.out, "%s %s invested; in %g months worth %s, 90 %% range %s; %s likely to be worth less than was "+
		"paid.\n\n", figure(w.TiedUp, 0), w.Currency, w.Months, price(w.Median, w.Interval90, "", "value"),
		price(w.Median, w.Interval90, "", "range"), estimate.Percent(w.ChanceUnderPaid))
	for _, g := range []struct {
		head   string
		groups []deal.Concentration
	}{{"REFERENCE", w.References}, {"METAL", w.Metals}} {
		rows := [][]string{{g.head, "WATCHES", "INVESTED", "WORTH", "SHARE"}}
		for _, c := range g.groups[:min(groupsShown, len(g.groups))] {
			name := c.Name
			if name == "" {
				name = "unknown"
			}
			rows = append(rows, []string{name, fmt.Sprint(c.Watches), figure(c.TiedUp, 0), figure(c.Mean, 0),
				percent(c.Share)})
		}
		if err := a.table(rows); err != nil {
			return err
		}
		fmt.Fprintln(a.out)
	}
	fmt.Fprintf(a.out, "Concentration (1 means all in one): references %s, metals %s.\n",
		figure(w.HerfindahlReferences, 2), figure(w.HerfindahlMetals, 2))
	for _, s := range w.Says {
		fmt.Fprintln(a.out, s)
	}
	for _, o := range w.Oldest[:min(len(w.Oldest), oldestShown)] {
		fmt.Fprintf(a.out, "Long in stock: no. %d %s, %s, %d days, %s.\n", o.Number, o.Title, stateWords(o.State),
			o.Days, exact(o.Paid))
	}
	for _, l := range w.LeftOut {
		fmt.Fprintf(a.out, "Left out: %s: %s.\n", l.Title, l.Reason)
	}
	return nil
}
