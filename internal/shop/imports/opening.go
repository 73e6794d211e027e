package imports

import (
	"context"
	"fmt"
	"maps"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
)

// boughtOn is the day under which what a watch cost is booked: that of its buying, as far
// as it is known and past, else today.
func (r *Room) boughtOn(w shop.Watch) string {
	now := r.shop.Now()
	if last, ok := w.Acquired.Last(); ok && !last.After(now) {
		return last.Format(time.DateOnly)
	}
	return now.Format(time.DateOnly)
}

// opening is the entry for what a watch cost before the books began; ok is false where it
// was paid in a currency that has no rate on that day.
func (r *Room) opening(ctx context.Context, w shop.Watch, where, scheme, by string) (e ledger.Entry, ok bool,
	err error) {
	day, base := r.boughtOn(w), r.shop.Currency()
	var rate decimal.Decimal
	if c := w.Cost.Currency(); c != base {
		on, known := r.shop.RateOn(ctx, c, day)
		if !known {
			return ledger.Entry{}, false, nil
		}
		if rate, err = decimal.NewFromFloat64(on); err != nil {
			return ledger.Entry{}, false, fmt.Errorf("rate: %w", err)
		}
		rate = rate.Round(8)
	}
	e, err = ledger.Purchase(ledger.PurchaseTerms{
		Head: ledger.Head{ID: r.shop.NewID("le"), Day: day, At: r.shop.Now(), By: by, Watch: string(w.ID),
			Party: w.Client, Text: "opening entry, " + where, Base: base},
		Price: w.Cost, Rate: rate, Pay: ledger.Capital, Scheme: scheme,
	})
	return e, err == nil, err
}

// scheme is the tax scheme under which what came before the books is entered.
func (r *Room) scheme(ctx context.Context) (string, error) {
	set, err := r.shop.Settings(ctx)
	if err != nil || set.Terms.Tax.Scheme == "" {
		return ledger.NoTax, err
	}
	return set.Terms.Tax.Scheme, nil
}

// BookLate books the purchases that came in without an exchange rate and have one now. It
// returns how many. A watch that was changed or booked meanwhile is left alone.
func (r *Room) BookLate(ctx context.Context, by string) (int, error) {
	all, err := r.Batches(ctx)
	if err != nil {
		return 0, err
	}
	scheme, err := r.scheme(ctx)
	if err != nil {
		return 0, err
	}
	booked := 0
	for _, b := range all {
		if len(b.Unbooked) == 0 || b.Undone != nil {
			continue
		}
		n, err := r.bookBatch(ctx, b, scheme, by)
		if booked += n; err != nil {
			return booked, fmt.Errorf("book purchases of %s: %w", b.File, err)
		}
	}
	return booked, nil
}

func (r *Room) bookBatch(ctx context.Context, b shop.Batch, scheme, by string) (int, error) {
	step := shop.Step{Import: &shop.Import{}}
	late := map[shop.WatchID]string{}
	maps.Copy(late, b.Late)
	var waiting []shop.WatchID
	for _, id := range b.Unbooked {
		w, err := r.stores.Watches.Watch(ctx, id)
		if err != nil {
			return 0, err
		}
		free, err := r.unbooked(ctx, w)
		if err != nil {
			return 0, err
		}
		if !free {
			continue
		}
		e, ok, err := r.opening(ctx, w, b.File, scheme, by)
		if err != nil {
			return 0, fmt.Errorf("watch %s: %w", id, err)
		}
		if !ok {
			waiting = append(waiting, id)
			continue
		}
		step.Entries = append(step.Entries, e)
		late[id] = e.ID
	}
	if len(step.Entries) == 0 && len(waiting) == len(b.Unbooked) {
		return 0, nil
	}
	b.Unbooked, b.Late = waiting, late
	step.Import.Batch = b
	_, err := r.stores.Steps.KeepStep(ctx, step)
	return len(step.Entries), err
}

// unbooked reports whether nothing is booked on a watch of ours with its price.
func (r *Room) unbooked(ctx context.Context, w shop.Watch) (bool, error) {
	if w.State == shop.TakenBack || w.State == shop.Sold || w.Owned != shop.Own || w.Cost.IsZero() {
		return false, nil
	}
	for _, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{Watch: w.ID}) {
		return false, err
	}
	return true, nil
}
