package ledger

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/govalues/decimal"

	"midcase/money"
)

// Books is the ledger folded so far: post entries in their order, then ask. It keeps
// sums, not entries, so that it grows with the number of watches.
type Books struct {
	base     money.Currency
	posted   int
	ids      map[string]bool
	reversed map[string]bool
	accounts *lots
	parties  map[partyKey]*openItems
	watches  map[string]*watchBook
	order    []string // watches as they first came
	months   map[string]*month
	rows     []*StockRow // of the stock book, in the order of buying
	moves    []StockMove
}

// NewBooks returns empty books in the shop's currency.
func NewBooks(base money.Currency) *Books {
	return &Books{base: base, ids: map[string]bool{}, reversed: map[string]bool{}, accounts: newLots(),
		parties: map[partyKey]*openItems{}, watches: map[string]*watchBook{}, months: map[string]*month{}}
}

// Posted is the number of entries posted.
func (b *Books) Posted() int { return b.posted }

// Post adds one entry. It refuses one that does not balance, is posted already, or
// answers an entry that is not there or was answered before; the books stay as they are.
func (b *Books) Post(e Entry) error {
	if err := e.Check(); err != nil {
		return fmt.Errorf("entry %s: %w", e.ID, err)
	}
	if e.Base != b.base {
		return fmt.Errorf("entry %s: %w", e.ID, wrongEntry("base: found %s; want %s", e.Base, b.base))
	}
	if b.ids[e.ID] {
		return fmt.Errorf("entry %s: %w", e.ID, wrongEntry("id: posted already; want a new one"))
	}
	if e.Reverses != "" && (!b.ids[e.Reverses] || b.reversed[e.Reverses]) {
		return fmt.Errorf("entry %s: %w", e.ID,
			wrongEntry("reverses: found %s; want an entry that is there and was not answered", e.Reverses))
	}
	b.ids[e.ID] = true
	if e.Reverses != "" {
		b.reversed[e.Reverses] = true
	}
	b.posted++
	for _, l := range e.Lines {
		b.accounts.add(lotKey{account: l.Account, currency: l.Amount.Currency()}, l)
		b.party(e, l)
		b.line(e, l)
	}
	b.monthly(e)
	b.trade(e)
	b.move(e)
	return b.accounts.err
}

// Balance is what stands on one account in one currency.
type Balance struct {
	Account Account     `json:"account"`
	Class   Class       `json:"class"`
	Name    string      `json:"name"`
	Amount  money.Money `json:"amount"` // a debit is above zero
	Base    money.Money `json:"base"`   // in the shop's currency, at the recorded rates
}

// Balances lists every account that was used, in the order of the chart, by currency; another currency of
// which nothing is left is passed over.
// The amounts of each currency sum to zero, and so do the base amounts.
func (b *Books) Balances() ([]Balance, error) {
	byAccount := map[Account][]Balance{}
	for _, k := range b.accounts.order {
		sum := b.accounts.sums[k]
		if k.currency != b.base && sum.amount.IsZero() && sum.base.IsZero() {
			continue // nothing is left of it
		}
		m, err := amount(sum.amount, k.currency)
		if err != nil {
			return nil, err
		}
		base, err := amount(sum.base, b.base)
		if err != nil {
			return nil, err
		}
		byAccount[k.account] = append(byAccount[k.account], Balance{Account: k.account, Amount: m, Base: base})
	}
	var out []Balance
	for _, row := range chartRows {
		list := byAccount[row.Account]
		slices.SortFunc(list, func(x, y Balance) int { return cmp.Compare(x.Amount.Currency(), y.Amount.Currency()) })
		for _, x := range list {
			x.Class, x.Name = row.Class, row.Name
			out = append(out, x)
		}
	}
	return out, nil
}

// add is a + b of sums that are far from the limit of 19 figures; an overflow is kept
// for Post to report.
func (b *Books) add(to *decimal.Decimal, m money.Money) {
	sum, err := to.Add(m.Decimal())
	if err != nil {
		b.accounts.err = wrongEntry("a sum is too large to hold exactly")
		return
	}
	*to = sum
}

// inBase is a sum as money of the shop.
func (b *Books) inBase(d decimal.Decimal) money.Money {
	m, err := amount(money.ToMinor(d, b.base), b.base)
	if err != nil { // an exact sum of exact amounts always is one
		return money.Money{}
	}
	return m
}

// month are the figures of one month.
type month struct {
	marginSales, margins, marginTax      decimal.Decimal
	ordinarySales, ordinaryTax, inputTax decimal.Decimal
	untaxedSales, purchases, commissions decimal.Decimal
	income, expense                      decimal.Decimal
	purchaseTax                          decimal.Decimal
	otherTax                             decimal.Decimal // due on what is no sale of a watch, or reversed
	corrections                          decimal.Decimal // of the tax of filed months, in the figures above
	sold                                 int
}

func (b *Books) month(day string) *month {
	key := day[:7]
	m, ok := b.months[key]
	if !ok {
		m = &month{}
		b.months[key] = m
	}
	return m
}

func (b *Books) monthly(e Entry) {
	m := b.month(e.Day)
	for _, l := range e.Lines {
		switch class := ClassOf(l.Account); {
		case e.Kind == KindClose:
		case class == Income:
			b.add(&m.income, l.Base.Neg())
		case class == Expense:
			b.add(&m.expense, l.Base)
		}
		switch {
		case e.Office:
		case l.Account == VATInput:
			b.add(&m.inputTax, l.Base)
		case l.Account == VATDue && e.Goods == nil:
			b.add(&m.otherTax, l.Base.Neg())
		case l.Account == VATDeposits && e.Goods != nil: // taxed before the sale
			b.add(&m.otherTax, l.Base)
		}
		if e.Corrects != "" && !e.Office && (l.Account == VATInput || l.Account == VATDue) {
			b.add(&m.corrections, l.Base.Neg())
		}
	}
	g := e.Goods
	if g == nil {
		return
	}
	sale := g.Sold
	switch {
	case !sale:
		b.add(&m.purchases, g.Price)
		b.add(&m.purchaseTax, g.Tax)
	case g.Consign && g.Rate.IsZero(): // no tax on the commission: no taxed sale
		b.add(&m.commissions, g.Earned)
		b.add(&m.untaxedSales, g.Earned)
	case g.Consign:
		b.add(&m.commissions, g.Earned)
		b.add(&m.ordinaryTax, g.Tax)
		b.add(&m.ordinarySales, g.Earned)
	case g.Scheme == Margin:
		b.add(&m.marginSales, g.Price)
		b.add(&m.margins, g.Margin)
		b.add(&m.marginTax, g.Tax)
	case g.Scheme == Ordinary:
		b.add(&m.ordinarySales, g.Price)
		b.add(&m.ordinaryTax, g.Tax)
	default:
		b.add(&m.untaxedSales, g.Price)
	}
	if sale && !g.Part {
		m.sold += g.Price.Sign()
	}
}
