package ledger

import (
	"github.com/govalues/decimal"

	"midcase/money"
)

// CapitalTerms are money that the owner puts in, or takes out below zero.
type CapitalTerms struct {
	Head
	Amount money.Money
	Rate   decimal.Decimal
	Into   Account // Bank or Cash
}

// CapitalIn books money of the owner: debit bank or cash, credit capital.
func CapitalIn(t CapitalTerms) (Entry, error) {
	d := begin(KindCapital, t.Head)
	d.oneOf("account", t.Into, Bank, Cash)
	d.transfer(d.at(t.Into), d.at(Capital), t.Amount, t.Rate)
	return d.done()
}

// PurchaseTerms are a watch bought on the shop's own account.
type PurchaseTerms struct {
	Head                   // Watch and Party (the seller) are needed
	Price  money.Money     // paid, with any tax in it
	Rate   decimal.Decimal // where the price is in another currency
	Pay    Account         // Bank, Cash, Payable where it is paid later, or Capital for an opening balance
	Scheme string          // Margin, Ordinary or NoTax: how it may be sold
	Tax    money.Money     // in the price, to reclaim; Ordinary only
}

// Purchase books a watch bought: debit stock, credit what it is paid from.
func Purchase(t PurchaseTerms) (Entry, error) {
	d := begin(KindPurchase, t.Head)
	d.oneOf("paid from", t.Pay, Bank, Cash, Payable, Capital)
	d.bought(t.Price, t.Rate, t.Scheme, t.Tax, d.at(t.Pay))
	return d.done()
}

// bought writes the lines and the stock book's part of an own purchase.
func (d *draft) bought(price money.Money, rate decimal.Decimal, scheme string, tax money.Money, pay side) {
	d.need(d.e.Watch != "", "watch", "nothing", "the watch's id")
	d.positive("price", price)
	d.scheme(scheme)
	d.need(tax.Sign() == 0 || scheme == Ordinary, "tax to reclaim", tax, "none under the scheme "+scheme)
	net := d.sub(price, tax)
	d.need(d.err != nil || net.Sign() > 0, "tax to reclaim", tax, "less than the price")
	d.transfer(d.at(StockPurchase), pay, net, rate)
	d.transfer(d.at(VATInput), pay, tax, rate)
	g := Goods{Price: d.inBase(price, rate), Scheme: scheme, Original: price}
	if tax.Sign() > 0 {
		g.Tax = d.inBase(tax, rate)
	}
	d.e.Goods = &g
}

func (d *draft) scheme(s string) {
	d.need(s == Margin || s == Ordinary || s == NoTax, "scheme", s, "margin, ordinary or none")
}

// PartExchangeTerms are a watch taken as part of the price of another.
type PartExchangeTerms struct {
	Head                  // Watch is the one that comes in; Party the buyer of the other
	Allowance money.Money // what it counts for
	Rate      decimal.Decimal
	Scheme    string
	Against   string // the watch sold
	// Owed is what stands for that watch, below zero as Open has it, and OwedRate the rate of its currency
	// on the day, where that is neither the allowance's nor the shop's.
	Owed     Lot
	OwedRate decimal.Decimal
}

// PartExchange books a watch taken in part exchange as a purchase that is paid by what
// its seller owes for another watch: debit stock, credit receivable. What is owed goes down at the rate at
// which it was booked; where the allowance is in another currency or at another rate the two meet between
// currencies, and the difference is one of exchange.
func PartExchange(t PartExchangeTerms) (Entry, error) {
	d := begin(KindPartExchange, t.Head)
	d.need(t.Party != "", "party", "nothing", "the client's id")
	owed := side{Receivable, t.Against, t.Party}
	if t.Owed.Amount.IsZero() || d.err != nil {
		d.bought(t.Allowance, t.Rate, t.Scheme, money.Money{}, owed)
		return d.done()
	}
	off := t.off(d)
	d.need(d.err != nil || off.Decimal().Cmp(t.Owed.Amount.Decimal().Neg()) <= 0, "allowance", t.Allowance,
		"at most what the client still owes for the other watch, "+t.Owed.Amount.Neg().String())
	if d.err == nil && off.Currency() == t.Allowance.Currency() && t.Owed.Rate.Cmp(d.rate(t.Allowance, t.Rate)) == 0 {
		d.bought(t.Allowance, t.Rate, t.Scheme, money.Money{}, owed)
		return d.done()
	}
	d.bought(t.Allowance, t.Rate, t.Scheme, money.Money{}, d.at(Conversion))
	d.transfer(d.at(Conversion), owed, off, t.Owed.Rate)
	d.difference(ExchangeDiff)
	return d.done()
}

// off is what the allowance takes off what is owed, in the currency in which it is owed.
func (t PartExchangeTerms) off(d *draft) money.Money {
	if t.Owed.Amount.Currency() == t.Allowance.Currency() {
		return t.Allowance
	}
	base, now := d.inBase(t.Allowance, t.Rate), d.rate(t.Owed.Amount, t.OwedRate)
	if d.err != nil {
		return base
	}
	part, err := base.Decimal().Quo(now)
	if err != nil {
		d.fail("allowance: %w", err)
		return base
	}
	m, err := amount(money.ToMinor(part, t.Owed.Amount.Currency()), t.Owed.Amount.Currency())
	if err != nil {
		d.fail("allowance: %w", err)
	}
	return m
}

// ConsignTerms are a watch taken to sell for its owner.
type ConsignTerms struct {
	Head                   // Party is the consignor
	Value      money.Money // agreed, for the memorandum accounts and insurance
	Rate       decimal.Decimal
	Commission decimal.Decimal // share of the sale price, tax included; or
	Net        money.Money     // what the consignor gets, whatever the price
	OwnName    bool            // the shop will sell in its own name
}

// ConsignIn books goods of others at their agreed value in the memorandum accounts;
// they are no part of the shop's stock.
func ConsignIn(t ConsignTerms) (Entry, error) {
	d := begin(KindConsignIn, t.Head)
	d.need(t.Watch != "" && t.Party != "", "watch and party", "nothing", "both ids")
	d.positive("agreed value", t.Value)
	byShare := t.Commission.IsPos() && t.Commission.Less(decimal.One)
	d.need(byShare != (t.Net.Sign() > 0), "commission or net", t.Commission.String()+", "+t.Net.String(),
		"a share between 0 and 1, or an amount, not both")
	d.transfer(d.at(GoodsOfOthers), d.at(OwnersOfGoods), t.Value, t.Rate)
	d.e.Consign = &Consign{Party: t.Party, Commission: t.Commission, Net: t.Net, Value: t.Value,
		Rate: d.rate(t.Value, t.Rate), OwnName: t.OwnName}
	return d.done()
}

// ConsignOut books a consigned watch that goes back to its owner unsold.
func ConsignOut(h Head, c Consign) (Entry, error) {
	d := begin(KindConsignOut, h)
	d.e.Consign = &c
	d.ownersGoodsOut(c)
	return d.done()
}

func (d *draft) ownersGoodsOut(c Consign) {
	d.transfer(side{OwnersOfGoods, d.e.Watch, c.Party}, side{GoodsOfOthers, d.e.Watch, c.Party}, c.Value, c.Rate)
}

// ShareTerms are a watch bought together with other dealers.
type ShareTerms struct {
	Head               // Party is the seller, or the leading partner
	Price  money.Money // of the whole watch
	Rate   decimal.Decimal
	Pay    Account // Bank, Cash or Payable; unused where a partner leads
	Scheme string
	Stakes []Stake // the partners' shares; the rest is the shop's
	Leader string  // the partner who pays and will sell; empty for the shop
}

// ShareBuy books the own part of a shared watch into stock. Where the shop pays for
// all, each partner owes its part; where a partner leads, the shop owes it the own part.
func ShareBuy(t ShareTerms) (Entry, error) {
	d := begin(KindShareBuy, t.Head)
	d.need(t.Watch != "", "watch", "nothing", "the watch's id")
	d.positive("price", t.Price)
	d.scheme(t.Scheme)
	h := Holding{Stakes: t.Stakes}
	shares, err := h.shares()
	if err != nil {
		d.fail("shares: %w", err)
	}
	d.need(len(t.Stakes) > 0, "shares", "no partner", "one or more")
	for _, s := range append([]Stake{{"the shop", shares[0]}}, t.Stakes...) {
		d.need(s.Party != "" && s.Share.IsPos() && s.Share.Less(decimal.One), "share of "+s.Party, s.Share,
			"between 0 and 1, all together 1")
	}
	if d.err != nil {
		return Entry{}, d.err
	}
	parts, err := Split(t.Price, shares)
	if err != nil {
		d.fail("%w", err)
		return Entry{}, d.err
	}
	// A share that rounds to nothing would leave a watch that is nowhere in stock.
	for i, s := range append([]Stake{{"the shop", shares[0]}}, t.Stakes...) {
		d.need(parts[i].Sign() > 0, "share of "+s.Party, parts[i], "a part of the price that is a cent or more")
	}
	if d.err != nil {
		return Entry{}, d.err
	}
	d.e.Stakes = append([]Stake(nil), t.Stakes...)
	d.e.Goods = &Goods{Price: d.inBase(t.Price, t.Rate), Scheme: t.Scheme, Original: t.Price}
	if t.Leader != "" {
		d.need(t.Leader == t.Party, "leader", t.Leader, "the party of the entry")
		d.transfer(d.at(StockPurchase), d.at(Partners), parts[0], t.Rate)
		d.e.Goods.Price, d.e.Goods.Led = d.inBase(parts[0], t.Rate), true
		return d.done()
	}
	d.oneOf("paid from", t.Pay, Bank, Cash, Payable)
	d.transfer(d.at(StockPurchase), d.at(t.Pay), parts[0], t.Rate)
	for i, s := range t.Stakes {
		d.transfer(side{Partners, t.Watch, s.Party}, d.at(t.Pay), parts[i+1], t.Rate)
	}
	return d.done()
}
