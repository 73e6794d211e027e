package storetest

import (
	"testing"
	"time"

	"midcase/internal/shop"
)

// testLinks holds that a link is found by its hash alone, counts how often it was opened, ends once, and goes with
// its client.
func testLinks(t *testing.T, s Stores) {
	ctx := t.Context()
	w := must(s.CreateWatch(ctx, newWatch("w_1")))(t)
	one := shop.Link{ID: "ln_1", Watch: w.ID, Client: "c_1", Language: "de", By: "Ada", Made: day, Until: "2026-03-15"}
	ok(t, s.KeepLink(ctx, one, "hash 1"))
	two := one
	two.ID, two.Client, two.Made = "ln_2", "c_2", day.Add(time.Hour)
	ok(t, s.KeepLink(ctx, two, "hash 2"))
	if err := s.KeepLink(ctx, two, "hash 3"); err == nil {
		t.Error("a link was kept twice")
	}
	none := one
	none.ID, none.Watch = "ln_3", "w_9"
	wantErr(t, "of no watch", s.KeepLink(ctx, none, "hash 4"), shop.ErrNotFound)
	equal(t, "by its hash", must(s.LinkOf(ctx, "hash 1"))(t).ID, "ln_1")
	for _, hash := range []string{"ln_1", "hash", ""} {
		_, err := s.LinkOf(ctx, hash)
		wantErr(t, "by "+hash, err, shop.ErrNotFound)
	}
	for i := range shop.SeenKept + 2 {
		ok(t, s.SeeLink(ctx, "ln_1", day.Add(time.Duration(i)*time.Minute)))
	}
	seen := must(s.LinkOf(ctx, "hash 1"))(t)
	equal(t, "views", seen.Views, shop.SeenKept+2)
	equal(t, "times kept", len(seen.Seen), shop.SeenKept)
	if last := day.Add((shop.SeenKept + 1) * time.Minute); !seen.Seen[shop.SeenKept-1].Equal(last) {
		t.Errorf("last seen %v; want %v", seen.Seen[shop.SeenKept-1], last)
	}
	ended := must(s.EndLink(ctx, "ln_2", day))(t)
	again := must(s.EndLink(ctx, "ln_2", day.Add(time.Hour)))(t)
	if !ended.Ended.Equal(day) || !again.Ended.Equal(day) || again.Opens(day) {
		t.Errorf("taken back %v, again %v", ended.Ended, again.Ended)
	}
	_, err := s.EndLink(ctx, "ln_9", day)
	wantErr(t, "one that is not there", err, shop.ErrNotFound)
	all := must(s.Links(ctx, shop.LinkFilter{Watch: w.ID}))(t)
	if len(all) != 2 || all[0].ID != "ln_2" {
		t.Errorf("links %+v; want both, the latest first", all)
	}
	equal(t, "to one client", len(must(s.Links(ctx, shop.LinkFilter{Watch: w.ID, Client: "c_1"}))(t)), 1)
	ok(t, s.DropLinks(ctx, "c_1"))
	_, err = s.LinkOf(ctx, "hash 1")
	wantErr(t, "after its client", err, shop.ErrNotFound)
	equal(t, "left", len(must(s.Links(ctx, shop.LinkFilter{}))(t)), 1)
}
