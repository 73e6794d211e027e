package shop

import (
	"context"
	"fmt"

	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// OwnSale is a sale of the shop's own among the sales that values are read from. It takes the place of the one that
// there was of its watch.
type OwnSale struct {
	ID   string
	Sale *market.Sale // nil: none stands
}

// OwnSaleID is the id of the sale of one of the shop's own watches that was not bought back before.
func OwnSaleID(w WatchID) string { return OwnSaleAfter(w, 0) }

// OwnSaleAfter is the id of the sale of a watch that was sold and bought back so many times before. Each of its sales
// stands by itself.
func OwnSaleAfter(w WatchID, boughtBack int) string {
	if boughtBack == 0 {
		return "own_" + string(w)
	}
	return fmt.Sprintf("own_%s_%d", w, boughtBack+1)
}

// BoughtBack is how many times a watch was bought back from its buyer, by its steps.
func BoughtBack(steps []Movement) int {
	n := 0
	for _, m := range Effective(steps) {
		if m.From == Sold && m.To == Bought {
			n++
		}
	}
	return n
}

// soldOn says for each route in which venue, and at which kind of price, a watch is sold.
var soldOn = map[string]struct{ venue, basis string }{"own site": {"dealer", "sold"}, "private client": {"private", "sold"},
	"auction": {"auction", "hammer"}, "trade": {"trade", "sold"}}

// SaleOfOwn describes the sale of a watch on a day by a route as sales on record are, from what its file says of it now.
// Whose it was and who bought it is not in it.
func (s *Shop) SaleOfOwn(ctx context.Context, w Watch, day, route string, price money.Money) (market.Sale, error) {
	log, err := s.LogOf(ctx, w)
	if err != nil {
		return market.Sale{}, fmt.Errorf("own sale: %w", err)
	}
	now := s.opt.Now()
	set, err := s.OwnTerms(ctx, now, opinion.Settings{})
	if err != nil {
		return market.Sale{}, err
	}
	is, err := opinion.AsSold(opinion.SellingInput{File: evidence.Fold(log, now), Book: s.Book(ctx), Settings: set, AsOf: now})
	if err != nil {
		return market.Sale{}, fmt.Errorf("own sale: %w", err)
	}
	f, _, err := s.Founding(ctx)
	if err != nil {
		return market.Sale{}, err
	}
	on := soldOn[route]
	return market.Sale{ID: OwnSaleID(w.ID), Date: day, Maker: is.Maker, Reference: is.Reference, Price: price,
		Family: is.Family, Metal: is.Metal, Dial: is.Dial, Year: int(is.Year), Condition: is.Condition,
		Completeness: is.Completeness, Originality: is.Originality, Country: f.Country, Venue: on.venue, Basis: on.basis,
		Serial: w.Serial, Source: fmt.Sprintf("own sale, file %d", w.Number)}, nil
}
