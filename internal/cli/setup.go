package cli

import (
	"fmt"
	"time"

	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
)

type setupCmd struct {
	Country  string `help:"Country, two letters of ISO 3166." placeholder:"US"`
	Currency string `help:"Base currency (ISO 4217), in which the books are kept; that of the country if not given." placeholder:"USD"`
	Name     string `help:"Name of the shop, as it stands on papers."`
	JSON     bool   `name:"json" help:"Print JSON."`
}

// Run keeps the answers, or prints those that were given where there are none.
func (c setupCmd) Run(a *app) error {
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	now, found, err := s.Founding(a.ctx)
	if err != nil {
		return err
	}
	if c.Country+c.Currency+c.Name != "" {
		now, err = c.change(a, s, now, found)
		if err != nil {
			return err
		}
	}
	if c.JSON {
		return a.printJSON(map[string]any{"country": now.Country, "currency": now.Currency, "name": now.Name})
	}
	_, err = fmt.Fprintf(a.out, "%s, country %s, books in %s\n", now.Name, now.Country, now.Currency)
	return err
}

func (c setupCmd) change(a *app, s *opened, now shop.Founding, found bool) (shop.Founding, error) {
	if !found {
		now.Currency = "" // that of the country
	}
	if c.Country != "" {
		now.Country = c.Country
	}
	if c.Currency != "" {
		now.Currency = money.Currency(c.Currency)
	}
	if c.Name != "" {
		now.Name = c.Name
	}
	if err := s.Found(a.ctx, now); err != nil {
		return now, err
	}
	now, _, err := s.Founding(a.ctx)
	return now, err
}

type ratesCmd struct {
	List   ratesListCmd   `cmd:"" default:"1" help:"List the latest rate of each currency."`
	Set    ratesSetCmd    `cmd:"" help:"Type one rate."`
	Import ratesImportCmd `cmd:"" help:"Add a file of rates: a column Date and one column a currency, in units per 1 EUR."`
}

type ratesListCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Run lists the rates.
func (c ratesListCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	rates, err := s.Rates(a.ctx)
	if err != nil {
		return err
	}
	type row struct {
		Currency money.Currency `json:"currency"`
		Rate     float64        `json:"rate"`
		In       money.Currency `json:"in"`
		Day      string         `json:"day"`
	}
	rows := []row{}
	var latest []market.Quote
	if rates != nil {
		latest = rates.Latest(s.Currency())
	}
	for _, q := range latest {
		rows = append(rows, row{q.Currency, q.Rate, s.Currency(), q.Day})
	}
	if c.JSON {
		return a.printJSON(rows)
	}
	if len(rows) == 0 {
		_, err := fmt.Fprintln(a.out, "No rates yet.")
		return err
	}
	for _, r := range rows {
		fmt.Fprintf(a.out, "%s: 1 %s = %.6g %s\n", r.Day, r.Currency, r.Rate, r.In)
	}
	return nil
}

type ratesSetCmd struct {
	Currency string  `arg:"" help:"Currency (ISO 4217)."`
	Rate     float64 `arg:"" help:"How much of the base currency one unit of it is worth."`
	Day      string  `help:"Day of the rate; today if not given." placeholder:"2026-03-01"`
}

// Run keeps a rate.
func (c ratesSetCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if c.Day == "" {
		c.Day = a.now().Format(time.DateOnly)
	}
	if err := s.SetRate(a.ctx, c.Day, money.Currency(c.Currency), c.Rate); err != nil {
		return err
	}
	return a.bookLate(s)
}

// bookLate books the imported purchases that waited for a rate.
func (a *app) bookLate(s *opened) error {
	n, err := s.Imports.BookLate(a.ctx, user(""))
	if err != nil || n == 0 {
		return err
	}
	_, err = fmt.Fprintf(a.out, "%s booked that had waited for a rate\n", count(n, "purchase"))
	return err
}

type ratesImportCmd struct {
	File string `arg:"" help:"CSV file, or - for standard input."`
}

// Run adds the rates of a file.
func (c ratesImportCmd) Run(a *app) error {
	in, _, err := a.input(c.File)
	if err != nil {
		return err
	}
	defer in.Close()
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	n, err := s.ImportRates(a.ctx, in)
	if err != nil {
		return err
	}
	if _, err = fmt.Fprintf(a.out, "%s added\n", count(n, "rate")); err != nil {
		return err
	}
	return a.bookLate(s)
}
