package shop_test

import (
	"fmt"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/blobs"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
)

// counter makes ids that follow each other.
type counter struct{ n atomic.Int64 }

func (c *counter) id(prefix string) string { return fmt.Sprintf("%s_%04d", prefix, c.n.Add(1)) }

// clock is a clock that tests set.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) Now() time.Time { c.mu.Lock(); defer c.mu.Unlock(); return c.now }
func (c *clock) set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = t
}

var morning = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// bench is a shop on a real store in a folder of its own.
type bench struct {
	*rooms.Shop
	store *store.Store
	clock *clock
	blobs string
}

func newBench(t testing.TB) *bench {
	t.Helper()
	dir := t.TempDir()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	bl, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { bl.Close(); st.Close() })
	c, ids := &clock{now: morning}, &counter{}
	s, err := rooms.Open(t.Context(), shop.On(st, bl, bookdir.Fixed(demo.Book())),
		shop.Options{Now: c.Now, NewID: ids.id, Name: "The Bench"})
	if err != nil {
		t.Fatal(err)
	}
	return &bench{s, st, c, filepath.Join(dir, "blobs")}
}

func (b *bench) takeIn(t testing.TB, in intake.Arrival) shop.Watch {
	t.Helper()
	w, err := b.Intake.TakeIn(t.Context(), in, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func (b *bench) record(t testing.TB, id shop.WatchID, data ...evidence.Data) []evidence.Item {
	t.Helper()
	items, err := b.Intake.Record(t.Context(), id, "Ines", data...)
	if err != nil {
		t.Fatal(err)
	}
	return items
}

func (b *bench) logLength(t testing.TB, id shop.WatchID) int {
	t.Helper()
	log, err := b.Log(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return len(log.Evidence)
}
