package shop

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"midcase/market"
	"midcase/typed"
)

// SaleColumns are the columns of a sales file, in the order in which they are written.
func SaleColumns() []string {
	return []string{"date", "maker", "family", "reference", "metal", "dial", "year", "condition", "completeness",
		"originality", "country", "venue", "basis", "price", "currency", "serial", "source", "note"}
}

// FindSales lists the sales that hold the text in maker, family, reference, serial,
// source or note, the latest first, at most limit of them; total counts them all.
func (s *Shop) FindSales(ctx context.Context, text string, limit int) (found []market.Sale, total int, err error) {
	want := strings.ToLower(strings.TrimSpace(text))
	if want == "" {
		if total, err = s.SaleCount(ctx); err != nil {
			return nil, 0, fmt.Errorf("sales: %w", err)
		}
	}
	for sale, err := range s.stores.Sales.SalesAfter(ctx, SalePlace{}, strings.Fields(want)) {
		if err != nil {
			return nil, 0, fmt.Errorf("sales: %w", err)
		}
		switch {
		case want == "" && len(found) == limit:
			return found, total, nil
		case want == "":
			found = append(found, sale)
		case saleHolds(sale, want):
			total++
			if len(found) < limit {
				found = append(found, sale)
			}
		}
	}
	return found, total, nil
}

// SalesAfter lists the sales that hold the text as FindSales does, from the one after a place, at most limit of them;
// more reports whether others follow.
func (s *Shop) SalesAfter(ctx context.Context, text string, after SalePlace, limit int) (found []market.Sale, more bool,
	err error) {
	want := strings.ToLower(strings.TrimSpace(text))
	for sale, err := range s.stores.Sales.SalesAfter(ctx, after, strings.Fields(want)) {
		if err != nil {
			return nil, false, fmt.Errorf("sales: %w", err)
		}
		if want != "" && !saleHolds(sale, want) {
			continue
		}
		if len(found) == limit {
			return found, true, nil
		}
		found = append(found, sale)
	}
	return found, false, nil
}

func saleHolds(s market.Sale, want string) bool {
	for _, v := range []string{s.Maker + " " + s.Reference, s.Family, s.Serial, s.Source, s.Note} {
		if strings.Contains(strings.ToLower(v), want) {
			return true
		}
	}
	return false
}

// ExportSales writes all sales as a sales file, which imports again as it is.
func (s *Shop) ExportSales(ctx context.Context, w io.Writer) error {
	out := typed.NewSheet(w)
	if err := out.Write(SaleColumns()); err != nil {
		return fmt.Errorf("export sales: %w", err)
	}
	for sale, err := range s.stores.Sales.Sales(ctx) {
		if err != nil {
			return fmt.Errorf("export sales: %w", err)
		}
		if err := out.Write(saleRow(sale)); err != nil {
			return fmt.Errorf("export sales: %w", err)
		}
	}
	out.Flush()
	return out.Error()
}

func saleRow(s market.Sale) []string {
	figure := func(v *float64) string {
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'f', -1, 64)
	}
	year := ""
	if s.Year > 0 {
		year = strconv.Itoa(s.Year)
	}
	return []string{s.Date, s.Maker, s.Family, s.Reference, s.Metal, s.Dial, year, figure(s.Condition),
		s.Completeness, figure(s.Originality), s.Country, s.Venue, s.Basis, s.Price.Amount(),
		string(s.Price.Currency()), s.Serial, s.Source, s.Note}
}

// Suspects lists the sales that look like mistakes. Nothing is dropped for being on
// the list.
func (s *Shop) Suspects(ctx context.Context, asOf time.Time) ([]market.Suspect, error) {
	m, err := s.Market(ctx, asOf)
	if err != nil || m == nil {
		return nil, err
	}
	rates, err := s.Rates(ctx)
	if err != nil {
		return nil, err
	}
	return m.Suspects(rates), nil
}
