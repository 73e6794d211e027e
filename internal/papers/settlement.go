package papers

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// settlement accounts to the owner of a consigned watch for all that is booked to the day of the paper. A later one
// takes the place of an earlier one; a sale that is gone takes the last one back.
func (g gathered) settlement() (document.Slip, money.Money, error) {
	sale, what := g.d.Entry, "make settlement"
	if sale.Goods == nil || sale.Consign == nil || sale.Kind != ledger.KindSale {
		return nil, money.Money{}, wrong(what, "step", "no sale for an owner in the ledger",
			"a sale of a consigned watch that is booked")
	}
	if g.d.Invoice != nil {
		return g.settledBack()
	}
	v := &document.Settlement{Head: g.head, Owner: g.party(false), Sold: sale.Day,
		Goods: document.Goods{File: g.goods.File, Title: g.goods.Title, Reference: g.goods.Reference,
			Serial: g.goods.Serial},
		OwnName: sale.Consign.OwnName, Net: sale.Consign.Net, Price: priceOf(sale)}
	if !sale.Consign.Commission.IsZero() {
		v.Share = sale.Consign.Commission.String()
	}
	if len(g.d.Made) > 0 {
		v.Replaces = g.d.Made[0].Number // the latest
	}
	all, err := g.s.Entries(g.ctx, shop.EntryFilter{Watch: g.watch.ID})
	if err != nil {
		return nil, v.Owed, fmt.Errorf("%s: %w", what, err)
	}
	for _, party := range []string{g.client.ID, sale.Party} { // payments name no watch of their own
		more, err := g.s.Entries(g.ctx, shop.EntryFilter{Party: party})
		if err != nil {
			return nil, v.Owed, fmt.Errorf("%s: %w", what, err)
		}
		for _, e := range more {
			if !slices.ContainsFunc(all, func(x ledger.Entry) bool { return x.ID == e.ID }) {
				all = append(all, e)
			}
		}
	}
	account := settled{v: v, sale: sale, owner: g.client.ID}
	if err := account.read(standingOn(all, g.head.Day)); err != nil {
		return nil, v.Owed, fmt.Errorf("%s: %w", what, err)
	}
	return v, v.Owed, nil
}

// settledBack turns the last settlement round, as it was issued.
func (g gathered) settledBack() (document.Slip, money.Money, error) {
	_, content, err := Get(g.ctx, g.s, g.d.Invoice.ID)
	if err != nil {
		return nil, money.Money{}, err
	}
	one, err := document.ReadSlip([]byte(content))
	before, ok := one.(*document.Settlement)
	if err != nil || !ok {
		return nil, money.Money{}, wrong("make settlement", "settlement", g.d.Invoice.Number+", which cannot be read",
			"one whose words are still kept")
	}
	v := before.Reverse(g.d.Step.Undoes == "")
	v.Head = g.head
	return v, v.Owed, nil
}

// settled adds up a settlement, in the currency of the price.
type settled struct {
	v     *document.Settlement
	sale  ledger.Entry
	owner string
}

// standingOn are the entries to the end of a day, without those that were reversed by then.
func standingOn(all []ledger.Entry, day string) []ledger.Entry {
	reversed := map[string]bool{}
	for _, e := range all {
		if e.Day <= day && e.Reverses != "" {
			reversed[e.Reverses], reversed[e.ID] = true, true
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(e ledger.Entry) bool { return e.Day > day || reversed[e.ID] })
}

func (a *settled) read(standing []ledger.Entry) error {
	slices.SortStableFunc(standing, func(x, y ledger.Entry) int {
		return cmp.Or(cmp.Compare(x.Day, y.Day), cmp.Compare(x.Seq, y.Seq))
	})
	taxBase := a.sale.Goods.Tax
	for _, e := range standing {
		mine, err := a.ofOwner(e)
		if err != nil {
			return err
		}
		switch {
		case e.ID == a.sale.ID:
			if err := a.sum(&a.v.Commission, a.commission(e)); err != nil {
				return err
			}
		case e.Kind == ledger.KindRefund && e.Refunds == a.sale.ID && e.Goods != nil && e.Goods.Part:
			if err := a.allowance(e, mine, &taxBase); err != nil {
				return err
			}
		default:
			a.item(e, mine)
		}
	}
	if err := a.buyer(standing); err != nil {
		return err
	}
	if err := a.close(taxBase); err != nil {
		return err
	}
	return a.rest(standing)
}

// rest is what was paid to the owner for several watches at once, which names none of them: it is for the oldest sums.
func (a *settled) rest(standing []ledger.Entry) error {
	open, err := ledger.Open(ledger.Consignors, a.owner, standing)
	if err != nil {
		return err
	}
	still, err := a.v.Due.Add(a.v.Due.Neg())
	if err != nil {
		return err
	}
	for _, l := range open {
		if l.Watch != a.sale.Watch || l.Amount.Currency() != still.Currency() {
			continue
		}
		if still, err = still.Add(l.Amount); err != nil {
			return err
		}
	}
	paid, err := still.Add(a.v.Due.Neg())
	if err != nil || paid.Sign() == 0 {
		return err
	}
	a.v.Paid, a.v.Due = append(a.v.Paid, document.SettledItem{Kind: document.SettledTogether, Amount: paid}), still
	return nil
}

// ofOwner is what an entry moves with the owner for this watch, by currency: above zero it is owed to them.
func (a *settled) ofOwner(e ledger.Entry) (map[money.Currency]money.Money, error) {
	out := map[money.Currency]money.Money{}
	for _, l := range e.Lines {
		if l.Account != ledger.Consignors || l.Party != a.owner || l.Watch != a.sale.Watch {
			continue
		}
		sum, ok := out[l.Amount.Currency()]
		if !ok {
			out[l.Amount.Currency()] = l.Amount.Neg()
			continue
		}
		var err error
		if out[l.Amount.Currency()], err = sum.Add(l.Amount.Neg()); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// commission is what the sale took off the price.
func (a *settled) commission(e ledger.Entry) money.Money {
	for _, l := range e.Lines {
		if l.Account == ledger.Consignors && l.Party == a.owner && l.Amount.Sign() > 0 {
			return l.Amount
		}
	}
	return money.Money{}
}

func (a *settled) sum(to *money.Money, m money.Money) (err error) {
	if m.IsZero() {
		return nil
	}
	if to.IsZero() {
		*to = m
		return nil
	}
	*to, err = to.Add(m)
	return err
}

// allowance lowers the price by what the buyer got, and the commission by what the owner does not bear of it.
func (a *settled) allowance(e ledger.Entry, mine map[money.Currency]money.Money, tax *money.Money) error {
	off := priceOf(e)
	if off.Currency() != a.v.Price.Currency() {
		return wrong("make settlement", "allowance", "one in "+string(off.Currency()),
			"one in the currency of the price; write this settlement with your adviser")
	}
	a.v.Allowed = append(a.v.Allowed, document.SettledItem{Kind: document.SettledAllowance, Day: e.Day, Amount: off})
	cut := off
	if owner, ok := mine[off.Currency()]; ok {
		var err error
		if cut, err = off.Add(owner.Neg()); err != nil {
			return err
		}
	}
	if err := a.sum(&a.v.Commission, cut); err != nil {
		return err
	}
	return a.sum(tax, e.Goods.Tax)
}

// kindsPaid are the entries that pay an owner, or by which an owner pays.
var kindsPaid = []ledger.Kind{ledger.KindConsignorPaid, ledger.Kind("owner_advance")}

func (a *settled) item(e ledger.Entry, mine map[money.Currency]money.Money) {
	for _, currency := range slices.Sorted(maps.Keys(mine)) {
		m := mine[currency]
		if m.Sign() == 0 {
			continue
		}
		i := document.SettledItem{Kind: document.SettledCost, Day: e.Day, Text: e.Text, Amount: m}
		paid := slices.Contains(kindsPaid, e.Kind)
		if paid {
			i.Kind, i.Text = paidThrough(e), ""
			if e.Kind != ledger.KindConsignorPaid {
				i.Kind = document.SettledAdvance
			}
		}
		switch {
		case currency != a.v.Price.Currency():
			a.v.Elsewhere = append(a.v.Elsewhere, i)
		case paid:
			a.v.Paid = append(a.v.Paid, i)
		default:
			a.v.Costs = append(a.v.Costs, i)
		}
	}
}

func paidThrough(e ledger.Entry) string {
	for _, l := range e.Lines {
		if l.Account == ledger.Cash {
			return document.SettledCash
		}
	}
	return document.SettledBank
}

// buyer finds what the buyer still owes for the watch.
func (a *settled) buyer(standing []ledger.Entry) error {
	open, err := ledger.Open(ledger.Receivable, a.sale.Party, standing)
	if err != nil {
		return err
	}
	for _, l := range open {
		if l.Watch == a.sale.Watch && l.Amount.Currency() == a.v.Price.Currency() && l.Amount.Sign() < 0 {
			if err := a.sum(&a.v.BuyerOwes, l.Amount.Neg()); err != nil {
				return err
			}
		}
	}
	return nil
}

// close finds tax of the commission, and the two sums.
func (a *settled) close(taxBase money.Money) (err error) {
	v := a.v
	if v.Commission.IsZero() {
		if v.Commission, err = v.Price.Add(v.Price.Neg()); err != nil {
			return err
		}
	}
	if rate := a.sale.Goods.Rate; rate.IsPos() {
		v.Rate = rate.String()
		if v.Tax, err = ledger.TaxIncluded(v.Commission, rate); err != nil {
			return err
		}
		if v.BeforeTax, err = v.Commission.Add(neg(v.Tax)); err != nil {
			return err
		}
		if taxBase.Currency() != v.Price.Currency() {
			v.TaxBase = taxBase
		}
		if v.OwnName { // within the margin, and not shown
			v.BeforeTax, v.Tax, v.TaxBase = money.Money{}, money.Money{}, money.Money{}
		}
	}
	v.Owed = v.Price
	for _, less := range append(append([]document.SettledItem{{Amount: neg(v.Commission)}}, v.Allowed...), v.Costs...) {
		if err := a.sum(&v.Owed, less.Amount); err != nil {
			return err
		}
	}
	v.Due = v.Owed
	for _, p := range v.Paid {
		if err := a.sum(&v.Due, p.Amount); err != nil {
			return err
		}
	}
	return nil
}
