package papers

import (
	"fmt"

	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
	"midcase/say"
)

// billed is what is booked about one sale up to the day of its invoice, in the currency of the price.
type billed struct {
	price     money.Money        // agreed
	total     money.Money        // less allowances
	allowed   []document.Payment // below zero
	paid      []document.Payment // what was paid, in goods or money; below zero where it was paid back
	due       money.Money
	howPaid   string
	repaid    money.Money // by allowances in money
	credited  money.Money // by allowances on what is owed
	onAccount money.Money // owed when it was sold
	words     say.Writer
}

// pay notes a payment, below zero where it was paid back.
func (b *billed) pay(how say.Statement, m money.Money) {
	b.paid = append(b.paid, document.Payment{Text: b.words.Capital(how), Amount: m})
}

// billed reads all that is booked about the sale up to a day. The sums always close: what is due is what
// the books have open for this watch.
func (g gathered) billed(day string) (billed, error) {
	sale := g.d.Entry
	b := billed{price: priceOf(sale), words: g.words}
	b.total = b.price
	all, err := g.s.Entries(g.ctx, shop.EntryFilter{Party: sale.Party})
	if err != nil {
		return b, fmt.Errorf("make invoice: %w", err)
	}
	standing := standingOn(all, day)
	if err := b.atSale(sale); err != nil {
		return b, err
	}
	traded, err := b.later(sale, standing)
	if err != nil {
		return b, err
	}
	return b, b.close(sale, standing, traded)
}

// sum adds an amount of the currency of the price; others are left out.
func (b *billed) sum(to *money.Money, m money.Money) error {
	if m.IsZero() || m.Currency() != b.price.Currency() {
		return nil
	}
	var err error
	*to, err = to.Add(m)
	return err
}

// atSale reads deposits and payment from the entry of the sale.
func (b *billed) atSale(sale ledger.Entry) error {
	for _, l := range sale.Lines {
		if l.Amount.Sign() <= 0 || l.Amount.Currency() != b.price.Currency() {
			continue
		}
		switch l.Account {
		case ledger.Deposits:
			b.pay(say.That("invoice.paid-deposit"), l.Amount)
		case ledger.Bank:
			b.pay(say.That("invoice.paid-bank"), l.Amount)
			b.howPaid = b.words.String(say.That("invoice.how-bank"))
		case ledger.Cash:
			b.pay(say.That("invoice.paid-cash"), l.Amount)
			b.howPaid = b.words.String(say.That("invoice.how-cash"))
		case ledger.Receivable:
			if err := b.sum(&b.onAccount, l.Amount); err != nil {
				return err
			}
		}
	}
	return nil
}

// later reads allowances and watches taken in part exchange; traded is what these count for.
func (b *billed) later(sale ledger.Entry, standing []ledger.Entry) (traded money.Money, err error) {
	for _, e := range standing {
		switch {
		case e.Kind == ledger.KindRefund && e.Refunds == sale.ID && e.Goods != nil && e.Goods.Part:
			if err = b.allowance(e); err != nil {
				return traded, err
			}
		case e.Kind == ledger.KindPartExchange:
			for _, l := range e.Lines {
				if l.Account == ledger.Receivable && l.Watch == sale.Watch && l.Amount.Sign() < 0 {
					b.pay(say.That("invoice.paid-exchange", say.Name("what", e.Text)), l.Amount.Neg())
					if err = b.sum(&traded, l.Amount.Neg()); err != nil {
						return traded, err
					}
				}
			}
		}
	}
	return traded, nil
}

func (b *billed) allowance(e ledger.Entry) error {
	off := priceOf(e) // given in another currency: what it came to
	given := b.words.Capital(say.That("invoice.allowance", say.Day("day", e.Day)))
	b.allowed = append(b.allowed, document.Payment{Text: given, Amount: off})
	if err := b.sum(&b.total, off); err != nil {
		return err
	}
	for _, l := range e.Lines {
		if l.Amount.Sign() >= 0 || l.Amount.Currency() != b.price.Currency() {
			continue
		}
		switch l.Account {
		case ledger.Bank, ledger.Cash:
			if err := b.sum(&b.repaid, l.Amount.Neg()); err != nil {
				return err
			}
			b.pay(say.That("invoice.paid-back"), l.Amount)
		case ledger.Receivable:
			if err := b.sum(&b.credited, l.Amount.Neg()); err != nil {
				return err
			}
		}
	}
	return nil
}

// close finds what was paid later, and what is due, from what the books have open for this watch.
func (b *billed) close(sale ledger.Entry, standing []ledger.Entry, traded money.Money) error {
	open, err := ledger.Open(ledger.Receivable, sale.Party, standing)
	if err != nil {
		return fmt.Errorf("make invoice: %w", err)
	}
	zero, err := b.price.Add(b.price.Neg())
	if err != nil {
		return err
	}
	b.due = zero
	for _, l := range open {
		if l.Watch == sale.Watch {
			if err := b.sum(&b.due, l.Amount.Neg()); err != nil {
				return err
			}
		}
	}
	later := b.onAccount
	for _, less := range []money.Money{traded, b.credited, b.due} {
		if err := b.sum(&later, neg(less)); err != nil {
			return err
		}
	}
	if later.Sign() != 0 {
		b.pay(say.That("invoice.paid-later"), later)
	}
	if b.due.Sign() > 0 {
		b.howPaid = b.words.String(say.That("invoice.how-open"))
	}
	return nil
}

func neg(m money.Money) money.Money {
	if m.IsZero() {
		return m
	}
	return m.Neg()
}

// taxed fills in net and tax of the total, by the scheme.
func taxed(v *document.Invoice, e ledger.Entry) error {
	v.Tax, v.Net, v.TaxBase = money.Money{}, money.Money{}, money.Money{}
	if v.Scheme != ledger.Ordinary {
		return nil
	}
	whole := v.Price
	if whole.Sign() < 0 {
		whole = whole.Neg()
	}
	tax, err := ledger.TaxIncluded(whole, e.Goods.Rate)
	if err != nil {
		return err
	}
	if v.Price.Sign() < 0 {
		tax = neg(tax)
	}
	net := v.Price
	if tax.Sign() != 0 {
		if net, err = v.Price.Add(tax.Neg()); err != nil {
			return err
		}
	}
	v.Tax, v.Net, v.Rate = tax, net, e.Goods.Rate.String()
	if e.Goods.Tax.Currency() != tax.Currency() && v.Price.Decimal().Cmp(e.Goods.Original.Decimal()) == 0 {
		v.TaxBase = e.Goods.Tax
	}
	return nil
}
