package trade

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/market"
)

// OwnAdded says what became of the shop's own sales of earlier times.
type OwnAdded struct {
	Sales   int `json:"sales"`    // that stand in the ledger
	Added   int `json:"added"`    // to those that values are read from
	Known   int `json:"known"`    // were there already
	LeftOut int `json:"left_out"` // sold, but the ledger has no sale of them
}

// OwnSalesMissing counts, and AddOwnSales adds, the sales of the shop's own that are booked and do not stand among those
// that values are read from, since they were booked before such sales were kept there. Added twice, they stand once.
func (r *Room) OwnSalesMissing(ctx context.Context) (OwnAdded, error) {
	out, _, err := r.ownSales(ctx)
	return out, err
}

// AddOwnSales adds what OwnSalesMissing counts.
func (r *Room) AddOwnSales(ctx context.Context) (OwnAdded, error) {
	out, missing, err := r.ownSales(ctx)
	if err != nil || len(missing) == 0 {
		return out, err
	}
	if out.Added, err = r.stores.Sales.AddSales(ctx, missing, r.shop.Now()); err != nil {
		return out, fmt.Errorf("own sales: %w", err)
	}
	return out, nil
}

func (r *Room) ownSales(ctx context.Context) (out OwnAdded, missing []market.Sale, err error) {
	watches, err := r.shop.StockList(ctx)
	if err != nil {
		return out, nil, fmt.Errorf("own sales: %w", err)
	}
	for _, w := range watches {
		steps, err := r.stores.Steps.Movements(ctx, w.ID)
		if err != nil {
			return out, nil, fmt.Errorf("own sales: %w", err)
		}
		steps = shop.Effective(steps)
		if !slices.ContainsFunc(steps, func(m shop.Movement) bool { return m.To == shop.Sold }) {
			if w.State == shop.Sold {
				out.LeftOut++
			}
			continue
		}
		if err := r.ownSalesOf(ctx, w, steps, &out, &missing); err != nil {
			return out, nil, err
		}
	}
	out.Added = len(missing)
	return out, missing, nil
}

// ownSalesOf looks at the sales of one watch that stand: the last one, and those after which it was bought back.
func (r *Room) ownSalesOf(ctx context.Context, w shop.Watch, steps []shop.Movement, out *OwnAdded,
	missing *[]market.Sale) error {
	entries, err := r.shop.Entries(ctx, shop.EntryFilter{Watch: w.ID})
	if err != nil {
		return fmt.Errorf("own sales: %w", err)
	}
	for _, s := range salesIn(steps, entries) {
		h, err := ledger.HoldingOf(string(w.ID), s.entries)
		if err != nil {
			return fmt.Errorf("own sales: %w", err)
		}
		price, err := lessAllowed(s.price, h.Allowed)
		if err != nil {
			return fmt.Errorf("own sales: %w", err)
		}
		if h.Sale == nil || h.Sale.Goods == nil || price.Sign() <= 0 {
			out.LeftOut++
			continue
		}
		out.Sales++
		id := shop.OwnSaleAfter(w.ID, s.boughtBack)
		switch _, err := r.shop.Sale(ctx, id); {
		case err == nil:
			out.Known++
			continue
		case !errors.Is(err, shop.ErrNotFound):
			return fmt.Errorf("own sales: %w", err)
		}
		as, err := r.shop.SaleOfOwn(ctx, w, h.Sale.Day, h.Sale.Goods.Route, price)
		if err != nil {
			return err
		}
		as.ID = id
		*missing = append(*missing, as)
	}
	return nil
}
