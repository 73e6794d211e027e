package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"

	"midcase/estimate"
	"midcase/market"
)

type salesListCmd struct {
	table
	Text  string `arg:"" optional:"" help:"Only sales with this text in maker, reference, family, serial number, source or note."`
	Limit int    `help:"At most so many, the latest first." default:"50"`
}

// Run lists sales.
func (c salesListCmd) Run(a *app, s *opened) error {
	if c.Limit < 1 {
		return wrong("--limit: %d is too few. Give 1 or more", c.Limit)
	}
	found, total, err := s.FindSales(a.ctx, c.Text, c.Limit)
	err = list(a, c.table, found, err, "No sales found.", "DATE|MAKER|REFERENCE|METAL|CONDITION|VENUE|BASIS|PRICE|SALE",
		func(x market.Sale) cells {
			condition := ""
			if x.Condition != nil {
				condition = strconv.FormatFloat(*x.Condition, 'f', -1, 64)
			}
			return cells{x.Date, x.Maker, x.Reference, x.Metal, condition, x.Venue, x.Basis, x.Price, x.ID}
		})
	if err == nil && total > len(found) && !c.JSON && !c.CSV {
		fmt.Fprintf(a.err, "%d of %d shown; --limit shows more\n", len(found), total)
	}
	return err
}

type salesExportCmd struct {
	Output string `short:"o" help:"File to write (default: standard output)." placeholder:"FILE.csv"`
	JSON   bool   `name:"json" help:"Write JSON, the latest first, instead of a sales file."`
	CSV    bool   `name:"csv" help:"Write a sales file; this is the default."`
}

// Run writes all sales as a sales file.
func (c salesExportCmd) Run(a *app, s *opened) error {
	write := func(w io.Writer) error { return s.ExportSales(a.ctx, w) }
	if c.JSON {
		sales, _, err := s.FindSales(a.ctx, "", math.MaxInt32)
		if err != nil {
			return err
		}
		write = func(w io.Writer) error { return json.NewEncoder(w).Encode(filled(sales)) }
	}
	if c.Output == "" {
		return write(a.out)
	}
	return writeStream(c.Output, write)
}

type salesSuspectsCmd struct{ table }

// Run lists the shop's sales that look like mistakes.
func (c salesSuspectsCmd) Run(a *app, s *opened) error {
	found, err := s.Suspects(a.ctx, a.now())
	return a.suspects(found, err, c.table, func(x market.Suspect) string { return x.ID })
}

// suspects prints a list of suspects, each named by where.
func (a *app) suspects(found []market.Suspect, err error, t table, where func(market.Suspect) string) error {
	if t.CSV {
		return list(a, t, found, err, "", "line|sale|reason|expected|found|chance", func(x market.Suspect) cells {
			return cells{x.Line, x.ID, x.Reason, number{x.Expected, 2}, number{x.Found, 2}, number{x.Chance, 2}}
		})
	}
	return t.print(a, filled(found), err, func() error {
		for _, x := range found {
			if _, err := fmt.Fprintf(a.out, "%s: %s (expected about %s, recorded %s; chance of a mistake %s)\n",
				where(x), x.Reason, figure(x.Expected, 0), figure(x.Found, 0), estimate.Percent(x.Chance)); err != nil {
				return err
			}
		}
		return nil
	})
}
