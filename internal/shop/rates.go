package shop

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"midcase/market"
	"midcase/money"
	"midcase/tables"
)

// Rates is the shop's table of exchange rates; nil where it has none.
func (s *Shop) Rates(ctx context.Context) (*market.Rates, error) { return s.ratesTable(ctx) }

// SetRate notes that on a day one unit of another currency was worth so much of the base currency.
func (s *Shop) SetRate(ctx context.Context, day string, of money.Currency, worth float64) error {
	const what = "set a rate"
	on, err := time.Parse(time.DateOnly, day)
	if err != nil || on.After(s.opt.Now()) {
		return Refuse(what, "day", fmt.Sprintf("%q", day), "a day that is not in the future, such as 2026-03-01")
	}
	c, err := money.ParseCurrency(string(of))
	if err != nil || c == s.Currency() {
		return Refuse(what, "currency", fmt.Sprintf("%q", of), "a currency other than "+string(s.Currency()))
	}
	if !(worth > 0 && worth < 1e9) {
		return Refuse(what, "rate", fmt.Sprint(worth), fmt.Sprintf("how many %s one %s is worth", s.Currency(), c))
	}
	_, err = s.changeRates(ctx, func(kept *market.Rates) (*market.Rates, int, error) {
		one := market.NewRates(s.Currency())
		if err := one.Set(on, c, worth, s.Currency()); err != nil {
			return nil, 0, err
		}
		return joined(kept, one)
	})
	return err
}

// ReadRates reads a file of exchange rates as central banks publish them, in any of their usual shapes (see
// [tables.RatesCSV]).
func (s *Shop) ReadRates(data []byte) (*market.Rates, error) {
	rates, err := market.ReadRates(bytes.NewReader(data))
	if err == nil {
		return rates, nil
	}
	plain, other := tables.RatesCSV(data, s.Currency(), s.opt.Now())
	if other != nil {
		return nil, other
	}
	return market.ReadRates(bytes.NewReader(plain))
}

// ImportRates adds the rates of a file as central banks publish them, a day and one column a currency, and
// returns how many it read.
func (s *Shop) ImportRates(ctx context.Context, r io.Reader) (int, error) {
	data, err := io.ReadAll(io.LimitReader(r, tables.MaxBytes+1))
	if err != nil {
		return 0, fmt.Errorf("import rates: %w", err)
	}
	file, err := s.ReadRates(data)
	if err != nil {
		return 0, Refuse("import rates", "file", strings.TrimPrefix(strings.TrimPrefix(err.Error(), "exchange rates"), "tables: "),
			"a table with a column Date and one column a currency: USD for units per 1 EUR, 1 USD for its worth in "+
				string(s.Currency()))
	}
	return s.changeRates(ctx, func(kept *market.Rates) (*market.Rates, int, error) { return joined(kept, file) })
}

// joined is the table kept so far with the rates of another one, which count where both have one.
func joined(kept, more *market.Rates) (*market.Rates, int, error) {
	if kept == nil {
		kept = market.NewRates(more.Base())
	}
	n, err := kept.Merge(more)
	if err == nil {
		return kept, n, nil
	}
	other := market.NewRates(more.Base()) // a few typed rates turn into those of a large file
	if _, turned := other.Merge(kept); turned != nil {
		return nil, 0, Refuse("exchange rates", "file", err.Error(),
			fmt.Sprintf("a table per %s, or one with a column %s", kept.Base(), kept.Base()))
	}
	n, err = other.Merge(more)
	return other, n, err
}

func (s *Shop) changeRates(ctx context.Context, change func(*market.Rates) (*market.Rates, int, error)) (n int,
	err error) {
	set, err := s.Settings(ctx)
	if err != nil {
		return 0, err
	}
	return n, s.ChangeSetting(ctx, SettingsName, "exchange rates", &set, func() error {
		var kept *market.Rates
		if set.RatesCSV != "" {
			if kept, err = market.ReadRates(strings.NewReader(set.RatesCSV)); err != nil {
				return fmt.Errorf("exchange rates: %w", err)
			}
		}
		var all *market.Rates
		if all, n, err = change(kept); err != nil {
			return err
		}
		var b strings.Builder
		if err := all.WriteCSV(&b); err != nil {
			return err
		}
		set.RatesCSV = b.String()
		return nil
	})
}
