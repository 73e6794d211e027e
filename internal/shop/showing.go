package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/money"
)

// Showing is one thing that passed between the shop and a client about a watch: that it
// was shown, offered or promised. It is only ever added, and has no free text, since it
// outlasts the client's data.
type Showing struct {
	Seq     int64       `json:"seq"` // set by the store
	ID      string      `json:"id"`
	Watch   WatchID     `json:"watch"`
	Client  string      `json:"client,omitempty"` // none for the private list as a whole
	Kind    string      `json:"kind"`
	At      time.Time   `json:"at"`
	By      string      `json:"by"`
	Price   money.Money `json:"price,omitzero"`
	Until   edtf.Date   `json:"until,omitzero"`    // the last day of an offer or a promise
	Channel string      `json:"channel,omitempty"` // email, phone, message, post, in the shop
}

// The kinds of showing.
const (
	Shown     = "shown"     // the client saw it
	OfferedTo = "offered"   // at a price
	Promised  = "promised"  // the client has the first refusal until a day
	Accepted  = "accepted"  // the client takes it
	Declined  = "declined"  // the client does not
	Withdrawn = "withdrawn" // the shop took offer or promise back
	Private   = "private"   // shown only privately until a day, then to all
)

// ShowingKinds lists the kinds of showing to a client.
func ShowingKinds() []string {
	return []string{Shown, OfferedTo, Promised, Accepted, Declined, Withdrawn}
}

// Show records what passed between the shop and a client about a watch. A promise to
// one client stands in the way of promises to others.
func (s *Shop) Show(ctx context.Context, v Showing, by string) (Showing, error) {
	const what = "record an offer"
	if !slices.Contains(ShowingKinds(), v.Kind) {
		return Showing{}, invalid(what, "kind", fmt.Sprintf("%q", v.Kind), "one of "+strings.Join(ShowingKinds(), ", "))
	}
	if v.Kind == Promised && v.Until.IsZero() {
		return Showing{}, invalid(what, "until", "nothing", "the last day of the promise")
	}
	d, err := s.deal(ctx, what, v.Watch, "", by)
	if err != nil {
		return Showing{}, err
	}
	if err := d.person(v.Client); err != nil {
		return Showing{}, err
	}
	if v.Kind == Promised {
		others, err := s.promised(ctx, v.Watch, v.Client, d.movement.At)
		if err != nil {
			return Showing{}, err
		}
		if len(others) > 0 {
			return Showing{}, invalid(what, "promise", others[0].Why, "a watch that is not promised")
		}
	}
	v.ID, v.At, v.By = s.opt.NewID("sh"), d.movement.At, d.by
	return s.keepShowing(ctx, what, v, nil)
}

func (s *Shop) keepShowing(ctx context.Context, what string, v Showing, w *Watch) (Showing, error) {
	step := Step{Showings: []Showing{v}}
	if w != nil {
		step.Watches = []Watch{*w}
	}
	kept, err := s.stores.Steps.KeepStep(ctx, step)
	if err != nil {
		return Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	return kept.Showings[0], nil
}

// PrivateFirst keeps a watch off the public list until the day after until; clients who
// match hear of it first.
func (s *Shop) PrivateFirst(ctx context.Context, id WatchID, until edtf.Date, by string) (Showing, error) {
	const what = "show privately first"
	d, err := s.deal(ctx, what, id, "", by)
	if err != nil {
		return Showing{}, err
	}
	if last, ok := until.Last(); !ok || dayOf(last).Before(dayOf(d.movement.At)) {
		return Showing{}, invalid(what, "until", fmt.Sprintf("%q", until), "a day that is not past")
	}
	d.after.PrivateTo, d.after.Changed = until, d.movement.At
	return s.keepShowing(ctx, what, Showing{ID: s.opt.NewID("sh"), Watch: id, Kind: Private, At: d.movement.At, By: d.by, Until: until}, &d.after)
}

// GoPublic ends the time in which a watch is shown privately only.
func (s *Shop) GoPublic(ctx context.Context, id WatchID, by string) (Showing, error) {
	const what = "show to all"
	d, err := s.deal(ctx, what, id, "", by)
	if err != nil {
		return Showing{}, err
	}
	if d.before.PrivateTo.IsZero() {
		return Showing{}, invalid(what, "watch", "one that is not on a private list", "one that is")
	}
	d.after.PrivateTo, d.after.Changed = edtf.Date{}, d.movement.At
	yesterday := dateOf(d.movement.At.AddDate(0, 0, -1))
	return s.keepShowing(ctx, what, Showing{ID: s.opt.NewID("sh"), Watch: id, Kind: Private, At: d.movement.At, By: d.by, Until: yesterday}, &d.after)
}

// PrivateOn reports whether a watch is shown privately only on a day.
func (w Watch) PrivateOn(day time.Time) bool {
	last, ok := w.PrivateTo.Last()
	return ok && !dayOf(day).After(dayOf(last))
}

// Public reports whether a watch may be shown to all on a day: it is listed, and its
// time of being shown privately is over.
func (w Watch) Public(day time.Time) bool {
	if w.State != Listed {
		return false
	}
	last, ok := w.PrivateTo.Last()
	return w.PrivateTo.IsZero() || ok && dayOf(day).After(dayOf(last))
}

// Showings lists what passed about a watch, to a client, or all, the oldest first.
func (s *Shop) Showings(ctx context.Context, watch WatchID, client string) ([]Showing, error) {
	if s.stores.Steps == nil {
		return nil, nil
	}
	return s.stores.Steps.Showings(ctx, ShowingFilter{Watch: watch, Client: client})
}

// FirstToSee is the client who first saw or was offered the watch since it came in;
// none where ok is false.
func (s *Shop) FirstToSee(ctx context.Context, watch WatchID) (v Showing, ok bool, err error) {
	all, err := s.Showings(ctx, watch, "")
	if err != nil {
		return Showing{}, false, err
	}
	for _, v := range all {
		if v.Client != "" && v.Kind != Withdrawn {
			return v, true, nil
		}
	}
	return Showing{}, false, nil
}

// promised are the promises of a watch to clients other than one that hold on a day.
func (s *Shop) promised(ctx context.Context, watch WatchID, but string, day time.Time) ([]Hold, error) {
	all, err := s.Showings(ctx, watch, "")
	if err != nil {
		return nil, err
	}
	open := map[string]Showing{}
	for _, v := range all {
		switch v.Kind {
		case Promised:
			open[v.Client] = v
		case Declined, Withdrawn:
			delete(open, v.Client)
		}
	}
	var out []Hold
	for client, v := range open {
		if last, ok := v.Until.Last(); client != but && (!ok || !dayOf(day).After(dayOf(last))) {
			out = append(out, Hold{Rule: "promise", Why: fmt.Sprintf("client %s was promised the first refusal until %s", client, v.Until), Until: v.Until, Blocks: true})
		}
	}
	slices.SortFunc(out, func(a, b Hold) int { return strings.Compare(a.Why, b.Why) })
	return out, nil
}
