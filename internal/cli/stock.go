package cli

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"midcase/deal"
	"midcase/estimate"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/opinion"
	"midcase/say"
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

// Run values the stock.
func (c stockWorthCmd) Run(a *app) error {
	asOf, err := subjectFlags{AsOf: c.AsOf}.day(a)
	if err != nil {
		return err
	}
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
	w, err := s.Desk.StockWorth(a.ctx, asOf, c.Months, falls)
	if errors.Is(err, shop.ErrNotFound) {
		return fmt.Errorf("%w: import some with 'midcase sales import'", err)
	}
	if err != nil {
		return err
	}
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
	fmt.Fprintf(a.out, "Tied up %s %s; worth %s, 90 %% range %s; %s likely that the whole is worth less than was paid.\n\n",
		figure(w.TiedUp, 0), w.Currency, price(w.Median, w.Interval90, "", "value"), price(w.Median, w.Interval90, "",
			"range"), estimate.Percent(w.ChanceUnderPaid))
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
			rows = append(rows, []string{name, fmt.Sprint(c.Watches), figure(c.TiedUp, 0), figure(c.Mean, 0),
				percent(c.Share)})
		}
		if err := a.table(rows); err != nil {
			return err
		}
		fmt.Fprintln(a.out)
	}
	fmt.Fprintf(a.out, "Concentration (1 is all in one): references %s, metals %s.\n",
		figure(w.HerfindahlReferences, 2), figure(w.HerfindahlMetals, 2))
	for _, s := range w.Says {
		fmt.Fprintf(a.out, "%s.\n", say.Capital(s))
	}
	for _, o := range w.Oldest[:min(len(w.Oldest), oldestShown)] {
		fmt.Fprintf(a.out, "Long in stock: no. %d %s, %s, %d days, %s.\n", o.Number, o.Title, stateWords(o.State),
			o.Days, o.Paid)
	}
	for _, l := range w.LeftOut {
		fmt.Fprintf(a.out, "Left out: %s: %s.\n", l.Title, l.Reason)
	}
	return nil
}
