package shop

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"time"

	"midcase/market"
	"midcase/money"
)

// fitKey names a fit: the day as of which, and the currency in which sales are counted.
type fitKey struct {
	day      string
	currency money.Currency
}

// fitMark is what a fit follows from.
type fitMark struct {
	sales int64
	rates [sha256.Size]byte
}

// Market returns the price model fitted to the sales made until asOf, in the shop's
// currency, or nil where the shop has no sales.
func (s *Shop) Market(ctx context.Context, asOf time.Time) (*market.Model, error) {
	set, err := s.Settings(ctx)
	if err != nil {
		return nil, err
	}
	return s.MarketIn(ctx, asOf, set.Currency)
}

func (s *Shop) MarketIn(ctx context.Context, asOf time.Time, currency money.Currency) (*market.Model, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, fmt.Errorf("market: %w", err)
	}
	set, err := s.readSettings(ctx)
	if err != nil {
		return nil, err
	}
	key := fitKey{asOf.Format(time.DateOnly), currency}
	return s.known.fits.Get(ctx, key, fitMark{rev.Sales, set.ratesSum},
		func(ctx context.Context) (*market.Model, error) {
			table, err := s.known.sales.Get(ctx, only{}, rev.Sales, s.saleTable)
			if err != nil || table.Len() == 0 {
				return nil, err
			}
			rates, err := s.ratesTable(ctx)
			if err != nil {
				return nil, fmt.Errorf("market: %w", err)
			}
			m, _, err := market.Fit(table, market.Options{Currency: currency, AsOf: asOf, Rates: rates})
			if err != nil {
				return nil, fmt.Errorf("market: %w", err)
			}
			return m, nil
		})
}

func (s *Shop) saleTable(ctx context.Context) (*market.Table, error) {
	table, err := market.NewTable(nil)
	if err != nil {
		return nil, fmt.Errorf("market: %w", err)
	}
	for sale, err := range s.stores.Sales.Sales(ctx) {
		if err != nil {
			return nil, fmt.Errorf("market: %w", err)
		}
		if err := table.Append(sale); err != nil {
			return nil, fmt.Errorf("market: sale %s: %w", sale.ID, err)
		}
	}
	return table, nil
}

// ImportReport says what an import did.
type ImportReport struct {
	Read     int               `json:"rows_read"`
	Added    int               `json:"rows_added"`
	Known    int               `json:"rows_known"` // good rows that were there already
	Rejected []market.RowError `json:"rejected"`
}

// ImportSales reads a sales file. Good rows go in; bad ones are reported with line
// and reason and kept out; a file imported twice adds nothing.
func (s *Shop) ImportSales(ctx context.Context, r io.Reader, name string) (ImportReport, error) {
	table, bad, err := market.ReadCSV(r, name, market.ReadOptions{Now: s.opt.Now()})
	if err != nil {
		return ImportReport{}, err
	}
	sales := make([]market.Sale, table.Len())
	for i := range sales {
		sales[i] = table.At(i)
	}
	added, err := s.stores.Sales.AddSales(ctx, sales)
	if err != nil {
		return ImportReport{}, fmt.Errorf("import %s: %w", name, err)
	}
	if added > 0 {
		if err := s.stores.Settings.SetSetting(ctx, salesImportedName,
			s.opt.Now().UTC().Format(time.RFC3339Nano)); err != nil {
			return ImportReport{}, fmt.Errorf("import %s: %w", name, err)
		}
	}
	return ImportReport{Read: table.Len() + len(bad), Added: added, Known: table.Len() - added, Rejected: bad}, nil
}

const salesImportedName = "sales imported"

// salesImported is when sales were last imported; zero where never.
func (s *Shop) salesImported(ctx context.Context) (time.Time, error) {
	text, err := s.stores.Settings.Setting(ctx, salesImportedName)
	if errors.Is(err, ErrNotFound) {
		return time.Time{}, nil
	}
	if err != nil {
		return time.Time{}, fmt.Errorf("last import of sales: %w", err)
	}
	at, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		return time.Time{}, fmt.Errorf("last import of sales: %w", err)
	}
	return at, nil
}

// Sale returns one sale.
func (s *Shop) Sale(ctx context.Context, id string) (market.Sale, error) {
	return s.stores.Sales.Sale(ctx, id)
}

// SaleCount is the number of sales on record.
func (s *Shop) SaleCount(ctx context.Context) (int, error) { return s.stores.Sales.SaleCount(ctx) }
