package trade

import (
	"slices"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// ownSale keeps the sale of the watch among those that values are read from in step with what is booked: it is added
// when the watch is sold, follows an allowance, and goes when the sale is turned round.
func (d *pending) ownSale() error {
	was, is := d.before.State == shop.Sold, d.after.State == shop.Sold
	if !was && !is || was == is && len(d.step.Entries) == 0 {
		return nil
	}
	if was && !is && d.after.State == shop.Bought && d.movement.Undoes == "" {
		return nil // bought back: the sale was one
	}
	moves, err := d.s.stores.Steps.Movements(d.ctx, d.before.ID)
	if err != nil {
		return err
	}
	this := d.movement
	this.To = d.after.State
	own := shop.OwnSale{ID: shop.OwnSaleAfter(d.before.ID, shop.BoughtBack(append(moves, this)))}
	d.step.Sold = &own
	if !is {
		return nil
	}
	price, sale, err := d.soldFor()
	if err != nil || sale == nil || price.Sign() <= 0 {
		return err
	}
	as, err := d.s.shop.SaleOfOwn(d.ctx, d.after, sale.Day, sale.Goods.Route, price)
	if err != nil {
		return err
	}
	as.ID = own.ID
	own.Sale = &as
	return nil
}

// soldFor is the price of the sale that stands when the step is kept, less what was allowed on it, with its entry; no
// entry where the ledger has none.
func (d *pending) soldFor() (price money.Money, sale *ledger.Entry, err error) {
	h, err := ledger.HoldingOf(string(d.before.ID), slices.Concat(d.entries, d.step.Entries))
	if err != nil || h.Sale == nil {
		return price, nil, err
	}
	moves, err := d.s.stores.Steps.Movements(d.ctx, d.before.ID)
	if err != nil {
		return price, nil, err
	}
	this := d.movement
	this.To = d.after.State
	for _, m := range shop.Effective(append(moves, this)) {
		if m.To == shop.Sold && m.From != shop.Sold {
			price = m.Price // the whole one, also where the own part alone is booked
		}
	}
	price, err = lessAllowed(price, h.Allowed)
	return price, h.Sale, err
}

// lessAllowed is a price less what was allowed on it.
func lessAllowed(price money.Money, allowed []ledger.Entry) (money.Money, error) {
	for _, e := range allowed {
		off := e.Goods.Price
		if !e.Goods.Original.IsZero() {
			off = e.Goods.Original
		}
		if off.Currency() != price.Currency() {
			continue // that of another currency is not worth a rate
		}
		var err error
		if price, err = price.Add(off); err != nil { // booked below zero
			return price, err
		}
	}
	return price, nil
}

// soldOnce is one sale of a watch that stands, with its price and the entries up to where the watch was bought back.
type soldOnce struct {
	price      money.Money
	boughtBack int // how often, before it
	entries    []ledger.Entry
}

// salesIn are the sales of a watch that stand, by the steps that count.
func salesIn(steps []shop.Movement, entries []ledger.Entry) []soldOnce {
	var out []soldOnce
	var one *soldOnce
	for _, m := range steps {
		switch {
		case m.To == shop.Sold && m.From != shop.Sold:
			one = &soldOnce{price: m.Price, boughtBack: len(out)}
		case m.From == shop.Sold && m.To == shop.Bought && one != nil:
			one.entries = entries
			if len(m.Entries) > 0 {
				if at := slices.IndexFunc(entries, func(e ledger.Entry) bool { return e.ID == m.Entries[0] }); at >= 0 {
					one.entries = entries[:at]
				}
			}
			out, one = append(out, *one), nil
		case m.From == shop.Sold && m.To != shop.Sold:
			one = nil // turned round
		}
	}
	if one != nil {
		one.entries = entries
		out = append(out, *one)
	}
	return out
}
