package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"midcase/market"
	"midcase/money"
	"midcase/typed"
)

type marketCmd struct {
	Fit      marketFitCmd      `cmd:"" help:"Fit the price model to a sales file and save the fit."`
	Join     marketJoinCmd     `cmd:"" help:"Fit to the parts of a sales file that several processes have read."`
	Value    marketValueCmd    `cmd:"" help:"Value one watch, or a list of watches, by a fit."`
	Comps    marketCompsCmd    `cmd:"" help:"Show the comparables of a watch with their adjustments."`
	Premium  marketPremiumCmd  `cmd:"" help:"Premium of one kind of a feature over another, such as gold over steel, by quarter."`
	Index    marketIndexCmd    `cmd:"" help:"Price index at constant quality, by quarter."`
	Explain  marketExplainCmd  `cmd:"" help:"What the model found: the effect of each feature."`
	Suspects marketSuspectsCmd `cmd:"" help:"List sales that look like mistakes, for you to confirm or correct."`
	Backtest marketBacktestCmd `cmd:"" help:"How well the model would have predicted the latest sales."`
}

// modelFlags say how a model is fitted.
type modelFlags struct {
	table
	Rates    string         `help:"Exchange rates as CSV (default: rates.csv beside the file)." type:"existingfile" placeholder:"FILE.csv"`
	Currency money.Currency `help:"Currency of the model (default: the most frequent in the file)." placeholder:"EUR"`
	AsOf     time.Time      `help:"Ignore sales after this day." placeholder:"2026-03-01"`
	DoF      float64        `help:"Degrees of freedom of the errors; 0 estimates them." name:"dof"`
	Workers  int            `help:"Number of workers; the result does not depend on it."`
}

// options are the flags as package market takes them; beside is a file of the sales.
func (f modelFlags) options(a *app, beside string) (opt market.Options, err error) {
	opt = market.Options{DegreesOfFreedom: f.DoF, Workers: f.Workers, Currency: f.Currency}
	if !f.AsOf.IsZero() {
		if opt.AsOf, err = a.past(f.AsOf); err != nil {
			return opt, err
		}
	}
	opt.Rates, err = readRates(f.Rates, beside)
	return opt, err
}

// fitFlags name the sales that a model is fitted to.
type fitFlags struct {
	modelFlags
	Sales string `required:"" help:"Sales file (CSV)." type:"existingfile" placeholder:"FILE.csv"`
}

func (f fitFlags) read(a *app) (*market.Table, []market.RowError, market.Options, error) {
	opt, err := f.options(a, f.Sales)
	if err != nil {
		return nil, nil, opt, err
	}
	read, bad, err := readSales(a, f.Sales)
	return read, bad, opt, err
}

type marketFitCmd struct {
	fitFlags
	Output string `short:"o" required:"" help:"File to save the fit in." placeholder:"FIT"`
	Part   share  `help:"Only read this part of the file and save it for 'market join': 2/7 is the second of seven." placeholder:"I/N"`
}

// Run fits and saves the fit.
func (c marketFitCmd) Run(a *app) error {
	if err := folder(filepath.Dir(c.Output)); err != nil {
		return unwritable(c.Output, err)
	}
	if c.Part.of > 0 {
		return c.part(a)
	}
	read, bad, opt, err := c.read(a)
	if err != nil {
		return err
	}
	return fitAndSave(a, c.table, c.Output, read, bad, opt)
}

// fitAndSave fits to sales, of which some were kept out, and says what came of it.
func fitAndSave(a *app, c table, output string, read *market.Table, bad []market.RowError, opt market.Options) error {
	began := time.Now()
	m, r, err := market.Fit(read, opt)
	if err != nil {
		return err
	}
	r.Seconds = time.Since(began).Seconds()
	r.RowsRead += len(bad)
	r.RowsRejected += len(bad)
	if err := writeStream(output, m.Encode); err != nil {
		return err
	}
	if !c.JSON {
		a.printRejected(append(bad, r.Rejected...))
	}
	if c.CSV && !c.JSON {
		return a.csvRows(reportRows(r))
	}
	whole := func(n int) string { return figure(float64(n), 0) }
	return c.line(a, r, nil, "%s rows read, %s used, %s rejected; residual scale %s, %s degrees of freedom; %s s",
		whole(r.RowsRead), whole(r.RowsUsed), whole(r.RowsRejected), figure(r.ResidualScale, 3), figure(r.DoF, 1),
		figure(r.Seconds, 2))
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

// valueFlags say how one watch is valued.
type valueFlags struct {
	table
	fitFile
	AsOf  time.Time    `help:"Effective date (default: today)." placeholder:"2026-03-01"`
	Basis market.Basis `help:"Basis of value." default:"retail"`
}

func (f valueFlags) valueOne(a *app, m *market.Model, path string) (*market.Valuation, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var s market.Subject
	if err := typed.JSON(b); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&s); err != nil {
		return nil, jsonFault(path, b, err)
	}
	asOf := f.AsOf
	if asOf.IsZero() {
		asOf = a.now()
	}
	return m.Value(s, asOf, f.Basis)
}

type marketValueCmd struct {
	valueFlags
	Subject  string `help:"The watch as a JSON file: maker, reference, metal, condition and so on." type:"existingfile" placeholder:"FILE.json"`
	Subjects string `help:"Watches as a sales file; the price is ignored, the date is the effective date. Prints CSV unless JSON is asked for." type:"existingfile" placeholder:"FILE.csv"`
}

// Run values one subject or a list.
func (c marketValueCmd) Run(a *app) error {
	if (c.Subject == "") == (c.Subjects == "") {
		return wrong("give either --subject FILE.json or --subjects FILE.csv")
	}
	m, err := c.load()
	if err != nil {
		return err
	}
	if c.Subjects != "" {
		return c.many(a, m)
	}
	v, err := c.valueOne(a, m, c.Subject)
	if err != nil {
		return err
	}
	if c.CSV && !c.JSON {
		return a.csvRows([][]string{valueHead(), valueRow(1, v)})
	}
	return c.print(a, v, nil, func() error {
		i := v.Interval[80]
		_, err := fmt.Fprintf(a.out, "%s (80 %% range %s), %s, as of %s\n", price(v.Median, i, v.Currency, "value"),
			price(v.Median, i, "", "range"), v.Basis, v.AsOf)
		for _, s := range v.Says {
			fmt.Fprintln(a.out, s)
		}
		return err
	})
}

func (c marketValueCmd) many(a *app, m *market.Model) error {
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
	rows, values := [][]string{valueHead()}, []valued{}
	for _, s := range subjects {
		v, err := m.Predict(s.Subject, s.AsOf, c.Basis)
		if err != nil {
			fmt.Fprintf(a.err, "%s:%d: %v\n", c.Subjects, s.Line, err)
			values = append(values, valued{Row: s.Row, Reason: err.Error()})
		} else {
			values = append(values, valued{Row: s.Row, Value: v})
		}
		rows = append(rows, valueRow(s.Row, v)) // a row for each row asked
	}
	if c.JSON {
		return a.printJSON(values)
	}
	return a.csvRows(rows)
}

// valued is one subject of a list: its value, or why there is none.
type valued struct {
	Row    int               `json:"row"`
	Value  *market.Valuation `json:"value"`
	Reason string            `json:"reason,omitempty"`
}
