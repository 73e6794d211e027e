package trade

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// settlements are the rules by which open accounts are paid.
var Settlements = map[ledger.Account]func(ledger.SettleTerms) (ledger.Entry, error){
	ledger.Consignors: ledger.ConsignorSettlement,
	ledger.Partners:   ledger.PartnerSettlement,
	ledger.Receivable: ledger.CustomerPayment,
	ledger.Payable:    ledger.SupplierPayment,
}

// Open are the sums that stand with a client on an account (consignors, partners,
// receivable, payable): above zero the shop owes them, below it is owed.
func (r *Room) Open(ctx context.Context, account ledger.Account, client string) ([]ledger.Lot, error) {
	entries, err := r.shop.Entries(ctx, shop.EntryFilter{Party: client})
	if err != nil {
		return nil, fmt.Errorf("open sums: %w", err)
	}
	return ledger.Open(account, client, entries)
}

// Settle pays a consignor, a partner or a supplier, or takes what a buyer or partner
// owes. The sign of the amount is that of the open sum; none pays all of the currency of
// the first open sum.
func (r *Room) Settle(ctx context.Context, account ledger.Account, t Terms, by string) (ledger.Entry, error) {
	const what = "settle"
	rule, ok := Settlements[account]
	if !ok {
		return ledger.Entry{}, shop.Refuse(what, "account", fmt.Sprintf("%q", account),
			"consignors, partners, receivable or payable")
	}
	open, err := r.Open(ctx, account, t.Client)
	if err != nil {
		return ledger.Entry{}, err
	}
	open = slices.DeleteFunc(open, func(l ledger.Lot) bool {
		return !t.Amount.IsZero() && l.Amount.Currency() != t.Amount.Currency() ||
			t.Of != "" && l.Watch != string(t.Of)
	})
	if len(open) == 0 {
		return ledger.Entry{}, shop.Refuse(what, "client", fmt.Sprintf("%q with nothing open", t.Client),
			"a client with an open sum on "+string(account))
	}
	h, err := r.head(ctx, what, t, by)
	if err != nil {
		return ledger.Entry{}, err
	}
	amount, interest := t.Amount, money.Money{}
	if account == ledger.Receivable {
		if amount, interest, err = r.byPlan(ctx, open, t, h.Day); err != nil {
			return ledger.Entry{}, err
		}
	}
	if !amount.IsZero() && amount.Sign() != open[0].Amount.Sign() { // people name what they pay without a sign
		amount = amount.Neg()
	}
	paid := amount
	for _, l := range open {
		if amount.IsZero() && l.Amount.Currency() == open[0].Amount.Currency() && l.Amount.Sign() == open[0].Amount.Sign() {
			if paid, err = paid.Add(l.Amount); err != nil { // all of it
				return ledger.Entry{}, fmt.Errorf("%s: %w", what, err)
			}
		}
	}
	if !interest.IsZero() && interest.Sign() > 0 {
		if paid, err = paid.Add(interest.Neg()); err != nil { // both come in
			return ledger.Entry{}, fmt.Errorf("%s: %w", what, err)
		}
	}
	if err := r.cashAllowed(ctx, what, t, h.Day, paid); err != nil {
		return ledger.Entry{}, err
	}
	return r.keepEntry(ctx, what)(rule(ledger.SettleTerms{Head: h, Open: open, Amount: amount, Rate: t.Rate,
		Pay: t.pay(), Interest: interest}))
}

func (r *Room) cashAllowed(ctx context.Context, what string, t Terms, day string, amount money.Money) error {
	if t.pay() != ledger.Cash {
		return nil
	}
	rules, err := r.Rules(ctx)
	if err != nil {
		return err
	}
	if amount.Sign() < 0 {
		amount = amount.Neg()
	}
	holds, err := r.cashHold(ctx, rules, t.Client, day, amount)
	if err != nil {
		return err
	}
	for _, h := range blocking(holds) {
		return shop.Refuse(what, h.Rule, h.Why, "another way of paying")
	}
	return nil
}

// head begins an entry that belongs to no watch.
func (r *Room) head(ctx context.Context, what string, t Terms, by string) (ledger.Head, error) {
	now := r.shop.Now()
	if t.Day == "" {
		t.Day = now.Format(time.DateOnly)
	}
	if on, err := time.Parse(time.DateOnly, t.Day); err != nil || on.After(now.AddDate(0, 0, 1)) {
		return ledger.Head{}, shop.Refuse(what, "day", fmt.Sprintf("%q", t.Day),
			"a day such as 2026-03-01, not in the future")
	}
	if err := r.rateDoubt(ctx, what, t.Amount, t.Rate, t.Day); err != nil {
		return ledger.Head{}, err
	}
	if strings.TrimSpace(by) == "" {
		return ledger.Head{}, shop.Refuse(what, "by", "nothing", "who does it")
	}
	return ledger.Head{ID: r.shop.NewID("le"), Day: t.Day, At: now, By: strings.TrimSpace(by), Party: t.Client,
		Document: t.Document, Text: t.Text, Base: r.shop.Currency()}, nil
}

// keepEntry returns a function that keeps what a posting rule made.
func (r *Room) keepEntry(ctx context.Context, what string) func(ledger.Entry, error) (ledger.Entry, error) {
	return func(e ledger.Entry, err error) (ledger.Entry, error) {
		if err != nil {
			return ledger.Entry{}, unbookable(what, err)
		}
		kept, err := r.keepStep(ctx, what, shop.Step{Entries: []ledger.Entry{e}})
		if err != nil {
			return ledger.Entry{}, fmt.Errorf("%s: %w", what, err)
		}
		return kept.Entries[0], nil
	}
}

// CapitalIn books money that the owner puts in, or takes out below zero.
func (r *Room) CapitalIn(ctx context.Context, t Terms, by string) (ledger.Entry, error) {
	h, err := r.head(ctx, "capital", t, by)
	if err != nil {
		return ledger.Entry{}, err
	}
	return r.keepEntry(ctx, "capital")(ledger.CapitalIn(ledger.CapitalTerms{Head: h, Amount: t.Amount, Rate: t.Rate,
		Into: t.pay()}))
}

// Overhead books a cost of the shop that belongs to no watch.
func (r *Room) Overhead(ctx context.Context, t Terms, tax money.Money, by string) (ledger.Entry, error) {
	h, err := r.head(ctx, "overhead", t, by)
	if err != nil {
		return ledger.Entry{}, err
	}
	return r.keepEntry(ctx, "overhead")(ledger.Overhead(ledger.WorkTerms{Head: h, Cost: t.Amount, Rate: t.Rate,
		Tax: tax, Pay: t.pay()}))
}

// Exchange books money of one currency changed into another. Out goes from, in comes
// into, the account of each dealing.
func (r *Room) Exchange(ctx context.Context, out, in Terms, by string) (ledger.Entry, error) {
	h, err := r.head(ctx, "exchange", out, by)
	if err != nil {
		return ledger.Entry{}, err
	}
	if err := r.rateDoubt(ctx, "exchange", in.Amount, in.Rate, h.Day); err != nil {
		return ledger.Entry{}, err
	}
	return r.keepEntry(ctx, "exchange")(ledger.Exchange(ledger.ExchangeTerms{Head: h, Out: out.Amount, In: in.Amount,
		OutRate: out.Rate, InRate: in.Rate, From: out.pay(), Into: in.pay()}))
}

// CounterEntry answers an entry that belongs to no watch's step, such as a settlement. The
// entries of a step are answered by Undo.
func (r *Room) CounterEntry(ctx context.Context, id, reason, by string) (ledger.Entry, error) {
	const what = "counter-entry"
	found, err := r.shop.Entries(ctx, shop.EntryFilter{ID: id})
	if err == nil && len(found) == 0 {
		err = shop.ErrNotFound
	}
	if err != nil {
		return ledger.Entry{}, fmt.Errorf("%s: entry %q: %w", what, id, err)
	}
	e := found[0]
	if e.Watch != "" {
		return ledger.Entry{}, shop.Refuse(what, "entry", "one that belongs to a step of a watch",
			"an entry without a watch; undo the step instead")
	}
	if closing(e) {
		return ledger.Entry{}, shop.Refuse(what, "entry", "one that closes a period", "an entry of a dealing; a "+
			"revaluation is taken back on the day after, and a closed year stays closed")
	}
	h, err := r.head(ctx, what, Terms{}, by)
	if err != nil {
		return ledger.Entry{}, err
	}
	rules, err := r.BookRules(ctx)
	if err != nil {
		return ledger.Entry{}, err
	}
	h.Day, h.Corrects = rules.corrected(e.Day, h.Day)
	kept, err := r.keepEntry(ctx, what)(ledger.CounterEntry(e, h, reason))
	if errors.Is(err, shop.ErrExists) {
		return ledger.Entry{}, shop.Refuse(what, "entry", "one that was answered already", "an entry that stands")
	}
	return kept, err
}
