package cli

import (
	"fmt"

	"midcase/deal"
	"midcase/estimate"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// sellingFlags say which watch is to be sold, and on what terms.
type sellingFlags struct {
	subjectFlags
	output
	Paid money.Money `help:"Price paid, such as 5200EUR (default: as on the shop's record)." placeholder:"PRICE"`
	Rate float64     `help:"Yearly cost of money in percent (default: the shop's)." placeholder:"PERCENT" default:"-1"`
	Earn float64     `help:"What money bound in a watch should earn a year, in percent (default: the shop's)." placeholder:"PERCENT" default:"-1"`
}

type dealCmd struct{ sellingFlags }

// Run says by which route the watch should earn most, and the highest price for each.
func (c dealCmd) Run(a *app) error {
	in, err := c.selling(a)
	if err != nil {
		return err
	}
	s, err := opinion.CompareRoutes(in)
	return c.print(a, s, err, func() error { return a.printRoutes(s) })
}

type ladderCmd struct {
	sellingFlags
	Asking money.Money `help:"Asking price now, such as 7900EUR (default: as on the shop's record)." placeholder:"PRICE"`
	Days   float64     `help:"Days on sale so far (default: the days on offer)." placeholder:"DAYS" default:"-1"`
}

// Run says what to ask, and when to cut the price.
func (c ladderCmd) Run(a *app) error {
	in, err := c.selling(a)
	if err != nil {
		return err
	}
	stock := &in.Settings.Stock
	if !c.Asking.IsZero() {
		stock.Asking = c.Asking
	}
	if c.Days != -1 {
		if !(c.Days >= 0 && c.Days <= 36525) {
			return wrong("--days: %g is not a number of days on sale. Give 0 to 36525", c.Days)
		}
		stock.DaysOnSale = c.Days
	}
	if c.Days > 0 && stock.Asking.IsZero() {
		return wrong("--days needs the price asked during that time: add --asking")
	}
	if err := aboveZero("--asking", c.Asking); err != nil {
		return err
	}
	s, err := opinion.PriceLadder(in)
	return c.print(a, s, err, func() error { return a.printLadder(s) })
}

// selling gathers what selling the watch is computed from.
func (c sellingFlags) selling(a *app) (in opinion.SellingInput, err error) {
	if c.Basis != "" {
		return in, wrong("--basis: each route has its own basis of value; leave it out")
	}
	if in.AsOf, err = a.past(c.AsOf); err != nil {
		return in, err
	}
	if in.Settings, err = c.settings(); err != nil {
		return in, err
	}
	if c.isFile() {
		var g given
		g, err = c.files(a, in.AsOf)
		in.File, in.Book, in.Market = g.file, g.book, g.market
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
			return in, wrong("--rate: %g is not a yearly cost of money. Give a percentage of 0 or more, such as 8", c.Rate)
		}
		in.Settings.Terms.CarryingRatePerYear = c.Rate / 100
	}
	if c.Earn != -1 {
		if !(c.Earn >= 0 && c.Earn <= 1000) {
			return in, wrong("--earn: %g is not what money can earn a year. Give a percentage of 0 or more, such as 25", c.Earn)
		}
		in.Settings.Terms.HurdleRatePerYear = c.Earn / 100
	}
	if !c.Paid.IsZero() {
		in.Settings.Stock.Paid = c.Paid
	}
	return in, aboveZero("--paid", c.Paid)
}

func (c sellingFlags) sellingShop(a *app, in *opinion.SellingInput) error {
	s, w, err := c.inShop(a)
	if err != nil {
		return err
	}
	if *in, err = s.SellingOf(a.ctx, w.ID, in.AsOf, c.Currency); err != nil {
		return refused(err)
	}
	if !c.Asked.IsZero() {
		in.Settings.Asked, in.Settings.Stock.Paid = c.Asked, money.Money{}
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
	switch {
	case s.Consigned:
		fmt.Fprint(a.out, "Sold for its owner:\n\n")
	case s.PriceIs != "":
		fmt.Fprintf(a.out, "At the %s %s:\n\n", exact(*s.Price), s.PriceIs)
	default:
		fmt.Fprintf(a.out, "At the highest price, %s %s, as no price is known:\n\n", figure(r.At, 0), r.Currency)
	}
	if s.HighestPrice != nil {
		fmt.Fprintf(a.out, "Highest price by %s: %s; expected profit %s.\n\n", s.Route, exact(*s.HighestPrice),
			exact(*s.ExpectedProfit))
	}
	rows := [][]string{{"ROUTE", "NEVER SELLS", "ASK", "SELLS FOR", "90 % RANGE", "MONTHS", "NET RESULT",
		"CHANCE OF LOSS", "CHANCE OF BEING BEST", "HIGHEST PRICE"}}
	for _, one := range r.Routes {
		highest, ask := "none", ""
		if one.Reachable && !s.Consigned {
			highest = figure(one.HighestPrice, 0)
		}
		if one.Ask > 0 {
			ask = figure(one.Ask, 0)
		}
		unsold := ""
		if one.Name != deal.Trade {
			unsold = estimate.Percent(one.ChanceUnsold)
		}
		rows = append(rows, []string{one.Name, unsold, ask, price(one.Sale.Median, one.Sale.Interval90, "", "value"),
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
		fmt.Fprintln(a.out, line)
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
	rows := [][]string{{"", "ASK", "OF VALUE", "NEVER SELLS", "DAYS TO SELL", "90 % RANGE", "SOLD IN 30 D", "IN 90 D",
		"NET RESULT", "CHANCE OF LOSS", "BEHIND THE BEST"}}
	for i, one := range r.Rungs {
		mark := ""
		switch {
		case i == r.Best:
			mark = "best"
		case one.Ask == r.Asked:
			mark = "now"
		}
		rows = append(rows, []string{mark, figure(one.Ask, 0), percent(one.AskOverValue),
			estimate.Percent(one.ChanceUnsold), figure(one.Days.Value, 0),
			span(one.Days.Interval.Low(), one.Days.Interval.High(),
				0), estimate.Percent(one.ChanceSold30), estimate.Percent(one.ChanceSold90),
			figure(one.ExpectedNet, 0), estimate.Percent(one.ChanceOfLoss), figure(one.Behind, 0)})
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
