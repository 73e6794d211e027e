package shop

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"midcase/market"
	"midcase/money"
)

// marketCache holds the fits in use: a fit stands for a day and a number of sales,
// since sales are only ever added.
type marketCache struct {
	mu    sync.Mutex
	table *market.Table
	count int
	fits  map[string]*market.Model // by day and currency
}

func (c *marketCache) clear() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.table, c.count, c.fits = nil, 0, nil
}

const fitsKept = 4 // days for which a fit is held in memory

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
	c := &s.market
	c.mu.Lock()
	defer c.mu.Unlock()
	count, err := s.stores.Sales.SaleCount(ctx)
	if err != nil {
		return nil, fmt.Errorf("market: %w", err)
	}
	if count == 0 {
		return nil, nil
	}
	if c.table == nil || c.count != count {
		table, err := s.saleTable(ctx)
		if err != nil {
			return nil, err
		}
		c.table, c.count, c.fits = table, count, map[string]*market.Model{}
	}
	key := asOf.Format(time.DateOnly) + " " + string(currency)
	if m, ok := c.fits[key]; ok {
		return m, nil
	}
	opt, err := s.fitOptions(ctx, asOf, currency)
	if err != nil {
		return nil, err
	}
	m, _, err := market.Fit(c.table, opt)
	if err != nil {
		return nil, fmt.Errorf("market: %w", err)
	}
	if len(c.fits) >= fitsKept {
		clear(c.fits)
	}
	c.fits[key] = m
	return m, nil
}

func (s *Shop) fitOptions(ctx context.Context, asOf time.Time, currency money.Currency) (market.Options, error) {
	set, err := s.Settings(ctx)
	if err != nil {
		return market.Options{}, err
	}
	opt := market.Options{Currency: currency, AsOf: asOf}
	if set.RatesCSV != "" {
		rates, err := market.ReadRates(strings.NewReader(set.RatesCSV))
		if err != nil {
			return market.Options{}, fmt.Errorf("market: exchange rates: %w", err)
		}
		opt.Rates = rates
	}
	return opt, nil
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
		if err := s.stores.Settings.SetSetting(ctx, salesImportedName, s.opt.Now().UTC().Format(time.RFC3339Nano)); err != nil {
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
