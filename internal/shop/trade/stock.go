package trade

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Moving is a step that moves no money: to the watchmaker, photographed, listed, out on
// memo, reserved, or simply to another place.
type Moving struct {
	To     shop.State // empty: the state stays, the place changes
	Day    string
	Person string // a client's id: for whom it is reserved, who has it on memo
	Place  string // empty: as before
	Holder string // who has it in hand; empty: the shop
	Due    edtf.Date
	Asking money.Money // what is asked from now on; none: as before
	Note   string      // nothing about people: it is kept for good
}

// Move takes a watch one step further. Buying, consigning, selling and taking back go
// by Buy, ConsignIn, ShareBuy, Sell and Refund, since money is booked with them.
func (r *Room) Move(ctx context.Context, id shop.WatchID, m Moving, by string) (shop.Movement, error) {
	const what = "move"
	d, err := r.begin(ctx, what, id, m.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if m.To != "" && !slices.Contains(shop.States(), m.To) {
		return shop.Movement{}, shop.Refuse(what, "state", fmt.Sprintf("%q", m.To),
			"one of: "+nexts(d.before.State, d.before.Ownership()))
	}
	if by := needsMoney(d.before, m.To); by != "" {
		return shop.Movement{}, shop.Refuse(what, "state", string(m.To), by+", which books the money too")
	}
	if m.To == "" || m.To == d.before.State {
		if m.Place == "" && m.Holder == "" && m.Due.IsZero() && m.Note == "" && m.Asking.IsZero() {
			return shop.Movement{}, shop.Refuse(what, "step", "nothing to change",
				"a state, a place, a holder, a day due or a note")
		}
	} else if err := d.to(m.To, ""); err != nil {
		return shop.Movement{}, err
	}
	if m.Person != "" || m.To == shop.Reserved || m.To == shop.OnMemo {
		if err := d.person(m.Person); err != nil {
			return shop.Movement{}, err
		}
	}
	d.place(m.Place, m.Holder, m.Due)
	d.after.Client = d.clientAfter(m.Person)
	d.movement.Note = m.Note
	if !m.Asking.IsZero() {
		if m.Asking.Sign() <= 0 {
			return shop.Movement{}, shop.Refuse(what, "asking", m.Asking.String(), "an amount above zero")
		}
		d.after.Asking, d.movement.Price = m.Asking, m.Asking
	}
	return d.keep()
}

// changeStep writes a changed record. Where its state or place is another, it is a step:
// legal by the table, not into a sale inside a hold, and not past the ledger where the ledger knows
// the watch.
func (r *Room) changeStep(ctx context.Context, w shop.Watch) (shop.Watch, error) {
	const what = "change a watch"
	old, err := r.stores.Watches.Watch(ctx, w.ID)
	if err != nil {
		return shop.Watch{}, err
	}
	if old.State == w.State && old.Place == w.Place || old.Version != w.Version {
		return r.stores.Watches.UpdateWatch(ctx, w) // a stale version is refused there
	}
	d, err := r.begin(ctx, what, w.ID, "", shop.User(ctx))
	if err != nil {
		return shop.Watch{}, err
	}
	if old.State != w.State {
		if err := d.to(w.State, comesAs(w.State)); err != nil {
			return shop.Watch{}, err
		}
		if by := needsMoney(old, w.State); by != "" && len(d.entries) > 0 {
			return shop.Watch{}, shop.Refuse(what, "state", string(w.State),
				by+", which books the money too: the ledger knows this watch")
		}
		if w.State == shop.Sold {
			if err := d.sellable(Selling{Terms: Terms{Client: w.Client}}); err != nil {
				return shop.Watch{}, err
			}
		}
	}
	w.Owned = d.after.Owned
	d.after = w
	d.movement.Note = "changed by hand, no money booked"
	if _, err := d.keep(); err != nil {
		return shop.Watch{}, err
	}
	return r.stores.Watches.Watch(ctx, w.ID)
}

// ByHand reports whether a watch may be put into a state by changing its record: the step is one that it may take, and
// neither money nor a person belongs to it.
func ByHand(w shop.Watch, to shop.State) bool {
	t, ok := transition(w.State, w.Ownership(), to)
	if owned := comesAs(to); ok && t.Owned != "" && owned != "" && t.Owned != owned {
		return false
	}
	return ok && needsMoney(w, to) == "" && to != shop.Reserved && to != shop.OnMemo && to != shop.Offered
}

// RecordStep is the step by which the record of a watch comes to say what w says, for somebody who keeps it with more. A
// changed state has to be one that ByHand allows.
func (r *Room) RecordStep(ctx context.Context, w shop.Watch, by, note string) (shop.Step, error) {
	const what = "change a watch"
	d, err := r.begin(ctx, what, w.ID, "", by)
	if err != nil {
		return shop.Step{}, err
	}
	moved := d.before.State != w.State
	if moved && !ByHand(d.before, w.State) {
		return shop.Step{}, shop.Refuse(what, "state", string(w.State), "one of: "+nexts(d.before.State, d.before.Ownership()))
	}
	if moved {
		if err := d.to(w.State, comesAs(w.State)); err != nil {
			return shop.Step{}, err
		}
		w.Owned = d.after.Owned
	}
	d.after, d.movement.Note = w, note
	d.finish()
	if !moved {
		d.step.Movements = nil
	}
	return d.step, nil
}

// comesAs is the ownership with which a watch comes into a state of its own account.
func comesAs(to shop.State) shop.Ownership {
	for owned, state := range base {
		if state == to {
			return owned
		}
	}
	return ""
}

// needsMoney names the dealing by which a watch comes into a state, empty where Move
// will do.
func needsMoney(w shop.Watch, to shop.State) string {
	switch {
	case (w.State == shop.Offered || w.State == shop.Sold) && to == shop.Bought:
		return "buy"
	case w.State == shop.Offered && to == shop.Consigned:
		return "consign"
	case w.State == shop.Offered && to == shop.PartShare:
		return "share"
	case to == shop.Sold:
		return "sell"
	case w.State == shop.Sold && to == shop.Returned:
		return "refund"
	case to == shop.Returned && w.Ownership() == shop.OfOthers:
		return "give back"
	}
	return ""
}

func (d *pending) place(place, holder string, due edtf.Date) {
	if place != "" {
		d.after.Place = place
	}
	d.after.Holder, d.after.Due = holder, due
	if d.after.State == shop.OnMemo && holder == "" {
		d.after.Holder = d.movement.Person
	}
}

// clientAfter is the client who is named on the watch's record: who it is reserved
// for, sold to or with on memo, else from whom it came.
func (d *pending) clientAfter(person string) string {
	if person != "" {
		return person
	}
	return d.before.Client
}

// History returns the movements of a watch, the oldest first. A watch that never
// moved has one, which says that it was taken in.
func (r *Room) History(ctx context.Context, id shop.WatchID) ([]shop.Movement, error) {
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("history: %w", err)
	}
	moves, err := r.stores.Steps.Movements(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("history of no. %d: %w", w.Number, err)
	}
	if len(moves) == 0 {
		moves = []shop.Movement{opened(w, "", "")}
	}
	return moves, nil
}

// Undo takes back the last step of a watch that stands: what stood before stands
// again, and the ledger's entries of the step are answered by counter-entries.
func (r *Room) Undo(ctx context.Context, id shop.WatchID, reason, by string) (shop.Movement, error) {
	const what = "undo"
	if strings.TrimSpace(reason) == "" {
		return shop.Movement{}, shop.Refuse(what, "reason", "nothing", "why the step was wrong")
	}
	d, err := r.begin(ctx, what, id, "", by)
	if err != nil {
		return shop.Movement{}, err
	}
	moves, err := r.stores.Steps.Movements(ctx, id)
	if err != nil {
		return shop.Movement{}, fmt.Errorf("%s: %w", what, err)
	}
	left := shop.Effective(moves)
	if len(left) < 2 { // the first is the taking in
		return shop.Movement{}, shop.Refuse(what, "step", "no step of this watch that stands", "a watch that has moved")
	}
	last := left[len(left)-1]
	d.after = restored(d.after, last.Before)
	d.movement.Undoes, d.movement.Reason, d.movement.Person = last.ID, reason, last.Person
	for _, entry := range last.Entries {
		if err := d.counter(entry, reason); err != nil {
			return shop.Movement{}, err
		}
	}
	return d.keep()
}

// counter answers an entry of the watch.
func (d *pending) counter(id, reason string) error {
	for _, e := range d.entries {
		if e.ID == id {
			h := d.head(e.Party, e.Document, "")
			rules, err := d.s.BookRules(d.ctx)
			if err != nil {
				return err
			}
			h.Day, h.Corrects = rules.corrected(e.Day, h.Day)
			return d.post(ledger.CounterEntry(e, h, reason))
		}
	}
	return fmt.Errorf("%s: entry %s: %w", d.what, id, shop.ErrNotFound)
}

// Where is where a watch is and who has it.
type Where struct {
	Watch  shop.WatchID   `json:"watch"`
	Number int            `json:"number"`
	Title  string         `json:"title"`
	State  shop.State     `json:"state"`
	Owned  shop.Ownership `json:"owned,omitempty"`
	Place  string         `json:"place,omitempty"`
	Holder string         `json:"holder,omitempty"` // empty: the shop
	Since  string         `json:"since"`
	Due    edtf.Date      `json:"due,omitzero"`
	Bag    []shop.Kept    `json:"bag,omitempty"` // original parts kept with it
	Next   []shop.State   `json:"next"`
}

// WhereIs tells where a watch is now, who holds it, since when, what lies in its bag and
// where it may go.
func (r *Room) WhereIs(ctx context.Context, id shop.WatchID) (Where, error) {
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return Where{}, fmt.Errorf("where: %w", err)
	}
	moves, err := r.History(ctx, id)
	if err != nil {
		return Where{}, err
	}
	left := shop.Effective(moves)
	out := Where{Watch: id, Number: w.Number, Title: w.Title, State: w.State, Owned: w.Ownership(), Place: w.Place,
		Holder: w.Holder, Due: w.Due, Bag: bag(left), Next: NextStates(w)}
	if len(left) > 0 {
		out.Since = left[len(left)-1].Day
	}
	return out, nil
}

// bag are the parts taken out and kept, less those put back.
func bag(moves []shop.Movement) []shop.Kept {
	var out []shop.Kept
	for _, m := range moves {
		for _, k := range m.PutBack {
			if i := slices.IndexFunc(out, func(x shop.Kept) bool {
				return x.Slot == k.Slot &&
					(k.What == "" || x.What == k.What)
			}); i >= 0 {
				out = slices.Delete(out, i, i+1)
			}
		}
		out = append(out, m.Removed...)
	}
	return out
}

// checkKept holds that the parts are named.
func checkKept(what string, all []shop.Kept) error {
	for _, k := range all {
		if !k.Slot.Valid() {
			return shop.Refuse(what, "part", fmt.Sprintf("%q", k.Slot), "a slot such as crown, with what was taken out")
		}
	}
	return nil
}

// Change writes a changed record of a watch over the version that was read. A changed
// state is held to the transition table and to the holds, and kept as a movement.
func (r *Room) Change(ctx context.Context, w shop.Watch) (shop.Watch, error) {
	w.Changed, w.ChangedBy = r.shop.Now(), shop.User(ctx)
	return r.changeStep(ctx, w)
}
