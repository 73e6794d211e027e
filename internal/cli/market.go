package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"midcase/market"
	"midcase/money"
)

type marketCmd struct {
	Fit      marketFitCmd      `cmd:"" help:"Fit the price model to a sales file and keep the fit in a file."`
	Value    marketValueCmd    `cmd:"" help:"Value one subject, or a list of subjects, by a fit."`
	Comps    marketCompsCmd    `cmd:"" help:"Show the comparables of a subject with their adjustments."`
	Premium  marketPremiumCmd  `cmd:"" help:"The premium of one level of a feature over another, by quarter."`
	Index    marketIndexCmd    `cmd:"" help:"The constant-quality price index, by quarter."`
	Explain  marketExplainCmd  `cmd:"" help:"What the model found: effects, variances, scales."`
	Suspects marketSuspectsCmd `cmd:"" help:"Sales that look like mistakes, for you to confirm or correct."`
	Backtest marketBacktestCmd `cmd:"" help:"How well the model would have done on the latest sales."`
}

// fitFlags say how a model is fitted.
type fitFlags struct {
	Sales    string  `required:"" help:"Sales file (CSV)." type:"existingfile" placeholder:"FILE.csv"`
	Rates    string  `help:"Exchange rates as CSV; default rates.csv beside the sales file." type:"existingfile" placeholder:"FILE.csv"`
	Currency string  `help:"Currency of the model; default the commonest of the file." placeholder:"EUR"`
	AsOf     string  `help:"Leave out sales after this day." placeholder:"2026-03-01"`
	DoF      float64 `help:"Degrees of freedom of the errors; 0 estimates them." name:"dof"`
	Workers  int     `help:"Workers that share the work; the result does not depend on it."`
}

func (f fitFlags) read(a *app) (*market.Table, []market.RowError, market.Options, error) {
	opt := market.Options{DegreesOfFreedom: f.DoF, Workers: f.Workers}
	if f.Currency != "" {
		c, err := money.ParseCurrency(f.Currency)
		if err != nil {
			return nil, nil, opt, misuse{err}
		}
		opt.Currency = c
	}
	if f.AsOf != "" {
		t, err := parseDay(f.AsOf, a.now())
		if err != nil {
			return nil, nil, opt, err
		}
		opt.AsOf = t
	}
	rates, err := readRates(f.Rates, f.Sales)
	if err != nil {
		return nil, nil, opt, err
	}
	opt.Rates = rates
	table, bad, err := readSales(a, f.Sales)
	return table, bad, opt, err
}

type marketFitCmd struct {
	fitFlags
	Output string `short:"o" required:"" help:"File to keep the fit in." placeholder:"FIT"`
	JSON   bool   `name:"json" help:"Print JSON."`
	CSV    bool   `name:"csv" help:"Print the figures of the fit as CSV."`
}

// Run fits and keeps the fit.
func (c marketFitCmd) Run(a *app) error {
	if err := folder(filepath.Dir(c.Output)); err != nil {
		return unwritable(c.Output, err)
	}
	table, bad, opt, err := c.read(a)
	if err != nil {
		return err
	}
	began := time.Now()
	m, report, err := market.Fit(table, opt)
	if err != nil {
		return err
	}
	report.Seconds = time.Since(began).Seconds()
	report.RowsRead += len(bad)
	report.RowsRejected += len(bad)
	if err := writeStream(c.Output, m.Encode); err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(report)
	}
	a.printRejected(append(bad, report.Rejected...))
	if c.CSV {
		return a.csvRows(reportRows(report))
	}
	_, err = fmt.Fprintf(a.out, "%s rows read, %s used, %s rejected; scale %s, %s degrees of freedom; %s s\n",
		figure(float64(report.RowsRead), 0), figure(float64(report.RowsUsed), 0),
		figure(float64(report.RowsRejected), 0), figure(report.ResidualScale, 3), figure(report.DoF,
			1), figure(report.Seconds, 2))
	return err
}

// fitFile is a fit kept in a file.
type fitFile struct {
	Fit string `required:"" help:"File of a fit, made by 'market fit'." type:"existingfile" placeholder:"FIT"`
}

func (f fitFile) load() (*market.Model, error) {
	in, err := os.Open(f.Fit)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	m, err := market.Decode(in)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Fit, err)
	}
	return m, nil
}

type marketValueCmd struct {
	fitFile
	Subject  string `help:"Subject as a JSON file: maker, reference, metal, condition and so on." type:"existingfile" placeholder:"FILE.json"`
	Subjects string `help:"Subjects as a sales file; price ignored, date is the effective date." type:"existingfile" placeholder:"FILE.csv"`
	AsOf     string `help:"Effective date of one subject; default today." placeholder:"2026-03-01"`
	Basis    string `help:"Basis of value." default:"retail"`
	JSON     bool   `name:"json" help:"Print JSON."`
	CSV      bool   `name:"csv" help:"Print CSV, one row a subject; a list of subjects does unless JSON is asked for."`
}

// Run values one subject or a list.
func (c marketValueCmd) Run(a *app) error {
	if (c.Subject == "") == (c.Subjects == "") {
		return wrong("give either --subject FILE.json or --subjects FILE.csv")
	}
	basis := market.Basis(c.Basis)
	if basis.Definition() == "" {
		return wrong("basis %q: want one of %s", c.Basis, joined(market.Bases()))
	}
	m, err := c.load()
	if err != nil {
		return err
	}
	if c.Subjects != "" {
		return c.list(a, m, basis)
	}
	v, err := valueOne(a, m, c.Subject, c.AsOf, basis)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(v)
	}
	if c.CSV {
		return a.csvRows([][]string{valueHead(), valueRow(1, v)})
	}
	i := v.Interval[80]
	_, err = fmt.Fprintf(a.out, "%s (80 %% range %s), %s, as of %s\n", price(v.Median, i, v.Currency, "value"),
		price(v.Median, i, "", "range"), v.Basis, v.AsOf)
	for _, s := range v.Says {
		fmt.Fprintln(a.out, s)
	}
	return err
}

func valueOne(a *app, m *market.Model, path, day string, basis market.Basis) (*market.Valuation, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var s market.Subject
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&s); err != nil {
		return nil, jsonFault(path, b, err)
	}
	asOf := a.now()
	if day != "" {
		if asOf, err = parseDay(day, a.now().AddDate(10, 0, 0)); err != nil {
			return nil, err
		}
	}
	return m.Value(s, asOf, basis)
}

func (c marketValueCmd) list(a *app, m *market.Model, basis market.Basis) error {
	in, err := os.Open(c.Subjects)
	if err != nil {
		return err
	}
	defer in.Close()
	subjects, bad, err := market.ReadSubjects(in, c.Subjects)
	if err != nil {
		return err
	}
	a.printRejected(bad)
	rows, values := [][]string{valueHead()}, []listed{}
	for _, s := range subjects {
		v, err := m.Predict(s.Subject, s.AsOf, basis)
		if err != nil {
			fmt.Fprintf(a.err, "%s:%d: %v\n", c.Subjects, s.Line, err)
			rows = append(rows, []string{strconv.Itoa(s.Row), "", "", "", "", "", "", "", ""}) // a row for each row asked
			values = append(values, listed{Row: s.Row, Reason: err.Error()})
			continue
		}
		rows, values = append(rows, valueRow(s.Row, v)), append(values, listed{Row: s.Row, Value: v})
	}
	if c.JSON {
		return a.printJSON(values)
	}
	return a.csvRows(rows)
}

// listed is one subject of a list: its value, or why there is none.
type listed struct {
	Row    int               `json:"row"`
	Value  *market.Valuation `json:"value"`
	Reason string            `json:"reason,omitempty"`
}
