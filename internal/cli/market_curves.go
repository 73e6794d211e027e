package cli

import (
	"cmp"
	"fmt"
	"strconv"

	"midcase/market"
)

type marketCompsCmd struct {
	valueFlags
	Subject string `required:"" help:"The watch as a JSON file." type:"existingfile" placeholder:"FILE.json"`
}

// Run prints the adjustment grid of each comparable.
func (c marketCompsCmd) Run(a *app) error {
	m, err := c.load()
	if err != nil {
		return err
	}
	v, err := c.valueOne(a, m, c.Subject)
	if err != nil {
		return err
	}
	if c.CSV && !c.JSON {
		return a.compsCSV(v.Comparables)
	}
	return c.print(a, v.Comparables, nil, func() error {
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
	})
}

// compsCSV prints one row per adjustment, in the order in which they are applied.
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

// point is one quarter of a curve.
type point struct {
	quarter string
	value   float64
	range90 [2]float64
}

// curve prints one row per quarter; v is what JSON holds.
func (a *app) curve(t table, v any, err error, name string, points []point) error {
	if t.JSON || err != nil {
		return t.print(a, v, err, nil)
	}
	text := func(v float64) string { return strconv.FormatFloat(v, 'f', 4, 64) }
	return list(a, t, points, nil, "No sales in this range.", "quarter|"+name+"|low_90|high_90", func(p point) cells {
		return cells{p.quarter, text(p.value), text(p.range90[0]), text(p.range90[1])}
	})
}

type marketPremiumCmd struct {
	table
	fitFile
	Feature       string `help:"Feature." default:"metal"`
	Of            string `help:"The one, such as gold18."`
	Over          string `help:"The other, such as steel."`
	Maker         string `help:"Only sales of this maker."`
	Family        string `help:"Only sales of this family."`
	Reference     string `help:"Only sales of this reference; with --over-reference, the one."`
	OverReference string `help:"The other reference, in place of --of and --over."`
	OverMaker     string `help:"Maker of the other reference, where it is another."`
}

// Run prints the premium by quarter.
func (c marketPremiumCmd) Run(a *app) error {
	if (c.OverReference == "") == (c.Of == "" || c.Over == "") || c.OverReference != "" && c.Reference == "" {
		return wrong("give --of and --over, or --reference and --over-reference")
	}
	m, err := c.load()
	if err != nil {
		return err
	}
	all, err := c.premium(m)
	var points []point
	for _, p := range all {
		points = append(points, point{p.Quarter, p.Premium, p.Interval})
	}
	return a.curve(c.table, all, err, "premium", points)
}

func (c marketPremiumCmd) premium(m *market.Model) ([]market.PremiumPoint, error) {
	one := market.Scope{Maker: c.Maker, Family: c.Family, Reference: c.Reference}
	if c.OverReference == "" {
		return m.PremiumIn(one, c.Feature, c.Of, c.Over)
	}
	return m.PremiumOver(one, market.Scope{Maker: cmp.Or(c.OverMaker, c.Maker), Reference: c.OverReference})
}

type marketIndexCmd struct {
	table
	fitFile
	Maker     string `help:"Only this maker."`
	Family    string `help:"Only this family."`
	Reference string `help:"Only this reference."`
}

// Run prints the index by quarter.
func (c marketIndexCmd) Run(a *app) error {
	m, err := c.load()
	if err != nil {
		return err
	}
	all, err := m.Index(market.Scope{Maker: c.Maker, Family: c.Family, Reference: c.Reference})
	var points []point
	for _, p := range all {
		points = append(points, point{p.Quarter, p.Index, p.Interval})
	}
	return a.curve(c.table, all, err, "index", points)
}

type marketExplainCmd struct {
	table
	fitFile
}

// Run prints what the model found.
func (c marketExplainCmd) Run(a *app) error {
	m, err := c.load()
	if err != nil {
		return err
	}
	e := m.Explain()
	if c.CSV && !c.JSON {
		rows := [][]string{{"feature", "level", "percent", "low_90", "high_90"}}
		for _, f := range e.Features {
			rows = append(rows, []string{f.Feature, f.Level, machine(f.Percent), machine(f.Low90), machine(f.High90)})
		}
		return a.csvRows(rows)
	}
	return c.print(a, e, nil, func() error {
		fmt.Fprintf(a.out, "%s sales from %s to %s, %s; %s degrees of freedom\n", figure(float64(e.Sales), 0), e.From,
			e.To, e.Currency, figure(e.DoF, 1))
		rows := [][]string{{"FEATURE", "KIND", "EFFECT", "90 % RANGE"}}
		for _, f := range e.Features {
			rows = append(rows, []string{f.Feature, f.Level, plus(f.Percent, 1) + " %",
				span(f.Low90, f.High90, 1) + " %"})
		}
		return a.table(rows)
	})
}

type marketSuspectsCmd struct{ fitFlags }

// Run lists the suspects. Nothing is dropped for being on the list.
func (c marketSuspectsCmd) Run(a *app) error {
	read, _, opt, err := c.read(a)
	if err != nil {
		return err
	}
	found, err := market.Suspects(read, opt)
	return a.suspects(found, err, c.table, func(x market.Suspect) string {
		return fmt.Sprintf("%s:%d", c.Sales,
			x.Line)
	})
}

type marketBacktestCmd struct{ fitFlags }

// Run prints the back-test.
func (c marketBacktestCmd) Run(a *app) error {
	read, _, opt, err := c.read(a)
	if err != nil {
		return err
	}
	r, err := market.Backtest(read, opt)
	if err != nil {
		return err
	}
	if c.CSV && !c.JSON {
		rows := [][]string{{"fitted_to", "tried_to", "fitted", "n", "mdape", "bias", "within_90"}}
		for _, x := range r.Splits {
			rows = append(rows, []string{x.FittedTo, x.TriedTo, strconv.Itoa(x.Fitted), strconv.Itoa(x.N),
				machine(x.MdAPE), machine(x.Bias), machine(x.Within90)})
		}
		return a.csvRows(rows)
	}
	return c.print(a, r, nil, func() error {
		fmt.Fprintf(a.out, "%s sales predicted: median error %s %%, bias %s %%\n", figure(float64(r.N), 0),
			figure(r.MdAPE, 1), plus(r.Bias, 1))
		fmt.Fprintf(a.out, "within the 50, 80 and 90 %% range: %s, %s and %s %%\n", figure(r.Coverage[50], 1),
			figure(r.Coverage[80], 1), figure(r.Coverage[90], 1))
		fmt.Fprintf(a.out, "COD %s, PRD %s, PRB %s\n", figure(r.COD, 1), figure(r.PRD, 3), plus(r.PRB, 3))
		for _, s := range r.Says {
			fmt.Fprintln(a.out, s)
		}
		return nil
	})
}
