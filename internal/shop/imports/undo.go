package imports

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/opinion"
)

// Undo takes back all of a batch that nothing later stands on, and says what stays and why. Sales, watches and entries
// go in one transaction; clients are erased after it, each by itself, so that nothing of them stays readable, and the
// batch says so at the end. Undone again, it takes back what has become free since.
func (r *Room) Undo(ctx context.Context, id, by string) (shop.Batch, error) {
	b, err := r.Batch(ctx, id)
	if err != nil {
		return b, err
	}
	if b.As == OfBank {
		return r.undoBank(ctx, b, by)
	}
	u := &undoing{Room: r, by: by, batch: b,
		step: shop.Step{Import: &shop.Import{}, Items: map[shop.WatchID][]evidence.Item{}},
		done: shop.Undone{At: r.shop.Now(), By: by}}
	if b.Undone != nil {
		u.done.Taken = b.Undone.Taken
	}
	if err := u.sales(ctx); err != nil {
		return b, fmt.Errorf("undo %s: %w", id, err)
	}
	for _, w := range b.Watches {
		if err := u.watch(ctx, w); err != nil {
			return b, fmt.Errorf("undo %s: watch %s: %w", id, w, err)
		}
	}
	for _, c := range b.Changed {
		if err := u.changed(ctx, c); err != nil {
			return b, fmt.Errorf("undo %s: watch %s: %w", id, c.Watch, err)
		}
	}
	free, err := u.freeClients(ctx)
	if err != nil {
		return b, fmt.Errorf("undo %s: %w", id, err)
	}
	b.Undone = &u.done
	u.step.Import.Batch = b
	if _, err := r.stores.Steps.KeepStep(ctx, u.step); err != nil {
		return b, fmt.Errorf("undo %s: %w", id, err)
	}
	if len(free) == 0 {
		return b, nil
	}
	u.erase(ctx, free)
	if _, err := r.stores.Steps.KeepStep(ctx, shop.Step{Import: &shop.Import{Batch: b}}); err != nil {
		return b, fmt.Errorf("undo %s: %w", id, err)
	}
	return b, nil
}

// undoing is the work on taking one batch back.
type undoing struct {
	*Room
	by    string
	batch shop.Batch
	step  shop.Step
	done  shop.Undone
}

func (u *undoing) stays(what, id, name, why string) {
	u.done.Kept = append(u.done.Kept, shop.Stayed{What: what, ID: id, Name: name, Why: why})
}

// sales withdraws the sales that no kept opinion cites.
func (u *undoing) sales(ctx context.Context) error {
	if len(u.batch.Sales) == 0 {
		return nil
	}
	cited, err := u.cited(ctx)
	if err != nil {
		return err
	}
	for _, id := range u.batch.Sales {
		sale, err := u.stores.Sales.Sale(ctx, id)
		if errors.Is(err, shop.ErrNotFound) {
			continue // taken back before
		}
		if err != nil {
			return err
		}
		if title := cited[id]; title != "" {
			u.stays("sale", id, sale.Date+" "+sale.Maker+" "+sale.Reference,
				"an opinion that was kept on "+title+" cites it")
			continue
		}
		u.step.Import.Withdraw = append(u.step.Import.Withdraw, id)
		u.done.Taken++
	}
	return nil
}

// cited are the sales that opinions cite which were kept since the batch came in.
func (u *undoing) cited(ctx context.Context) (map[string]string, error) {
	out := map[string]string{}
	latest, err := u.stores.Opinions.LatestOpinions(ctx)
	if err != nil {
		return nil, err
	}
	for _, l := range latest {
		if l.Formed.Before(u.batch.At) {
			continue
		}
		kept, err := u.stores.Opinions.Opinions(ctx, l.Watch)
		if err != nil {
			return nil, err
		}
		for _, k := range kept {
			var o opinion.Opinion
			if k.Formed.Before(u.batch.At) || json.Unmarshal(k.JSON, &o) != nil {
				continue
			}
			for _, c := range o.Value.Comparables {
				out[c.Sale] = o.Watch.Title
			}
		}
	}
	return out, nil
}

// watch takes back the file of a watch, its evidence and its opening entry.
func (u *undoing) watch(ctx context.Context, id shop.WatchID) error {
	w, err := u.stores.Watches.Watch(ctx, id)
	if err != nil {
		return err
	}
	if w.State == shop.TakenBack {
		return nil
	}
	items, err := u.stores.Watches.Evidence(ctx, id)
	if err != nil {
		return err
	}
	moves, err := u.stores.Steps.Movements(ctx, id)
	if err != nil {
		return err
	}
	why, err := u.standsOn(ctx, w, items, moves)
	if err != nil {
		return err
	}
	if why != "" {
		u.stays("watch", string(id), fmt.Sprintf("no. %d %s", w.Number, w.Title), why)
		return nil
	}
	reason := "import " + u.batch.File + " was undone"
	for _, it := range items {
		made, err := u.shop.NewItems("undo import", u.by,
			[]evidence.Data{&evidence.Withdrawal{Of: it.ID, Reason: reason}})
		if err != nil {
			return err
		}
		u.step.Items[id] = append(u.step.Items[id], made...)
	}
	now := u.shop.Now()
	m := shop.Movement{ID: u.shop.NewID("m"), Watch: id, From: w.State, To: shop.TakenBack,
		Day: now.Format(time.DateOnly), At: now,
		By: u.by, Reason: reason, Undoes: moves[0].ID,
		Before: shop.Snapshot{State: w.State, Owned: w.Owned, Cost: w.Cost, Acquired: w.Acquired}}
	entries := moves[0].Entries
	if late := u.batch.Late[id]; late != "" {
		entries = append(slices.Clone(entries), late)
	}
	for _, entry := range entries {
		if err := u.counter(ctx, entry, reason, &m); err != nil {
			return err
		}
	}
	w.State, w.Owned, w.Client, w.Changed = shop.TakenBack, "", "", now
	u.step.Watches, u.step.Movements = append(u.step.Watches, w), append(u.step.Movements, m)
	u.done.Taken++
	return nil
}

// changed gives the record of a watch back what the file changed, where it still says that.
func (u *undoing) changed(ctx context.Context, c shop.WatchChange) error {
	w, err := u.stores.Watches.Watch(ctx, c.Watch)
	if err != nil {
		return err
	}
	if same(w.Asking, c.AskingBefore) && w.State == c.StateBefore {
		return nil // taken back before
	}
	if !same(w.Asking, c.Asking) || w.State != c.State || w.State != c.StateBefore && !trade.ByHand(w, c.StateBefore) {
		u.stays("watch", string(c.Watch), fmt.Sprintf("no. %d %s", w.Number, w.Title), "its record was changed since")
		return nil
	}
	w.Asking, w.State = c.AskingBefore, c.StateBefore
	step, err := u.trade.RecordStep(ctx, w, u.by, "import "+u.batch.File+" was undone")
	if err != nil {
		return err
	}
	u.step.Watches = append(u.step.Watches, step.Watches...)
	u.step.Movements = append(u.step.Movements, step.Movements...)
	u.done.Taken++
	return nil
}

// counter reverses an opening entry.
func (u *undoing) counter(ctx context.Context, entry, reason string, m *shop.Movement) error {
	for e, err := range u.stores.Steps.Entries(ctx, shop.EntryFilter{ID: entry}) {
		if err != nil {
			return err
		}
		c, err := ledger.CounterEntry(e, ledger.Head{ID: u.shop.NewID("le"), Day: m.Day, At: m.At, By: u.by,
			Base: e.Base}, reason)
		if err != nil {
			return err
		}
		u.step.Entries, m.Entries = append(u.step.Entries, c), append(m.Entries, c.ID)
	}
	return nil
}

// standsOn says what was done with a watch since it came in; empty for nothing.
func (u *undoing) standsOn(ctx context.Context, w shop.Watch, items []evidence.Item,
	moves []shop.Movement) (string, error) {
	switch {
	case len(moves) > 1:
		return "it has moved since", nil
	case len(moves) == 0 || w.Version > 1:
		return "its record was changed since", nil
	}
	for _, it := range items {
		if it.At.After(u.batch.At) {
			return "evidence was added since", nil
		}
	}
	papers, err := u.stores.Papers.Papers(ctx, shop.PaperFilter{Watch: w.ID})
	if err != nil || len(papers) > 0 {
		return "a paper was issued on it", err
	}
	shown, err := u.stores.Steps.Showings(ctx, shop.ShowingFilter{Watch: w.ID})
	if err != nil || len(shown) > 0 {
		return "it was shown to a client", err
	}
	return "", nil
}

// freeClients are the clients that nothing stands on.
func (u *undoing) freeClients(ctx context.Context) ([]shop.Client, error) {
	var free []shop.Client
	for _, id := range u.batch.Clients {
		c, err := u.stores.Clients.Client(ctx, id)
		if errors.Is(err, shop.ErrNotFound) || err == nil && !c.Erased.IsZero() {
			continue // taken back before
		}
		if err != nil {
			return nil, err
		}
		if c.Version > 1 {
			u.stays("client", id, c.Name, "the record was changed since")
			continue
		}
		moved, err := u.movedOtherwise(ctx, id)
		if err != nil {
			return nil, err
		}
		shown, err := u.stores.Steps.Showings(ctx, shop.ShowingFilter{Client: id})
		if err != nil {
			return nil, err
		}
		if moved || len(shown) > 0 {
			u.stays("client", id, c.Name, "there were dealings since")
			continue
		}
		free = append(free, c)
	}
	return free, nil
}

// erase erases clients; one that cannot be stays, with the reason.
func (u *undoing) erase(ctx context.Context, free []shop.Client) {
	for _, c := range free {
		if _, err := u.people.Erase(ctx, c.ID, "import undone"); err != nil {
			u.stays("client", c.ID, c.Name, err.Error())
			continue
		}
		u.done.Taken++
	}
}

// movedOtherwise reports whether a client has part in a movement beside those of watches
// that are taken back with the batch.
func (u *undoing) movedOtherwise(ctx context.Context, client string) (bool, error) {
	moved, err := u.stores.Steps.MovementsWith(ctx, client)
	if err != nil {
		return false, err
	}
	back := map[shop.WatchID]bool{}
	for _, w := range u.step.Watches {
		back[w.ID] = true
	}
	return slices.ContainsFunc(moved, func(m shop.Movement) bool { return !back[m.Watch] }), nil
}
