package store

import (
	"errors"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
)

// While the clock is behind what it said before, no dated record is written; a backup can be noted, and once somebody
// says that the clock is right, it goes on from there.
func TestNothingIsRecordedWhileTheClockIsBehind(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
		if err := WithClock(func() time.Time { return now })(s); err != nil {
			t.Fatal(err)
		}
		w, err := s.CreateWatch(ctx, shop.Watch{ID: "w1", Title: "Diver", State: shop.Listed})
		if err != nil {
			t.Fatal(err)
		}
		claim := func(id string) error {
			return s.Append(ctx, w.ID, evidence.Item{ID: evidence.ID(id), At: now, By: "anna",
				Data: &evidence.Claim{Text: "bought new", From: "the seller"}})
		}
		mustNot := func(when string, err error) {
			t.Helper()
			var behind *shop.ClockBehind
			if !errors.As(err, &behind) {
				t.Fatalf("%s: got %v; want that the clock is behind", when, err)
			}
			if !behind.Now.Equal(now) {
				t.Errorf("%s: the clock says %v; want %v", when, behind.Now, now)
			}
		}
		must := func(when string, err error) {
			t.Helper()
			if err != nil {
				t.Fatalf("%s: %v", when, err)
			}
		}
		must("at first", claim("e1"))
		now = now.Add(-Leeway)
		must("another server's clock", claim("e2"))

		now = now.Add(-time.Hour)
		mustNot("an hour back", claim("e3"))
		w.Title = "changed"
		_, err = s.UpdateWatch(ctx, w)
		mustNot("a record", err)
		must("a setting", s.SetSetting(ctx, "backup", "today"))
		if b, err := ClockBehind(ctx, s); err != nil || b == nil {
			t.Errorf("the clock is behind: got %v, %v", b, err)
		}
		items, err := s.Evidence(ctx, w.ID)
		if err != nil || len(items) != 2 {
			t.Errorf("got %d items, %v; want the two that were recorded", len(items), err)
		}

		must("the clock is right", s.ClockIsRight(ctx))
		must("afterwards", claim("e3"))
		now = now.Add(-time.Hour)
		mustNot("back again", claim("e4"))
		now = now.Add(2 * time.Hour)
		must("put right", claim("e4"))
		if b, err := ClockBehind(ctx, s); err != nil || b != nil {
			t.Errorf("the clock is right: got %v, %v", b, err)
		}
	})
}
