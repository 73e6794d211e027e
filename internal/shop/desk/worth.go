package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"midcase/deal"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// StockWorth is what the shop's own stock comes to, with what it leaves out.
type StockWorth struct {
	AsOf string `json:"as_of"`
	deal.PortfolioReport
	LeftOut []LeftOut `json:"left_out"`
	Oldest  []OldOne  `json:"oldest"` // the longest in stock first, at most a dozen
}

// LeftOut is a watch of the stock that cannot be valued.
type LeftOut struct {
	Watch  string        `json:"watch"`
	Title  string        `json:"title"`
	Reason say.Statement `json:"reason"`
}

// OldOne is a watch of the stock with the days since it was bought.
type OldOne struct {
	Watch  shop.WatchID `json:"watch"`
	Number int          `json:"number"`
	Title  string       `json:"title"`
	State  shop.State   `json:"state"`
	Since  string       `json:"since"`
	Days   int          `json:"days"`
	Paid   money.Money  `json:"paid"`
	Asking money.Money  `json:"asking,omitzero"`
}

// MarshalJSON writes what the stock comes to with its sentences in English, and beside
// them their kinds and arguments, as an opinion does.
func (w StockWorth) MarshalJSON() ([]byte, error) {
	type plain StockWorth
	return json.Marshal(struct {
		plain
		Statements say.Beside `json:"statements"`
	}{plain(w), say.BesideOf(w)})
}

const oldestShown = 12

// stockHolding is a watch as the whole stock counts it, or why it cannot be valued.
type stockHolding struct {
	deal.Holding
	cannotTell say.Statement
}

// worthMark is what the worth of the whole stock follows from.
type worthMark struct {
	stock  shop.StockMark
	ledger int64
	now    formedFrom
}

// ownStock reports whether a watch is in stock on the shop's own account, alone or with
// partners.
func ownStock(w shop.Watch) bool {
	switch w.State {
	case shop.Bought, shop.PartShare, shop.AtWorkshop, shop.Photographed, shop.Listed, shop.Reserved, shop.OnMemo:
		return w.Ownership() == shop.Own || w.Ownership() == shop.InPartner
	case shop.Returned: // taken back from a buyer
		return w.Owned == shop.Own || w.Owned == shop.InPartner
	}
	return false
}

// StockWorth says what the shop's own stock is worth together, as a range, looked ahead so many
// months, where it is concentrated and what falls of a metal's premium would do. Of a watch shared with
// partners the own part counts. It errs with ErrNotFound where there are no sales to value by.
func (r *Room) StockWorth(ctx context.Context, asOf time.Time, months float64, falls []opinion.MetalFall) (StockWorth,
	error) {
	key, at, err := r.worthAt(ctx, asOf, months, falls)
	if err != nil {
		return StockWorth{}, err
	}
	return r.worths.Get(ctx, key, at, func(ctx context.Context) (StockWorth, error) {
		return r.stockWorth(ctx, asOf, months, falls)
	})
}

// worthAt names a valuation of the stock and what it follows from.
func (r *Room) worthAt(ctx context.Context, asOf time.Time, months float64, falls []opinion.MetalFall) (string,
	worthMark, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return "", worthMark{}, fmt.Errorf("stock: %w", err)
	}
	now, err := r.formingNow(ctx)
	return fmt.Sprint(asOf.Format(time.DateOnly), months, falls), worthMark{rev.Stock(),
		rev.Ledger, now}, err
}

func (r *Room) stockWorth(ctx context.Context, asOf time.Time, months float64, falls []opinion.MetalFall) (StockWorth,
	error) {
	out := StockWorth{AsOf: asOf.Format(time.DateOnly), LeftOut: []LeftOut{}, Oldest: []OldOne{}}
	in, err := r.shop.SellingTerms(ctx, asOf, "")
	if err != nil {
		return out, err
	}
	prices, err := r.shop.PricesIn(ctx, asOf, in.Settings.Currency)
	if err != nil {
		return out, err
	}
	switch m := prices.Model; {
	case m == nil && !prices.None.IsZero():
		return out, shop.NotFound(prices.None.String())
	case m == nil:
		return out, shop.NotFound("there are no sales to value the stock by")
	}
	list, err := r.shop.Stock(ctx)
	if err != nil {
		return out, fmt.Errorf("stock: %w", err)
	}
	var own []shop.Watch
	var marks []shop.Mark
	for i, w := range list.All {
		if ownStock(w) {
			own, marks = append(own, w), append(marks, list.Marks[i])
		}
	}
	now, err := r.formingNow(ctx)
	if err != nil {
		return out, err
	}
	now.day = out.AsOf
	costs, err := r.costsInStock(ctx)
	if err != nil {
		return out, err
	}
	holdings := []deal.Holding{}
	for i, w := range own {
		now.mark = marks[i]
		h, why, err := r.holdingOf(ctx, w, in, now, costs)
		if err != nil {
			return out, err
		}
		if !why.IsZero() {
			out.LeftOut = append(out.LeftOut, LeftOut{string(w.ID), w.Title, why})
			continue
		}
		holdings = append(holdings, h)
	}
	out.Oldest = oldest(own, costs, asOf)
	out.PortfolioReport, err = opinion.StockWorth(holdings, prices.Model, asOf, months, falls, in.Settings.Terms.Seed)
	return out, err
}

// StockWorthSoon is StockWorth where it is ready within a while. Where a large stock takes longer to value,
// as after a start, that goes on in the background; ready is false, and valued says how many watches were
// valued so far.
func (r *Room) StockWorthSoon(ctx context.Context, asOf time.Time, months float64, falls []opinion.MetalFall,
	wait time.Duration) (w StockWorth, valued int, ready bool, err error) {
	key, at, err := r.worthAt(ctx, asOf, months, falls)
	if err != nil {
		return w, 0, false, err
	}
	w, ready, err = r.worths.Soon(ctx, key, at, wait, func(ctx context.Context, _ StockWorth) (StockWorth,
		error) {
		return r.stockWorth(ctx, asOf, months, falls)
	})
	return w, r.holdings.Len(), ready, err
}

// costsInStock is what each watch stands for in stock by the ledger.
func (r *Room) costsInStock(ctx context.Context) (map[string]ledger.Aged, error) {
	out := map[string]ledger.Aged{}
	err := r.accounts.Books(ctx, func(b *ledger.Books) error {
		for _, a := range b.Ageing(r.shop.Now()) {
			out[a.Watch] = a
		}
		return nil
	})
	return out, err
}

// holdingOf is the watch as the whole stock counts it, with the own part of a shared one.
func (r *Room) holdingOf(ctx context.Context, w shop.Watch, in opinion.SellingInput, from formedFrom,
	costs map[string]ledger.Aged) (deal.Holding, say.Statement, error) {
	e, err := r.holdings.Get(ctx, w.ID, from, func(ctx context.Context) (e stockHolding, err error) {
		log, err := r.shop.Log(ctx, w.ID)
		if err != nil {
			return e, fmt.Errorf("stock: %w", err)
		}
		one := in
		one.File = evidence.Fold(log, in.AsOf)
		var noRate *shop.Invalid // the amount counts for nothing then, as in the opinion
		if err := r.shop.Standing(ctx, w, &one.Settings, in.AsOf); err != nil && !errors.As(err, &noRate) {
			return e, err
		}
		e.Holding, e.cannotTell, err = opinion.StockHolding(one, r.profitFormed(w.ID, from))
		return e, err
	})
	if err != nil {
		return deal.Holding{}, say.Statement{}, err
	}
	h := e.Holding
	if c, ok := costs[string(w.ID)]; ok && c.Cost.Currency() == in.Settings.Currency {
		h.Paid = c.Cost.Float()
	}
	if w.Ownership() == shop.InPartner && e.cannotTell.IsZero() {
		share, err := r.ownShare(ctx, w.ID)
		if err != nil {
			return h, e.cannotTell, err
		}
		h.LogMedian += math.Log(share)
		h.ExpectedProfit *= share
	}
	return h, e.cannotTell, nil
}

// profitFormed is the expected profit of the opinion on a watch, where one that is up to
// date is at hand.
func (r *Room) profitFormed(id shop.WatchID, from formedFrom) *float64 {
	if b, formed, ok := r.briefs.Kept(id); ok && formed == from {
		return b.Profit
	}
	return nil
}

// ownShare is the shop's share in a watch, 1 where no partners are on record.
func (r *Room) ownShare(ctx context.Context, id shop.WatchID) (float64, error) {
	entries, err := r.shop.Entries(ctx, shop.EntryFilter{Watch: id})
	if err != nil {
		return 1, fmt.Errorf("stock: %w", err)
	}
	h, err := ledger.HoldingOf(string(id), entries)
	if err != nil {
		return 1, fmt.Errorf("stock: %w", err)
	}
	own := 1.0
	for _, st := range h.Stakes {
		f, _ := st.Share.Float64()
		own -= f
	}
	if !(own > 0) {
		own = 1
	}
	return own, nil
}

// oldest lists the watches that have been in stock longest, by the ledger, else by the record.
func oldest(own []shop.Watch, costs map[string]ledger.Aged, asOf time.Time) []OldOne {
	out := make([]OldOne, 0, len(own))
	for _, w := range own {
		o := OldOne{Watch: w.ID, Number: w.Number, Title: w.Title, State: w.State, Paid: w.Cost, Asking: w.Asking}
		if c, ok := costs[string(w.ID)]; ok {
			o.Since, o.Days, o.Paid = c.Since, c.Days, c.Cost
		} else if last, ok := w.Acquired.Last(); ok {
			o.Since = last.Format(time.DateOnly)
			o.Days = max(0, int(asOf.Sub(last).Hours()/24))
		} else {
			continue
		}
		out = append(out, o)
	}
	slices.SortStableFunc(out, func(a, b OldOne) int { return b.Days - a.Days })
	return out[:min(len(out), oldestShown)]
}
