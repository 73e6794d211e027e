package trade

import (
	"cmp"
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Enter books an entry by one of the forms that are data: tax with the office, loans, wages, insurers, bad
// debts, import tax, write-downs. With a watch it is a step of that watch, which Undo takes back.
func (r *Room) Enter(ctx context.Context, form string, watch shop.WatchID, t Terms, tax money.Money,
	by string) (ledger.Entry, error) {
	const what = "enter"
	f, ok := ledger.FormOf(form)
	if !ok {
		var ids []string
		for _, f := range ledger.Forms() {
			ids = append(ids, f.ID)
		}
		return ledger.Entry{}, shop.Refuse(what, "kind", fmt.Sprintf("%q", form), "one of: "+strings.Join(ids, ", "))
	}
	if t.Text == "" {
		t.Text = f.Name
	}
	if f.Credit == ledger.Receivable {
		if err := r.atMostOwed(ctx, what, t); err != nil {
			return ledger.Entry{}, err
		}
	}
	if f.Money() {
		if err := r.cashAllowed(ctx, what, t, cmp.Or(t.Day, r.shop.Now().Format(time.DateOnly)), t.Amount); err != nil {
			return ledger.Entry{}, err
		}
	}
	terms := ledger.FormTerms{Amount: t.Amount, Tax: tax, Rate: t.Rate, Pay: t.pay()}
	if watch == "" {
		h, err := r.head(ctx, what, t, by)
		if err != nil {
			return ledger.Entry{}, err
		}
		terms.Head = h
		return r.keepEntry(ctx, what)(f.Book(terms))
	}
	d, err := r.begin(ctx, what, watch, t.Day, by)
	if err != nil {
		return ledger.Entry{}, err
	}
	if err := r.rateDoubt(ctx, what, t.Amount, t.Rate, d.day); err != nil {
		return ledger.Entry{}, err
	}
	terms.Head, terms.Holding = d.head(t.Client, t.Document, t.Text), d.holding
	if err := d.post(f.Book(terms)); err != nil {
		return ledger.Entry{}, err
	}
	d.movement.Price, d.movement.Note = t.Amount, f.Name
	d.place(t.Place, d.before.Holder, d.before.Due)
	kept, err := d.keepAll()
	if err != nil {
		return ledger.Entry{}, err
	}
	return kept.Entries[len(kept.Entries)-1], nil
}

// atMostOwed refuses to write off more than a buyer owes.
func (r *Room) atMostOwed(ctx context.Context, what string, t Terms) error {
	open, err := r.Open(ctx, ledger.Receivable, t.Client)
	if err != nil {
		return err
	}
	owed, err := money.New(decimal.Zero, t.Amount.Currency())
	for _, l := range open {
		if err == nil && l.Amount.Sign() < 0 && l.Amount.Currency() == owed.Currency() {
			owed, err = owed.Add(l.Amount.Neg())
		}
	}
	if err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	if t.Amount.Decimal().Cmp(owed.Decimal()) > 0 {
		return shop.Refuse(what, "amount", t.Amount.String(), "at most what the client owes, "+owed.String())
	}
	return nil
}

// Reduce books a part of the price that the seller of a watch in stock gives back.
func (r *Room) Reduce(ctx context.Context, id shop.WatchID, t Terms, by string) (shop.Movement, error) {
	d, err := r.begin(ctx, "price reduction", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if err := d.person(t.Client); err != nil {
		return shop.Movement{}, err
	}
	if err := d.cash(t); err != nil {
		return shop.Movement{}, err
	}
	err = d.post(ledger.Reduction(ledger.ReductionTerms{Head: d.head(t.Client, t.Document, t.Text), Amount: t.Amount,
		Rate: t.Rate, Pay: t.pay(), Holding: d.holding}))
	if err != nil {
		return shop.Movement{}, err
	}
	d.movement.Price, d.movement.Note = t.Amount, "the seller gave back a part of the price"
	if d.after.Cost.Currency() == t.Amount.Currency() {
		if d.after.Cost, err = d.after.Cost.Add(t.Amount.Neg()); err != nil {
			return shop.Movement{}, err
		}
	}
	d.after.Client = d.before.Client
	d.place(t.Place, d.before.Holder, d.before.Due)
	return d.keep()
}

// LotPart is one watch of several bought at one price, with what it is worth by itself.
type LotPart struct {
	Watch shop.WatchID
	Worth money.Money
}

// BuyLot buys several offered watches at one price, which is divided in the proportion of what each is
// worth. All are booked, or none.
func (r *Room) BuyLot(ctx context.Context, parts []LotPart, t Buying, by string) ([]shop.Movement, error) {
	const what = "buy a lot"
	prices, err := apportioned(what, t.Amount, parts)
	if err != nil {
		return nil, err
	}
	scheme, err := r.scheme(ctx, t.Scheme)
	if err != nil {
		return nil, err
	}
	if err := r.cashAllowed(ctx, what, t.Terms, cmp.Or(t.Day, r.shop.Now().Format(time.DateOnly)), t.Amount); err != nil {
		return nil, err
	}
	var step shop.Step
	for i, p := range parts {
		one := t.Terms
		one.Amount = prices[i]
		d, err := r.comingIn(ctx, what, p.Watch, one, shop.Own, by)
		if err != nil {
			return nil, err
		}
		text := fmt.Sprintf("no. %d %s, its part of %s by value", d.before.Number, d.before.Title, t.Amount)
		err = d.post(ledger.Purchase(ledger.PurchaseTerms{Head: d.head(t.Client, t.Document, text), Price: prices[i],
			Rate: t.Rate, Pay: t.pay(), Scheme: scheme}))
		if err != nil {
			return nil, err
		}
		if err := d.bought(one); err != nil {
			return nil, err
		}
		d.finish()
		step.Watches, step.Movements = append(step.Watches, d.step.Watches...), append(step.Movements, d.step.Movements...)
		step.Entries = append(step.Entries, d.step.Entries...)
	}
	kept, err := r.keepStep(ctx, what, step)
	return kept.Movements, err
}

// apportioned divides a price in the proportion of values.
func apportioned(what string, price money.Money, parts []LotPart) ([]money.Money, error) {
	sum := decimal.Zero
	var err error
	for i, p := range parts {
		if p.Worth.Sign() <= 0 || p.Worth.Currency() != parts[0].Worth.Currency() {
			return nil, shop.Refuse(what, "value", p.Worth.String(), "what each watch is worth, above zero, in one currency")
		}
		for _, other := range parts[:i] {
			if other.Watch == p.Watch {
				return nil, shop.Refuse(what, "watch", "one named twice", "each watch once")
			}
		}
		if sum, err = sum.Add(p.Worth.Decimal()); err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
	}
	if len(parts) < 2 {
		return nil, shop.Refuse(what, "watches", fmt.Sprint(len(parts)), "two or more")
	}
	shares, rest := make([]decimal.Decimal, len(parts)), decimal.One
	for i, p := range parts {
		if shares[i], err = p.Worth.Decimal().Quo(sum); err == nil && i < len(parts)-1 {
			rest, err = rest.Sub(shares[i])
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
	}
	shares[len(parts)-1] = rest
	return ledger.Split(price, shares)
}

// CloseYear moves income and expense of a year that is over to the profits of closed years, and locks it.
func (r *Room) CloseYear(ctx context.Context, year string, by string) (ledger.Entry, error) {
	const what = "close the year"
	t, err := time.Parse("2006", year)
	if err != nil || t.AddDate(1, 0, 0).After(r.shop.Now()) {
		return ledger.Entry{}, shop.Refuse(what, "year", fmt.Sprintf("%q", year), "a year that is over, such as 2025")
	}
	last := year + "-12-31"
	books := ledger.NewBooks(r.shop.Currency())
	for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{}) {
		if err == nil && e.Day <= last {
			err = books.Post(e)
		}
		if err != nil {
			return ledger.Entry{}, fmt.Errorf("%s: %w", what, err)
		}
	}
	sums, err := books.Balances()
	if err != nil {
		return ledger.Entry{}, fmt.Errorf("%s: %w", what, err)
	}
	h, err := r.head(ctx, what, Terms{Day: last, Text: "income and expense of " + year}, by)
	if err != nil {
		return ledger.Entry{}, err
	}
	e, err := r.keepEntry(ctx, what)(ledger.CloseYear(h, sums))
	if err != nil {
		return e, err
	}
	_, err = r.SetPeriod(ctx, year+"-12", PeriodLocked)
	return e, err
}
