package cli

import (
	"context"
	"io"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/backup"
	"midcase/internal/shop"
)

// A served shop is backed up when it is time, says how long ago that was, and says what is dated ahead of the clock.
func TestTending(t *testing.T) {
	t.Setenv(storeURLVariable, "")
	t.Setenv(clientKeyVariable, "")
	day := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	now := day
	a := &app{ctx: t.Context(), now: func() time.Time { return now }, out: io.Discard, err: io.Discard}
	s, err := a.openAt(filepath.Join(t.TempDir(), "shop"), true)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.close)
	ctx := context.Background()
	item := evidence.Item{ID: "ev_1", At: day.AddDate(1, 0, 0), By: "Ines",
		Data: &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1}}
	if _, err := s.store.CreateWatch(ctx, shop.Watch{ID: "w_1", Created: day, Changed: day}, item); err != nil {
		t.Fatal(err)
	}
	place := filepath.Join(t.TempDir(), "away")
	tended := &tending{app: a, shop: s, log: slog.New(slog.DiscardHandler), place: place, every: 24 * time.Hour}
	if got := tended.backedUp(); got != "No backup yet." {
		t.Errorf("at first: %q", got)
	}
	tended.start(ctx)
	if got := tended.notices(); len(got) != 1 || !strings.Contains(got[0], "ahead of this machine's clock, the latest 2027-03-02") {
		t.Errorf("an item of next year: %q", got)
	}
	for i := range 3 { // at 0, 13 and 26 hours
		now = day.Add(time.Duration(i) * 13 * time.Hour)
		tended.look(ctx)
		if got := tended.backedUp(); got != "Last backup today." {
			t.Errorf("after %d looks: %q", i+1, got)
		}
	}
	tended.place = "" // nowhere to go to
	p, err := backup.At(place)
	if err != nil {
		t.Fatal(err)
	}
	if all, err := backup.Snapshots(ctx, p); err != nil || len(all) != 2 {
		t.Errorf("%d backups in 26 hours, %v; want 2", len(all), err)
	}
	now = day.AddDate(0, 0, 10)
	tended.look(ctx)
	if got := tended.backedUp(); got != "Last backup 8 days ago." {
		t.Errorf("after days without: %q", got)
	}
}
