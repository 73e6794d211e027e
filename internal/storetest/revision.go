package storetest

import (
	"errors"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/market"
)

// testRevision makes one change after another and holds that each counts in its own parts alone.
func testRevision(t *testing.T, s Stores) {
	ctx := t.Context()
	var watch shop.Watch
	var client shop.Client
	for _, change := range []struct {
		name string
		make func() error
		want shop.Revision // by how much each count grows
	}{
		{"nothing", func() error { return nil }, shop.Revision{}},
		{"create a watch", func() (err error) {
			watch, err = s.CreateWatch(ctx, newWatch("w_1"))
			return err
		}, shop.Revision{Watches: 1}},
		{"create a watch with evidence", func() error {
			_, err := s.CreateWatch(ctx, newWatch("w_2"), seen("ev_1", "1"))
			return err
		}, shop.Revision{Watches: 1, Evidence: 1}},
		{"update a watch", func() (err error) {
			watch, err = s.UpdateWatch(ctx, watch)
			return err
		}, shop.Revision{Watches: 1}},
		{"append", func() error { return s.Append(ctx, "w_1", seen("ev_2", "2"), seen("ev_3", "3")) },
			shop.Revision{Evidence: 1}},
		{"add sales", func() error {
			_, err := s.AddSales(ctx, []market.Sale{newSale("s_1", "2026-01-01", "100"),
				newSale("s_2", "2026-01-02", "200")}, imported)
			return err
		}, shop.Revision{Sales: 1, Settings: 1}}, // when they came in is noted beside the settings
		{"add the same sales", func() error {
			_, err := s.AddSales(ctx, []market.Sale{newSale("s_1", "2026-01-01", "100")}, imported)
			return err
		}, shop.Revision{}},
		{"create a client", func() (err error) {
			client, err = s.CreateClient(ctx, shop.Client{ID: "c_1", Name: "Ada", Created: day, Changed: day})
			return err
		}, shop.Revision{Clients: 1}},
		{"update a client", func() (err error) {
			client, err = s.UpdateClient(ctx, client)
			return err
		}, shop.Revision{Clients: 1}},
		{"look at a client", func() error { return s.LogAccess(ctx, shop.Access{At: day, By: "Ada", What: "seen"}) },
			shop.Revision{}},
		{"set a setting", func() error { return s.SetSetting(ctx, "currency", "EUR") }, shop.Revision{Settings: 1}},
		{"keep an opinion", func() error {
			return s.KeepOpinion(ctx, shop.KeptOpinion{Watch: "w_1", AsOf: "2026-03-01", Formed: day,
				JSON: []byte("{}")})
		}, shop.Revision{Opinions: 1}},
		{"keep a paper", func() error {
			_, err := s.KeepPaper(ctx, shop.Paper{ID: "p_1", Series: "I", InSeries: 1, Watch: "w_1"}, "")
			return err
		}, shop.Revision{Papers: 1}},
		{"keep a step", func() error {
			_, err := s.KeepStep(ctx, shop.Step{Watches: []shop.Watch{watch},
				Movements: []shop.Movement{{ID: "m_1", Watch: "w_1", To: shop.Listed, Day: "2026-03-01"}}})
			return err
		}, shop.Revision{Watches: 1, Ledger: 1}},
		{"show", func() error {
			_, err := s.KeepStep(ctx, shop.Step{Showings: []shop.Showing{{ID: "sh_1", Watch: "w_1", Client: "c_1",
				At: day}}})
			return err
		}, shop.Revision{Showings: 1}},
		{"add an example", func() error {
			_, err := s.AddExamples(ctx, []shop.SeenExample{{ID: "x_1", At: day, Maker: "Corvane", Reference: "KR-1"}})
			return err
		}, shop.Revision{Examples: 1}},
		{"edit the book", func() error { return s.EditBook(ctx, func() error { return nil }) },
			shop.Revision{BookEdits: 1}},
		{"rebuild", func() error { return s.Rebuild(ctx) }, shop.Revision{Watches: 1, Clients: 1, Settings: 1}},
	} {
		before := must(s.Revision(ctx))(t)
		if err := change.make(); err != nil {
			t.Fatalf("%s: %v", change.name, err)
		}
		equal(t, change.name, grown(before, must(s.Revision(ctx))(t)), change.want)
	}
}

// grown is by how much each count is larger.
func grown(from, to shop.Revision) shop.Revision {
	return shop.Revision{
		Watches: to.Watches - from.Watches, Evidence: to.Evidence - from.Evidence, Sales: to.Sales - from.Sales,
		Clients: to.Clients - from.Clients, Settings: to.Settings - from.Settings, Ledger: to.Ledger - from.Ledger,
		Showings: to.Showings - from.Showings, Papers: to.Papers - from.Papers, Opinions: to.Opinions - from.Opinions,
		BookEdits: to.BookEdits - from.BookEdits, Examples: to.Examples - from.Examples,
	}
}

// testRevisionOfWhatFailed holds that a change which is not kept does not count.
func testRevisionOfWhatFailed(t *testing.T, s Stores) {
	ctx := t.Context()
	w := create(t, s, newWatch("w_1"), seen("ev_1", "1"))
	before := must(s.Revision(ctx))(t)
	stale := w
	stale.Version = 7
	broken := errors.New("the folder is full")
	for name, err := range map[string]error{
		"a second watch of the name": second(s.CreateWatch(ctx, newWatch("w_1"))),
		"a stale version":            second(s.UpdateWatch(ctx, stale)),
		"an item that is there":      s.Append(ctx, "w_1", seen("ev_9", "9"), seen("ev_1", "1")),
		"an edit that failed":        s.EditBook(ctx, func() error { return broken }),
		"an entry without balance": second(s.KeepStep(ctx, shop.Step{
			Items:   map[shop.WatchID][]evidence.Item{"w_1": {seen("ev_8", "8")}},
			Entries: []ledger.Entry{{Head: ledger.Head{ID: "e_1", Day: "2026-03-01"}}},
		})),
	} {
		if err == nil {
			t.Errorf("%s was kept", name)
		}
	}
	equal(t, "revision", must(s.Revision(ctx))(t), before)
}

func second[T any](_ T, err error) error { return err }
