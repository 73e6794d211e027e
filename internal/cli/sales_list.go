package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"

	"midcase/market"
	"midcase/typed"
)

type salesListCmd struct {
	Text  string `arg:"" optional:"" help:"Only sales with this text in maker, reference, family, serial, source or note."`
	Limit int    `help:"At most so many, the latest first." default:"50"`
	JSON  bool   `name:"json" help:"Print JSON."`
	CSV   bool   `name:"csv" help:"Print CSV."`
}

// Run lists sales.
func (c salesListCmd) Run(a *app) error {
	if c.Limit < 1 {
		return wrong("limit %d: want 1 or more", c.Limit)
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	found, total, err := s.FindSales(a.ctx, c.Text, c.Limit)
	if err != nil {
		return err
	}
	if c.JSON {
		if found == nil {
			found = []market.Sale{}
		}
		return a.printJSON(found)
	}
	rows := [][]string{{"DATE", "MAKER", "REFERENCE", "METAL", "CONDITION", "VENUE", "BASIS", "PRICE", "SALE"}}
	for _, x := range found {
		rows = append(rows, []string{x.Date, x.Maker, x.Reference, x.Metal, optional(x.Condition), x.Venue, x.Basis,
			x.Price.String(), x.ID})
	}
	if c.CSV {
		return a.csvRows(rows)
	}
	if err := a.table(rows); err != nil {
		return err
	}
	if total > len(found) {
		fmt.Fprintf(a.err, "%d of %d shown; --limit shows more\n", len(found), total)
	}
	return nil
}

func optional(v *float64) string {
	if v == nil {
		return "–"
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

// csvRows prints rows as CSV, of which a spreadsheet computes nothing.
func (a *app) csvRows(rows [][]string) error {
	return typed.NewSheet(a.out).WriteAll(rows)
}

type salesExportCmd struct {
	Output string `short:"o" help:"File to write; default standard output." placeholder:"FILE.csv"`
	JSON   bool   `name:"json" help:"Write JSON, the latest first, in place of a sales file."`
	CSV    bool   `name:"csv" help:"Write a sales file, as without it."`
}

// Run writes all sales as a sales file.
func (c salesExportCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	write := func(w io.Writer) error { return s.ExportSales(a.ctx, w) }
	if c.JSON {
		sales, _, err := s.FindSales(a.ctx, "", math.MaxInt32)
		if err != nil {
			return err
		}
		if sales == nil {
			sales = []market.Sale{}
		}
		write = func(w io.Writer) error { return json.NewEncoder(w).Encode(sales) }
	}
	if c.Output == "" {
		return write(a.out)
	}
	return writeStream(c.Output, write)
}

type salesSuspectsCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
	CSV  bool `name:"csv" help:"Print CSV."`
}

// Run lists the shop's sales that look like mistakes.
func (c salesSuspectsCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	found, err := s.Suspects(a.ctx, a.now())
	if err != nil {
		return err
	}
	return a.suspects(found, c.JSON, c.CSV, func(x market.Suspect) string { return x.ID })
}

// suspects prints a list of suspects, each named by where.
func (a *app) suspects(found []market.Suspect, asJSON, asCSV bool, where func(market.Suspect) string) error {
	if asJSON {
		if found == nil {
			found = []market.Suspect{}
		}
		return a.printJSON(found)
	}
	if asCSV {
		rows := [][]string{{"line", "sale", "reason", "expected", "found"}}
		for _, x := range found {
			rows = append(rows, []string{strconv.Itoa(x.Line), x.ID, x.Reason, machine(x.Expected), machine(x.Found)})
		}
		return a.csvRows(rows)
	}
	for _, x := range found {
		if _, err := fmt.Fprintf(a.out, "%s: %s (expected about %s, recorded %s)\n", where(x), x.Reason,
			figure(x.Expected, 0), figure(x.Found, 0)); err != nil {
			return err
		}
	}
	return nil
}
