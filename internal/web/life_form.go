package web

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/web/pages/change"
	"midcase/internal/web/pages/life"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// stepForm reads what was typed into the form of a step, and notes what is wrong, field by
// field.
type stepForm struct {
	s        *Server
	ctx      context.Context
	by       string
	values   map[string]string
	problems evidence.Problems
}

func (s *Server) stepForm(r *http.Request, groups []life.Inputs) *stepForm {
	f := &stepForm{s: s, ctx: r.Context(), by: s.by(r), values: map[string]string{}}
	for _, g := range groups {
		for _, field := range g.Fields {
			f.values[field.Name] = strings.TrimSpace(r.PostForm.Get(field.Name))
		}
	}
	return f
}

// by is who does what a request asks for.
func (s *Server) by(r *http.Request) string { return s.user(r.Context()) }

func (f *stepForm) wrong(field, found, want string) {
	f.problems = append(f.problems, evidence.Problem{Field: field, Found: found, Want: want})
}

func (f *stepForm) is(name string) bool { return f.values[name] != "" }

// locale is how the one who typed writes figures.
func (f *stepForm) locale() wording.Locale { return wording.ReaderOf(f.ctx).Locale }

func (f *stepForm) money(name string) money.Money {
	plain, err := f.locale().AmountOf(f.values[name])
	if err != nil {
		f.wrong(name, err.Error(), "an amount that can be read one way")
		return money.Money{}
	}
	m, err := change.Money(plain, f.s.shop.Currency())
	if err != nil {
		f.wrong(name, strconv.Quote(f.values[name]), "an amount above zero, such as 6500 or 6500 CHF")
	}
	return m
}

func (f *stepForm) needMoney(name string) money.Money {
	if !f.is(name) {
		f.wrong(name, "nothing", "an amount, such as 6500 or 6500 CHF")
	}
	return f.money(name)
}

// share reads a percentage as a share.
func (f *stepForm) share(name string) decimal.Decimal {
	if !f.is(name) {
		return decimal.Zero
	}
	plain, err := f.locale().Measure(strings.TrimSpace(strings.TrimSuffix(f.values[name], "%")))
	if err != nil {
		f.wrong(name, err.Error(), "a percentage that can be read one way")
		return decimal.Zero
	}
	d, err := decimal.Parse(plain)
	if err == nil {
		d, err = d.Quo(decimal.MustNew(100, 0))
	}
	if err != nil || d.IsNeg() || d.Cmp(decimal.One) > 0 {
		f.wrong(name, strconv.Quote(f.values[name]), "a percentage from 0 to 100, such as 15")
		return decimal.Zero
	}
	return d
}

func (f *stepForm) date(name string) edtf.Date {
	if !f.is(name) {
		return edtf.Date{}
	}
	d, err := edtf.Parse(f.values[name])
	if err != nil {
		f.wrong(name, strconv.Quote(f.values[name]), "a day such as 2026-03-01")
	}
	return d
}

// rate is the rate typed, or the table's of the day where the amount is in another currency.
func (f *stepForm) rate(m money.Money) decimal.Decimal {
	if f.is("rate") {
		plain, err := f.locale().Measure(f.values["rate"])
		if err != nil {
			f.wrong("rate", err.Error(), "a rate that can be read one way")
			return decimal.Zero
		}
		d, err := ledger.ParseRate(plain)
		if err != nil {
			f.wrong("rate", strconv.Quote(f.values["rate"]), "a plain number above zero, such as 0.9512")
		}
		return d
	}
	base := f.s.shop.Currency()
	if m.IsZero() || m.Currency() == base {
		return decimal.Zero
	}
	day := f.values["day"]
	if day == "" {
		day = f.s.shop.Now().Format(time.DateOnly)
	}
	r, ok := f.s.shop.RateOn(f.ctx, m.Currency(), day)
	if !ok {
		f.wrong("rate", "nothing, and no rate of that day in the shop's table", fmt.Sprintf("so much %s for 1 %s, such as 0.9512", base, m.Currency()))
		return decimal.Zero
	}
	const figures = 6
	d, err := decimal.Parse(strconv.FormatFloat(r, 'f', max(0, figures-1-int(math.Floor(math.Log10(r)))), 64))
	if err != nil {
		f.wrong("rate", strconv.Quote(f.values["rate"]), "a plain number above zero")
	}
	return d
}

// client finds the client that was named. It comes last of the fields, since a client that is not on
// record is added where that was asked for and nothing else is wrong.
func (f *stepForm) client(name string, needed bool) string {
	typed := f.values[name]
	if typed == "" {
		if needed {
			f.wrong(name, "nothing", "a client's name, e-mail address or id")
		}
		return ""
	}
	if f.is("new_client") {
		return f.newClient(name, typed)
	}
	c, err := f.s.shop.FindClient(f.ctx, typed)
	switch {
	case errors.Is(err, shop.ErrNotFound):
		f.wrong(name, fmt.Sprintf("%q, who is not on record", typed), "a client on record, or a tick at “Add as a new client”")
	case errors.Is(err, shop.ErrAmbiguous):
		f.wrong(name, fmt.Sprintf("%q, which fits several clients", typed), "the whole name, or an e-mail address")
	case err != nil:
		f.wrong(name, err.Error(), "a client on record")
	default:
		f.identity(c)
	}
	return c.ID
}

func (f *stepForm) newClient(field, typed string) string {
	id, there, err := exactly(f.ctx, f.s.shop, typed)
	if err != nil {
		f.wrong(field, err.Error(), "a client on record")
		return ""
	}
	if there {
		if c, err := f.s.shop.Client(f.ctx, id); err == nil {
			f.identity(c)
		}
		return id
	}
	if len(f.problems) > 0 {
		return ""
	}
	c, err := f.s.shop.AddClient(f.ctx, shop.Client{Name: typed, Kind: f.values["client_kind"], Identity: f.seen()})
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		for _, p := range invalid.Problems {
			f.wrong(field, p.Found, p.Want)
		}
	} else if err != nil {
		f.wrong(field, err.Error(), "a name")
	}
	return c.ID
}

// seen is the paper of identity that was seen, nil for none.
func (f *stepForm) seen() *shop.Identity {
	if !f.is("paper") {
		return nil
	}
	seen := f.date("day")
	if seen.IsZero() {
		seen, _ = edtf.Parse(f.s.shop.Now().Format(time.DateOnly))
	}
	return &shop.Identity{Paper: f.values["paper"], Number: f.values["number"], Issuer: f.values["issuer"], Seen: seen, By: f.by}
}

// identity puts a paper that was seen now on the record of a client who has none.
func (f *stepForm) identity(c shop.Client) {
	id := f.seen()
	if id == nil || c.Identity != nil || len(f.problems) > 0 {
		return
	}
	c.Identity = id
	var invalid *shop.Invalid
	if _, err := f.s.shop.ChangeClient(f.ctx, c); errors.As(err, &invalid) {
		for _, p := range invalid.Problems {
			f.wrong("paper", p.Found, p.Want)
		}
	} else if err != nil {
		f.wrong("paper", err.Error(), "the paper again")
	}
}

// dealing reads what all steps about money share. owed is the account for paying later.
func (f *stepForm) dealing(amountNeeded, clientNeeded bool, owed ledger.Account) shop.Dealing {
	d := shop.Dealing{Day: f.values["day"], Document: f.values["document"], Place: f.values["place"], Override: f.values["override"]}
	if amountNeeded {
		d.Amount = f.needMoney("amount")
	} else {
		d.Amount = f.money("amount")
	}
	d.Rate = f.rate(d.Amount)
	d.Pay = map[string]ledger.Account{"": ledger.Bank, "bank": ledger.Bank, "cash": ledger.Cash, "owed": owed, "capital": ledger.Capital}[f.values["pay"]]
	d.Client = f.client("client", clientNeeded)
	return d
}

// holder is a client's id where the name is one of a client, else what was typed.
func (f *stepForm) holder(name string) string {
	if id, there, err := exactly(f.ctx, f.s.shop, f.values[name]); err == nil && there {
		return id
	}
	return f.values[name]
}
