package trade

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rights"
	"midcase/money"
)

// Life is the life of a watch in the shop as far as it went, and the money in it.
type Life struct {
	Watch    shop.Watch
	Where    Where
	Steps    []shop.Movement // every one, the oldest first
	Undoable string          // the id of the step that Undo would take back; empty for none
	Undone   map[string]bool
	Holds    []shop.Hold // what stands against selling it now, and what to think of
	Known    bool        // the ledger has entries about it
	Holding  ledger.Holding
	// CostSoFar is what the watch stands for in stock, work included; Fees what selling it has
	// cost so far, which the ledger counts as an expense at once. Both in the shop's currency.
	CostSoFar money.Money
	Fees      money.Money
	// Profit is income less expense of a watch that was sold, in the shop's currency.
	Profit  money.Money
	Entries []ledger.Entry
	// Owed is what the buyer still owes for it; Plan how it is paid in instalments, and Paying how that stands.
	Owed   money.Money
	Plan   *ledger.Plan
	Paying ledger.PlanStanding
}

// Seen is a life as whoever asks may see it: without what the watch cost, what its owner gets and what it earned,
// where that is not for them.
func (l Life) Seen(ctx context.Context) Life {
	l.Watch = shop.SeenWatch(ctx, l.Watch)
	if rights.May(ctx, rights.Cost) {
		return l
	}
	l.Steps = slices.Clone(l.Steps)
	for i := range l.Steps {
		l.Steps[i] = shop.SeenMovement(ctx, l.Steps[i])
	}
	h := &l.Holding
	h.Purchase, h.Consign, h.Stakes = money.Money{}, nil, nil
	l.Known, l.Entries = false, nil
	l.CostSoFar, l.Fees, l.Profit = money.Money{}, money.Money{}, money.Money{}
	return l
}

// LifeOf gathers where a watch is, what happened to it, what stands against selling it
// and what it has cost.
func (r *Room) Life(ctx context.Context, id shop.WatchID) (Life, error) {
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return Life{}, fmt.Errorf("life: %w", err)
	}
	out := Life{Watch: w, Undone: map[string]bool{}}
	if out.Where, err = r.WhereIs(ctx, id); err != nil {
		return Life{}, err
	}
	if out.Steps, err = r.History(ctx, id); err != nil {
		return Life{}, err
	}
	for _, m := range out.Steps {
		if m.Undoes != "" {
			out.Undone[m.Undoes] = true
		}
	}
	if left := shop.Effective(out.Steps); len(left) > 1 {
		out.Undoable = left[len(left)-1].ID
	}
	if out.Holds, err = r.Holds(ctx, id, r.shop.Now()); err != nil {
		return Life{}, err
	}
	if err = r.moneyIn(ctx, &out); err != nil {
		return out, err
	}
	return out, r.owedIn(ctx, &out)
}

// owedIn fills in what the buyer of a watch still owes, and how it is paid.
func (r *Room) owedIn(ctx context.Context, l *Life) error {
	if l.Watch.State != shop.Sold || l.Holding.Sale == nil {
		return nil
	}
	open, err := r.Open(ctx, ledger.Receivable, l.Holding.Sale.Party)
	if err != nil {
		return fmt.Errorf("life: %w", err)
	}
	for _, x := range open {
		if x.Watch == string(l.Watch.ID) && x.Amount.Sign() < 0 {
			l.Owed = x.Amount.Neg()
		}
	}
	plan, paid, err := r.PlanOf(ctx, l.Watch.ID)
	if err != nil || plan == nil {
		return err
	}
	l.Plan = plan
	l.Paying, err = plan.Standing(paid, r.shop.Now().Format(time.DateOnly))
	return err
}

// moneyIn fills in what the ledger knows of the watch.
func (r *Room) moneyIn(ctx context.Context, l *Life) error {
	var err error
	if l.Entries, err = r.shop.Entries(ctx, shop.EntryFilter{Watch: l.Watch.ID}); err != nil {
		return fmt.Errorf("life: %w", err)
	}
	l.Known = len(l.Entries) > 0
	if l.Holding, err = ledger.HoldingOf(string(l.Watch.ID), l.Entries); err != nil {
		return fmt.Errorf("life: %w", err)
	}
	if l.CostSoFar, err = l.Holding.Cost(r.shop.Currency()); err != nil {
		return fmt.Errorf("life: %w", err)
	}
	fees, profit := decimal.Zero, decimal.Zero
	for _, e := range l.Entries {
		for _, line := range e.Lines {
			if line.Watch != string(l.Watch.ID) {
				continue
			}
			switch class := ledger.ClassOf(line.Account); {
			case err != nil:
			case line.Account == ledger.Fees:
				if fees, err = fees.Add(line.Base.Decimal()); err == nil {
					profit, err = profit.Sub(line.Base.Decimal())
				}
			case class == ledger.Income || class == ledger.Expense:
				profit, err = profit.Sub(line.Base.Decimal())
			}
		}
	}
	if err == nil {
		l.Fees, err = money.New(fees, r.shop.Currency())
	}
	if err == nil {
		l.Profit, err = money.New(profit, r.shop.Currency())
	}
	if err != nil {
		return fmt.Errorf("life: %w", err)
	}
	return nil
}
