package shop

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"time"

	"midcase/internal/shop/memo"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
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

// Prices are what the sales on record say of prices in a currency.
type Prices struct {
	Model   *market.Model    // nil where no sale can be used
	None    say.Statement    // why not, where there are sales
	Unrated []market.Unrated // sales left out because no rate converts them
}

// Market returns the price model fitted to the sales made until asOf, in the currency of
// the shop's values, or nil where no sale can be used.
func (s *Shop) Market(ctx context.Context, asOf time.Time) (*market.Model, error) {
	set, err := s.Settings(ctx)
	if err != nil {
		return nil, err
	}
	return s.MarketIn(ctx, asOf, set.Currency)
}

// MarketIn is Market in a currency.
func (s *Shop) MarketIn(ctx context.Context, asOf time.Time, currency money.Currency) (*market.Model, error) {
	p, err := s.PricesIn(ctx, asOf, currency)
	return p.Model, err
}

// MarketFor is the market of an opinion in the currency of the settings; where there is none,
// they are told why.
func (s *Shop) MarketFor(ctx context.Context, asOf time.Time, set *opinion.Settings) (opinion.Market, error) {
	p, err := s.PricesIn(ctx, asOf, set.Currency)
	set.NoMarket = p.None
	if p.Model == nil { // a nil *Model in the interface would not be nil
		return nil, err
	}
	return p.Model, err
}

// PricesIn fits the sales made until asOf in a currency. Sales that cannot be used are no error.
func (s *Shop) PricesIn(ctx context.Context, asOf time.Time, currency money.Currency) (Prices, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return Prices{}, fmt.Errorf("market: %w", err)
	}
	set, err := s.KeptSettings(ctx)
	if err != nil {
		return Prices{}, err
	}
	key := fitKey{asOf.Format(time.DateOnly), currency}
	return s.known.fits.Get(ctx, key, fitMark{rev.Sales, set.RatesSum}, func(ctx context.Context) (Prices, error) {
		table, err := s.known.sales.Get(ctx, memo.One{}, rev.Sales, s.saleTable)
		if err != nil || table.Len() == 0 {
			return Prices{}, err
		}
		rates, err := s.ratesTable(ctx)
		if err != nil {
			return Prices{}, fmt.Errorf("market: %w", err)
		}
		m, rep, err := market.Fit(table, market.Options{Currency: currency, AsOf: asOf, Rates: rates})
		var nothing *market.NothingToFit
		if errors.As(err, &nothing) {
			return Prices{None: noPrices(nothing), Unrated: nothing.Unrated}, nil
		}
		if err != nil {
			return Prices{}, fmt.Errorf("market: %w", err)
		}
		return Prices{Model: m, Unrated: rep.Unrated}, nil
	})
}

// noPrices says why no sale can be used.
func noPrices(n *market.NothingToFit) say.Statement {
	if len(n.Unrated) > 0 {
		return Unrated(n.Unrated, n.Currency)
	}
	return say.That("value.later", say.Day("first", n.First))
}

// Unrated says which sales lack a rate to the currency of values, and what to do.
func Unrated(without []market.Unrated, to money.Currency) say.Statement {
	each := make([]say.Value, len(without))
	for i, u := range without {
		each[i] = say.That("value.sales-in", say.Count("sales", u.Sales), say.Name("currency", string(u.Currency)))
	}
	return say.That("value.unrated", say.All("each", each...), say.Name("to", string(to)),
		say.Name("from", string(without[0].Currency)))
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
	added, err := s.stores.Sales.AddSales(ctx, sales, s.opt.Now())
	if err != nil {
		return ImportReport{}, fmt.Errorf("import %s: %w", name, err)
	}
	return ImportReport{Read: table.Len() + len(bad), Added: added, Known: table.Len() - added, Rejected: bad}, nil
}

// Sale returns one sale.
func (s *Shop) Sale(ctx context.Context, id string) (market.Sale, error) {
	return s.stores.Sales.Sale(ctx, id)
}

// SaleCount is the number of sales on record.
func (s *Shop) SaleCount(ctx context.Context) (int, error) { return s.stores.Sales.SaleCount(ctx) }
