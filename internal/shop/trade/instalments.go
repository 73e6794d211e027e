package trade

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Paying are the terms on which a buyer pays what is open for a watch in instalments.
type Paying struct {
	Day         string // on which it was agreed; empty: today
	Instalments int
	Rate        decimal.Decimal // of interest a year, such as 0.06; 0 for none
	First       string          // the day of the first payment
}

// Instalments agrees with the buyer of a watch that what is open is paid in monthly instalments. From then on what is
// received for the watch is divided into interest and price by the plan. A later plan takes the place of an earlier one.
func (r *Room) Instalments(ctx context.Context, id shop.WatchID, t Paying, by string) (shop.Movement, error) {
	const what = "instalments"
	d, err := r.begin(ctx, what, id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	sale := d.holding.Sale
	if d.before.State != shop.Sold || sale == nil {
		return shop.Movement{}, shop.Refuse(what, "watch", string(d.before.State), "a watch with a sale that stands")
	}
	if t.First < d.day {
		return shop.Movement{}, shop.Refuse(what, "first", fmt.Sprintf("%q", t.First),
			"the day of the first payment, such as "+d.day+" or later")
	}
	open, err := r.openFor(ctx, id, sale.Party)
	if err != nil {
		return shop.Movement{}, err
	}
	plan, err := ledger.NewPlan(open, t.Rate, t.Instalments, t.First)
	if err != nil {
		return shop.Movement{}, unbookable(what, err)
	}
	plan.Sale, plan.Party = sale.ID, sale.Party
	if plan.Before, err = interestOn(string(id), open.Currency(), d.entries); err != nil {
		return shop.Movement{}, err
	}
	d.movement.Plan, d.movement.Person, d.movement.Price = &plan, sale.Party, open
	d.movement.Note = fmt.Sprintf("to be paid in %d instalments", t.Instalments)
	return d.keep()
}

// openFor is what a buyer still owes for a watch.
func (r *Room) openFor(ctx context.Context, id shop.WatchID, buyer string) (money.Money, error) {
	open, err := r.Open(ctx, ledger.Receivable, buyer)
	if err != nil {
		return money.Money{}, err
	}
	for _, l := range open {
		if l.Watch == string(id) && l.Amount.Sign() < 0 {
			return l.Amount.Neg(), nil
		}
	}
	return money.Money{}, shop.Refuse("instalments", "watch", "one for which nothing is owed",
		"a watch that was sold with the price, or a part of it, still owed")
}

// interestOn is the interest that was received on a watch, in a currency.
func interestOn(id string, c money.Currency, entries []ledger.Entry) (money.Money, error) {
	sum, err := money.New(decimal.Zero, c)
	for _, e := range entries {
		for _, l := range e.Lines {
			if l.Account == ledger.InterestIn && l.Watch == id && l.Amount.Currency() == c && err == nil {
				sum, err = sum.Add(l.Amount.Neg())
			}
		}
	}
	return sum, err
}

// PlanOf is the plan of a watch that is paid in instalments, with what was paid by it so far, interest and price; nil
// where there is none. An allowance counts as paid.
func (r *Room) PlanOf(ctx context.Context, id shop.WatchID) (*ledger.Plan, money.Money, error) {
	steps, err := r.stores.Steps.Movements(ctx, id)
	if err != nil {
		return nil, money.Money{}, fmt.Errorf("instalments: %w", err)
	}
	var plan *ledger.Plan
	for _, m := range shop.Effective(steps) {
		if m.Plan != nil {
			plan = m.Plan
		}
	}
	if plan == nil {
		return nil, money.Money{}, nil
	}
	entries, err := r.shop.Entries(ctx, shop.EntryFilter{Party: plan.Party})
	if err != nil {
		return nil, money.Money{}, fmt.Errorf("instalments: %w", err)
	}
	h, err := ledger.HoldingOf(string(id), entries)
	if err != nil || h.Sale == nil || h.Sale.ID != plan.Sale {
		return nil, money.Money{}, err
	}
	open, err := r.openFor(ctx, id, plan.Party)
	var refused *shop.Invalid
	if errors.As(err, &refused) { // nothing is open any more
		open, err = money.New(decimal.Zero, plan.Principal.Currency())
	}
	if err != nil {
		return nil, money.Money{}, err
	}
	paid, err := interestOn(string(id), plan.Principal.Currency(), entries)
	for _, m := range []money.Money{plan.Principal, open.Neg(), plan.Before.Neg()} {
		if err == nil {
			paid, err = paid.Add(m)
		}
	}
	return plan, paid, err
}

// byPlan divides what a buyer pays for a watch into price and interest by its plan, where it has one. Without an amount
// the plan is paid off on the day.
func (r *Room) byPlan(ctx context.Context, open []ledger.Lot, t Terms, day string) (price, interest money.Money, err error) {
	const what = "settle"
	for i, l := range open {
		if l.Watch == "" || l.Amount.Sign() >= 0 {
			continue
		}
		plan, paid, err := r.PlanOf(ctx, shop.WatchID(l.Watch))
		if err != nil {
			return t.Amount, interest, err
		}
		if plan == nil || plan.Principal.Currency() != l.Amount.Currency() {
			continue
		}
		if i > 0 || len(open) > 1 {
			return t.Amount, interest, shop.Refuse(what, "for", "several watches, one of which is paid in instalments",
				"the watch that is paid")
		}
		interest, price, err = plan.PayOff(paid, day)
		if err != nil {
			return price, interest, err
		}
		given := t.Amount
		if given.Sign() < 0 {
			given = given.Neg()
		}
		if all, err := price.Add(interest); err != nil || given.IsZero() || given.Decimal().Cmp(all.Decimal()) == 0 {
			return price, interest, err
		}
		interest, price, err = plan.Parts(paid, given)
		if err != nil {
			return price, interest, unbookable(what, err)
		}
		return price, interest, nil
	}
	return t.Amount, interest, nil
}

// Owing is a watch that is paid in instalments, as it stands.
type Owing struct {
	Watch  shop.Watch  `json:"watch"`
	Client string      `json:"client"`
	Plan   ledger.Plan `json:"plan"`
	ledger.PlanStanding
}

// InInstalments lists which of the open sums are paid in instalments, the next due first.
func (r *Room) InInstalments(ctx context.Context, open []ledger.OpenSum) ([]Owing, error) {
	today := r.shop.Now().Format(time.DateOnly)
	out := []Owing{}
	for _, x := range open {
		if x.Account != ledger.Receivable || x.Watch == "" || x.Amount.Sign() <= 0 {
			continue
		}
		plan, paid, err := r.PlanOf(ctx, shop.WatchID(x.Watch))
		if err != nil {
			return nil, err
		}
		if plan == nil || plan.Party != x.Party {
			continue
		}
		w, err := r.stores.Watches.Watch(ctx, shop.WatchID(x.Watch))
		if err != nil {
			return nil, fmt.Errorf("instalments: %w", err)
		}
		st, err := plan.Standing(paid, today)
		if err != nil {
			return nil, fmt.Errorf("instalments: %w", err)
		}
		out = append(out, Owing{w, plan.Party, *plan, st})
	}
	slices.SortFunc(out, func(a, b Owing) int {
		return cmp.Or(cmp.Compare(a.Next, b.Next), cmp.Compare(a.Watch.Number, b.Watch.Number))
	})
	return out, nil
}
