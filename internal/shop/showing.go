package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"midcase/edtf"
)

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
