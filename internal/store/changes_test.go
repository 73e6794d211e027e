package store

import (
	"slices"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
)

func TestChangedWatches(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		var at shop.Cursor
		step := func(changed, examined []shop.WatchID) {
			t.Helper()
			watches, ids, now, err := s.ChangedWatches(ctx, at)
			if err != nil {
				t.Fatal(err)
			}
			var got []shop.WatchID
			for _, w := range watches {
				got = append(got, w.ID)
			}
			slices.Sort(ids)
			if !slices.Equal(got, changed) || !slices.Equal(ids, examined) {
				t.Errorf("changed %v, examined %v; want %v, %v", got, ids, changed, examined)
			}
			at = now
		}
		step(nil, nil)
		for _, id := range []shop.WatchID{"w_1", "w_2", "w_3"} {
			if _, err := s.CreateWatch(ctx, shop.Watch{ID: id, State: shop.Bought}, item("ev_1")); err != nil {
				t.Fatal(err)
			}
		}
		step([]shop.WatchID{"w_1", "w_2", "w_3"}, nil)
		step(nil, nil)
		w, err := s.Watch(ctx, "w_2")
		if err != nil {
			t.Fatal(err)
		}
		w.Place = "safe"
		if _, err := s.UpdateWatch(ctx, w); err != nil {
			t.Fatal(err)
		}
		if err := s.Append(ctx, "w_3", item("ev_2")); err != nil {
			t.Fatal(err)
		}
		step([]shop.WatchID{"w_2"}, []shop.WatchID{"w_3"})
		if err := s.SetSetting(ctx, "note", "nothing about watches"); err != nil {
			t.Fatal(err)
		}
		step(nil, nil)
	})
}

func TestMovementsWith(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		if _, err := s.CreateWatch(ctx, shop.Watch{ID: "w_1"}); err != nil {
			t.Fatal(err)
		}
		step := shop.Step{Movements: []shop.Movement{{ID: "mv_1", Watch: "w_1", Person: "c_1"}, {ID: "mv_2", Watch: "w_1", Holder: "c_1"}, {ID: "mv_3", Watch: "w_1", Person: "c_11"}, {ID: "mv_4", Watch: "w_1", Note: `"c_1"`}, {ID: "mv_5", Watch: "w_1", Person: "c%1"}}}
		if _, err := s.KeepStep(ctx, step); err != nil {
			t.Fatal(err)
		}
		for client, want := range map[string]string{"c_1": "mv_1 mv_2 ", "c_11": "mv_3 ", "c%1": "mv_5 ", "c_9": ""} {
			all, err := s.MovementsWith(ctx, client)
			got := ""
			for _, m := range all {
				got += m.ID + " "
			}
			if got != want || err != nil {
				t.Errorf("%q: %s, %v; want %s", client, got, err, want)
			}
		}
	})
}

func TestItemsOfReference(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		compared := func(id, note string) evidence.Item {
			return evidence.Item{ID: evidence.ID(id), At: day, By: "Ada", Note: note,
				Data: &evidence.Comparison{Slot: evidence.Case, Other: "w_9", Result: "better"}}
		}
		claim := evidence.Item{ID: "ev_3", At: day, By: "Ada", Data: &evidence.Claim{About: "price", Text: `says "kind":"comparison"`}}
		for id, w := range map[shop.WatchID]shop.Watch{"w_1": {Maker: "Corvane", Reference: "KR-1"},
			"w_2": {Maker: "CORVANE", Reference: "KR-1"}, "w_3": {Maker: "Corvane", Reference: "KR-2"}} {
			w.ID = id
			if _, err := s.CreateWatch(ctx, w, compared("ev_1", ""), claim, compared("ev_2", "again")); err != nil {
				t.Fatal(err)
			}
		}
		got, err := s.ItemsOfReference(ctx, "corvane", "KR-1", evidence.KindComparison, evidence.KindWithdrawal)
		if err != nil || len(got) != 2 {
			t.Fatalf("%d watches, %v; want w_1 and w_2", len(got), err)
		}
		for id, items := range got {
			if len(items) != 2 || items[0].ID != "ev_1" || items[1].ID != "ev_2" || id == "w_3" {
				t.Errorf("%s: %+v; want the two comparisons in their order", id, items)
			}
		}
	})
}
