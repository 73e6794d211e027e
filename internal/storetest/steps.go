package storetest

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/market"
	"midcase/money"
)

func newMove(id string, watch shop.WatchID, from, to shop.State) shop.Movement {
	return shop.Movement{ID: id, Watch: watch, From: from, To: to, Day: "2026-03-01", At: day.UTC(), By: "Ada",
		Place: "safe", Price: money.MustParse("10.50", "CHF"),
		Removed: []shop.Kept{{Slot: evidence.Case, What: "crown"}}}
}

func newEntry(t *testing.T, id, watch, party string) ledger.Entry {
	t.Helper()
	return must(ledger.Deposit(ledger.DepositTerms{Head: ledger.Head{ID: id, Day: "2026-03-01", At: day.UTC(),
		By: "Ada", Watch: watch, Party: party, Base: "EUR", Text: "é <&>"},
		Amount: money.MustParse("100.10", "EUR"), Pay: ledger.Bank}))(t)
}

func entries(t *testing.T, s Stores, f shop.EntryFilter) []ledger.Entry {
	t.Helper()
	var out []ledger.Entry
	for e, err := range s.Entries(t.Context(), f) {
		ok(t, err)
		out = append(out, e)
	}
	return out
}

func testStep(t *testing.T, s Stores) {
	ctx := t.Context()
	w := create(t, s, newWatch("w_1"))
	create(t, s, newWatch("w_2"))
	w.State, w.Place = shop.Listed, "window"
	step := shop.Step{Watches: []shop.Watch{w}, Movements: []shop.Movement{newMove("mv_1", "w_1", "", shop.Offered),
		newMove("mv_2", "w_1", shop.Offered, shop.Listed)},
		Entries:  []ledger.Entry{newEntry(t, "le_1", "w_1", "c_1")},
		Showings: []shop.Showing{{ID: "sh_1", Watch: "w_1", Client: "c_1", Kind: shop.Shown, At: day.UTC(), By: "Ada"}},
		Items:    map[shop.WatchID][]evidence.Item{"w_1": {seen("ev_1", "x")}}}
	kept := must(s.KeepStep(ctx, step))(t)
	equal(t, "version", kept.Watches[0].Version, 2)
	equal(t, "place of the second movement", kept.Movements[1].Seq, 1)
	same(t, "watch", must(s.Watch(ctx, "w_1"))(t), kept.Watches[0])
	same(t, "movements", must(s.Movements(ctx, "w_1"))(t), kept.Movements)
	same(t, "all movements", must(s.Movements(ctx, ""))(t), kept.Movements)
	same(t, "entries", entries(t, s, shop.EntryFilter{}), kept.Entries)
	equal(t, "items", len(must(s.Evidence(ctx, "w_1"))(t)), 1)
	equal(t, "movements of another watch", len(must(s.Movements(ctx, "w_2"))(t)), 0)
	_, err := s.Movements(ctx, "w_9")
	wantErr(t, "no such watch", err, shop.ErrNotFound)
	ok(t, s.Verify(ctx))

	undo := newMove("mv_3", "w_1", shop.Listed, shop.Offered)
	undo.Undoes = "mv_2"
	must(s.KeepStep(ctx, shop.Step{Movements: []shop.Movement{undo}}))(t)
	undo.ID = "mv_4"
	_, err = s.KeepStep(ctx, shop.Step{Movements: []shop.Movement{undo}})
	wantErr(t, "undone twice", err, shop.ErrExists)
}

// testOwnSale: the sale of one of the shop's own watches goes in with its step, takes the place of the one before, and
// goes again; those who read sales learn of each.
func testOwnSale(t *testing.T, s Stores) {
	ctx := t.Context()
	create(t, s, newWatch("w_1"))
	must(s.AddSales(ctx, []market.Sale{newSale("s_1", "2026-01-01", "100")}, imported))(t)
	told := must(s.SalesImported(ctx))(t)
	revision := must(s.Revision(ctx))(t).Sales
	for i, price := range []string{"200", "190", "", "210"} {
		own := shop.OwnSale{ID: "own_w_1"}
		if price != "" {
			sale := newSale("own_w_1", "2026-02-01", price)
			own.Sale = &sale
		}
		must(s.KeepStep(ctx, shop.Step{Movements: []shop.Movement{newMove(fmt.Sprint("mv_", i), "w_1", shop.Listed,
			shop.Sold)}, Sold: &own}))(t)
		sale, err := s.Sale(ctx, "own_w_1")
		if price == "" {
			wantErr(t, "a sale that was turned round", err, shop.ErrNotFound)
		} else {
			ok(t, err)
			equal(t, "price", sale.Price.Amount(), price+".00")
		}
		now := must(s.Revision(ctx))(t).Sales
		equal(t, "sales changed", now > revision, true)
		revision = now
	}
	equal(t, "sales", must(s.SaleCount(ctx))(t), 2)
	equal(t, "when sales were brought in", must(s.SalesImported(ctx))(t), told)
	ok(t, s.Verify(ctx))
}

func testStepAllOrNone(t *testing.T, s Stores) {
	ctx := t.Context()
	w := create(t, s, newWatch("w_1"))
	must(s.KeepStep(ctx, shop.Step{Entries: []ledger.Entry{newEntry(t, "le_1", "w_1", "c_1")}}))(t)
	good := func() shop.Step {
		return shop.Step{Watches: []shop.Watch{w}, Movements: []shop.Movement{newMove("mv_1", "w_1", "", shop.Offered)},
			Entries: []ledger.Entry{newEntry(t, "le_2", "w_1", "c_1")},
			Showings: []shop.Showing{{ID: "sh_1", Watch: "w_1",
				Kind: shop.Shown}}, Items: map[shop.WatchID][]evidence.Item{"w_1": {seen("ev_1", "x")}}}
	}
	unbalanced := newEntry(t, "le_3", "w_1", "c_1")
	unbalanced.Lines[0].Amount, unbalanced.Lines[0].Base = money.MustParse("1", "EUR"), money.MustParse("1", "EUR")
	counter := must(ledger.CounterEntry(newEntry(t, "le_9", "w_1", "c_1"),
		ledger.Head{ID: "le_4", Day: "2026-03-01", Base: "EUR"}, "why"))(t)
	for name, c := range map[string]struct {
		spoil func(*shop.Step)
		want  error
	}{
		"stale watch":     {func(x *shop.Step) { x.Watches[0].Version = 7 }, shop.ErrConflict},
		"no such watch":   {func(x *shop.Step) { x.Watches[0].ID = "w_9" }, shop.ErrNotFound},
		"movement twice":  {func(x *shop.Step) { x.Movements = append(x.Movements, x.Movements[0]) }, shop.ErrExists},
		"movement of no":  {func(x *shop.Step) { x.Movements[0].Watch = "w_9" }, shop.ErrNotFound},
		"entry twice":     {func(x *shop.Step) { x.Entries[0].ID = "le_1" }, shop.ErrExists},
		"unbalanced":      {func(x *shop.Step) { x.Entries = append(x.Entries, unbalanced) }, ledger.ErrEntry},
		"counter to none": {func(x *shop.Step) { x.Entries = append(x.Entries, counter) }, shop.ErrNotFound},
		"showing of no":   {func(x *shop.Step) { x.Showings[0].Watch = "w_9" }, shop.ErrNotFound},
		"showing twice":   {func(x *shop.Step) { x.Showings = append(x.Showings, x.Showings[0]) }, shop.ErrExists},
		"item of no": {func(x *shop.Step) {
			x.Items = map[shop.WatchID][]evidence.Item{"w_9": {seen("ev_1",
				"x")}}
		}, shop.ErrNotFound},
	} {
		step := good()
		c.spoil(&step)
		_, err := s.KeepStep(ctx, step)
		wantErr(t, name, err, c.want)
	}
	equal(t, "version", must(s.Watch(ctx, "w_1"))(t).Version, 1)
	equal(t, "movements", len(must(s.Movements(ctx, ""))(t)), 0)
	equal(t, "entries", len(entries(t, s, shop.EntryFilter{})), 1)
	equal(t, "showings", len(must(s.Showings(ctx, shop.ShowingFilter{}))(t)), 0)
	equal(t, "items", len(must(s.Evidence(ctx, "w_1"))(t)), 0)
	must(s.KeepStep(ctx, good()))(t)
	ok(t, s.VerifyLedger(ctx))
}

func testLedger(t *testing.T, s Stores) {
	ctx := t.Context()
	create(t, s, newWatch("w_1"))
	var all []ledger.Entry
	for i := range 30 {
		all = append(all, newEntry(t, fmt.Sprintf("le_%02d", i), fmt.Sprintf("w_%d", i%3), fmt.Sprintf("c_%d", i%5)))
	}
	must(s.KeepStep(ctx, shop.Step{Entries: all}))(t)
	ids := func(f shop.EntryFilter) (out []string) {
		for _, e := range entries(t, s, f) {
			out = append(out, e.ID)
		}
		return out
	}
	same(t, "of a watch", ids(shop.EntryFilter{Watch: "w_1", From: 20}), []string{"le_22", "le_25", "le_28"})
	same(t, "of a party", ids(shop.EntryFilter{Party: "c_4", From: 20}), []string{"le_24", "le_29"})
	same(t, "the last", ids(shop.EntryFilter{Last: 2}), []string{"le_28", "le_29"})
	same(t, "by id", ids(shop.EntryFilter{ID: "le_07"}), []string{"le_07"})
	same(t, "at most", ids(shop.EntryFilter{From: 3, Limit: 2}), []string{"le_03", "le_04"})
	same(t, "none", len(ids(shop.EntryFilter{Watch: "w_9"})), 0)
	for range s.Entries(ctx, shop.EntryFilter{}) {
		break
	}

	// Of counter-entries made at once, one goes in; the places have no gap.
	var won, lost atomic.Int32
	var group sync.WaitGroup
	for i := range 6 {
		group.Go(func() {
			e, err := ledger.CounterEntry(all[3], ledger.Head{ID: fmt.Sprintf("le_x%d", i), Day: "2026-03-02",
				Base: "EUR"}, "a mistake")
			if err != nil {
				t.Error(err)
			}
			switch _, err := s.KeepStep(ctx, shop.Step{Entries: []ledger.Entry{e}}); {
			case err == nil:
				won.Add(1)
			case errors.Is(err, shop.ErrExists):
				lost.Add(1)
			default:
				t.Error(err)
			}
		})
	}
	group.Wait()
	equal(t, "counter-entries kept", won.Load(), 1)
	equal(t, "counter-entries refused", lost.Load(), 5)
	books := ledger.NewBooks("EUR")
	for i, e := range entries(t, s, shop.EntryFilter{}) {
		equal(t, "place", e.Seq, int64(i))
		ok(t, books.Post(e))
	}
	ok(t, s.VerifyLedger(ctx))
}

func testShowings(t *testing.T, s Stores) {
	ctx := t.Context()
	create(t, s, newWatch("w_1"))
	create(t, s, newWatch("w_2"))
	for i, v := range []shop.Showing{{Watch: "w_1", Client: "c_1", Kind: shop.Shown},
		{Watch: "w_2", Client: "c_1", Kind: shop.OfferedTo, Price: money.MustParse("5000", "EUR")}, {Watch: "w_1",
			Client: "c_2", Kind: shop.Declined}} {
		v.ID, v.At = fmt.Sprintf("sh_%d", i), day.UTC().Add(time.Duration(i)*time.Hour)
		must(s.KeepStep(ctx, shop.Step{Showings: []shop.Showing{v}}))(t)
	}
	got := func(f shop.ShowingFilter) (out []string) {
		for _, v := range must(s.Showings(ctx, f))(t) {
			out = append(out, v.ID)
		}
		return out
	}
	same(t, "of a watch", got(shop.ShowingFilter{Watch: "w_1"}), []string{"sh_0", "sh_2"})
	same(t, "to a client", got(shop.ShowingFilter{Client: "c_1"}), []string{"sh_0", "sh_1"})
	same(t, "both", got(shop.ShowingFilter{Client: "c_1", Watch: "w_2"}), []string{"sh_1"})
	same(t, "from", got(shop.ShowingFilter{From: 2}), []string{"sh_2"})
	equal(t, "price", must(s.Showings(ctx, shop.ShowingFilter{From: 1}))(t)[0].Price.String(), "5000.00 EUR")
}

func testAccesses(t *testing.T, s Stores) {
	ctx := t.Context()
	for i, client := range []string{"c_1", "", "c_2", "c_1"} {
		ok(t, s.LogAccess(ctx, shop.Access{At: day.Add(time.Duration(i) * time.Minute), By: "Ada", Client: client,
			What: "seen"}))
	}
	equal(t, "all", len(must(s.Accesses(ctx, ""))(t)), 4)
	got := must(s.Accesses(ctx, "c_1"))(t)
	equal(t, "of one", len(got), 2)
	if !got[1].At.Equal(day.Add(3*time.Minute)) || got[1].By != "Ada" || got[1].What != "seen" {
		t.Errorf("access came back as %+v", got[1])
	}
}
