package cli

import (
	"fmt"
	"strconv"

	"midcase/market"
)

type marketCompsCmd struct {
	fitFile
	Subject string `required:"" help:"Subject as a JSON file." type:"existingfile" placeholder:"FILE.json"`
	AsOf    string `help:"Effective date; default today." placeholder:"2026-03-01"`
	Basis   string `help:"Basis of value." default:"retail"`
	JSON    bool   `name:"json" help:"Print JSON."`
	CSV     bool   `name:"csv" help:"Print CSV, one row an adjustment."`
}

// compsCSV prints one row an adjustment, in the order in which they are applied.
func (a *app) compsCSV(comps []market.Comparable) error {
	rows := [][]string{{"sale", "date", "price", "adjusted", "weight", "feature", "subject", "comparable", "percent",
		"amount"}}
	for _, k := range comps {
		for _, x := range k.Adjustments {
			rows = append(rows, []string{k.ID, k.Sale.Date, machine(k.Price), machine(k.Adjusted), machine(k.Weight),
				x.Feature, x.Subject, x.Comparable, machine(x.Percent), machine(x.Amount)})
		}
	}
	return a.csvRows(rows)
}

// Run prints the adjustment grid of each comparable.
func (c marketCompsCmd) Run(a *app) error {
	m, err := c.load()
	if err != nil {
		return err
	}
	v, err := valueOne(a, m, c.Subject, c.AsOf, market.Basis(c.Basis))
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(v.Comparables)
	}
	if c.CSV {
		return a.compsCSV(v.Comparables)
	}
	for _, k := range v.Comparables {
		fmt.Fprintf(a.out, "%s %s on %s: %s → %s, weight %s\n", k.Sale.Maker, k.Sale.Reference, k.Sale.Date,
			figure(k.Price, 0), figure(k.Adjusted, 0), percent(k.Weight))
		rows := [][]string{}
		for _, x := range k.Adjustments {
			rows = append(rows, []string{"  " + x.Feature, x.Subject, x.Comparable, plus(x.Percent, 1) + " %",
				plus(x.Amount, 0)})
		}
		if err := a.table(rows); err != nil {
			return err
		}
	}
	return nil
}

type marketPremiumCmd struct {
	fitFile
	Feature string `help:"Feature." default:"metal"`
	Of      string `required:"" help:"Level, such as gold18."`
	Over    string `required:"" help:"The level that it is compared with, such as steel."`
	JSON    bool   `name:"json" help:"Print JSON."`
	CSV     bool   `name:"csv" help:"Print CSV."`
}

// Run prints the premium by quarter.
func (c marketPremiumCmd) Run(a *app) error {
	m, err := c.load()
	if err != nil {
		return err
	}
	points, err := m.Premium(c.Feature, c.Of, c.Over)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(points)
	}
	rows := make([][4]any, len(points))
	for i, p := range points {
		rows[i] = [4]any{p.Quarter, p.Premium, p.Interval[0], p.Interval[1]}
	}
	return a.curve(c.CSV, "premium", rows)
}

// curve prints one row a quarter, as CSV or in columns.
func (a *app) curve(asCSV bool, name string, rows [][4]any) error {
	text := func(v any) string {
		if x, ok := v.(float64); ok {
			return strconv.FormatFloat(x, 'f', 4, 64)
		}
		return fmt.Sprint(v)
	}
	head := []string{"quarter", name, "low_90", "high_90"}
	out := [][]string{head}
	for _, r := range rows {
		out = append(out, []string{text(r[0]), text(r[1]), text(r[2]), text(r[3])})
	}
	if asCSV {
		return a.csvRows(out)
	}
	return a.table(out)
}

type marketIndexCmd struct {
	fitFile
	Maker     string `help:"Only this maker."`
	Family    string `help:"Only this family."`
	Reference string `help:"Only this reference."`
	JSON      bool   `name:"json" help:"Print JSON."`
	CSV       bool   `name:"csv" help:"Print CSV."`
}

// Run prints the index by quarter.
func (c marketIndexCmd) Run(a *app) error {
	m, err := c.load()
	if err != nil {
		return err
	}
	points, err := m.Index(market.Scope{Maker: c.Maker, Family: c.Family, Reference: c.Reference})
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(points)
	}
	rows := make([][4]any, len(points))
	for i, p := range points {
		rows[i] = [4]any{p.Quarter, p.Index, p.Interval[0], p.Interval[1]}
	}
	return a.curve(c.CSV, "index", rows)
}

type marketExplainCmd struct {
	fitFile
	JSON bool `name:"json" help:"Print JSON."`
	CSV  bool `name:"csv" help:"Print the effects as CSV."`
}

// Run prints what the model found.
func (c marketExplainCmd) Run(a *app) error {
	m, err := c.load()
	if err != nil {
		return err
	}
	e := m.Explain()
	if c.JSON {
		return a.printJSON(e)
	}
	if c.CSV {
		rows := [][]string{{"feature", "level", "percent", "low_90", "high_90"}}
		for _, f := range e.Features {
			rows = append(rows, []string{f.Feature, f.Level, machine(f.Percent), machine(f.Low90), machine(f.High90)})
		}
		return a.csvRows(rows)
	}
	fmt.Fprintf(a.out, "%s sales from %s to %s, %s; %s degrees of freedom\n", figure(float64(e.Sales), 0), e.From, e.To,
		e.Currency, figure(e.DoF, 1))
	rows := [][]string{{"FEATURE", "LEVEL", "ADDS", "90 % RANGE"}}
	for _, f := range e.Features {
		rows = append(rows, []string{f.Feature, f.Level, plus(f.Percent, 1) + " %", span(f.Low90, f.High90, 1)})
	}
	return a.table(rows)
}

type marketSuspectsCmd struct {
	fitFlags
	JSON bool `name:"json" help:"Print JSON."`
	CSV  bool `name:"csv" help:"Print CSV."`
}

// Run lists the suspects. Nothing is dropped for being on the list.
func (c marketSuspectsCmd) Run(a *app) error {
	table, _, opt, err := c.read(a)
	if err != nil {
		return err
	}
	found, err := market.Suspects(table, opt)
	if err != nil {
		return err
	}
	return a.suspects(found, c.JSON, c.CSV, func(x market.Suspect) string {
		return fmt.Sprintf("%s:%d", c.Sales,
			x.Line)
	})
}

type marketBacktestCmd struct {
	fitFlags
	JSON bool `name:"json" help:"Print JSON."`
	CSV  bool `name:"csv" help:"Print the cuts in time as CSV."`
}

// Run prints the back-test.
func (c marketBacktestCmd) Run(a *app) error {
	table, _, opt, err := c.read(a)
	if err != nil {
		return err
	}
	r, err := market.Backtest(table, opt)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(r)
	}
	if c.CSV {
		rows := [][]string{{"fitted_to", "tried_to", "fitted", "n", "mdape", "bias", "within_90"}}
		for _, x := range r.Splits {
			rows = append(rows, []string{x.FittedTo, x.TriedTo, strconv.Itoa(x.Fitted), strconv.Itoa(x.N),
				machine(x.MdAPE), machine(x.Bias), machine(x.Within90)})
		}
		return a.csvRows(rows)
	}
	fmt.Fprintf(a.out, "%s sales predicted: median error %s %%, bias %s %%\n", figure(float64(r.N), 0),
		figure(r.MdAPE, 1), plus(r.Bias, 1))
	fmt.Fprintf(a.out, "within the 50/80/90 %% range: %.1f, %.1f, %.1f %%\n", r.Coverage[50], r.Coverage[80],
		r.Coverage[90])
	fmt.Fprintf(a.out, "COD %.1f, PRD %.3f, PRB %+.3f\n", r.COD, r.PRD, r.PRB)
	for _, s := range r.Says {
		fmt.Fprintln(a.out, s)
	}
	return nil
}
