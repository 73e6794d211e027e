package shoptest

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"midcase/evidence"
	"midcase/internal/blobs"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/money"
)

// Morning is when the clock of a test begins.
var Morning = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// Bench is a shop on a real store in a folder of its own.
type Bench struct {
	*rooms.Shop
	Store *store.Store
	Clock *Clock
	Dir   string
	book  fs.FS
}

// Clock is a clock that tests set.
type Clock struct {
	mu  sync.Mutex
	now time.Time
}

// Now is the time that was set.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

// Set sets the time.
func (c *Clock) Set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = t
}

// New opens a shop with the book of the demo and ids that follow each other.
func New(t testing.TB) *Bench { return WithBook(t, demo.Book()) }

// WithBook is New with another book; nil is an empty one.
func WithBook(t testing.TB, book fs.FS) *Bench {
	t.Helper()
	if book == nil {
		book = fstest.MapFS{}
	}
	var n atomic.Int64
	return open(t, t.TempDir(), book, func(prefix string) string { return fmt.Sprintf("%s_%04d", prefix, n.Add(1)) })
}

// InMemory is New in a folder that lies in memory, where there is such a place: for many small writes.
func InMemory(t testing.TB) *Bench {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "midcase")
	if err != nil {
		return New(t)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return open(t, dir, demo.Book(), anyID)
}

// Elsewhere is another process on the same shop.
func (b *Bench) Elsewhere(t testing.TB) *Bench { return open(t, b.Dir, b.book, anyID) }

func anyID(prefix string) string { return prefix + "_" + rand.Text() }

func open(t testing.TB, dir string, book fs.FS, newID func(string) string) *Bench {
	t.Helper()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "shop.db"),
		store.WithClientKey(make([]byte, store.ClientKeyBytes)))
	if err != nil {
		t.Fatal(err)
	}
	bl, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { bl.Close(); st.Close() })
	c := &Clock{now: Morning}
	s, err := rooms.Open(t.Context(), shop.On(st, bl, bookdir.Fixed(book)),
		shop.Options{Now: c.Now, NewID: newID, Name: "The Bench"})
	if err != nil {
		t.Fatal(err)
	}
	return &Bench{s, st, c, dir, book}
}

// WithClients adds a seller who proved who they are, a buyer, a partner and a workshop.
func (b *Bench) WithClients(t testing.TB) *Bench {
	t.Helper()
	for _, c := range []shop.Client{
		{ID: "c_seller", Name: "Selma Lund", Identity: &shop.Identity{Paper: "passport", Number: "X1", By: "Ines"}},
		{ID: "c_buyer", Name: "Bruno Vale"}, {ID: "c_partner", Name: "Paula & Co", Kind: "dealer"}, {ID: "c_bench",
			Name: "The Bench Workshop", Kind: "workshop"},
	} {
		if _, err := b.People.Add(t.Context(), c); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

// TakeIn opens a watch file.
func (b *Bench) TakeIn(t testing.TB, a intake.Arrival) shop.Watch {
	t.Helper()
	w, err := b.Intake.TakeIn(t.Context(), a, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Offered takes in a watch that is offered to the shop.
func (b *Bench) Offered(t testing.TB) shop.WatchID {
	t.Helper()
	return b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Place: "safe"}).ID
}

// Record adds evidence.
func (b *Bench) Record(t testing.TB, id shop.WatchID, data ...evidence.Data) []evidence.Item {
	t.Helper()
	items, err := b.Intake.Record(t.Context(), id, "Ines", data...)
	if err != nil {
		t.Fatal(err)
	}
	return items
}

// BlobFiles counts the pictures and sounds that are kept.
func (b *Bench) BlobFiles(t testing.TB) (n int) {
	t.Helper()
	err := filepath.WalkDir(filepath.Join(b.Dir, "blobs"), func(_ string, d fs.DirEntry, err error) error {
		if err == nil && d.Type().IsRegular() {
			n++
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// LogLength is how many items of evidence a watch has.
func (b *Bench) LogLength(t testing.TB, id shop.WatchID) int {
	t.Helper()
	log, err := b.Log(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return len(log.Evidence)
}

// Balance is what is booked on an account, in the shop's currency.
func (b *Bench) Balance(t testing.TB, a ledger.Account) string {
	t.Helper()
	out := "0.00"
	err := b.Accounts.Books(t.Context(), func(books *ledger.Books) error {
		all, err := books.Balances()
		for _, x := range all {
			if x.Account == a {
				out = x.Base.Amount()
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// EUR is an amount in euros.
func EUR(s string) money.Money { return money.MustParse(s, "EUR") }

// Must returns a function that ends the test on an error.
func Must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// Refused checks that an input was refused for a field, with what was found and what would be right.
func Refused(t testing.TB, err error, field string) {
	t.Helper()
	var invalid *shop.Invalid
	if !errors.As(err, &invalid) {
		t.Fatalf("error %v; want it refused for %s", err, field)
	}
	if !slices.ContainsFunc(invalid.Problems, func(p evidence.Problem) bool {
		return p.Field == field &&
			p.Found != "" && p.Want != ""
	}) {
		t.Errorf("%v; want the field %s named", err, field)
	}
}
