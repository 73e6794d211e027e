package ledger

import (
	"errors"
	"strings"

	"github.com/govalues/decimal"

	"midcase/money"
)

// RefundTerms are money given back to a buyer.
type RefundTerms struct {
	Head                // Watch and Party as of the sale
	Amount  money.Money // an allowance; none: the whole sale, and the watch comes back
	Rate    decimal.Decimal
	Pay     Account // Bank, Cash or Receivable
	Holding Holding // with the sale that stands
}

// Refund books money given back. Without an amount the whole sale is turned round, at
// its own rates: the watch comes back into stock at the cost that it went out at,
// tax, partners' parts and the consignor's due are taken back. With an amount the
// sale stands at a lower price, and tax and partners' parts follow.
func Refund(t RefundTerms) (Entry, error) {
	d := begin(KindRefund, t.Head)
	d.oneOf("paid from", t.Pay, Bank, Cash, Receivable)
	d.need(t.Holding.Sale != nil, "sale", "none that stands", "a sale of this watch")
	if d.err != nil {
		return Entry{}, d.err
	}
	d.need(t.Day >= t.Holding.Sale.Day, "day", t.Day, "the day of the sale, "+t.Holding.Sale.Day+", or later")
	d.need(t.Party == t.Holding.Sale.Party, "party", t.Party, "the buyer, "+t.Holding.Sale.Party)
	d.e.Refunds = t.Holding.Sale.ID
	if t.Amount.IsZero() {
		t.whole(d)
	} else {
		t.allowance(d)
	}
	return d.done()
}

// whole negates the lines of the sale and of its allowances. What the buyer paid, by
// whatever way, goes back by one.
func (t RefundTerms) whole(d *draft) {
	total := Goods{}
	for _, e := range append([]Entry{*t.Holding.Sale}, t.Holding.Allowed...) {
		for _, l := range e.Lines {
			switch l.Account {
			case Cash, Bank, Receivable, Deposits:
				l.Account = t.Pay
			case VATDeposits: // what was booked before the sale comes back with the tax of the sale
				l.Account = VATDue
			}
			l.Amount, l.Base = l.Amount.Neg(), l.Base.Neg()
			d.e.Lines = append(d.e.Lines, l)
		}
		g := *e.Goods
		if !g.Part {
			total = g
			total.Price, total.Margin, total.Tax, total.Purchase, total.Original, total.Earned = neg(g.Price), neg(g.Margin), neg(g.Tax), neg(g.Purchase), neg(g.Original), neg(g.Earned)
			continue
		}
		total.Price, total.Margin, total.Tax, total.Original = d.sub(total.Price, g.Price), d.sub(total.Margin,
			g.Margin), d.sub(total.Tax, g.Tax), d.sub(total.Original, g.Original)
		total.Earned = d.sub(total.Earned, g.Earned)
	}
	d.e.Goods = &total
	d.e.Consign, d.e.Stakes = t.Holding.Sale.Consign, t.Holding.Sale.Stakes
}

// neg is −m, no amount staying none.
func neg(m money.Money) money.Money {
	if m.IsZero() {
		return m
	}
	return m.Neg()
}

func (t RefundTerms) allowance(d *draft) {
	sale := *t.Holding.Sale.Goods
	d.need(!sale.Led, "allowance", "a sale by the partner who leads",
		"a sale by the shop; settle with the partner")
	d.positive("allowance", t.Amount)
	if sale.Consign && d.err == nil {
		t.consignedAllowance(d, sale)
		return
	}
	off := d.inBase(t.Amount, t.Rate)
	price, taxed := sale.Price, sale.Tax
	for _, e := range t.Holding.Allowed {
		var err, err2 error
		price, err = price.Add(e.Goods.Price)
		taxed, err2 = taxed.Add(e.Goods.Tax)
		if err != nil || err2 != nil {
			d.fail("earlier allowances cannot be added up")
		}
	}
	after := sale
	after.Price = d.sub(price, off)
	d.need(d.err != nil || after.Price.Sign() > 0, "allowance", t.Amount,
		"less than what the watch was sold for; without an amount the whole sale is turned round")
	d.tax(&after)
	less := d.sub(taxed, after.Tax)
	g := Goods{Sold: true, Price: off.Neg(), Scheme: sale.Scheme, Rate: sale.Rate, Tax: neg(less), Route: sale.Route,
		Part: true}
	if t.Amount.Currency() == sale.Original.Currency() {
		g.Original = t.Amount.Neg()
	}
	if sale.Scheme == Margin {
		g.Margin = off.Neg()
	}
	d.e.Goods = &g
	d.transfer(d.at(Sales), d.at(t.Pay), t.Amount, t.Rate)
	d.transfer(d.at(VATDue), d.at(Sales), less, decimal.One)
	SaleTerms{Head: t.Head, Holding: t.Holding}.partners(d, neg(d.sub(off, less)))
}

// consignedAllowance lowers a consigned sale: owner and shop bear it as they share the price, or the shop
// alone where the owner gets a fixed amount. Tax on the commission follows.
func (t RefundTerms) consignedAllowance(d *draft, sale Goods) {
	c := *t.Holding.Sale.Consign
	price, earned, taxed := sale.Price, sale.Earned, sale.Tax
	for _, e := range t.Holding.Allowed {
		var errs [3]error
		price, errs[0] = price.Add(e.Goods.Price)
		earned, errs[1] = earned.Add(e.Goods.Earned)
		taxed, errs[2] = taxed.Add(e.Goods.Tax)
		if errors.Join(errs[:]...) != nil {
			d.fail("earlier allowances cannot be added up")
		}
	}
	less := t.Amount
	if c.Net.Sign() <= 0 {
		less = d.commission(c, t.Amount)
	}
	off, cut := d.inBase(t.Amount, t.Rate), d.inBase(less, t.Rate)
	d.need(d.err != nil || off.Decimal().Cmp(price.Decimal()) < 0, "allowance", t.Amount,
		"less than what the watch was sold for; without an amount the whole sale is turned round")
	after := d.sub(earned, cut)
	d.need(d.err != nil || after.Sign() >= 0, "allowance", t.Amount, "at most the shop's commission: the owner gets a fixed amount")
	if d.err != nil {
		return
	}
	tax, err := TaxIncluded(after, sale.Rate)
	if err != nil {
		d.fail("%w", err)
		return
	}
	back := d.sub(taxed, tax)
	owner := side{Consignors, t.Watch, c.Party}
	d.transfer(owner, d.at(t.Pay), d.sub(t.Amount, less), t.Rate)
	d.transfer(d.at(Commission), d.at(t.Pay), less, t.Rate)
	d.transfer(d.at(VATDue), d.at(Commission), back, decimal.One)
	g := Goods{Sold: true, Price: off.Neg(), Scheme: sale.Scheme, Rate: sale.Rate, Tax: neg(back), Route: sale.Route, Part: true,
		Consign: true, Earned: neg(cut)}
	if t.Amount.Currency() == sale.Original.Currency() {
		g.Original = t.Amount.Neg()
	}
	d.e.Goods = &g
}

// SettleTerms are money paid to, or got from, somebody with an open account.
type SettleTerms struct {
	Head               // Party is needed
	Open   []Lot       // what stands, the first to be paid first: above zero the shop owes it, below it is owed
	Amount money.Money // to pay; below zero: to receive. None: all of the currency of the first
	Rate   decimal.Decimal
	Pay    Account // Bank or Cash
	// Interest is received beside what is owed for the first open sum, by a plan of instalments; above zero.
	Interest money.Money
}

// ConsignorSettlement books a payment to a consignor.
func ConsignorSettlement(t SettleTerms) (Entry, error) {
	return t.settle(KindConsignorPaid, Consignors)
}

// PartnerSettlement books a payment to, or from, a partner in shared watches.
func PartnerSettlement(t SettleTerms) (Entry, error) { return t.settle(KindPartnerPaid, Partners) }

// CustomerPayment books what a buyer pays later.
func CustomerPayment(t SettleTerms) (Entry, error) { return t.settle(KindCustomerPaid, Receivable) }

// SupplierPayment books what a seller or a workshop is paid later.
func SupplierPayment(t SettleTerms) (Entry, error) { return t.settle(KindSupplierPaid, Payable) }

// settle pays at today's rate what was booked at another; the difference goes to
// exchange differences.
func (t SettleTerms) settle(kind Kind, account Account) (Entry, error) {
	d := begin(kind, t.Head)
	d.oneOf("paid from", t.Pay, Bank, Cash)
	d.need(len(t.Open) > 0, "open sum", "none", "what stands with this party on "+string(account))
	if d.err != nil {
		return Entry{}, d.err
	}
	first := t.Open[0].Amount
	if !t.Amount.IsZero() {
		d.need(t.Amount.Sign() != 0 || t.Interest.Sign() > 0, "amount", t.Amount, "part of what stands")
		first = t.Amount
	}
	left := t.Amount
	for _, open := range t.Open {
		d.need(open.Account == account && open.Party == t.Party && t.Party != "", "open sum", open.Amount,
			"what stands with this party on "+string(account))
		if d.err != nil || open.Amount.Currency() != first.Currency() || open.Amount.Sign() != first.Sign() {
			continue
		}
		if t.Amount.IsZero() {
			t.pay(d, account, open, open.Amount)
			continue
		}
		part := open.Amount
		if part.Decimal().Abs().Cmp(left.Decimal().Abs()) > 0 {
			part = left
		}
		t.pay(d, account, open, part)
		left = d.sub(left, part)
	}
	d.need(d.err != nil || left.Sign() == 0, "amount", t.Amount, "at most what stands in "+string(first.Currency()))
	if !t.Interest.IsZero() {
		d.need(account == Receivable && t.Interest.Sign() >= 0, "interest", t.Interest, "none, or what a buyer pays")
		d.transfer(d.at(t.Pay), side{InterestIn, t.Open[0].Watch, t.Party}, t.Interest, t.Rate)
	}
	d.difference(ExchangeDiff)
	return d.done()
}

// pay pays a part of an open sum.
func (t SettleTerms) pay(d *draft, account Account, open Lot, part money.Money) {
	owed, now := side{account, open.Watch, t.Party}, d.rate(part, t.Rate)
	if open.Rate.Cmp(now) == 0 {
		d.transfer(owed, d.at(t.Pay), part, now)
		return
	}
	d.transfer(owed, d.at(Conversion), part, open.Rate)
	d.transfer(d.at(Conversion), d.at(t.Pay), part, now)
}

// ExchangeTerms are money of one currency changed into another.
type ExchangeTerms struct {
	Head
	Out, In         money.Money
	OutRate, InRate decimal.Decimal // of the day; the difference shows as one of exchange
	From, Into      Account         // Bank or Cash
}

// Exchange books a change of currency through the account between currencies, so that each
// currency balances; what the two sides differ by in the shop's currency is an exchange
// difference. Without a rate of what went out, what came in says it.
func Exchange(t ExchangeTerms) (Entry, error) {
	d := begin(KindExchange, t.Head)
	d.oneOf("from", t.From, Bank, Cash)
	d.oneOf("into", t.Into, Bank, Cash)
	d.positive("out", t.Out)
	d.positive("in", t.In)
	d.need(t.Out.Currency() != t.In.Currency(), "in", t.In, "another currency than "+string(t.Out.Currency()))
	if d.err != nil {
		return Entry{}, d.err
	}
	var err error
	switch {
	case t.In.Currency() == t.Base && t.OutRate.IsZero():
		t.OutRate, err = t.In.Decimal().Quo(t.Out.Decimal())
	case t.Out.Currency() == t.Base && t.InRate.IsZero():
		t.InRate, err = t.Out.Decimal().Quo(t.In.Decimal())
	}
	if err != nil {
		d.fail("rate: %w", err)
	}
	d.transfer(d.at(Conversion), d.at(t.From), t.Out, t.OutRate)
	d.transfer(d.at(t.Into), d.at(Conversion), t.In, t.InRate)
	d.difference(ExchangeDiff)
	return d.done()
}

// CounterEntry answers an entry with its opposite, with a reason. The entry stays in
// the journal. A counter-entry is not answered: enter the dealing again.
func CounterEntry(e Entry, h Head, reason string) (Entry, error) {
	d := begin(KindCounter, h)
	d.need(e.Kind != KindCounter, "entry", "a counter-entry", "the entry of a dealing; enter the dealing again")
	d.need(strings.TrimSpace(reason) != "", "reason", "nothing", "why the entry was wrong")
	d.need(h.Day >= e.Day, "day", h.Day, "the day of the entry, "+e.Day+", or later")
	d.e.Watch, d.e.Party, d.e.Document, d.e.Base = e.Watch, e.Party, e.Document, e.Base
	d.e.Reverses, d.e.Reason, d.e.Office = e.ID, reason, e.Office
	for _, l := range e.Lines {
		l.Amount, l.Base = l.Amount.Neg(), l.Base.Neg()
		d.e.Lines = append(d.e.Lines, l)
	}
	if e.Goods != nil {
		g := *e.Goods
		g.Price, g.Margin, g.Tax, g.Purchase, g.Original, g.Earned = neg(g.Price), neg(g.Margin), neg(g.Tax), neg(g.Purchase), neg(g.Original), neg(g.Earned)
		d.e.Goods = &g
	}
	return d.done()
}
