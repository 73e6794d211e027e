package trade

import (
	"context"
	"fmt"
	"strconv"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Revalue states money and open sums in other currencies at the closing rates of a day, the table's where
// none are given, and takes the difference back on the day after. It returns the two entries, none where
// nothing stands in another currency.
func (r *Room) Revalue(ctx context.Context, day string, rates map[money.Currency]decimal.Decimal, by string) (
	[]ledger.Entry, error) {
	const what = "revalue"
	h, err := r.head(ctx, what, Terms{Day: day, Text: "at the closing rates of " + day}, by)
	if err != nil {
		return nil, err
	}
	stands := ledger.NewStanding(r.shop.Currency(), h.Day)
	for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{}) {
		if err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
		if e.Kind == ledger.KindRevalue && e.Day == h.Day {
			return nil, shop.Refuse(what, "day", h.Day+", which was revalued", "another day")
		}
		stands.Post(e)
	}
	in, err := stands.Currencies()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	closing := map[money.Currency]decimal.Decimal{}
	for _, c := range in {
		rate, ok := rates[c]
		if !ok {
			table, known := r.shop.RateOn(ctx, c, h.Day)
			if !known {
				return nil, shop.Refuse(what, "rate", "none of "+string(c)+" on "+h.Day,
					"the closing rate, here or in the table of rates")
			}
			if rate, err = decimal.Parse(strconv.FormatFloat(table, 'f', 8, 64)); err != nil {
				return nil, fmt.Errorf("%s: %w", what, err)
			}
		}
		f, _ := rate.Float64()
		if err := r.shop.RateDoubt(ctx, what, c, f, h.Day); err != nil {
			return nil, err
		}
		closing[c] = rate
	}
	at, after, err := stands.Revalue(h, r.shop.NewID("le"), closing)
	if err != nil || len(at.Lines) == 0 {
		return nil, err
	}
	kept, err := r.keepStep(ctx, what, shop.Step{Entries: []ledger.Entry{at, after}})
	return kept.Entries, err
}
