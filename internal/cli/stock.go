package cli

import (
	"fmt"
	"strconv"
	"strings"

	"midcase/deal"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/opinion"
)

type stockCmd struct {
	Worth stockWorthCmd `cmd:"" help:"What the whole stock is worth, as a range, and where it is concentrated."`

	stockSteps `embed:""`
}

type stockWorthCmd struct {
	AsOf   string   `help:"As of this day." placeholder:"2026-03-01"`
	Months float64  `help:"How far ahead prices may move." default:"12"`
	Fall   []string `help:"A fall of a metal's premium to reckon, in percent of it, such as gold18=20; default 20 percent of each dearer metal in stock." placeholder:"METAL=PERCENT" sep:"none"`
	JSON   bool     `name:"json" help:"Print JSON."`
}

// ownStock are the states in which a watch is the shop's own.
var ownStock = []shop.State{shop.Bought, shop.AtWorkshop, shop.Listed, shop.Reserved, shop.OnMemo}

// stockWorth is the report with the watches that it leaves out.
type stockWorth struct {
	AsOf string `json:"as_of"`
	deal.PortfolioReport
	LeftOut []leftOut `json:"left_out"`
}

type leftOut struct {
	Watch  string `json:"watch"`
	Title  string `json:"title"`
	Reason string `json:"reason"`
}

// Run values the stock.
func (c stockWorthCmd) Run(a *app) error {
	in := opinion.SellingInput{}
	asOf, err := subjectFlags{AsOf: c.AsOf}.day(a)
	if err != nil {
		return err
	}
	in.AsOf = asOf
	if !(c.Months >= 0 && c.Months <= 120) {
		return wrong("months %g: want 0 to 120", c.Months)
	}
	falls, err := parseFalls(c.Fall)
	if err != nil {
		return err
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.sellingGrounds(a, "", &in); err != nil {
		return err
	}
	m, err := s.Market(a.ctx, in.AsOf)
	if err != nil {
		return err
	}
	if m == nil {
		return fmt.Errorf("the shop has no sales to value by: import some with 'midcase sales import'")
	}
	holdings, out, err := s.holdings(a, in)
	if err != nil {
		return err
	}
	report, err := opinion.StockWorth(holdings, m, c.Months, falls, in.Settings.Terms.Seed)
	if err != nil {
		return err
	}
	w := stockWorth{AsOf: in.AsOf.Format("2006-01-02"), PortfolioReport: report, LeftOut: out}
	if c.JSON {
		return a.printJSON(w)
	}
	return a.printStock(w)
}

// parseFalls reads gold18=20.
func parseFalls(texts []string) ([]opinion.MetalFall, error) {
	var out []opinion.MetalFall
	for _, text := range texts {
		metal, percent, ok := strings.Cut(text, "=")
		p, err := strconv.ParseFloat(strings.TrimSpace(percent), 64)
		if !ok || err != nil || strings.TrimSpace(metal) == "" || !(p > 0 && p <= 100) {
			return nil, wrong("fall %q: want a metal and a percentage over 0 up to 100, such as gold18=20", text)
		}
		out = append(out, opinion.MetalFall{Metal: strings.TrimSpace(metal), By: p / 100})
	}
	return out, nil
}

// holdings are the shop's own watches as the whole stock counts them, and those that
// cannot be valued.
func (o *opened) holdings(a *app, in opinion.SellingInput) ([]deal.Holding, []leftOut, error) {
	watches, err := o.Watches(a.ctx, shop.Filter{})
	if err != nil {
		return nil, nil, err
	}
	holdings, out := []deal.Holding{}, []leftOut{}
	for _, w := range watches {
		if !known(ownStock, w.State) {
			continue
		}
		log, err := o.Log(a.ctx, w.ID)
		if err != nil {
			return nil, nil, err
		}
		one := in
		one.File, one.Stock = evidence.Fold(log, in.AsOf), opinion.InStock{Paid: w.Cost}
		h, cannotTell, err := opinion.StockHolding(one)
		if err != nil {
			return nil, nil, err
		}
		if cannotTell != "" {
			out = append(out, leftOut{string(w.ID), w.Title, cannotTell})
			continue
		}
		holdings = append(holdings, h)
	}
	return holdings, out, nil
}

func watchCount(n int) string {
	if n == 1 {
		return "1 watch"
	}
	return fmt.Sprintf("%d watches", n)
}

const groupsShown = 8

// printStock writes the stock for reading in a terminal.
func (a *app) printStock(w stockWorth) error {
	fmt.Fprintf(a.out, "%s as of %s\n", a.bold(watchCount(w.Watches)), w.AsOf)
	fmt.Fprintf(a.out, "Tied up %.0f %s; worth about %.0f, nine in ten between %.0f and %.0f; chance that all is worth less than was paid: %s.\n\n",
		w.TiedUp, w.Currency, w.Median, w.Interval90.Low(), w.Interval90.High(), estimate.Percent(w.ChanceUnderPaid))
	for _, g := range []struct {
		head   string
		groups []deal.Concentration
	}{{"REFERENCE", w.References}, {"METAL", w.Metals}} {
		rows := [][]string{{g.head, "WATCHES", "TIED UP", "WORTH", "SHARE"}}
		for _, c := range g.groups[:min(groupsShown, len(g.groups))] {
			name := c.Name
			if name == "" {
				name = "not known"
			}
			rows = append(rows, []string{name, fmt.Sprint(c.Watches), fmt.Sprintf("%.0f", c.TiedUp), fmt.Sprintf("%.0f", c.Mean), fmt.Sprintf("%.0f %%", 100*c.Share)})
		}
		if err := a.table(rows); err != nil {
			return err
		}
		fmt.Fprintln(a.out)
	}
	fmt.Fprintf(a.out, "Concentration (1 is all in one): references %.2f, metals %.2f.\n", w.HerfindahlReferences, w.HerfindahlMetals)
	for _, s := range w.Says {
		fmt.Fprintf(a.out, "%s.\n", upperFirst(s))
	}
	for _, l := range w.LeftOut {
		fmt.Fprintf(a.out, "Left out: %s: %s.\n", l.Title, l.Reason)
	}
	return nil
}
