package web

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	"midcase/money"
)

// booking is one form about money being booked.
type booking struct {
	s    *site
	ctx  context.Context
	by   string
	life trade.Life
	v    *form.View
}

// errForm stands for problems that stand in the form itself.
var errForm = errors.New("the form has problems")

// ready is nil where nothing typed is wrong so far.
func (b *booking) ready() error {
	if !b.v.OK() {
		return errForm
	}
	return nil
}

// refused is nil where the form says what is wrong; any other error is handed back.
func (b *booking) refused(err error) error {
	if err == nil || errors.Is(err, errForm) || b.v.Refused(err, nil) {
		return nil
	}
	return err
}

// dealing reads what all steps about money share. owed is the account for paying later.
func (b *booking) dealing(owed ledger.Account) (trade.Terms, error) {
	var d trade.Terms
	if p := form.Piece[dayPiece](b.v); p != nil {
		d.Day = p.Day
	}
	if p := form.Piece[documentPiece](b.v); p != nil {
		d.Document = p.Document
	}
	if p := form.Piece[placePiece](b.v); p != nil {
		d.Place = p.Place
	}
	if p := form.Piece[overridePiece](b.v); p != nil {
		d.Override = p.Override
	}
	if p := form.Piece[textPiece](b.v); p != nil {
		d.Text = p.Text
	}
	if p := form.Piece[amountPiece](b.v); p != nil {
		d.Amount = p.Amount
	}
	if p := form.Piece[ratePiece](b.v); p != nil {
		d.Rate = b.rate(&p.Rate, d.Amount)
	}
	if p := form.Piece[payPiece](b.v); p != nil {
		d.Pay = account(p.Pay, owed)
	}
	if p := form.Piece[clientPiece](b.v); p != nil {
		d.Client = b.client(p)
	}
	return d, b.ready()
}

// account is the account of a way to pay.
func account(pay string, owed ledger.Account) ledger.Account {
	switch pay {
	case "cash":
		return ledger.Cash
	case "owed":
		return owed
	case "capital":
		return ledger.Capital
	}
	return ledger.Bank
}

// rate is the rate typed, or the table's of the day where the amount is in another currency.
func (b *booking) rate(typed *decimal.Decimal, m money.Money) decimal.Decimal {
	base := b.s.shop.Currency()
	if !typed.IsZero() || m.IsZero() || m.Currency() == base {
		return *typed
	}
	day := b.s.shop.Now().Format(time.DateOnly)
	if p := form.Piece[dayPiece](b.v); p != nil && p.Day != "" {
		day = p.Day
	}
	r, ok := b.s.shop.RateOn(b.ctx, m.Currency(), day)
	if !ok {
		b.v.Wrong(typed, fmt.Sprintf("Our table has no rate of that day. Enter so much %s for 1 %s, for example 0.9512.", base, m.Currency()))
		return decimal.Zero
	}
	const figures = 6
	d, err := decimal.Parse(strconv.FormatFloat(r, 'f', max(0, figures-1-int(math.Floor(math.Log10(r)))), 64))
	if err != nil {
		b.v.Wrong(typed, "The rate in our table cannot be used. Enter a number above zero.")
	}
	return d
}

// client finds the client that was named. It comes last of the fields, since a client that is not on
// record is added where that was asked for and nothing else is wrong.
func (b *booking) client(p *clientPiece) string {
	if p.Client == "" {
		return ""
	}
	if n := form.Piece[newPiece](b.v); n != nil && n.New {
		return b.newClient(p, n)
	}
	c, err := b.s.shop.People.Find(b.ctx, p.Client)
	switch {
	case errors.Is(err, shop.ErrNotFound):
		b.v.Wrong(&p.Client, fmt.Sprintf("“%s” is not on record. Enter a client on record, or tick “Add as a new client”.", p.Client))
	case errors.Is(err, shop.ErrAmbiguous):
		b.v.Wrong(&p.Client, fmt.Sprintf("“%s” fits several clients. Enter the whole name, or an e-mail address.",
			p.Client))
	case err != nil:
		b.v.Wrong(&p.Client, err.Error())
	default:
		b.identity(c)
	}
	return c.ID
}

func (b *booking) newClient(p *clientPiece, n *newPiece) string {
	id, there, err := exactly(b.ctx, b.s.shop, p.Client)
	if err != nil {
		b.v.Wrong(&p.Client, err.Error())
		return ""
	}
	if there {
		if c, err := b.s.shop.People.Client(b.ctx, id); err == nil {
			b.identity(c)
		}
		return id
	}
	if !b.v.OK() {
		return ""
	}
	c, err := b.s.shop.People.Add(b.ctx, shop.Client{Name: p.Client, Kind: n.Kind, Identity: b.seen()})
	if err != nil && !b.v.Refused(err, map[string]string{"name": "client"}) {
		b.v.Wrong(&p.Client, err.Error())
	}
	return c.ID
}

// seen is the paper of identity that was seen, nil for none.
func (b *booking) seen() *shop.Identity {
	p := form.Piece[identityPiece](b.v)
	if p == nil || p.Paper == "" {
		return nil
	}
	day := b.s.shop.Now().Format(time.DateOnly)
	if d := form.Piece[dayPiece](b.v); d != nil && d.Day != "" {
		day = d.Day
	}
	seen, err := edtf.Parse(day)
	if err != nil {
		return nil // the day itself says what is wrong
	}
	return &shop.Identity{Paper: p.Paper, Number: p.Number, Issuer: p.Issuer, Seen: seen, By: b.by}
}

// identity puts a paper that was seen now on the record of a client who has none.
func (b *booking) identity(c shop.Client) {
	id := b.seen()
	if id == nil || c.Identity != nil || !b.v.OK() {
		return
	}
	c.Identity = id
	if _, err := b.s.shop.People.Change(b.ctx, c); err != nil && !b.v.Refused(err,
		map[string]string{"identity": "paper"}) {
		b.v.Wrong(&form.Piece[identityPiece](b.v).Paper, err.Error())
	}
}

// holder is a client's id where the name is one of a client, else what was typed.
func (b *booking) holder(typed string) string {
	if id, there, err := exactly(b.ctx, b.s.shop, typed); err == nil && there {
		return id
	}
	return typed
}

// exactly finds the one client whose name is what was typed.
func exactly(ctx context.Context, s *rooms.Shop, typed string) (string, bool, error) {
	_, all, err := s.Names(ctx, "step of a watch")
	if err != nil {
		return "", false, err
	}
	for _, n := range all {
		if strings.EqualFold(strings.TrimSpace(n.Name), strings.TrimSpace(typed)) {
			return n.ID, true, nil
		}
	}
	return "", false, nil
}
