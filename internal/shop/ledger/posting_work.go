package ledger

import (
	"github.com/govalues/decimal"

	"midcase/money"
)

// WorkTerms are work done on a watch, or a fee paid for it.
type WorkTerms struct {
	Head         // Party is the workshop
	Cost         money.Money
	Rate         decimal.Decimal
	Tax          money.Money // in the cost, to reclaim
	Pay          Account     // Bank, Cash or Payable
	Holding      Holding
	ForConsignor bool // the consignor bears it, tax included: taken off what is owed
}

// Repair books work. On a watch in stock it becomes part of its cost, though not of
// the purchase price that the margin scheme reckons with; partners bear their shares.
func Repair(t WorkTerms) (Entry, error) {
	onto := OtherWork
	if t.Holding.Owned() {
		onto = StockWork
	}
	return t.spend(KindRepair, onto)
}

// Fee books a cost of selling a watch: photographs, insurance, carriage, a venue's
// charge, a card's. Partners bear their shares.
func Fee(t WorkTerms) (Entry, error) { return t.spend(KindExpense, Fees) }

// Overhead books a cost of the shop that belongs to no watch.
func Overhead(t WorkTerms) (Entry, error) {
	t.Holding = Holding{}
	return t.spend(KindExpense, Overheads)
}

func (t WorkTerms) spend(kind Kind, onto Account) (Entry, error) {
	d := begin(kind, t.Head)
	d.oneOf("paid from", t.Pay, Bank, Cash, Payable)
	d.positive("cost", t.Cost)
	net := d.sub(t.Cost, t.Tax)
	d.need(d.err != nil || net.Sign() > 0 && t.Tax.Sign() >= 0, "tax to reclaim", t.Tax,
		"0 or more, less than the cost")
	d.transfer(d.at(VATInput), d.at(t.Pay), t.Tax, t.Rate)
	if t.ForConsignor {
		d.need(t.Holding.Consign != nil, "for the consignor", "a watch that is not consigned", "a consigned watch")
		if d.err == nil {
			owner := side{Consignors, t.Watch, t.Holding.Consign.Party}
			d.transfer(owner, d.at(t.Pay), net, t.Rate)
			if t.Tax.Sign() > 0 { // what is reclaimed is charged on with tax
				d.transfer(owner, d.at(VATDue), d.inBase(t.Tax, t.Rate), decimal.One)
			}
		}
		return d.done()
	}
	shares, err := t.Holding.shares()
	if err != nil {
		d.fail("shares: %w", err)
	}
	if d.err != nil {
		return Entry{}, d.err
	}
	parts, err := Split(net, shares)
	if err != nil {
		d.fail("%w", err)
		return Entry{}, d.err
	}
	d.transfer(d.at(onto), d.at(t.Pay), parts[0], t.Rate)
	for i, s := range t.Holding.Stakes {
		d.transfer(side{Partners, t.Watch, s.Party}, d.at(t.Pay), parts[i+1], t.Rate)
	}
	return d.done()
}

// WriteOff books a watch that was lost or stolen: its cost becomes a loss. Partners
// bear their own parts, which they have paid.
func WriteOff(h Head, holding Holding) (Entry, error) {
	d := begin(KindLoss, h)
	d.need(holding.Owned(), "watch", "none of it in stock", "a watch in stock")
	d.need(h.Day >= holding.Bought, "day", h.Day, "the day on which it came in, "+holding.Bought+", or later")
	for _, l := range holding.Stock {
		d.take(d.at(Loss), d.at(l.Account), l)
	}
	return d.done()
}
