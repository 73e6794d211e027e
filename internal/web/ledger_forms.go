package web

import (
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	page "midcase/internal/web/pages/ledger"
	"midcase/money"
)

type settleForm struct {
	amountPiece `label:"Amount"`
	payPiece    `label:"Paid by" choices:"bank|cash"`
	dayPiece
	documentPiece `label:"Number of the invoice or payment"`
	ratePiece
}

var settling = form.Define[settleForm]("settle")

type overheadForm struct {
	amountPiece `label:"Amount" hint:"such as 1450, or 1450 CHF"`
	clientPiece `label:"Paid to" hint:"a client on record; leave empty for nobody" is:"optional" want:"to whom it is owed, a client on record"`
	payPiece
	dayPiece
	taxPiece
	ratePiece
	documentPiece `label:"Number of the invoice or payment"`
	textPiece     `is:"needed" want:"what it is for, such as rent"`
}

type capitalForm struct {
	amountPiece `label:"Amount" hint:"such as 1450, or 1450 CHF"`
	payPiece    `label:"Paid into" choices:"bank|cash"`
	dayPiece
	ratePiece
	textPiece
}

type capitalOutForm struct {
	amountPiece `label:"Amount" hint:"such as 1450, or 1450 CHF"`
	payPiece    `label:"Paid from" choices:"bank|cash"`
	dayPiece
	ratePiece
	textPiece
}

type moneyChangedForm struct {
	amountPiece `label:"Paid out" hint:"such as 1450, or 1450 CHF"`
	payPiece    `label:"From" choices:"bank|cash"`
	In          money.Money `form:"in,needed" label:"Received" hint:"such as 1450, or 1450 CHF" want:"an amount, for example 1500 CHF"`
	Into        string      `form:"into" label:"Into" choices:"bank|cash"`
	dayPiece
	ratePiece `label:"Exchange rate of what was paid out"`
	InRate    decimal.Decimal `form:"in_rate" label:"Exchange rate of what was received" hint:"our currency for 1 of the other; leave empty to use our table"`
	textPiece
}

// entries are the kinds that are entered in the ledger, in the order of the page: those of the shop, those that are
// data, and two about watches.
var entries = func() []entry {
	const shop, watch = "The shop", "A watch"
	out := []entry{entryOf("overhead", "A cost of the shop", shop, bookOverhead),
		entryOf("capital", "Owner pays in", shop, bookCapital[capitalForm](1)),
		entryOf("capital-out", "Owner takes out", shop, bookCapital[capitalOutForm](-1)),
		entryOf("exchange", "Currency exchanged", shop, bookMoneyChanged)}
	for _, k := range ledger.Forms() {
		out = append(out, entryOfKind(k))
	}
	return append(out, entryOf("lot", "Several watches at one price", watch, bookLot),
		entryOf("reduction", "Price reduced by the seller", watch, bookReduction))
}()

// entry is one kind of entry: its form, and what is booked with it.
type entry struct {
	page.Kind
	formOf[ledger.Entry]
}

func entryOf[T any](kind, name, group string, book func(*booking, *T) (ledger.Entry, error)) entry {
	return entry{page.Kind{ID: kind, Name: name, Group: group}, asked("entry "+kind, book)}
}

func bookOverhead(b *booking, f *overheadForm) (ledger.Entry, error) {
	if f.Pay == "owed" && f.Client == "" {
		b.v.Missing(&f.Client)
	}
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return ledger.Entry{}, err
	}
	return b.s.shop.Trade.Overhead(b.ctx, d, f.Tax, b.by)
}

// bookCapital books money that the owner pays in, or with sign −1 takes out.
func bookCapital[T any](sign int) func(*booking, *T) (ledger.Entry, error) {
	return func(b *booking, _ *T) (ledger.Entry, error) {
		d, err := b.dealing(ledger.Payable)
		if err != nil {
			return ledger.Entry{}, err
		}
		if sign < 0 {
			d.Amount = d.Amount.Neg()
		}
		return b.s.shop.Trade.CapitalIn(b.ctx, d, b.by)
	}
}

// bookMoneyChanged books money changed at the rate typed, else at that of the table, else at what came in for what
// went out.
func bookMoneyChanged(b *booking, f *moneyChangedForm) (ledger.Entry, error) {
	b.ownRate(&f.Rate, f.Amount, f.In)
	b.ownRate(&f.InRate, f.In, f.Amount)
	in := trade.Terms{Amount: f.In, Pay: account(f.Into, ledger.Bank), Rate: b.rate(&f.InRate, f.In)}
	if !f.In.IsZero() && f.In.Currency() == f.Amount.Currency() {
		b.v.Wrong(&f.In, "Both amounts are in "+string(f.In.Currency())+". Enter what was received in another currency.")
	}
	out, err := b.dealing(ledger.Payable)
	if err != nil {
		return ledger.Entry{}, err
	}
	return b.s.shop.Trade.Exchange(b.ctx, out, in, b.by)
}

// ownRate fills in the rate of an amount that was changed into or from the shop's currency, where the table has none.
func (b *booking) ownRate(rate *decimal.Decimal, m, other money.Money) {
	base := b.s.shop.Currency()
	if !rate.IsZero() || m.IsZero() || m.Currency() == base || other.IsZero() || other.Currency() != base {
		return
	}
	day := b.s.shop.Now().Format(time.DateOnly)
	if p := form.Piece[dayPiece](b.v); p != nil && p.Day != "" {
		day = p.Day
	}
	if _, known := b.s.shop.RateOn(b.ctx, m.Currency(), day); known {
		return
	}
	if q, err := other.Decimal().Quo(m.Decimal()); err == nil {
		*rate = q
	}
}
