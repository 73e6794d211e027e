package trade

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
)

// dealing is one step in the making: the watch as it was read, what the ledger knows of
// it, and what is to be kept.
type pending struct {
	s        *Room
	ctx      context.Context
	what     string
	by       string
	day      string
	before   shop.Watch
	after    shop.Watch
	entries  []ledger.Entry // of the watch, as kept
	holding  ledger.Holding
	movement shop.Movement
	step     shop.Step
}

// deal begins a step. An empty day is today's.
func (r *Room) begin(ctx context.Context, what string, id shop.WatchID, day, by string) (*pending, error) {
	now := r.shop.Now()
	if day == "" {
		day = now.Format(time.DateOnly)
	}
	if t, err := time.Parse(time.DateOnly, day); err != nil || t.After(now.AddDate(0, 0, 1)) {
		return nil, shop.Refuse(what, "day", fmt.Sprintf("%q", day), "a day such as 2026-03-01, not in the future")
	}
	if strings.TrimSpace(by) == "" {
		return nil, shop.Refuse(what, "by", "nothing", "who does it")
	}
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	d := &pending{s: r, ctx: ctx, what: what, by: strings.TrimSpace(by), day: day, before: w, after: w}
	if d.entries, err = r.shop.Entries(ctx, shop.EntryFilter{Watch: id}); err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	if d.holding, err = ledger.HoldingOf(string(id), d.entries); err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	if err := d.opening(); err != nil {
		return nil, err
	}
	d.movement = shop.Movement{ID: r.shop.NewID("mv"), Watch: id, From: w.State, To: w.State, Day: day, At: now,
		By: d.by, Before: snapshotOf(w)}
	return d, nil
}

// opening adds the first movement of a watch that has none: that it was taken in.
func (d *pending) opening() error {
	moves, err := d.s.stores.Steps.Movements(d.ctx, d.before.ID)
	if err != nil {
		return fmt.Errorf("%s: %w", d.what, err)
	}
	if len(moves) > 0 {
		return nil
	}
	first := opened(d.before, d.s.shop.NewID("mv"), d.by)
	first.Day = min(first.Day, d.day) // a step entered late was taken after it came in
	d.step.Movements = append(d.step.Movements, first)
	return nil
}

// opened is the movement that stands for the taking in of a watch.
func opened(w shop.Watch, id, by string) shop.Movement {
	return shop.Movement{ID: id, Watch: w.ID, To: w.State, Day: w.Created.Format(time.DateOnly), At: w.Created, By: by,
		Person: w.Client,
		Place:  w.Place, Holder: w.Holder, Due: w.Due, Owned: w.Ownership(), Note: "taken in"}
}

// head begins an entry about the watch.
func (d *pending) head(party, document, text string) ledger.Head {
	if text == "" {
		text = fmt.Sprintf("no. %d %s", d.before.Number, d.before.Title)
	}
	return ledger.Head{ID: d.s.shop.NewID("le"), Day: d.day, At: d.s.shop.Now(), By: d.by, Watch: string(d.before.ID),
		Party: party, Document: document, Text: text, Base: d.s.shop.Currency()}
}

// post adds an entry that a posting rule made.
func (d *pending) post(e ledger.Entry, err error) error {
	if err != nil {
		return unbookable(d.what, err)
	}
	d.step.Entries = append(d.step.Entries, e)
	d.movement.Entries = append(d.movement.Entries, e.ID)
	return nil
}

// unbookable refuses terms that a rule of the ledger cannot book.
func unbookable(what string, err error) error {
	var term *ledger.TermsError
	if errors.As(err, &term) {
		return shop.Refuse(what, term.Field, term.Found, term.Want)
	}
	return shop.Refuse(what, "terms", err.Error(), "terms that can be booked")
}

// to moves the watch into a state, if it may go there.
func (d *pending) to(state shop.State, owned shop.Ownership) error {
	t, ok := transition(d.before.State, d.before.Ownership(), state)
	if ok && t.Owned != "" && owned != "" && t.Owned != owned {
		ok = false
	}
	if !ok {
		return shop.Refuse(d.what, "state", fmt.Sprintf("%s to %s", d.before.State, state),
			"one of: "+nexts(d.before.State, d.before.Ownership()))
	}
	d.after.State = state
	if owned != "" {
		d.after.Owned = owned
	} else {
		d.after.Owned = d.before.Ownership()
	}
	if state == shop.Returned && d.before.State != shop.Sold {
		d.after.Owned = ""
	}
	return nil
}

// person checks that a client is there.
func (d *pending) person(id string) error {
	d.movement.Person = id
	return d.s.shop.ClientOnRecord(d.ctx, d.what, id)
}

// finish puts the watch and its movement into the step.
func (d *pending) finish() {
	d.after.Changed, d.after.ChangedBy = d.s.shop.Now(), d.by
	m := &d.movement
	m.To, m.Owned, m.Place, m.Holder, m.Due = d.after.State, d.after.Owned, d.after.Place, d.after.Holder, d.after.Due
	d.step.Watches = append(d.step.Watches, d.after)
	d.step.Movements = append(d.step.Movements, *m)
}

// keep writes the step: all of it or nothing.
func (d *pending) keep() (shop.Movement, error) {
	kept, err := d.keepAll()
	if err != nil {
		return shop.Movement{}, err
	}
	return kept.Movements[len(kept.Movements)-1], nil
}

// keepAll is keep, with the step as the store numbered it.
func (d *pending) keepAll() (shop.Step, error) {
	if err := d.ownSale(); err != nil {
		return shop.Step{}, fmt.Errorf("%s no. %d %s: %w", d.what, d.before.Number, d.before.Title, err)
	}
	d.finish()
	kept, err := d.s.keepStep(d.ctx, d.what, d.step)
	if err != nil {
		return kept, fmt.Errorf("%s no. %d %s: %w", d.what, d.before.Number, d.before.Title, err)
	}
	return kept, nil
}

func snapshotOf(w shop.Watch) shop.Snapshot {
	return shop.Snapshot{State: w.State, Owned: w.Ownership(), Place: w.Place, Holder: w.Holder, Due: w.Due,
		Client: w.Client, Cost: w.Cost, Acquired: w.Acquired}
}

// restored returns the record as it was before.
func restored(w shop.Watch, was shop.Snapshot) shop.Watch {
	w.State, w.Owned, w.Place, w.Holder, w.Due, w.Client, w.Cost, w.Acquired = was.State, was.Owned, was.Place, was.Holder, was.Due, was.Client, was.Cost, was.Acquired
	return w
}
