package ledger

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"midcase/money"
)

// Form is a kind of entry that moves one amount from one account to another, as data: forms.json has all.
type Form struct {
	ID     string  `json:"id"`
	Name   string  `json:"name"`
	Group  string  `json:"group"` // under which it is offered
	Debit  Account `json:"debit"` // "money" is the account that it is paid through
	Credit Account `json:"credit"`
	Tax    string  `json:"tax,omitempty"`    // due: in the amount; reversed: on top of it, due and to reclaim at once
	Party  string  `json:"party,omitempty"`  // needed
	Watch  string  `json:"watch,omitempty"`  // may be named; stock: one of the shop's is needed; consigned: one of the client's is; empty: none
	Most   string  `json:"most,omitempty"`   // cost: at most what the watch stands for; written-down: at most that
	Office bool    `json:"office,omitempty"` // settles tax with the office, and is no tax of the month
}

// throughMoney stands for the account that a form is paid through.
const throughMoney Account = "money"

//go:embed forms.json
var formsText []byte

var forms = readForms()

func readForms() []Form {
	var out []Form
	if err := json.Unmarshal(formsText, &out); err != nil {
		panic(fmt.Sprintf("forms.json: %v", err)) // a file of the program, which a test reads
	}
	return out
}

// Forms lists the kinds of entries that are data.
func Forms() []Form { return slices.Clone(forms) }

// FormOf is the form of an id; ok is false where there is none.
func FormOf(id string) (Form, bool) {
	i := slices.IndexFunc(forms, func(f Form) bool { return f.ID == id })
	if i < 0 {
		return Form{}, false
	}
	return forms[i], true
}

// Kind is the kind of the entries that a form makes.
func (f Form) Kind() Kind { return Kind(strings.ReplaceAll(f.ID, "-", "_")) }

// Money reports whether it is paid through the bank, the till or later.
func (f Form) Money() bool { return f.Debit == throughMoney || f.Credit == throughMoney }

// settles reports whether it takes off what an earlier entry booked, at the rate of that one.
func (f Form) settles() bool {
	return f.Debit == Loans || f.Debit == WageTaxes || f.Credit == Receivable
}

// FormTerms are the terms of one entry by a form.
type FormTerms struct {
	Head
	Amount  money.Money
	Tax     money.Money // by the form: in the amount, or on top of it
	Rate    decimal.Decimal
	Pay     Account // Bank, Cash, Payable or Receivable, where the form is paid
	Holding Holding // of the watch, where the form needs one in stock
}

// Book books an amount by a form.
func (f Form) Book(t FormTerms) (Entry, error) {
	d := begin(f.Kind(), t.Head)
	d.e.Office = f.Office
	d.positive("amount", t.Amount)
	d.need(f.Party != "needed" || t.Party != "", "client", "nobody", "who the other side is, a client on record")
	d.need(f.Watch != "" || t.Watch == "", "watch", t.Watch, "none: this belongs to no watch")
	d.need(f.Watch != "stock" || t.Holding.Owned(), "watch", "none in stock", "a watch in stock on the shop's account")
	d.need(f.Watch != "consigned" || t.Holding.Consign != nil && t.Holding.Consign.Party == t.Party, "watch", "not one of theirs",
		"a watch that this client has on consignment with the shop")
	d.need(f.Tax != "" || t.Tax.Sign() == 0, "tax", t.Tax, "none with this kind of entry")
	d.need(t.Tax.Sign() >= 0, "tax", t.Tax, "0 or more")
	d.need(!f.settles() || t.Amount.Currency() == t.Base, "currency", t.Amount.Currency(),
		string(t.Base)+": what it takes off was booked at another rate; book the difference with your adviser")
	if f.Money() {
		later := Payable
		if f.Debit == throughMoney {
			later = Receivable
		}
		d.oneOf("paid through", t.Pay, Bank, Cash, later)
		d.need(t.Pay != later || t.Party != "", "client", "nobody", "who owes it or is owed, a client on record")
	}
	f.atMost(d, t)
	side := func(a Account) side {
		if a == throughMoney {
			a = t.Pay
		}
		return d.at(a)
	}
	amount := t.Amount
	if f.Tax == "due" && t.Tax.Sign() > 0 {
		amount = d.sub(t.Amount, t.Tax)
		d.need(d.err != nil || amount.Sign() > 0, "tax", t.Tax, "less than the amount")
		d.transfer(side(f.Debit), d.at(VATDue), t.Tax, t.Rate)
	}
	d.transfer(side(f.Debit), side(f.Credit), amount, t.Rate)
	if f.Tax == "reversed" && t.Tax.Sign() > 0 {
		d.transfer(d.at(VATInput), d.at(VATDue), t.Tax, t.Rate)
	}
	return d.done()
}

// atMost holds a write-down against what the watch stands for, and its reversal against what was written
// down (IAS 2, paragraph 33).
func (f Form) atMost(d *draft, t FormTerms) {
	if f.Most == "" || d.err != nil {
		return
	}
	sum, err := amount(decimal.Zero, d.e.Base)
	for _, l := range t.Holding.Stock {
		if err != nil {
			break
		}
		switch {
		case f.Most == "cost":
			sum, err = sum.Add(l.Base)
		case l.Account == StockLowered:
			sum, err = sub(sum, l.Base)
		}
	}
	if err != nil {
		d.fail("%w", err)
		return
	}
	d.need(t.Amount.Currency() == d.e.Base && t.Amount.Decimal().Cmp(sum.Decimal()) <= 0, "amount", t.Amount,
		"at most "+sum.String())
}

// ReductionTerms are a part of the price that a seller gives back.
type ReductionTerms struct {
	Head
	Amount  money.Money
	Rate    decimal.Decimal
	Pay     Account // Bank, Cash or Payable, off what is still owed
	Holding Holding
}

// Reduction lowers the price once paid for a watch in stock, and with it what the margin scheme reckons
// with.
func Reduction(t ReductionTerms) (Entry, error) {
	d := begin(KindReduction, t.Head)
	d.oneOf("paid into", t.Pay, Bank, Cash, Payable)
	d.positive("amount", t.Amount)
	d.need(t.Holding.Scheme != Ordinary, "watch", "one bought with tax to reclaim",
		"one bought without: here the tax once reclaimed changes too, by a credit note of the seller; ask your adviser")
	d.need(t.Holding.Owned() && len(t.Holding.Stakes) == 0, "watch", "none of it in stock, or one that is shared",
		"a watch in stock on the shop's own account; for one that was sold, book other income and ask your adviser")
	if d.err != nil {
		return Entry{}, d.err
	}
	// It comes off at the rate at which the price was booked, so that nothing is left of it later.
	paid, rate := t.Amount, decimal.One
	i := slices.IndexFunc(t.Holding.Stock, func(l Lot) bool {
		return l.Account == StockPurchase && l.Amount.Currency() == t.Amount.Currency()
	})
	if i >= 0 {
		rate = t.Holding.Stock[i].Rate
	} else {
		paid = d.inBase(t.Amount, t.Rate)
	}
	off := d.inBase(paid, rate)
	d.need(d.err != nil || off.Decimal().Cmp(t.Holding.Purchase.Decimal()) < 0 &&
		(i < 0 || paid.Decimal().Cmp(t.Holding.Stock[i].Amount.Decimal()) < 0), "amount", t.Amount,
		"less than the price paid, "+t.Holding.Purchase.String())
	d.e.Goods = &Goods{Price: off.Neg(), Scheme: t.Holding.Scheme, Part: true, Original: t.Amount.Neg()}
	d.transfer(d.at(t.Pay), d.at(Conversion), t.Amount, t.Rate)
	d.transfer(d.at(Conversion), d.at(StockPurchase), paid, rate)
	d.e.Lines = joinedLines(d.e.Lines)
	d.difference(ExchangeDiff)
	return d.done()
}

// ConsignLost books a consigned watch that was lost or broken in the shop's care: its owner is owed the
// agreed value.
func ConsignLost(h Head, c Consign) (Entry, error) {
	d := begin(KindConsignLost, h)
	d.e.Consign = &c
	d.transfer(d.at(Loss), side{Consignors, h.Watch, c.Party}, c.Value, c.Rate)
	d.ownersGoodsOut(c)
	return d.done()
}

// CloseYear moves income and expense of a year that is over to the profits of closed years. sums are what
// stands on these accounts at the end of its last day.
func CloseYear(h Head, sums []Balance) (Entry, error) {
	d := begin(KindClose, h)
	for _, b := range sums {
		if c := ClassOf(b.Account); c != Income && c != Expense || b.Amount.Sign() == 0 && b.Base.Sign() == 0 {
			continue
		}
		if b.Amount.Currency() == h.Base {
			d.transfer(side{account: Retained}, side{account: b.Account}, b.Amount, decimal.One)
			continue
		}
		if b.Amount.Sign() == 0 { // rates left it nothing but a difference in the shop's currency
			d.transfer(side{account: Retained}, side{account: b.Account}, b.Base, decimal.One)
			continue
		}
		l, err := newLot(b.Account, "", b.Amount, b.Base, decimal.One)
		if err != nil {
			d.fail("%w", err)
			break
		}
		d.transfer(side{account: Conversion}, side{account: b.Account}, b.Amount, l.Rate)
	}
	d.difference(Retained)
	d.need(d.err != nil || len(d.e.Lines) > 0, "year", "no income and no expense to close",
		"a year in which something was earned or spent")
	return d.done()
}
