package cli

import (
	"fmt"
	"io"
	"os"

	"midcase/market"
)

type salesCmd struct {
	Import   salesImportCmd   `cmd:"" help:"Import a sales file into the shop. Bad rows are reported and kept out."`
	Check    salesCheckCmd    `cmd:"" help:"Check a sales file without importing it."`
	List     salesListCmd     `cmd:"" help:"List the shop's sales, the latest first."`
	Suspects salesSuspectsCmd `cmd:"" help:"Sales of the shop that look like mistakes, for you to confirm or correct."`
	Export   salesExportCmd   `cmd:"" help:"Write all sales as a sales file."`
}

type salesImportCmd struct {
	File string `arg:"" help:"Sales file (CSV, UTF-8), or - for standard input."`
	JSON bool   `name:"json" help:"Print JSON."`
	CSV  bool   `name:"csv" help:"Print the rows that were kept out as CSV."`
}

// Run imports a file.
func (c salesImportCmd) Run(a *app) error {
	in, name, err := a.input(c.File)
	if err != nil {
		return err
	}
	defer in.Close()
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	r, err := s.ImportSales(a.ctx, in, name)
	if err != nil {
		return err
	}
	if r.Rejected == nil {
		r.Rejected = []market.RowError{}
	}
	if c.JSON {
		return a.printJSON(r)
	}
	if c.CSV {
		return a.csvRows(rejectedRows(r.Rejected))
	}
	a.printRejected(r.Rejected)
	_, err = fmt.Fprintf(a.out, "%s read: %d new, %d known already, %d kept out\n", count(r.Read, "row"), r.Added,
		r.Known, len(r.Rejected))
	return err
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

type salesCheckCmd struct {
	File string `arg:"" help:"Sales file (CSV, UTF-8), or - for standard input."`
	JSON bool   `name:"json" help:"Print JSON."`
	CSV  bool   `name:"csv" help:"Print the rows that would be kept out as CSV."`
}

// Run reads a file and says what would be kept out.
func (c salesCheckCmd) Run(a *app) error {
	in, name, err := a.input(c.File)
	if err != nil {
		return err
	}
	defer in.Close()
	table, bad, err := market.ReadCSV(in, name, market.ReadOptions{Now: a.now()})
	if err != nil {
		return err
	}
	if c.JSON {
		if bad == nil {
			bad = []market.RowError{}
		}
		return a.printJSON(map[string]any{"rows_read": table.Len() + len(bad), "rows_good": table.Len(),
			"rejected": bad})
	}
	if c.CSV {
		return a.csvRows(rejectedRows(bad))
	}
	a.printRejected(bad)
	_, err = fmt.Fprintf(a.out, "%s read: %d good, %d kept out\n", count(table.Len()+len(bad), "row"), table.Len(),
		len(bad))
	return err
}
