package intake

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
)

// Correcting is what a file is corrected to; an empty maker stays as it is.
type Correcting struct {
	Maker     string
	Reference string
	Reason    string
	Version   int // of the record that was looked at; 0: the latest
}

// Correct gives a file another maker or reference. What it had, and why it changed, becomes an item of evidence.
func (r *Room) Correct(ctx context.Context, id shop.WatchID, c Correcting, by string) (shop.Watch, error) {
	const what = "correct a file"
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return shop.Watch{}, fmt.Errorf("%s: %w", what, err)
	}
	if c.Version != 0 && c.Version != w.Version {
		return shop.Watch{}, fmt.Errorf("%s: version %d, now %d: %w", what, c.Version, w.Version, shop.ErrConflict)
	}
	is := w
	if maker := strings.TrimSpace(c.Maker); maker != "" {
		is.Maker = maker
	}
	if is.Reference = strings.TrimSpace(c.Reference); is.Reference == "" {
		is.Reference = w.Reference
	}
	r.title(ctx, &is)
	if is.Maker == w.Maker && is.Reference == w.Reference {
		return shop.Watch{}, shop.Refuse(what, "reference", strconv.Quote(is.Maker+" "+is.Reference)+", which it has already",
			"another maker or reference than it has")
	}
	items, err := r.shop.NewItems(what, by, []evidence.Data{&evidence.Correction{Maker: is.Maker, Reference: is.Reference,
		WasMaker: w.Maker, WasReference: w.Reference, Reason: strings.TrimSpace(c.Reason)}})
	if err != nil {
		return shop.Watch{}, err
	}
	is.Changed = r.shop.Now()
	kept, err := r.stores.Steps.KeepStep(ctx, shop.Step{Watches: []shop.Watch{is},
		Items: map[shop.WatchID][]evidence.Item{id: items}})
	if err != nil {
		return shop.Watch{}, fmt.Errorf("%s: %w", what, err)
	}
	return kept.Watches[0], nil
}

// add writes items that were made for a watch. Where one of them takes a correction back, or brings one back, the
// record gets the names that hold then, in the same transaction.
func (r *Room) add(ctx context.Context, w shop.Watch, items []evidence.Item) error {
	if !slices.ContainsFunc(items, func(it evidence.Item) bool { return it.Kind() == evidence.KindWithdrawal }) {
		return r.stores.Watches.Append(ctx, w.ID, items...)
	}
	log, err := r.shop.LogOf(ctx, w)
	if err != nil {
		return err
	}
	log.Evidence = append(slices.Clone(log.Evidence), items...)
	maker, reference := log.NamedAsOf(r.shop.Now().Add(24 * time.Hour))
	if maker == w.Maker && reference == w.Reference {
		return r.stores.Watches.Append(ctx, w.ID, items...)
	}
	w.Maker, w.Reference, w.Changed = maker, reference, r.shop.Now()
	r.title(ctx, &w)
	_, err = r.stores.Steps.KeepStep(ctx, shop.Step{Watches: []shop.Watch{w},
		Items: map[shop.WatchID][]evidence.Item{w.ID: items}})
	return err
}

// title names a watch as the book has it.
func (r *Room) title(ctx context.Context, w *shop.Watch) {
	if m, ref, ok := r.shop.Book(ctx).Reference(w.Maker, w.Reference); ok {
		w.Maker, w.Reference = m.Name, ref.ID
		w.Title = strings.TrimSpace(m.Name + " " + ref.ID + " " + ref.Name)
		return
	}
	if m, ok := r.shop.Book(ctx).Maker(w.Maker); ok {
		w.Maker = m.Name
	}
	w.Title = w.Maker + " " + w.Reference
}
