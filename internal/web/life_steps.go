package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
)

// names are what clients are called, by id.
type names = map[string]string

// step is one step of a watch: its form, and what is booked with it.
type step = formOf[shop.Movement]

// formOf is a form with what is booked by it.
type formOf[Booked any] struct {
	show func(r *http.Request, l trade.Life, called names) *form.View
	take func(s *site, r *http.Request, l trade.Life) (*form.View, Booked, error)
}

// stepOf makes a step. begin, which may be nil, is what the form shows first.
func stepOf[T any](act string, book func(*booking, *T) (shop.Movement, error), begin func(trade.Life, names) T) step {
	return begun("step "+act, book, begin)
}

func asked[T, Booked any](name string, book func(*booking, *T) (Booked, error)) formOf[Booked] {
	return begun(name, book, nil)
}

func begun[T, Booked any](name string, book func(*booking, *T) (Booked, error),
	begin func(trade.Life, names) T) formOf[Booked] {
	d := form.Define[T](name)
	return formOf[Booked]{
		show: func(r *http.Request, l trade.Life, called names) *form.View {
			var v T
			if begin != nil {
				v = begin(l, called)
			}
			f := d.Of(r.Context(), v)
			inLife(&f.View, l)
			return &f.View
		},
		take: func(s *site, r *http.Request, l trade.Life) (*form.View, Booked, error) {
			var none T
			var booked Booked
			f, err := d.Read(r, none)
			if err != nil {
				return nil, booked, err
			}
			inLife(&f.View, l)
			b := &booking{s: s, ctx: r.Context(), by: s.user(r.Context()), life: l, v: &f.View}
			booked, err = book(b, &f.V)
			return b.v, booked, b.refused(placedIn(err))
		},
	}
}

// inLife fits a form to the watch: parts in its bag, and what is asked only of some watches.
func inLife(v *form.View, l trade.Life) {
	if p := form.Piece[bagForm](v); p != nil {
		back := []form.Option{{Value: "", Text: "none"}}
		for _, k := range l.Where.Bag {
			back = append(back, form.Option{Value: string(k.Slot) + "=" + k.What,
				Text: strings.TrimSpace(k.Slot.Name() + " " + k.What)})
		}
		v.Offer(&p.Back, back...)
	}
	if p := form.Piece[workMore](v); p != nil && l.Where.Owned != shop.OfOthers {
		v.Drop(&p.ForConsignor)
	}
	if p := form.Piece[sellMore](v); p != nil && l.Holding.Leader == "" {
		v.Drop(&p.Accounted)
	}
}

// steps are the steps by the acts of the page.
var steps = map[string]step{
	"buy": stepOf("buy", bookBuy,
		func(l trade.Life, _ names) buyForm { return buyForm{amountPiece: amountPiece{l.Watch.Asked}} }),
	"enter":         stepOf("enter", bookEnter, nil),
	"consign":       stepOf("consign", bookConsign, nil),
	"share":         stepOf("share", bookShare, nil),
	"exchange":      stepOf("exchange", bookExchange, nil),
	"sell":          stepOf("sell", bookSell, beginSale),
	"refund":        stepOf("refund", bookRefund[refundForm], nil),
	"allowance":     stepOf("allowance", bookRefund[allowanceForm], nil),
	"instalments":   stepOf("instalments", bookInstalments, nil),
	"give-back":     stepOf("give-back", bookGiveBack, nil),
	"write-off":     stepOf("write-off", bookWriteOff, nil),
	"reserve":       stepOf("reserve", bookReserve, beginReservation),
	"release":       stepOf("release", bookRelease, nil),
	"work":          stepOf("work", bookWork, nil),
	"fee":           stepOf("fee", bookFee, nil),
	"memo":          stepOf("memo", bookMemo, nil),
	"at_watchmaker": stepOf("at_watchmaker", bookWorkshop, nil),
	"photographed":  stepOf("photographed", moveTo(shop.Photographed), nil),
	"listed": stepOf("listed", bookList,
		func(l trade.Life, _ names) listForm { return listForm{Asking: l.Watch.Asking} }),
	"decline":     stepOf("decline", moveTo(shop.Returned), nil),
	"offer-again": stepOf("offer-again", moveTo(shop.Offered), nil),
	"back":        stepOf("back", bookBack, nil),
	"place": stepOf("place", bookPlace,
		func(l trade.Life, _ names) placeForm { return placeForm{placePiece: placePiece{l.Watch.Place}} }),
}

func bookBuy(b *booking, f *buyForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.Buy(b.ctx, b.life.Watch.ID, trade.Buying{Terms: d, Scheme: f.Scheme, Tax: f.Tax}, b.by)
}

func bookEnter(b *booking, f *enterForm) (shop.Movement, error) { return bookBuy(b, (*buyForm)(f)) }

func bookConsign(b *booking, f *consignForm) (shop.Movement, error) {
	if b.v.Field(&f.Commission).Value == "" == f.Net.IsZero() {
		b.v.Wrong(&f.Commission, "Enter a commission, or a fixed amount for the owner: one of the two.")
	}
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.ConsignIn(b.ctx, b.life.Watch.ID, trade.Consigning{Terms: d, Commission: f.Commission,
		Net: f.Net, OwnName: f.OwnName}, b.by)
}

func bookShare(b *booking, f *shareForm) (shop.Movement, error) {
	t := trade.Sharing{Scheme: f.Scheme, Stakes: []ledger.Stake{{Party: b.partner(&f.Partner), Share: f.PartnerShare}}}
	if f.Partner2 != "" {
		if b.v.Field(&f.Partner2Share).Value == "" {
			b.v.Missing(&f.Partner2Share)
		}
		t.Stakes = append(t.Stakes, ledger.Stake{Party: b.partner(&f.Partner2), Share: f.Partner2Share})
	}
	var err error
	if t.Terms, err = b.dealing(ledger.Payable); err != nil {
		return shop.Movement{}, err
	}
	if f.Leads {
		t.Leader = t.Client
	}
	return b.s.shop.Trade.ShareBuy(b.ctx, b.life.Watch.ID, t, b.by)
}

// partner is a client on record: none is added for a share.
func (b *booking) partner(name *string) string {
	if *name == "" {
		return ""
	}
	c, err := b.s.shop.People.Find(b.ctx, *name)
	if err != nil {
		b.v.Wrong(name, fmt.Sprintf("“%s” is not one client on record. Enter the name of a dealer on record.", *name))
	}
	return c.ID
}

func bookExchange(b *booking, f *exchangeForm) (shop.Movement, error) {
	sold, err := b.s.shop.Find(b.ctx, f.Against)
	if err != nil && f.Against != "" {
		b.v.Wrong(&f.Against,
			fmt.Sprintf("No watch “%s” is on file. Enter the file or serial number of the watch that was sold.",
				f.Against))
	}
	d, err := b.dealing(ledger.Receivable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.PartExchange(b.ctx, b.life.Watch.ID, trade.Buying{Terms: d, Scheme: f.Scheme}, sold.ID, b.by)
}

// beginSale offers the price asked, and the client for whom the watch is reserved.
func beginSale(l trade.Life, called names) sellForm {
	return sellForm{amountPiece: amountPiece{l.Watch.Asking}, clientPiece: beginReservation(l, called).clientPiece}
}

func beginReservation(l trade.Life, called names) reserveForm {
	var f reserveForm
	if l.Watch.State == shop.Reserved {
		f.Client = called[l.Watch.Client]
	}
	return f
}

func bookSell(b *booking, f *sellForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Receivable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.Sell(b.ctx, b.life.Watch.ID, trade.Selling{Terms: d, Route: f.Route, Scheme: f.Scheme,
		TaxRate: f.TaxRate, LeaderAccounted: f.Accounted, Untaxed: f.Untaxed, Customs: f.Customs,
		Destination: f.Destination}, b.by)
}

func bookRefund[T any](b *booking, _ *T) (shop.Movement, error) {
	d, err := b.dealing(ledger.Receivable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.Refund(b.ctx, b.life.Watch.ID, d, b.by)
}

func bookInstalments(b *booking, f *instalmentsForm) (shop.Movement, error) {
	if !b.v.OK() {
		return shop.Movement{}, nil
	}
	return b.s.shop.Trade.Instalments(b.ctx, b.life.Watch.ID, trade.Paying{Day: f.Day, Instalments: f.Parts, Rate: f.Interest,
		First: f.First}, b.by)
}

func bookGiveBack(b *booking, _ *giveBackForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.GiveBack(b.ctx, b.life.Watch.ID, d, b.by)
}

func bookWriteOff(b *booking, _ *writeOffForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.WriteOff(b.ctx, b.life.Watch.ID, d, b.by)
}

func bookRelease(b *booking, f *releaseForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.Release(b.ctx, b.life.Watch.ID, d, f.Pay == "keep", b.by)
}

func bookReserve(b *booking, f *reserveForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Bank)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.Reserve(b.ctx, b.life.Watch.ID, trade.Reserving{Terms: d, Until: f.Due}, b.by)
}

func bookFee(b *booking, f *feeForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return shop.Movement{}, err
	}
	return b.s.shop.Trade.Fee(b.ctx, b.life.Watch.ID, trade.Working{Terms: d, What: f.What, Tax: f.Tax,
		ForConsignor: f.ForConsignor}, b.by)
}

func bookWork(b *booking, f *workForm) (shop.Movement, error) {
	d, err := b.dealing(ledger.Payable)
	if err != nil {
		return shop.Movement{}, err
	}
	t := trade.Working{Terms: d, What: f.What, Tax: f.Tax, ForConsignor: f.ForConsignor}
	for _, k := range []shop.Kept{{Slot: evidence.Slot(f.Slot1), What: f.What1},
		{Slot: evidence.Slot(f.Slot2), What: f.What2}} {
		if k.Slot != "" {
			t.Removed = append(t.Removed, k)
		}
	}
	if slot, what, ok := strings.Cut(f.Back, "="); ok {
		t.PutBack = []shop.Kept{{Slot: evidence.Slot(slot), What: what}}
	}
	return b.s.shop.Trade.Repair(b.ctx, b.life.Watch.ID, t, b.by)
}

// move takes a step that moves no money.
func (b *booking) move(to shop.State, f moveForm, m trade.Moving) (shop.Movement, error) {
	if err := b.ready(); err != nil {
		return shop.Movement{}, err
	}
	m.To, m.Day, m.Place, m.Note = to, f.Day, f.Place, f.Note
	return b.s.shop.Trade.Move(b.ctx, b.life.Watch.ID, m, b.by)
}

func moveTo(state shop.State) func(*booking, *moveForm) (shop.Movement, error) {
	return func(b *booking, f *moveForm) (shop.Movement, error) { return b.move(state, *f, trade.Moving{}) }
}

// bookBack puts a watch back to where stock of its kind stands.
func bookBack(b *booking, f *moveForm) (shop.Movement, error) {
	stock := map[shop.Ownership]shop.State{shop.Own: shop.Bought, shop.OfOthers: shop.Consigned,
		shop.InPartner: shop.PartShare}
	return b.move(stock[b.life.Where.Owned], *f, trade.Moving{})
}

func bookList(b *booking, f *listForm) (shop.Movement, error) {
	return b.move(shop.Listed, f.moveForm, trade.Moving{Asking: f.Asking})
}

func bookWorkshop(b *booking, f *workshopForm) (shop.Movement, error) {
	return b.move(shop.AtWorkshop, f.moveForm, trade.Moving{Due: f.Due, Holder: b.holder(f.Holder)})
}

func bookMemo(b *booking, f *memoForm) (shop.Movement, error) {
	return b.move(shop.OnMemo, f.moveForm, trade.Moving{Due: f.Due, Person: b.client(&f.clientPiece)})
}

// bookPlace changes where the watch is; its state stays, and so do a day and a holder that nobody changed.
func bookPlace(b *booking, f *placeForm) (shop.Movement, error) {
	m := trade.Moving{Due: f.Due, Holder: b.holder(f.Holder)}
	if m.Due.IsZero() && m.Holder == "" {
		m.Due, m.Holder = b.life.Watch.Due, b.life.Watch.Holder
	}
	return b.move("", moveForm{f.dayPiece, f.placePiece, f.notePiece}, m)
}

// placedIn gives the problems of the ledger the names of the form's fields.
func placedIn(err error) error {
	var invalid *shop.Invalid
	if !errors.As(err, &invalid) {
		return err
	}
	fields := map[string]string{"rate": "rate", "price": "amount", "cost": "amount", "deposit": "amount",
		"agreed value": "amount", "amount": "amount", "allowance": "amount", "instalments": "parts",
		"commission or net": "commission", "tax to reclaim": "tax", "scheme": "scheme", "shares": "partner_share", "paid from": "pay", "paid into": "pay"}
	out := &shop.Invalid{What: invalid.What, Problems: slices.Clone(invalid.Problems)}
	for i, p := range out.Problems {
		name, ok := fields[p.Field]
		if !ok && strings.HasPrefix(p.Field, "share of ") {
			name, ok = "partner_share", true
		}
		if ok {
			out.Problems[i].Field = name
		}
	}
	return out
}
