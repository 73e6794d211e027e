package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/market"
)

func testConcurrentAppend(t *testing.T, s Stores) {
	ctx := t.Context()
	const workers, rounds, watches = 8, 12, 3
	for i := range watches {
		create(t, s, newWatch(fmt.Sprintf("w_%d", i)))
	}
	var group sync.WaitGroup
	for worker := range workers {
		group.Go(func() {
			for round := range rounds {
				id := shop.WatchID(fmt.Sprintf("w_%d", (worker+round)%watches))
				a, b := seen(fmt.Sprintf("ev_%d_%02d_a", worker, round),
					"x"), seen(fmt.Sprintf("ev_%d_%02d_b", worker, round), "y")
				if err := s.Append(ctx, id, a, b); err != nil {
					t.Error(err)
				}
				if _, err := s.Evidence(ctx, id); err != nil {
					t.Error(err)
				}
			}
			if _, err := s.CreateWatch(ctx, newWatch(fmt.Sprintf("n_%d", worker)), seen("ev_1", "z")); err != nil {
				t.Error(err)
			}
		})
	}
	group.Wait()

	size, _, err := s.Head(ctx)
	ok(t, err)
	equal(t, "size of the log", size, workers*rounds*2+workers)
	ok(t, s.Verify(ctx))
	all := must(s.Watches(ctx, shop.Filter{}))(t)
	for i, w := range all {
		equal(t, "file number without a gap", w.Number, i+1)
	}
	last := map[evidence.ID]evidence.ID{} // of each worker, by its prefix
	for i := range watches {
		clear(last)
		items := must(s.Evidence(ctx, shop.WatchID(fmt.Sprintf("w_%d", i))))(t)
		for _, item := range items {
			worker := item.ID[:4]
			if item.ID <= last[worker] {
				t.Errorf("item %s stands after %s", item.ID, last[worker])
			}
			last[worker] = item.ID
		}
	}
}

func testConcurrentUpdate(t *testing.T, s Stores) {
	ctx := t.Context()
	w := create(t, s, newWatch("w_1"))
	var won, lost atomic.Int32
	var group sync.WaitGroup
	for i := range 8 {
		group.Go(func() {
			mine := w
			mine.Place = fmt.Sprintf("drawer %d", i)
			_, err := s.UpdateWatch(ctx, mine)
			switch {
			case err == nil:
				won.Add(1)
			case errors.Is(err, shop.ErrConflict):
				lost.Add(1)
			default:
				t.Error(err)
			}
		})
	}
	group.Wait()
	equal(t, "updates of one version that won", won.Load(), 1)
	equal(t, "updates that lost", lost.Load(), 7)
	equal(t, "version", must(s.Watch(ctx, "w_1"))(t).Version, 2)
}

// testCallerMemory holds that store and caller share no memory.
func testCallerMemory(t *testing.T, s Stores) {
	ctx := t.Context()
	items := []evidence.Item{seen("ev_1", "as given"), seen("ev_2", "as given")}
	create(t, s, newWatch("w_1"), items...)
	items[0].Data.(*evidence.Mark).Text = "changed"
	items[1] = evidence.Item{}
	back := must(s.Evidence(ctx, "w_1"))(t)
	back[0].Data.(*evidence.Mark).Text = "changed"
	back[1] = evidence.Item{}
	for _, item := range must(s.Evidence(ctx, "w_1"))(t) {
		equal(t, "text of the item", item.Data.(*evidence.Mark).Text, "as given")
	}

	condition := 7.0
	sales := []market.Sale{newSale("s_1", "2020", "1"), newSale("s_2", "2020", "1")}
	sales[0].Condition = &condition
	given := slices.Clone(sales)
	must(s.AddSales(ctx, sales, imported))(t)
	same(t, "sales given", sales, given)
	condition, sales[1].Maker = 1, "changed"
	*allSales(t, s)[0].Condition = 2
	equal(t, "condition", *allSales(t, s)[0].Condition, 7)
	equal(t, "maker", allSales(t, s)[1].Maker, "Maker")

	c := shop.Client{ID: "c_1", Name: "Ada", Wants: []shop.Want{{Maker: "as given"}}}
	kept := must(s.CreateClient(ctx, c))(t)
	equal(t, "version of the caller's client", c.Version, 0)
	c.Wants[0].Maker, kept.Wants[0].Maker = "changed", "changed"
	equal(t, "want", must(s.Client(ctx, "c_1"))(t).Wants[0].Maker, "as given")

	bytes := []byte(`"as given"`)
	ok(t, s.KeepOpinion(ctx, shop.KeptOpinion{Watch: "w_1", JSON: bytes}))
	copy(bytes, `"changed "`)
	copy(must(s.Opinions(ctx, "w_1"))(t)[0].JSON, `"changed "`)
	equal(t, "opinion", string(must(s.Opinions(ctx, "w_1"))(t)[0].JSON), `"as given"`)
}

func testCancelled(t *testing.T, s Stores) {
	ctx := t.Context()
	w := create(t, s, newWatch("w_1"), seen("ev_1", "x"))
	var sales []market.Sale
	for i := range 300 {
		sales = append(sales, newSale(fmt.Sprintf("s_%03d", i), "2020", "1"))
	}
	must(s.AddSales(ctx, sales, imported))(t)

	gone, cancel := context.WithCancel(ctx)
	cancel()
	_, err := s.CreateWatch(gone, newWatch("w_2"))
	wantErr(t, "create", err, context.Canceled)
	wantErr(t, "append", s.Append(gone, "w_1", seen("ev_2", "x")), context.Canceled)
	wantErr(t, "watch", errOf(s.Watch(gone, "w_1")), context.Canceled)
	wantErr(t, "evidence", errOf(s.Evidence(gone, "w_1")), context.Canceled)
	wantErr(t, "list", errOf(s.Watches(gone, shop.Filter{})), context.Canceled)
	wantErr(t, "update", errOf(s.UpdateWatch(gone, w)), context.Canceled)
	wantErr(t, "sales", errOf(s.AddSales(gone, []market.Sale{newSale("s_x", "2020", "1")}, imported)), context.Canceled)
	wantErr(t, "verify", s.Verify(gone), context.Canceled)
	wantErr(t, "setting", s.SetSetting(gone, "a", "b"), context.Canceled)

	half, stop := context.WithCancel(ctx)
	defer stop()
	walked := 0
	var last error
	for _, err := range s.Sales(half) {
		if last = err; err != nil {
			break
		}
		if walked++; walked == 10 {
			stop()
		}
	}
	wantErr(t, "a walk cut short", last, context.Canceled)
	equal(t, "walked", walked, 10)

	equal(t, "watches", must(s.CountWatches(ctx, shop.Filter{}))(t), 1)
	equal(t, "items", len(must(s.Evidence(ctx, "w_1"))(t)), 1)
	equal(t, "sales", must(s.SaleCount(ctx))(t), 300)
	equal(t, "version", must(s.Watch(ctx, "w_1"))(t).Version, 1)
	ok(t, s.Append(ctx, "w_1", seen("ev_2", "x")))
	ok(t, s.Verify(ctx))
}

// testRebuild holds that views are projections: making them anew changes nothing.
func testRebuild(t *testing.T, s Stores) {
	ctx := t.Context()
	for i := range 5 {
		w := create(t, s, newWatch(fmt.Sprintf("w_%d", i)), seen("ev_1", "x"))
		for range i {
			w.Place += " moved"
			w = must(s.UpdateWatch(ctx, w))(t)
		}
	}
	c := must(s.CreateClient(ctx, shop.Client{ID: "c_1", Name: "Émile"}))(t)
	c.Name = "Zoë"
	must(s.UpdateClient(ctx, c))(t)
	ok(t, s.SetSetting(ctx, "currency", "EUR"))
	ok(t, s.SetSetting(ctx, "currency", "CHF"))

	look := func() string {
		return fmt.Sprintf("%+v\n%+v\n%+v\n%s", must(s.Watches(ctx, shop.Filter{}))(t),
			must(s.Watches(ctx, shop.Filter{Text: "moved", Maker: "maker W_3"}))(t),
			must(s.Clients(ctx))(t), must(s.Setting(ctx, "currency"))(t))
	}
	before := look()
	ok(t, s.Rebuild(ctx))
	same(t, "after a rebuild", look(), before)
	ok(t, s.Verify(ctx))
	equal(t, "next number", create(t, s, newWatch("w_5")).Number, 6)
}
