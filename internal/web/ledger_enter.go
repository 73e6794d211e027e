package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	page "midcase/internal/web/pages/ledger"
	"midcase/internal/web/pages/life"
	"midcase/money"
)

func (s *Server) duePage(w http.ResponseWriter, r *http.Request) error {
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
func (s *Server) dueData(r *http.Request) (page.DueData, error) {
	d := page.DueData{Head: s.ledgerHead("due", "To settle"), At: pageOf(r)}
	var all []ledger.OpenSum
	err := s.shop.Books(r.Context(), func(b *ledger.Books) (err error) {
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
	i := slices.IndexFunc(all, func(x ledger.OpenSum) bool {
		return string(x.Account) == account && x.Party == client && (currency == "" || string(x.Amount.Currency()) == currency)
	})
	if i >= 0 && all[i].Account != ledger.Deposits {
		x := all[i]
		d.Chosen = &x
		open := x.Amount
		if open.Sign() < 0 {
			open = open.Neg()
		}
		d.Groups, _ = life.Fill(page.SettleFields(), map[string]string{"amount": open.String()}, nil)
	}
	d.Total = len(all)
	d.At, d.Pages = at(d.At, d.Total)
	d.Rows = window(all, d.At)
	return d, nil
}

func (s *Server) settle(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	d, err := s.dueData(r)
	if err != nil {
		return err
	}
	if d.Chosen == nil {
		return &shop.Invalid{What: "settle", Problems: evidence.Problems{{Field: "client", Found: "nothing open", Want: "a sum that stands open; it may have been settled meanwhile"}}}
	}
	f := s.stepForm(r, page.SettleFields())
	t := f.dealing(false, false, ledger.Payable)
	t.Client = d.Chosen.Party
	f.atMost(t.Amount, d.Chosen.Amount)
	err = f.ready()
	if err == nil {
		_, err = s.shop.Settle(r.Context(), d.Chosen.Account, t, f.by)
	}
	if problems, failed := f.refused(err); failed != nil {
		return failed
	} else if len(problems) > 0 {
		d.Refused = true
		d.Groups, d.Rest = life.Fill(page.SettleFields(), f.values, problems)
		w.WriteHeader(http.StatusUnprocessableEntity)
		return page.Due(d).Render(r.Context(), w)
	}
	http.Redirect(w, r, "/ledger/due?done=1", http.StatusSeeOther)
	return nil
}

// atMost notes an amount that is more than what stands open, in the currency of which it stands.
func (f *stepForm) atMost(typed, open money.Money) {
	if open.Sign() < 0 {
		open = open.Neg()
	}
	if typed.IsZero() {
		f.wrong("amount", "nothing", "an amount, at most "+open.String())
	} else if typed.Currency() != open.Currency() || typed.Decimal().Cmp(open.Decimal()) > 0 {
		f.wrong("amount", typed.String(), "at most "+open.String())
	}
}

// refused are the problems of a form that was not booked; any other error is handed back.
func (f *stepForm) refused(err error) (evidence.Problems, error) {
	if len(f.problems) > 0 {
		return f.problems, nil
	}
	var invalid *shop.Invalid
	switch {
	case err == nil:
		return nil, nil
	case errors.As(err, &invalid):
		return placed(invalid.Problems), nil
	}
	return nil, err
}

func enterKind(r *http.Request) string {
	kind := r.FormValue("kind")
	for _, k := range page.Kinds() {
		if k.Value == kind {
			return kind
		}
	}
	return page.Kinds()[0].Value
}

func (s *Server) enterData(r *http.Request) (page.EnterData, error) {
	d := page.EnterData{Head: s.ledgerHead("enter", "Enter what belongs to no watch"), Kind: enterKind(r)}
	d.Groups = page.EnterFields(d.Kind)
	_, people, err := s.shop.Names(r.Context(), "entries")
	d.People = peopleToChoose(people)
	return d, err
}

func (s *Server) enterPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.enterData(r)
	if err != nil {
		return err
	}
	return page.Enter(d).Render(r.Context(), w)
}

func (s *Server) enterEntry(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	d, err := s.enterData(r)
	if err != nil {
		return err
	}
	f := s.stepForm(r, d.Groups)
	e, err := f.enter(d.Kind)
	if problems, failed := f.refused(err); failed != nil {
		return failed
	} else if len(problems) > 0 {
		d.Refused = true
		d.Groups, d.Rest = life.Fill(d.Groups, f.values, problems)
		w.WriteHeader(http.StatusUnprocessableEntity)
		return page.Enter(d).Render(r.Context(), w)
	}
	http.Redirect(w, r, "/ledger/journal?done=1&q="+url.QueryEscape(e.ID), http.StatusSeeOther)
	return nil
}

// enter books an entry that belongs to no watch.
func (f *stepForm) enter(kind string) (ledger.Entry, error) {
	s, ctx := f.s.shop, f.ctx
	t := f.dealing(true, false, ledger.Payable)
	t.Text = f.values["text"]
	switch kind {
	case "capital", "capital-out":
		if err := f.ready(); err != nil {
			return ledger.Entry{}, err
		}
		if kind == "capital-out" {
			t.Amount = t.Amount.Neg()
		}
		return s.CapitalIn(ctx, t, f.by)
	case "exchange":
		in := shop.Dealing{Amount: f.needMoney("in"), Pay: ledger.Bank}
		if f.values["into"] == "cash" {
			in.Pay = ledger.Cash
		}
		typed := f.values["rate"]
		f.values["rate"] = f.values["in_rate"]
		before := len(f.problems)
		in.Rate = f.rate(in.Amount)
		f.values["rate"] = typed
		for i := before; i < len(f.problems); i++ {
			f.problems[i].Field = "in_rate"
		}
		if !in.Amount.IsZero() && in.Amount.Currency() == t.Amount.Currency() {
			f.wrong("in", in.Amount.String(), fmt.Sprintf("another currency than %s", t.Amount.Currency()))
		}
		if err := f.ready(); err != nil {
			return ledger.Entry{}, err
		}
		return s.Exchange(ctx, t, in, f.by)
	}
	tax := f.money("tax")
	if f.values["text"] == "" {
		f.wrong("text", "nothing", "what it is for, such as rent")
	}
	if f.values["pay"] == "owed" && t.Client == "" && f.values["client"] == "" {
		f.wrong("client", "nothing", "to whom it is owed, a client on record")
	}
	if err := f.ready(); err != nil {
		return ledger.Entry{}, err
	}
	return s.Overhead(ctx, t, tax, f.by)
}
