package demo_test

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
)

// TestLivesOfTheWatches fills a shop twice: every watch stands where the world says, for what it
// says; the books balance; the second filling adds nothing.
func TestLivesOfTheWatches(t *testing.T) {
	t.Parallel()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	n, now := 0, time.Date(2026, 11, 2, 10, 0, 0, 0, time.UTC)
	s, err := rooms.Open(t.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(demo.Book())),
		shop.Options{Now: func() time.Time {
			return now
		}, NewID: func(prefix string) string { n++; return fmt.Sprintf("%s_%04d", prefix, n) }})
	if err != nil {
		t.Fatal(err)
	}
	world := demo.NewWorld(1)
	world.Sales = nil
	for range 2 {
		if err := world.Fill(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	states := map[shop.State]int{}
	for _, x := range world.Watches {
		w, err := s.Watch(t.Context(), shop.WatchID(x.Evidence.ID))
		if err != nil {
			t.Fatal(err)
		}
		states[w.State]++
		if w.State != x.State || w.Place != x.Place && x.State != shop.Bought {
			t.Errorf("%s: %s in %s; want %s in %s", x.File, w.State, w.Place, x.State, x.Place)
		}
		life, err := s.Trade.Life(t.Context(), w.ID)
		if err != nil {
			t.Fatal(err)
		}
		if x.State != shop.Offered && !life.Known {
			t.Errorf("%s: %s, and the ledger knows nothing of it", x.File, x.State)
		}
		for i := 1; i < len(life.Steps); i++ {
			if life.Steps[i].Day < life.Steps[i-1].Day {
				t.Errorf("%s: step of %s after one of %s", x.File, life.Steps[i].Day, life.Steps[i-1].Day)
			}
		}
	}
	for state, least := range map[shop.State]int{shop.Consigned: 3, shop.PartShare: 1, shop.Photographed: 1,
		shop.OnMemo: 1, shop.Reserved: 2, shop.Sold: 5, shop.AtWorkshop: 2} {
		if states[state] < least {
			t.Errorf("%d watches %s; want %d or more", states[state], state, least)
		}
	}
	if err := s.Accounts.VerifyLedger(t.Context()); err != nil {
		t.Error(err)
	}
	err = s.Accounts.Books(t.Context(), func(b *ledger.Books) error {
		all, err := b.Balances()
		for _, x := range all {
			if x.Account == ledger.Bank && x.Amount.Sign() < 0 {
				t.Errorf("the bank stands at %s", x.Amount)
			}
		}
		if b.Posted() < 80 {
			t.Errorf("%d entries; want 80 or more", b.Posted())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
