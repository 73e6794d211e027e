package ledger

import (
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"midcase/money"
)

// DepositTerms are money taken from a buyer before the sale, or given back.
type DepositTerms struct {
	Head   // Watch and Party are needed
	Amount money.Money
	Rate   decimal.Decimal
	Pay    Account     // Bank or Cash
	Tax    money.Money // in it, where local rules tax a payment on account; none for none
}

// Deposit books a deposit taken: debit bank or cash, credit deposits. Tax on it is due at once
// (Directive 2006/112/EC, article 65) and taken off that of the sale.
func Deposit(t DepositTerms) (Entry, error) {
	d := begin(KindDeposit, t.Head)
	d.need(t.Watch != "" && t.Party != "", "watch and party", "nothing", "both ids")
	d.oneOf("paid into", t.Pay, Bank, Cash)
	d.positive("deposit", t.Amount)
	d.transfer(d.at(t.Pay), d.at(Deposits), t.Amount, t.Rate)
	if t.Tax.Sign() > 0 {
		d.transfer(d.at(VATDeposits), d.at(VATDue), d.inBase(t.Tax, t.Rate), decimal.One)
	}
	return d.done()
}

// DepositBack books deposits given back to the buyer, or kept (into other income) where
// Pay is OtherIncome. Whole lots are given back at the rate at which they came in. Tax booked on them is taken
// back, unless it is kept where local rules tax what a buyer forfeits.
func DepositBack(h Head, holding Holding, pay Account, keepTax bool) (Entry, error) {
	d, deposits := begin(KindDepositBack, h), holding.Deposits
	d.oneOf("paid from", pay, Bank, Cash, OtherIncome)
	d.need(len(deposits) > 0, "deposit", "none held", "a deposit of this buyer")
	for _, l := range deposits {
		d.take(side{Deposits, h.Watch, l.Party}, d.at(pay), l)
	}
	for _, l := range holding.DepositTax {
		onto := VATDue
		if keepTax && pay == OtherIncome {
			onto = OtherIncome
		}
		d.take(side{onto, h.Watch, l.Party}, side{VATDeposits, h.Watch, l.Party}, l)
	}
	return d.done()
}

// SaleTerms are a watch sold.
type SaleTerms struct {
	Head            // Party is the buyer
	Price           money.Money
	Rate            decimal.Decimal
	Pay             Account // for what the deposit does not cover: Bank, Cash or Receivable
	Route           string  // own site, private client, auction, trade
	Scheme          string  // empty: as bought; a consignor's sale is taxed on the commission
	TaxRate         decimal.Decimal
	Holding         Holding
	LeaderAccounted money.Money // where a partner led: price less its tax and costs; none: the price
	Untaxed         string      // why no tax is charged; the scheme is none then
	Customs         string
	Destination     string
}

// Sale books a sale with everything that goes with it: deposits applied, tax, the
// watch's own specific cost out of stock, partners' parts, or the consignor's due.
func Sale(t SaleTerms) (Entry, error) {
	d := begin(KindSale, t.Head)
	d.need(t.Watch != "" && t.Party != "", "watch and party", "nothing", "both ids")
	d.positive("price", t.Price)
	d.need(t.Holding.Sale == nil, "watch", "sold already", "a watch that is not sold")
	d.need(t.Holding.Owned() || t.Holding.Consign != nil, "watch", "neither in stock nor consigned",
		"one of the two in the ledger")
	d.need(t.Day >= t.Holding.Bought, "day", t.Day, "the day on which it came in, "+t.Holding.Bought+", or later")
	d.need(!t.TaxRate.IsNeg() && t.TaxRate.Less(decimal.One), "rate of tax", t.TaxRate,
		"a share below 1, such as 0.20 for 20 %")
	if t.Holding.Consign != nil || t.Holding.Leader != "" {
		d.need(t.Scheme == "", "scheme", t.Scheme,
			"none: on a consigned sale the commission is taxed, and a partner who leads accounts for the tax")
	}
	d.need(t.Untaxed == "" || slices.Contains(Untaxed(), t.Untaxed), "why no tax is charged", t.Untaxed,
		"one of: "+strings.Join(Untaxed(), ", "))
	d.need(t.Untaxed == "" || t.Holding.Consign == nil && t.Holding.Leader == "", "why no tax is charged", t.Untaxed,
		"nothing: the sale is the owner's or the leading partner's")
	if t.Holding.Leader == "" {
		d.oneOf("paid into", t.Pay, Bank, Cash, Receivable)
	}
	if d.err != nil {
		return Entry{}, d.err
	}
	switch {
	case t.Holding.Consign != nil:
		t.consigned(d)
	case t.Holding.Leader != "":
		t.ledByPartner(d)
	default:
		t.own(d)
	}
	return d.done()
}

// receive debits what the buyer pays against the account that earns it: first the
// deposits of this buyer, then the rest.
func (t SaleTerms) receive(d *draft, earns side) {
	rest := t.Price
	for _, l := range t.Holding.Deposits {
		if l.Party != t.Party {
			continue
		}
		d.need(l.Amount.Currency() == t.Price.Currency(), "deposit", l.Amount,
			"one in the currency of the price; give it back first")
		d.take(side{Deposits, t.Watch, l.Party}, earns, l)
		rest = d.sub(rest, l.Amount)
	}
	d.need(d.err != nil || rest.Sign() >= 0, "deposits", "more than the price", "at most the price")
	d.transfer(d.at(t.Pay), earns, rest, t.Rate)
}

func (t SaleTerms) own(d *draft) {
	t.receive(d, d.at(Sales))
	got := d.earned(Sales)
	scheme := t.Scheme
	if scheme == "" && t.Untaxed != "" {
		scheme = NoTax
	}
	if scheme == "" {
		scheme = t.Holding.Scheme
	}
	d.need(t.Untaxed == "" || scheme == NoTax, "scheme", scheme, "none, since no tax is charged ("+t.Untaxed+")")
	g := Goods{Sold: true, Price: got, Scheme: scheme, Rate: t.TaxRate, Purchase: t.Holding.Purchase, Route: t.Route,
		Original: t.Price, Untaxed: t.Untaxed, Customs: t.Customs, Destination: t.Destination}
	d.need(scheme != Margin || t.Holding.Scheme == Margin, "scheme", scheme,
		"another: tax was charged when the watch was bought, or it was bought outside the margin scheme")
	d.scheme(scheme)
	d.tax(&g)
	d.e.Goods = &g
	d.transfer(d.at(Sales), d.at(VATDue), g.Tax, decimal.One)
	for _, l := range t.Holding.DepositTax {
		if l.Party == t.Party {
			d.take(d.at(VATDue), side{VATDeposits, t.Watch, l.Party}, l)
		}
	}
	t.costOut(d)
	t.partners(d, d.sub(got, g.Tax))
}

// tax fills in margin and tax.
func (d *draft) tax(g *Goods) {
	var err error
	switch g.Scheme {
	case Margin:
		g.Margin = d.sub(g.Price, g.Purchase)
		g.Tax, err = TaxIncluded(g.Margin, g.Rate)
	case Ordinary:
		g.Tax, err = TaxIncluded(g.Price, g.Rate)
	}
	if err != nil {
		d.fail("%w", err)
	}
}

// earned is what the lines so far credit to an account, in the shop's currency.
func (d *draft) earned(a Account) money.Money {
	sum, err := amount(decimal.Zero, d.e.Base)
	for _, l := range d.e.Lines {
		if l.Account == a && err == nil {
			sum, err = sum.Add(l.Base.Neg())
		}
	}
	if err != nil {
		d.fail("%w", err)
	}
	return sum
}

func (t SaleTerms) costOut(d *draft) {
	for _, l := range t.Holding.Stock {
		d.take(d.at(CostOfSales), d.at(l.Account), l)
	}
}

// partners credits each partner its share of what is left after tax.
func (t SaleTerms) partners(d *draft, net money.Money) {
	if d.err != nil || len(t.Holding.Stakes) == 0 {
		return
	}
	shares, err := t.Holding.shares()
	if err != nil {
		d.fail("shares: %w", err)
		return
	}
	parts, err := Split(net, shares)
	if err != nil {
		d.fail("%w", err)
		return
	}
	for i, s := range t.Holding.Stakes {
		d.transfer(d.at(Sales), side{Partners, t.Watch, s.Party}, parts[i+1], decimal.One)
	}
	d.e.Stakes = append([]Stake(nil), t.Holding.Stakes...)
}

// ledByPartner books the own part of what the leading partner accounts for; the tax
// is the leader's.
func (t SaleTerms) ledByPartner(d *draft) {
	whole := t.LeaderAccounted
	if whole.IsZero() {
		whole = t.Price
	}
	shares, err := t.Holding.shares()
	if err != nil {
		d.fail("shares: %w", err)
		return
	}
	parts, err := Split(whole, shares)
	if err != nil {
		d.fail("%w", err)
		return
	}
	d.transfer(side{Partners, t.Watch, t.Holding.Leader}, d.at(Sales), parts[0], t.Rate)
	d.e.Goods = &Goods{Sold: true, Price: d.inBase(parts[0], t.Rate), Scheme: NoTax, Purchase: t.Holding.Purchase,
		Route: t.Route, Led: true, Original: t.Price}
	t.costOut(d)
}

// consigned credits the consignor with the price less the commission, and taxes the
// commission.
func (t SaleTerms) consigned(d *draft) {
	c := *t.Holding.Consign
	owner := side{Consignors, t.Watch, c.Party}
	commission := d.commission(c, t.Price)
	t.receive(d, owner)
	got := d.earned(Consignors)
	d.transfer(owner, d.at(Commission), commission, t.Rate)
	g := Goods{Sold: true, Price: got, Scheme: Ordinary, Rate: t.TaxRate, Route: t.Route, Consign: true,
		Original: t.Price, Earned: d.inBase(commission, t.Rate)}
	var err error
	if g.Tax, err = TaxIncluded(g.Earned, t.TaxRate); err != nil {
		d.fail("%w", err)
	}
	d.transfer(d.at(Commission), d.at(VATDue), g.Tax, decimal.One)
	d.ownersGoodsOut(c)
	d.e.Goods, d.e.Consign = &g, &c
}

// commission is the shop's part of a consigned sale.
func (d *draft) commission(c Consign, price money.Money) money.Money {
	if c.Net.Sign() > 0 {
		d.need(c.Net.Currency() == price.Currency(), "price", price,
			"a price in the currency agreed with the consignor")
		m := d.sub(price, c.Net)
		d.need(d.err != nil || m.Sign() >= 0, "price", price, "at least what the consignor gets, "+c.Net.String())
		return m
	}
	part, err := price.Decimal().Mul(c.Commission)
	if err != nil {
		d.fail("commission: %w", err)
		return money.Money{}
	}
	m, err := amount(money.ToMinor(part, price.Currency()), price.Currency())
	if err != nil {
		d.fail("commission: %w", err)
	}
	return m
}
