package ledger

import (
	"errors"
	"fmt"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// Kind is what an entry is about.
type Kind string

// The kinds of entries, one for each posting rule.
const (
	KindCapital       Kind = "capital"
	KindPurchase      Kind = "purchase"
	KindConsignIn     Kind = "consigned_in"
	KindConsignOut    Kind = "consigned_out"
	KindShareBuy      Kind = "share_purchase"
	KindRepair        Kind = "repair"
	KindDeposit       Kind = "deposit"
	KindDepositBack   Kind = "deposit_back"
	KindSale          Kind = "sale"
	KindPartExchange  Kind = "part_exchange"
	KindRefund        Kind = "refund"
	KindConsignorPaid Kind = "consignor_settlement"
	KindPartnerPaid   Kind = "partner_settlement"
	KindCustomerPaid  Kind = "customer_payment"
	KindSupplierPaid  Kind = "supplier_payment"
	KindExchange      Kind = "exchange"
	KindExpense       Kind = "expense"
	KindLoss          Kind = "loss"
	KindConsignLost   Kind = "consigned_lost"
	KindRevalue       Kind = "revaluation"
	KindClose         Kind = "year_closed"
	KindReduction     Kind = "price_reduction"
	KindCounter       Kind = "counter"
)

const dayForm = time.DateOnly

// Schemes of taxing a sale.
const (
	Margin   = "margin"   // tax on the margin only
	Ordinary = "ordinary" // tax on the whole price
	NoTax    = "none"
)

// Line is one side of an entry.
type Line struct {
	Account Account         `json:"account"`
	Amount  money.Money     `json:"amount"` // a debit is above zero, a credit below
	Rate    decimal.Decimal `json:"rate"`   // the shop's currency for 1 of the amount's
	Base    money.Money     `json:"base"`   // the amount in the shop's currency
	Watch   string          `json:"watch,omitempty"`
	Party   string          `json:"party,omitempty"` // a client's id, never a name
}

// Head is what every entry says beside its amounts.
type Head struct {
	ID       string         `json:"id"`
	Day      string         `json:"day"` // the day of the dealing, 2006-01-02
	At       time.Time      `json:"at"`  // when it was entered
	By       string         `json:"by"`
	Watch    string         `json:"watch,omitempty"`
	Party    string         `json:"party,omitempty"`             // a client's id, never a name
	Document string         `json:"document,omitempty"`          // invoice or receipt number
	Text     string         `json:"text,omitempty" typed:"text"` // what it is for; no names of people
	Base     money.Currency `json:"base"`                        // the shop's currency
	Corrects string         `json:"corrects,omitempty"`          // the filed month that it corrects, 2006-01
}

// Entry is one entry of the journal.
type Entry struct {
	Seq  int64 `json:"seq"` // its place in the journal, from 0; set by the store
	Kind Kind  `json:"kind"`
	Head
	Lines    []Line   `json:"lines"`
	Goods    *Goods   `json:"goods,omitempty"`
	Reverses string   `json:"reverses,omitempty"`            // the id of the entry that this one answers
	Reason   string   `json:"reason,omitempty" typed:"text"` // of a counter-entry
	Refunds  string   `json:"refunds,omitempty"`             // the id of the sale that this refund is of
	Stakes   []Stake  `json:"stakes,omitempty"`              // who else has a share in the watch
	Consign  *Consign `json:"consign,omitempty"`
	Office   bool     `json:"office,omitempty"` // tax settled with the office, no tax of the month
}

// Goods is what an entry means for the stock book, in the shop's currency. In a
// counter-entry and in a whole refund the amounts are negative.
type Goods struct {
	Price    money.Money     `json:"price"`             // paid or got for the whole watch
	Scheme   string          `json:"scheme,omitempty"`  // margin, ordinary or none
	Rate     decimal.Decimal `json:"rate,omitzero"`     // of tax
	Purchase money.Money     `json:"purchase,omitzero"` // for a sale: the price once paid
	Margin   money.Money     `json:"margin,omitzero"`   // for a sale under the margin scheme
	Tax      money.Money     `json:"tax,omitzero"`      // due on a sale, or to reclaim on a purchase
	Route    string          `json:"route,omitempty"`   // by which the watch was sold
	Sold     bool            `json:"sold,omitempty"`    // about a sale, not a purchase
	Consign  bool            `json:"consign,omitempty"` // sold for a consignor
	Part     bool            `json:"part,omitempty"`    // an allowance on a sale, no return
	Led      bool            `json:"led,omitempty"`     // a partner paid and sells; the price is the own part
	Original money.Money     `json:"original,omitzero"` // the price in the currency of the dealing
	Earned   money.Money     `json:"earned,omitzero"`   // commission of a consigned sale, with tax

	Untaxed     string `json:"untaxed,omitempty"`     // why a sale bears no tax; Untaxed lists the reasons
	Customs     string `json:"customs,omitempty"`     // number of the customs document of an export
	Destination string `json:"destination,omitempty"` // the country to which it goes, ISO 3166-1 alpha-2
}

// Stake is a partner's share in a watch.
type Stake struct {
	Party string          `json:"party"`
	Share decimal.Decimal `json:"share"` // above 0, below 1
}

// Consign is what was agreed with a consignor: a commission, or what the consignor
// gets net.
type Consign struct {
	Party      string          `json:"party"`
	Commission decimal.Decimal `json:"commission,omitzero"` // share of the sale price, with tax
	Net        money.Money     `json:"net,omitzero"`
	Value      money.Money     `json:"value"` // agreed value, in the memorandum accounts
	Rate       decimal.Decimal `json:"rate"`
	OwnName    bool            `json:"own_name,omitempty"` // the shop sells in its own name, not in the owner's
}

// Reasons why a sale bears no tax.
const (
	UntaxedExport  = "export"
	UntaxedIntra   = "intra-community"
	UntaxedReverse = "reverse-charge"
	UntaxedExempt  = "exempt"
	UntaxedOutside = "outside" // not subject to tax
)

// Untaxed lists the reasons why a sale bears no tax.
func Untaxed() []string {
	return []string{UntaxedExport, UntaxedIntra, UntaxedReverse, UntaxedExempt, UntaxedOutside}
}

// ErrEntry is wrapped by what Check finds wrong.
var ErrEntry = errors.New("ledger entry")

func wrongEntry(format string, args ...any) error {
	return fmt.Errorf("%w: %w", ErrEntry, fmt.Errorf(format, args...))
}

// Check tells what is wrong with the entry; nil when it may be posted. It must
// balance in each currency and in the shop's, each line's base amount must be the amount at the
// line's rate, and every amount must be of whole minor units.
func (e Entry) Check() error {
	if e.ID == "" || e.Kind == "" {
		return wrongEntry("id or kind: found nothing; want both")
	}
	if _, err := time.Parse(dayForm, e.Day); err != nil {
		return wrongEntry("day: found %q; want a day such as 2026-03-01", e.Day)
	}
	if len(e.Lines) < 2 {
		return wrongEntry("lines: found %d; want two or more", len(e.Lines))
	}
	sums := map[money.Currency]decimal.Decimal{}
	total := decimal.Zero
	for i, l := range e.Lines {
		if err := l.check(e.Base); err != nil {
			return wrongEntry("line %d: %w", i+1, err)
		}
		var err error
		if sums[l.Amount.Currency()], err = sums[l.Amount.Currency()].Add(l.Amount.Decimal()); err != nil {
			return wrongEntry("line %d: %w", i+1, err)
		}
		if total, err = total.Add(l.Base.Decimal()); err != nil {
			return wrongEntry("line %d: %w", i+1, err)
		}
	}
	for c, sum := range sums {
		if !sum.IsZero() {
			return wrongEntry("debits less credits: found %s %s; want 0", sum, c)
		}
	}
	if !total.IsZero() {
		return wrongEntry("debits less credits in the shop's currency: found %s %s; want 0", total, e.Base)
	}
	return nil
}

func (l Line) check(base money.Currency) error {
	if ClassOf(l.Account) == "" {
		return fmt.Errorf("account: found %q; want one of the chart", l.Account)
	}
	if l.Amount.IsZero() || l.Base.Currency() != base {
		return fmt.Errorf("amounts: found %s and %s; want both, the second in %s", l.Amount, l.Base, base)
	}
	if !l.Rate.IsPos() || l.Amount.Currency() == base && l.Rate.Cmp(decimal.One) != 0 {
		return fmt.Errorf("rate: found %s; want above 0, and 1 for %s", l.Rate, base)
	}
	for _, m := range []money.Money{l.Amount, l.Base} {
		if m.Decimal().Trim(0).Scale() > m.Currency().MinorUnits() {
			return fmt.Errorf("amount: found %s; want at most %d decimals", m, m.Currency().MinorUnits())
		}
	}
	want, err := Convert(l.Amount, l.Rate, base)
	if err != nil {
		return err
	}
	if want.Decimal().Cmp(l.Base.Decimal()) != 0 {
		return fmt.Errorf("base amount: found %s; want %s, which is %s at %s", l.Base, want, l.Amount, l.Rate)
	}
	return nil
}
