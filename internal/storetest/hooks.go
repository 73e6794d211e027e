package storetest

import (
	"errors"
	"testing"
	"time"

	"midcase/internal/shop"
)

// testHooks: an address, the place up to which changes were told, and messages that are taken once.
func testHooks(t *testing.T, s Stores) {
	ctx := t.Context()
	ok(t, s.KeepHook(ctx, shop.Hook{ID: "h_2", URL: "https://b.example", Made: day.Add(time.Hour)}))
	ok(t, s.KeepHook(ctx, shop.Hook{ID: "h_1", URL: "https://a.example", Made: day, Events: []string{"watch.changed"}}))
	all := must(s.Hooks(ctx))(t)
	equal(t, "addresses", len(all), 2)
	same(t, "the oldest first", all[0].ID, "h_1")

	var none shop.HookPlace
	equal(t, "nothing was told", must(s.Heard(ctx))(t), none)
	next := shop.HookPlace{Cursor: shop.Cursor{Records: 3, Evidence: 2}, Entries: 1, Papers: 4}
	message := func(id string, due time.Time) shop.Delivery {
		return shop.Delivery{ID: id, Hook: "h_1", Event: "watch.changed", Body: `{"a":"é"}`, Made: day, Due: due}
	}
	ok(t, s.QueueDeliveries(ctx, none, next, []shop.Delivery{message("m_1", day), message("m_2", day.Add(time.Hour))}))
	if err := s.QueueDeliveries(ctx, none, next, []shop.Delivery{message("m_3", day)}); !errors.Is(err, shop.ErrConflict) {
		t.Errorf("told again from a place that was left: %v", err)
	}
	equal(t, "the place", must(s.Heard(ctx))(t), next)

	again := day.Add(10 * time.Minute)
	taken := must(s.TakeDeliveries(ctx, day, again, 10))(t)
	equal(t, "due", len(taken), 1)
	same(t, "which", taken[0].Body, `{"a":"é"}`)
	equal(t, "taken by another", len(must(s.TakeDeliveries(ctx, day, again, 10))(t)), 0)
	equal(t, "due again", len(must(s.TakeDeliveries(ctx, again, again.Add(time.Hour), 10))(t)), 1)
	taken[0].Due, taken[0].Done, taken[0].Tries = time.Time{}, again, 1
	ok(t, s.SettleDelivery(ctx, taken[0]))
	late := must(s.TakeDeliveries(ctx, day.Add(24*time.Hour), again, 10))(t)
	equal(t, "what is left", len(late), 1)
	same(t, "the other one", late[0].ID, "m_2")
	equal(t, "all to an address", len(must(s.Deliveries(ctx, "h_1", 10))(t)), 2)

	ok(t, s.DropHook(ctx, "h_1"))
	equal(t, "its messages", len(must(s.Deliveries(ctx, "h_1", 10))(t)), 0)
	if err := s.DropHook(ctx, "h_1"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("dropped twice: %v", err)
	}
}
