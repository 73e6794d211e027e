package store

import (
	"fmt"
	"testing"

	"midcase/internal/shop"
)

func TestHistory(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		w, err := s.CreateWatch(ctx, shop.Watch{ID: "w_1", Place: "safe", Created: day, Changed: day})
		if err != nil {
			t.Fatal(err)
		}
		w.Place, w.Changed = "window", day.AddDate(0, 0, 1)
		if _, err := s.UpdateWatch(ctx, w); err != nil {
			t.Fatal(err)
		}
		if _, err := s.UpdateWatch(ctx, w); err == nil { // stale: leaves no trace
			t.Fatal("a stale version was taken")
		}
		changes, err := s.History(ctx, SubjectWatch, "w_1")
		if err != nil || len(changes) != 2 {
			t.Fatalf("%d changes, %v; want 2", len(changes), err)
		}
		if changes[0].Before != nil || string(changes[0].After) != string(changes[1].Before) {
			t.Errorf("before and after do not join: %+v", changes)
		}
		for i, c := range changes {
			kept, err := readWatch(string(c.After))
			if err != nil || kept.Place != []string{"safe", "window"}[i] || c.Version != i+1 ||
				!c.At.Equal(kept.Changed) {
				t.Errorf("change %d: %+v, %v", i, c, err)
			}
		}
		if changes, err = s.History(ctx, SubjectWatch, "w_9"); err != nil || len(changes) != 0 {
			t.Errorf("history of no watch: %v, %v", changes, err)
		}
	})
}

// Rebuild undoes what somebody did to the tables behind the store's back.
func TestRebuildRepairs(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		fill(t, s, 4)
		if _, err := s.CreateWatch(ctx, shop.Watch{ID: "w_2", Place: "safe"}); err != nil {
			t.Fatal(err)
		}
		if _, err := s.CreateClient(ctx, shop.Client{ID: "c_1", Name: "Ada"}); err != nil {
			t.Fatal(err)
		}
		if err := s.SetSetting(ctx, "currency", "EUR"); err != nil {
			t.Fatal(err)
		}
		look := func() string {
			watches, err := s.Watches(ctx, shop.Filter{})
			found, err2 := s.Watches(ctx, shop.Filter{Text: "safe"})
			clients, err3 := s.Clients(ctx)
			currency, err4 := s.Setting(ctx, "currency")
			return fmt.Sprintf("%+v %v\n%+v %v\n%+v %v\n%s %v", watches, err, found, err2, clients, err3, currency,
				err4)
		}
		before := look()
		for _, statement := range []string{
			`DELETE FROM watches WHERE id = 'w_2'`, `UPDATE watches SET doc = '{}', number = 70, search = 'safe' WHERE id = 'w_0'`,
			`INSERT INTO watches SELECT 'w_7', 7, version, state, maker_key, reference_key, serial_key, search, doc FROM watches WHERE id = 'w_1'`,
			`DELETE FROM clients`, `UPDATE settings SET value = 'CHF'`, `INSERT INTO settings (name, value) VALUES ('stray', '1')`,
		} {
			if _, err := s.write.ExecContext(ctx, statement); err != nil {
				t.Fatal(err)
			}
		}
		if look() == before {
			t.Fatal("the damage does not show")
		}
		if err := s.Rebuild(ctx); err != nil {
			t.Fatal(err)
		}
		if after := look(); after != before {
			t.Errorf("after the rebuild:\n got %s\nwant %s", after, before)
		}
		if _, err := s.Setting(ctx, "stray"); err == nil {
			t.Error("a stray setting stayed")
		}
	})
}
