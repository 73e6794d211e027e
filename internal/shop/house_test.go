package shop_test

import (
	"path/filepath"
	"testing"

	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/money"
)

// house is a shop with ledger and sealed clients, on a real store, without a book.
type house struct {
	*rooms.Shop
	store *store.Store
	clock *clock
}

func newHouse(t testing.TB) *house {
	t.Helper()
	return newHouseIn(t, t.TempDir())
}

func newHouseIn(t testing.TB, dir string) *house {
	t.Helper()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "shop.db"),
		store.WithClientKey(make([]byte, store.ClientKeyBytes)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	c, ids := &clock{now: morning}, &counter{}
	s, err := rooms.Open(t.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(nil)),
		shop.Options{Now: c.Now, NewID: ids.id})
	if err != nil {
		t.Fatal(err)
	}
	h := &house{s, st, c}
	for _, x := range []shop.Client{
		{ID: "c_seller", Name: "Selma Lund", Identity: &shop.Identity{Paper: "passport", Number: "X1", By: "Ines"}},
		{ID: "c_buyer", Name: "Bruno Vale"}, {ID: "c_partner", Name: "Paula & Co", Kind: "dealer"}, {ID: "c_bench",
			Name: "The Bench Workshop", Kind: "workshop"},
	} {
		if _, err := h.People.Add(t.Context(), x); err != nil {
			t.Fatal(err)
		}
	}
	return h
}

func (h *house) offered(t testing.TB) shop.WatchID {
	t.Helper()
	w, err := h.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1", Place: "safe"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	return w.ID
}

func eur(s string) money.Money { return money.MustParse(s, "EUR") }

func done(t testing.TB) func(shop.Movement, error) shop.Movement {
	return func(m shop.Movement, err error) shop.Movement {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
}
