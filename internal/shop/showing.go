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
	if _, err := s.stores.Watches.Watch(ctx, v.Watch); err != nil {
		return Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	if err := s.onRecord(ctx, what, v.Client); err != nil {
		return Showing{}, err
	}
	if v.Kind == Promised {
		others, err := s.promised(ctx, v.Watch, v.Client, s.opt.Now())
		if err != nil {
			return Showing{}, err
		}
		if len(others) > 0 {
			return Showing{}, invalid(what, "promise", others[0].Why, "a watch that is not promised")
		}
	}
	return s.keepShowing(ctx, what, v, by)
}

// keepShowing keeps a showing with the records that change with it.
func (s *Shop) keepShowing(ctx context.Context, what string, v Showing, by string, changed ...Watch) (Showing, error) {
	if v.By = strings.TrimSpace(by); v.By == "" {
		return Showing{}, invalid(what, "by", "nothing", "who does it")
	}
	v.ID, v.At = s.opt.NewID("sh"), s.opt.Now()
	kept, err := s.stores.Steps.KeepStep(ctx, Step{Showings: []Showing{v}, Watches: changed})
	if err != nil {
		return Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	return kept.Showings[0], nil
}

// PrivateFirst keeps a watch off the public list until the day after until; clients who
// match hear of it first.
func (s *Shop) PrivateFirst(ctx context.Context, id WatchID, until edtf.Date, by string) (Showing, error) {
	const what = "show privately first"
	if last, ok := until.Last(); !ok || dayOf(last).Before(dayOf(s.opt.Now())) {
		return Showing{}, invalid(what, "until", fmt.Sprintf("%q", until), "a day that is not past")
	}
	w, err := s.stores.Watches.Watch(ctx, id)
	if err != nil {
		return Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	return s.setPrivate(ctx, what, w, until, until, by)
}

// GoPublic ends the time in which a watch is shown privately only.
func (s *Shop) GoPublic(ctx context.Context, id WatchID, by string) (Showing, error) {
	const what = "show to all"
	w, err := s.stores.Watches.Watch(ctx, id)
	if err != nil {
		return Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	if w.PrivateTo.IsZero() {
		return Showing{}, invalid(what, "watch", "one that is not on a private list", "one that is")
	}
	yesterday := dateOf(s.opt.Now().AddDate(0, 0, -1))
	return s.setPrivate(ctx, what, w, edtf.Date{}, yesterday, by)
}

// setPrivate keeps until when a watch is shown privately only, and notes it.
func (s *Shop) setPrivate(ctx context.Context, what string, w Watch, to, noted edtf.Date, by string) (Showing, error) {
	w.PrivateTo, w.Changed = to, s.opt.Now()
	return s.keepShowing(ctx, what, Showing{Watch: w.ID, Kind: Private, Until: noted}, by, w)
}

// Showings lists what passed about a watch, to a client, or all, the oldest first.
func (s *Shop) Showings(ctx context.Context, watch WatchID, client string) ([]Showing, error) {
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
