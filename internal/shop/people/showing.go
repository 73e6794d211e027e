package people

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/internal/shop"
)

// Show records what passed between the shop and a client about a watch. A promise to
// one client stands in the way of promises to others.
func (r *Room) Show(ctx context.Context, v shop.Showing, by string) (shop.Showing, error) {
	const what = "record an offer"
	if !slices.Contains(shop.ShowingKinds(), v.Kind) {
		return shop.Showing{}, shop.Refuse(what, "kind", fmt.Sprintf("%q", v.Kind),
			"one of "+strings.Join(shop.ShowingKinds(), ", "))
	}
	if v.Kind == shop.Promised && v.Until.IsZero() {
		return shop.Showing{}, shop.Refuse(what, "until", "nothing", "the last day of the promise")
	}
	if _, err := r.stores.Watches.Watch(ctx, v.Watch); err != nil {
		return shop.Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	if err := r.shop.ClientOnRecord(ctx, what, v.Client); err != nil {
		return shop.Showing{}, err
	}
	if v.Kind == shop.Promised {
		others, err := r.trade.PromisedToOthers(ctx, v.Watch, v.Client, r.shop.Now())
		if err != nil {
			return shop.Showing{}, err
		}
		if len(others) > 0 {
			return shop.Showing{}, shop.Refuse(what, "promise", others[0].Why, "a watch that is not promised")
		}
	}
	return r.keepShowing(ctx, what, v, by)
}

// keepShowing keeps a showing with the records that change with it.
func (r *Room) keepShowing(ctx context.Context, what string, v shop.Showing, by string,
	changed ...shop.Watch) (shop.Showing, error) {
	if v.By = strings.TrimSpace(by); v.By == "" {
		return shop.Showing{}, shop.Refuse(what, "by", "nothing", "who does it")
	}
	v.ID, v.At = r.shop.NewID("sh"), r.shop.Now()
	kept, err := r.stores.Steps.KeepStep(ctx, shop.Step{Showings: []shop.Showing{v}, Watches: changed})
	if err != nil {
		return shop.Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	return kept.Showings[0], nil
}

// PrivateFirst keeps a watch off the public list until the day after until; clients who
// match hear of it first.
func (r *Room) PrivateFirst(ctx context.Context, id shop.WatchID, until edtf.Date, by string) (shop.Showing, error) {
	const what = "show privately first"
	if last, ok := until.Last(); !ok || shop.DayOf(last).Before(shop.DayOf(r.shop.Now())) {
		return shop.Showing{}, shop.Refuse(what, "until", fmt.Sprintf("%q", until), "a day that is not past")
	}
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return shop.Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	return r.setPrivate(ctx, what, w, until, until, by)
}

// GoPublic ends the time in which a watch is shown privately only.
func (r *Room) GoPublic(ctx context.Context, id shop.WatchID, by string) (shop.Showing, error) {
	const what = "show to all"
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return shop.Showing{}, fmt.Errorf("%s: %w", what, err)
	}
	if w.PrivateTo.IsZero() {
		return shop.Showing{}, shop.Refuse(what, "watch", "one that is not on a private list", "one that is")
	}
	yesterday := shop.DateOf(r.shop.Now().AddDate(0, 0, -1))
	return r.setPrivate(ctx, what, w, edtf.Date{}, yesterday, by)
}

// setPrivate keeps until when a watch is shown privately only, and notes it.
func (r *Room) setPrivate(ctx context.Context, what string, w shop.Watch, to, noted edtf.Date, by string) (shop.Showing,
	error) {
	w.PrivateTo, w.Changed = to, r.shop.Now()
	return r.keepShowing(ctx, what, shop.Showing{Watch: w.ID, Kind: shop.Private, Until: noted}, by, w)
}

// Showings lists what passed about a watch, to a client, or all, the oldest first.
func (r *Room) Showings(ctx context.Context, watch shop.WatchID, client string) ([]shop.Showing, error) {
	return r.stores.Steps.Showings(ctx, shop.ShowingFilter{Watch: watch, Client: client})
}

// FirstToSee is the client who first saw or was offered the watch since it came in;
// none where ok is false.
func (r *Room) FirstToSee(ctx context.Context, watch shop.WatchID) (v shop.Showing, ok bool, err error) {
	all, err := r.Showings(ctx, watch, "")
	if err != nil {
		return shop.Showing{}, false, err
	}
	for _, v := range all {
		if v.Client != "" && v.Kind != shop.Withdrawn {
			return v, true, nil
		}
	}
	return shop.Showing{}, false, nil
}
