package cli

import (
	"fmt"
	"io"
	"os"

	"midcase/market"
)

type salesCmd struct {
	Import   salesImportCmd   `cmd:"" help:"Import a sales file. Bad rows are reported and left out."`
	Check    salesCheckCmd    `cmd:"" help:"Check a sales file without importing it."`
	List     salesListCmd     `cmd:"" help:"List sales, the latest first."`
	Suspects salesSuspectsCmd `cmd:"" help:"List sales that look like mistakes, for you to confirm or correct."`
	Own      salesOwnCmd      `cmd:"" help:"Add the shop's own sales that were booked before such sales were kept among those that values are read from."`
	Export   salesExportCmd   `cmd:"" help:"Write all sales as a sales file."`
}

// salesFile is a sales file to read, and how to print what was rejected.
type salesFile struct {
	table
	File string `arg:"" help:"Sales file (CSV, UTF-8), or - for standard input."`
}

// print prints what was read: as JSON, as the rejected rows in CSV, or in a line.
func (c salesFile) print(a *app, v any, bad []market.RowError, err error, format string, args ...any) error {
	if err == nil && c.CSV && !c.JSON {
		return a.csvRows(rejectedRows(bad))
	}
	if err == nil && !c.JSON {
		a.printRejected(bad)
	}
	return c.line(a, v, err, format, args...)
}

type salesImportCmd struct{ salesFile }

// Run imports a file.
func (c salesImportCmd) Run(a *app, s making) error {
	in, name, err := a.input(c.File)
	if err != nil {
		return err
	}
	defer in.Close()
	r, err := s.ImportSales(a.ctx, in, name)
	r.Rejected = filled(r.Rejected)
	return c.print(a, r, r.Rejected, err, "%s read: %d new, %d already there, %d rejected", count(r.Read, "row"), r.Added,
		r.Known, len(r.Rejected))
}

func (a *app) printRejected(rows []market.RowError) {
	const shown = 50
	for i, e := range rows {
		if i == shown {
			fmt.Fprintf(a.err, "… and %d more\n", len(rows)-shown)
			break
		}
		fmt.Fprintln(a.err, e.Error())
	}
}

// input opens a file, or standard input for -.
func (a *app) input(path string) (io.ReadCloser, string, error) {
	if path == "-" {
		return io.NopCloser(a.in), "standard input", nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, "", err
	}
	return f, path, nil
}

type salesCheckCmd struct{ salesFile }

// Run reads a file and says what would be rejected.
func (c salesCheckCmd) Run(a *app) error {
	in, name, err := a.input(c.File)
	if err != nil {
		return err
	}
	defer in.Close()
	read, bad, err := market.ReadCSV(in, name, market.ReadOptions{Now: a.now()})
	if err != nil {
		return err
	}
	good, all := read.Len(), read.Len()+len(bad)
	return c.print(a, map[string]any{"rows_read": all, "rows_good": good, "rejected": filled(bad)}, bad, nil,
		"%s read: %d good, %d rejected", count(all, "row"), good, len(bad))
}

type salesOwnCmd struct {
	output
	Look bool `help:"Only count them."`
}

// Run adds the shop's own earlier sales.
func (c salesOwnCmd) Run(a *app, s *opened) error {
	do := s.Trade.AddOwnSales
	if c.Look {
		do = s.Trade.OwnSalesMissing
	}
	r, err := do(a.ctx)
	verb := "added"
	if c.Look {
		verb = "missing"
	}
	return c.line(a, r, err, "%s in the ledger: %d %s, %d there already; %d sold that the ledger does not know", count(r.Sales, "sale"),
		r.Added, verb, r.Known, r.LeftOut)
}
