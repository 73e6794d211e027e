package web

import (
	"net/http"
	"net/url"
	"slices"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	page "midcase/internal/web/pages/ledger"
	"midcase/money"
)

func (s *ledgerPages) duePage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.dueData(r)
	if err != nil {
		return err
	}
	if r.FormValue("done") != "" {
		d.Note = "Booked."
	}
	return page.Due(d).Render(r.Context(), w)
}

// dueData lists what stands with whom, and opens the form of one that was chosen.
func (s *ledgerPages) dueData(r *http.Request) (page.DueData, error) {
	d := page.DueData{Head: s.ledgerHead("due", "To settle"), At: pageOf(r)}
	var all []ledger.OpenSum
	err := s.shop.Accounts.Books(r.Context(), func(b *ledger.Books) (err error) {
		all, err = b.OpenSums(s.shop.Now())
		return err
	})
	if err != nil {
		return d, err
	}
	if d.Names, _, err = s.shop.Names(r.Context(), "settlements"); err != nil {
		return d, err
	}
	account, client, currency := r.FormValue("account"), r.FormValue("client"), r.FormValue("currency")
	watch := r.FormValue("watch")
	i := slices.IndexFunc(all, func(x ledger.OpenSum) bool {
		return string(x.Account) == account && x.Party == client && (currency == "" ||
			string(x.Amount.Currency()) == currency) && (watch == "" || x.Watch == watch)
	})
	if i >= 0 && all[i].Account != ledger.Deposits {
		x := all[i]
		d.Chosen = &x
		amount := positive(x.Amount)
		if d.Paying, err = s.shop.Trade.InInstalments(r.Context(), all[i:i+1]); err != nil {
			return d, err
		}
		if len(d.Paying) > 0 {
			amount = d.Paying[0].Due
		}
		d.Form = &settling.Of(r.Context(), settleForm{amountPiece: amountPiece{amount}}).View
	}
	d.Total = len(all)
	d.At, d.Pages = at(d.At, d.Total)
	d.Rows = window(all, d.At)
	return d, nil
}

func (s *ledgerPages) settle(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	d, err := s.dueData(r)
	if err != nil {
		return err
	}
	if d.Chosen == nil {
		return &shop.Invalid{What: "settle", Problems: evidence.Problems{{Field: "client", Found: "nothing open",
			Want: "a sum that stands open; it may have been settled meanwhile"}}}
	}
	f, err := settling.Read(r, settleForm{})
	if err != nil {
		return err
	}
	d.Form = &f.View
	b := &booking{s: s.site, ctx: r.Context(), by: s.user(r.Context()), v: d.Form}
	if len(d.Paying) == 0 { // else the plan says how much is left, with interest
		b.atMost(&f.V.Amount, positive(d.Chosen.Amount))
	}
	t, err := b.dealing(ledger.Payable)
	if t.Client, t.Of = d.Chosen.Party, shop.WatchID(d.Chosen.Watch); err == nil {
		_, err = s.shop.Trade.Settle(r.Context(), d.Chosen.Account, t, b.by)
	}
	if err := b.refused(placedIn(err)); err != nil {
		return err
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return page.Due(d).Render(r.Context(), w)
	}
	http.Redirect(w, r, "/ledger/due?done=1", http.StatusSeeOther)
	return nil
}

// positive is an amount without its side.
func positive(m money.Money) money.Money {
	if m.Sign() < 0 {
		return m.Neg()
	}
	return m
}

// atMost refuses an amount that is more than what stands open, in the currency of which it stands.
func (b *booking) atMost(typed *money.Money, open money.Money) {
	if typed.IsZero() {
		return
	}
	if typed.Currency() != open.Currency() || typed.Decimal().Cmp(open.Decimal()) > 0 {
		b.v.Wrong(typed, typed.String()+" is more than what is open. Enter at most "+open.String()+".")
	}
}

func entryKind(r *http.Request) entry {
	kind := r.FormValue("kind")
	return entries[max(0, slices.IndexFunc(entries, func(e entry) bool { return e.ID == kind }))]
}

func (s *ledgerPages) enterData(r *http.Request) (page.EnterData, error) {
	d := page.EnterData{Head: s.ledgerHead("enter", "Enter"), Kind: entryKind(r).ID}
	for _, e := range entries {
		d.Kinds = append(d.Kinds, e.Kind)
	}
	_, people, err := s.shop.Names(r.Context(), "entries")
	d.People = peopleToChoose(people)
	return d, err
}

func (s *ledgerPages) enterPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.enterData(r)
	if err != nil {
		return err
	}
	d.Form = entryKind(r).show(r, trade.Life{}, nil)
	return page.Enter(d).Render(r.Context(), w)
}

func (s *ledgerPages) enterEntry(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	d, err := s.enterData(r)
	if err != nil {
		return err
	}
	var booked ledger.Entry
	if d.Form, booked, err = entryKind(r).take(s.site, r, trade.Life{}); err != nil {
		return err
	}
	if !d.Form.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return page.Enter(d).Render(r.Context(), w)
	}
	http.Redirect(w, r, "/ledger/journal?done=1&q="+url.QueryEscape(booked.ID), http.StatusSeeOther)
	return nil
}
