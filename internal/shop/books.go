package shop

import (
	"context"
	"fmt"
	"io"
	"sync"
	"sync/atomic"
	"time"

	"midcase/internal/shop/ledger"
)

// booksCache holds the ledger folded so far. Entries are only ever added, so it reads
// on from where it stopped.
type booksCache struct {
	mu    sync.Mutex
	books *ledger.Books
	next  int64
	index entryIndex

	read    atomic.Int64 // entries read so far, for those who wait
	loaded  atomic.Bool
	loading sync.Mutex // held by who reads the whole ledger in the background
}

// Books folds the ledger into balances, stock book, VAT figures, ageing and profit. look is
// called with the books, which it must not keep.
func (s *Shop) Books(ctx context.Context, look func(*ledger.Books) error) error {
	c := &s.books
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.books == nil {
		c.books, c.next, c.index = ledger.NewBooks(s.opt.Currency), 0, newEntryIndex()
		c.loaded.Store(false)
		c.read.Store(0)
	}
	for e, err := range s.stores.Steps.Entries(ctx, EntryFilter{From: c.next}) {
		if err == nil {
			err = c.books.Post(e)
		}
		if err != nil {
			c.books = nil // half of an entry may be in
			return fmt.Errorf("books: %w", err)
		}
		c.next = e.Seq + 1
		c.index.add(e)
		c.read.Store(c.next)
	}
	c.loaded.Store(true)
	return look(c.books)
}

// BooksSoon makes sure that the books are read, and waits for it no longer than asked. Where it takes
// longer the reading goes on in the background, read is the number of entries read so far, and
// ready is false. A large ledger takes a second or three, once after a start.
func (s *Shop) BooksSoon(ctx context.Context, wait time.Duration) (read int64, ready bool, err error) {
	c := &s.books
	if c.loaded.Load() {
		return c.read.Load(), true, nil
	}
	done := make(chan error, 1)
	if c.loading.TryLock() {
		go func() {
			defer c.loading.Unlock()
			quiet := context.WithoutCancel(ctx)
			_, err := s.NamesOfWatches(quiet)
			if err == nil {
				err = s.Books(quiet, func(*ledger.Books) error { return nil })
			}
			done <- err
		}()
	}
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for end := time.After(wait); ; {
		select {
		case err := <-done:
			return c.read.Load(), err == nil, err
		case <-ctx.Done():
			return c.read.Load(), false, ctx.Err()
		case <-tick.C:
			if c.loaded.Load() {
				return c.read.Load(), true, nil
			}
		case <-end:
			return c.read.Load(), false, nil
		}
	}
}

// BooksAsOf folds the entries of days up to and including one.
func (s *Shop) BooksAsOf(ctx context.Context, day string) (*ledger.Books, error) {
	books := ledger.NewBooks(s.opt.Currency)
	for e, err := range s.stores.Steps.Entries(ctx, EntryFilter{}) {
		if err != nil {
			return nil, fmt.Errorf("books: %w", err)
		}
		if e.Day > day {
			continue
		}
		if err := books.Post(e); err != nil {
			return nil, fmt.Errorf("books: %w", err)
		}
	}
	return books, nil
}

// WriteJournal writes the whole ledger as a plain-text journal. Payees are named, save
// those whose data were erased.
func (s *Shop) WriteJournal(ctx context.Context, w io.Writer) error {
	names, _, err := s.Names(ctx, "journal")
	if err != nil {
		return err
	}
	return ledger.WriteJournal(w, s.stores.Steps.Entries(ctx, EntryFilter{}), func(p string) string { return names[p] })
}

// WriteLedgerCSV writes the whole ledger as CSV, one row a line, parties by id.
func (s *Shop) WriteLedgerCSV(ctx context.Context, w io.Writer) error {
	return ledger.WriteCSV(w, s.stores.Steps.Entries(ctx, EntryFilter{}))
}

// StockBookRow is a row of the stock book with what the shop knows of watch and people.
type StockBookRow struct {
	ledger.StockRow
	FileNumber  int    `json:"file_number"`
	Description string `json:"description"`
	Serial      string `json:"serial,omitempty"`
	SellerName  string `json:"seller_name,omitempty"`
	BuyerName   string `json:"buyer_name,omitempty"`
}

// StockBook is the stock book of the margin scheme. Names of people whose data were
// erased are left out; their ids stay.
func (s *Shop) StockBook(ctx context.Context) ([]StockBookRow, error) {
	watches, err := s.watchesByID(ctx)
	if err != nil {
		return nil, fmt.Errorf("stock book: %w", err)
	}
	names, _, err := s.Names(ctx, "stock book")
	if err != nil {
		return nil, err
	}
	var out []StockBookRow
	err = s.Books(ctx, func(b *ledger.Books) error {
		for _, r := range b.StockBook() {
			w := watches[r.Watch]
			out = append(out, StockBookRow{r, w.Number, w.Title, w.Serial, names[r.Seller], names[r.Buyer]})
		}
		return nil
	})
	return out, err
}

func (s *Shop) watchesByID(ctx context.Context) (map[string]Watch, error) {
	all, err := s.stores.Watches.Watches(ctx, Filter{})
	if err != nil {
		return nil, err
	}
	out := make(map[string]Watch, len(all))
	for _, w := range all {
		out[string(w.ID)] = w
	}
	return out, nil
}

// Profit sums income less expense by watch, reference, route or month.
func (s *Shop) Profit(ctx context.Context, by string) ([]ledger.ProfitRow, error) {
	name, err := s.NamesOfWatches(ctx)
	if err != nil {
		return nil, fmt.Errorf("profit: %w", err)
	}
	var out []ledger.ProfitRow
	err = s.Books(ctx, func(b *ledger.Books) (err error) {
		switch by {
		case "watch":
			out, err = b.ProfitBy(func(id string) string { return id })
		case "reference":
			out, err = b.ProfitBy(func(id string) string { return name(id).Reference })
		case "route":
			out, err = b.ProfitByRoute()
		case "month":
			out, err = b.ProfitByMonth()
		default:
			err = Refuse("profit", "by", fmt.Sprintf("%q", by), "watch, reference, route or month")
		}
		return err
	})
	return out, err
}

// VerifyLedger errs where the ledger's entries are not what was once kept.
func (s *Shop) VerifyLedger(ctx context.Context) error {
	return s.stores.Steps.VerifyLedger(ctx)
}
