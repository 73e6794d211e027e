package cli

import (
	"fmt"
	"os"
	"strings"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// sellingFlags say which watch is to be sold, and how it stands in the shop.
type sellingFlags struct {
	subjectFlags
	Paid string  `help:"What was paid for it, such as 5200EUR; otherwise what the shop's record says." placeholder:"PRICE"`
	Rate float64 `help:"Yearly cost of money in percent, in place of the shop's own." placeholder:"PERCENT" default:"-1"`
}

type dealCmd struct {
	sellingFlags
	JSON bool `name:"json" help:"Print JSON."`
}

// Run says by which route the watch sells best, and the highest price for each.
func (c dealCmd) Run(a *app) error {
	in, err := c.selling(a)
	if err != nil {
		return err
	}
	s, err := opinion.CompareRoutes(in)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(s)
	}
	return a.printRoutes(s)
}

type ladderCmd struct {
	sellingFlags
	Asking string  `help:"What the shop asks now, such as 7900EUR; otherwise what its record says." placeholder:"PRICE"`
	Days   float64 `help:"Days on sale so far; otherwise since the shop acquired it." placeholder:"DAYS" default:"-1"`
	JSON   bool    `name:"json" help:"Print JSON."`
}

// Run says what to ask, and when to cut the price.
func (c ladderCmd) Run(a *app) error {
	in, err := c.selling(a)
	if err != nil {
		return err
	}
	if c.Asking != "" {
		if in.Settings.Stock.Asking, err = positive("price asked", c.Asking); err != nil {
			return err
		}
	}
	if c.Days != -1 {
		if !(c.Days >= 0 && c.Days <= 36525) {
			return wrong("days %g: want days from 0 to 36525", c.Days)
		}
		in.Settings.Stock.DaysOnSale = c.Days
	}
	if c.Days > 0 && in.Settings.Stock.Asking.IsZero() {
		return wrong("--days goes with the price that was asked so long: give --asking")
	}
	s, err := opinion.PriceLadder(in)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(s)
	}
	return a.printLadder(s)
}

// selling gathers what selling the watch is reckoned from.
func (c sellingFlags) selling(a *app) (opinion.SellingInput, error) {
	in := opinion.SellingInput{}
	if c.Basis != "" {
		return in, wrong("--basis: each route has a basis of its own; leave it out")
	}
	asOf, err := c.day(a)
	if err != nil {
		return in, err
	}
	in.AsOf = asOf
	if in.Settings, err = c.settings(a.now()); err != nil {
		return in, err
	}
	if strings.HasSuffix(strings.ToLower(c.Watch), ".json") || isFile(c.Watch) {
		err = c.sellingFile(a, &in)
	} else {
		err = c.sellingShop(a, &in)
	}
	if err != nil {
		return in, err
	}
	if in.Settings.Terms == (opinion.DealTerms{}) {
		in.Settings.Terms = opinion.CommonTerms()
	}
	if c.Rate != -1 {
		if !(c.Rate >= 0 && c.Rate <= 1000) {
			return in, wrong("rate %g: want a percentage of 0 or more, such as 8", c.Rate)
		}
		in.Settings.Terms.CarryingRatePerYear = c.Rate / 100
	}
	if c.Paid != "" {
		if in.Settings.Stock.Paid, err = positive("price paid", c.Paid); err != nil {
			return in, err
		}
	}
	return in, nil
}

func positive(what, text string) (money.Money, error) {
	m, err := parseMoney(text)
	if err != nil {
		return m, misuse{fmt.Errorf("%s: %w", what, err)}
	}
	if m.Sign() <= 0 {
		return m, wrong("%s %q: want an amount above zero", what, text)
	}
	return m, nil
}

func (c sellingFlags) sellingFile(a *app, in *opinion.SellingInput) error {
	f, err := os.Open(c.Watch)
	if err != nil {
		return err
	}
	defer f.Close()
	w, err := evidence.ReadWatch(f, c.Watch, a.now())
	if err != nil {
		return err
	}
	if in.Book, err = c.book(a); err != nil {
		return err
	}
	in.File = evidence.Fold(w, in.AsOf)
	in.Market, err = c.market(a, in.Settings, in.AsOf)
	return err
}

func (c sellingFlags) sellingShop(a *app, in *opinion.SellingInput) error {
	if c.Book != "" || c.Sales != "" {
		return wrong("--book and --sales go with a watch file; %s is looked up in the shop, which has its own", c.Watch)
	}
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	currency := money.Currency("")
	if c.Currency != "" {
		currency = in.Settings.Currency
	}
	asked := in.Settings.Asked
	if *in, err = s.SellingOf(a.ctx, w.ID, in.AsOf, currency); err != nil {
		return refused(err)
	}
	if !asked.IsZero() {
		in.Settings.Asked, in.Settings.Stock.Paid = asked, money.Money{}
	}
	return nil
}

// printRoutes writes the routes for reading in a terminal.
func (a *app) printRoutes(s opinion.Selling) error {
	fmt.Fprintf(a.out, "%s\nas of %s\n\n", a.bold(s.Watch.Title), s.AsOf)
	if !s.Known {
		_, err := fmt.Fprintf(a.out, "Cannot tell: %s.\n", s.CannotTell)
		return err
	}
	r := s.Comparison
	switch s.PriceIs {
	case opinion.PriceIsPaid, opinion.PriceIsAsked:
		fmt.Fprintf(a.out, "At the price %s of %s, in %s:\n\n", s.PriceIs, s.Price, r.Currency)
	default:
		fmt.Fprintf(a.out, "No price is known; at the highest price, %s %s:\n\n", figure(r.At, 0), r.Currency)
	}
	if s.HighestPrice != nil {
		fmt.Fprintf(a.out, "Highest price by %s: %s; expected profit %s.\n\n", s.Route, s.HighestPrice,
			s.ExpectedProfit)
	}
	rows := [][]string{{"ROUTE", "SELLS FOR", "90 % RANGE", "MONTHS", "NET RESULT", "CHANCE OF LOSS",
		"CHANCE OF BEING BEST", "HIGHEST PRICE"}}
	for _, one := range r.Routes {
		highest := "none"
		if one.Reachable {
			highest = figure(one.HighestPrice, 0)
		}
		rows = append(rows, []string{one.Name, price(one.Sale.Median, one.Sale.Interval90, "", "value"),
			price(one.Sale.Median, one.Sale.Interval90, "", "range"),
			figure(one.MonthsToSell.Value, 1), figure(one.ExpectedProfit,
				0), estimate.Percent(one.ChanceOfLoss), estimate.Percent(one.ChanceBest), highest})
	}
	if err := a.table(rows); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "\nWhat the result of %s depends on:\n", r.Best().Name)
	for _, u := range r.Best().Sensitivity {
		fmt.Fprintf(a.out, "  %-14s %s of the spread of the result\n", u.Source, estimate.Percent(u.Share))
	}
	return a.printNotes(s)
}

func (a *app) printNotes(s opinion.Selling) error {
	fmt.Fprintln(a.out)
	for _, line := range s.Says {
		fmt.Fprintf(a.out, "%s.\n", strings.TrimSuffix(say.Capital(line.String()), "."))
	}
	for _, line := range s.Cautions {
		fmt.Fprintln(a.out, line)
	}
	return nil
}

// printLadder writes the ladder for reading in a terminal.
func (a *app) printLadder(s opinion.Selling) error {
	fmt.Fprintf(a.out, "%s\nas of %s\n\n", a.bold(s.Watch.Title), s.AsOf)
	if !s.Known {
		_, err := fmt.Fprintf(a.out, "Cannot tell: %s.\n", s.CannotTell)
		return err
	}
	r := s.Ladder
	rows := [][]string{{"", "ASK", "OF VALUE", "DAYS TO SELL", "90 % RANGE", "SOLD IN 30 D", "IN 90 D", "NET RESULT",
		"A YEAR"}}
	for i, one := range r.Rungs {
		mark := ""
		if i == r.Best {
			mark = "best"
		}
		rows = append(rows, []string{mark, figure(one.Ask, 0), percent(one.AskOverValue), figure(one.Days.Value, 0),
			span(one.Days.Interval.Low(), one.Days.Interval.High(),
				0), estimate.Percent(one.ChanceSold30), estimate.Percent(one.ChanceSold90),
			figure(one.ExpectedNet, 0), figure(one.ExpectedPerYear, 0)})
	}
	fmt.Fprintf(a.out, "Value about %s", value(say.Estimate{Value: r.ValueStated, Currency: r.Currency}, ""))
	if r.Schedule[0].DaysOnSale > 0 && r.ValueMedian < 0.995*r.ValueStated {
		fmt.Fprintf(a.out, "; unsold after %s days at %s, more likely about %s", figure(r.Schedule[0].DaysOnSale, 0),
			figure(r.Asked, 0), value(say.Estimate{Value: r.ValueMedian}, ""))
	}
	fmt.Fprint(a.out, ".\n\n")
	if err := a.table(rows); err != nil {
		return err
	}
	return a.printNotes(s)
}
