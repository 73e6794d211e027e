package web

import (
	"cmp"
	"fmt"
	"net/http"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	page "midcase/internal/web/pages/ledger"
	"midcase/money"
)

// kindForm is the form of every kind of entry that is data; what a kind does not ask is left out.
type kindForm struct {
	amountPiece `label:"Amount" hint:"such as 1450, or 1450 CHF"`
	Watch       string `form:"watch" label:"Watch" hint:"file or serial number" want:"the file or serial number of the watch"`
	clientPiece `label:"Client" hint:"name, e-mail or id" is:"optional"`
	payPiece    `label:"Paid through"`
	dayPiece
	taxPiece `label:"Tax" hint:"in the amount; with a reversed charge, on top of it"`
	ratePiece
	documentPiece `label:"Number of the invoice or payment"`
	textPiece
}

var kindForms = form.Define[kindForm]("entry of a kind")

// entryOfKind is the entry of a kind that is data.
func entryOfKind(k ledger.Form) entry {
	return entry{page.Kind{ID: k.ID, Name: k.Name, Group: k.Group}, formOf[ledger.Entry]{
		show: func(r *http.Request, _ trade.Life, _ names) *form.View {
			f := kindForms.Of(r.Context(), kindForm{})
			fitKind(f, k)
			return &f.View
		},
		take: func(s *site, r *http.Request, _ trade.Life) (*form.View, ledger.Entry, error) {
			f, err := kindForms.Read(r, kindForm{})
			if err != nil {
				return nil, ledger.Entry{}, err
			}
			fitKind(f, k)
			b := &booking{s: s, ctx: r.Context(), by: s.user(r.Context()), v: &f.View}
			booked, err := bookKind(b, &f.V, k)
			return b.v, booked, b.refused(placedIn(err))
		},
	}}
}

// fitKind leaves out what a kind does not ask.
func fitKind(f *form.Form[kindForm], k ledger.Form) {
	if k.Watch == "" {
		f.Drop(&f.V.Watch)
	}
	if !k.Money() {
		f.Drop(&f.V.Pay)
	}
	if k.Tax == "" {
		f.Drop(&f.V.Tax)
	}
}

func bookKind(b *booking, f *kindForm, k ledger.Form) (ledger.Entry, error) {
	if k.Party == "needed" && f.Client == "" || k.Money() && f.Pay == "owed" && f.Client == "" {
		b.v.Missing(&f.Client)
	}
	var id shop.WatchID
	switch {
	case k.Watch == "":
	case f.Watch != "":
		id = b.watch(&f.Watch).ID
	case k.Watch != "may":
		b.v.Missing(&f.Watch)
	}
	owed := ledger.Payable
	if k.Debit == "money" {
		owed = ledger.Receivable
	}
	d, err := b.dealing(owed)
	if err != nil {
		return ledger.Entry{}, err
	}
	return b.s.shop.Trade.Enter(b.ctx, k.ID, id, d, f.Tax, b.by)
}

// watch is the watch that was named.
func (b *booking) watch(typed *string) shop.Watch {
	w, err := b.s.shop.Find(b.ctx, *typed)
	if err != nil {
		b.v.Wrong(typed, fmt.Sprintf("No watch “%s” is on file. Enter the file or serial number of one.", *typed))
	}
	return w
}

type reductionForm struct {
	amountPiece `label:"Given back" hint:"such as 150, or 150 CHF"`
	Watch       string `form:"watch,needed" label:"Watch" hint:"file or serial number" want:"the file or serial number of the watch"`
	clientPiece `label:"Seller"`
	payPiece    `label:"Received in" choices:"bank|cash|owed=off what we still owe"`
	dayPiece
	ratePiece
	documentPiece `label:"Number of the credit note"`
	textPiece
}

// bookReduction books what a seller gives back of the price.
func bookReduction(b *booking, f *reductionForm) (ledger.Entry, error) {
	var w shop.Watch
	if f.Watch != "" {
		w = b.watch(&f.Watch)
	}
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return ledger.Entry{}, err
	}
	m, err := b.s.shop.Trade.Reduce(b.ctx, w.ID, d, b.by)
	return ledger.Entry{Head: ledger.Head{ID: first(m.Entries)}}, err
}

type severalForm struct {
	amountPiece `label:"Price of all together" hint:"such as 9000, or 9000 CHF"`
	Watches     string `form:"watches,needed,broad" kind:"area" label:"Watches, each with what it is worth by itself" hint:"one a line, such as 12 = 4000" want:"one watch a line with its worth, such as 12 = 4000"`
	clientPiece `label:"Seller"`
	payPiece
	schemePiece
	dayPiece
	ratePiece
	documentPiece
}

// bookLot books several watches at one price, divided in the proportion of what each is worth.
func bookLot(b *booking, f *severalForm) (ledger.Entry, error) {
	var parts []trade.LotPart
	for line := range strings.Lines(f.Watches) {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		name, worth, _ := strings.Cut(line, "=")
		w, err := b.s.shop.Find(b.ctx, strings.TrimSpace(name))
		if err != nil {
			b.v.Wrong(&f.Watches, fmt.Sprintf("No watch “%s” is on file. Enter one watch a line with its worth, such as 12 = 4000.",
				strings.TrimSpace(name)))
			continue
		}
		m, err := b.worth(worth)
		if err != nil || m.Sign() <= 0 {
			b.v.Wrong(&f.Watches, fmt.Sprintf("“%s” has no worth that can be read. Write it as 12 = 4000, or 12 = 4000 CHF.", line))
			continue
		}
		parts = append(parts, trade.LotPart{Watch: w.ID, Worth: m})
	}
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return ledger.Entry{}, err
	}
	moves, err := b.s.shop.Trade.BuyLot(b.ctx, parts, trade.Buying{Terms: d, Scheme: f.Scheme}, b.by)
	if err != nil || len(moves) == 0 {
		return ledger.Entry{}, err
	}
	return ledger.Entry{Head: ledger.Head{ID: first(moves[0].Entries)}}, nil
}

// worth reads an amount in a line of text, in the shop's currency where none is named.
func (b *booking) worth(text string) (money.Money, error) {
	plain, err := form.ReaderOf(b.ctx).Locale.ReadMoney(text)
	if err != nil {
		return money.Money{}, err
	}
	amount, currency, _ := strings.Cut(strings.TrimSpace(plain), " ")
	return money.Parse(amount, cmp.Or(strings.TrimSpace(currency), string(b.s.shop.Currency())))
}

func first(ids []string) string {
	if len(ids) == 0 {
		return ""
	}
	return ids[0]
}
