package accounts

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/memo"
	"midcase/money"
)

// foldedBooks is the ledger folded so far. Entries are only ever added, so it reads on from where it
// stopped.
type foldedBooks struct {
	mu    sync.RWMutex
	books *ledger.Books // nil where an entry could not be posted
	next  int64
	index entryIndex
}

// booksMark is what the folded ledger follows from.
type booksMark struct {
	ledger   int64
	currency money.Currency
}

// Books folds the ledger into balances, stock book, VAT figures, ageing and profit. look is
// called with the books, which it must not keep.
func (r *Room) Books(ctx context.Context, look func(*ledger.Books) error) error {
	return r.indexedBooks(ctx, func(b *ledger.Books, _ entryIndex) error { return look(b) })
}

func (r *Room) indexedBooks(ctx context.Context, look func(*ledger.Books, entryIndex) error) error {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return fmt.Errorf("books: %w", err)
	}
	f, err := r.books.Grow(ctx, memo.One{}, booksMark{rev.Ledger, r.shop.Currency()}, r.postMore)
	if err != nil {
		return err
	}
	f.mu.RLock()
	defer f.mu.RUnlock()
	if f.books == nil {
		return errors.New("books: an entry of the ledger could not be posted")
	}
	return look(f.books, f.index)
}

// postMore posts the entries that were added since.
func (r *Room) postMore(ctx context.Context, f *foldedBooks) (*foldedBooks, error) {
	if f == nil {
		f = &foldedBooks{}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.books == nil || f.next == 0 { // an empty ledger may change its currency
		f.books, f.next, f.index = ledger.NewBooks(r.shop.Currency()), 0, newEntryIndex()
	}
	for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{From: f.next}) {
		if err == nil {
			err = f.books.Post(e)
		}
		if err != nil {
			f.books = nil // half of an entry may be in
			return f, fmt.Errorf("books: %w", err)
		}
		f.next = e.Seq + 1
		f.index.add(e)
		r.posted.Store(f.next)
	}
	return f, nil
}

// BooksSoon makes sure that the books are read, and waits for it no longer than asked. Where it takes
// longer the reading goes on in the background, read is the number of entries read so far, and
// ready is false. A large ledger takes a second or three, once after a start.
func (r *Room) BooksSoon(ctx context.Context, wait time.Duration) (read int64, ready bool, err error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return 0, false, fmt.Errorf("books: %w", err)
	}
	_, ready, err = r.books.Soon(ctx, memo.One{}, booksMark{rev.Ledger, r.shop.Currency()}, wait, r.postMore)
	return r.posted.Load(), ready, err
}

// BooksAsOf folds the entries of days up to and including one.
func (r *Room) BooksAsOf(ctx context.Context, day string) (*ledger.Books, error) {
	books := ledger.NewBooks(r.shop.Currency())
	for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{}) {
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
func (r *Room) WriteJournal(ctx context.Context, w io.Writer) error {
	names, _, err := r.shop.Names(ctx, "journal")
	if err != nil {
		return err
	}
	all := r.stores.Steps.Entries(ctx, shop.EntryFilter{})
	return ledger.WriteJournal(w, all, func(p string) string { return names[p] })
}

// WriteBeancount writes the whole ledger as WriteJournal does, in the other plain-text form.
func (r *Room) WriteBeancount(ctx context.Context, w io.Writer) error {
	names, _, err := r.shop.Names(ctx, "journal")
	if err != nil {
		return err
	}
	all := r.stores.Steps.Entries(ctx, shop.EntryFilter{})
	return ledger.WriteBeancount(w, all, func(p string) string { return names[p] })
}

// WriteLedgerCSV writes the whole ledger as CSV, one row a line, parties by id.
func (r *Room) WriteLedgerCSV(ctx context.Context, w io.Writer) error {
	return ledger.WriteCSV(w, r.stores.Steps.Entries(ctx, shop.EntryFilter{}))
}

// StockBookRow is a row of the stock book with what the shop knows of watch and people.
type StockBookRow struct {
	ledger.StockRow
	FileNumber  int    `json:"file_number"`
	Description string `json:"description"`
	Serial      string `json:"serial,omitempty"`
	SellerName  string `json:"seller_name,omitempty"`
	BuyerName   string `json:"buyer_name,omitempty"`
	Invoice     string `json:"invoice,omitempty"` // issued by the program
}

// StockMoveRow is a movement of the stock book with what the shop knows of watch and people.
type StockMoveRow struct {
	ledger.StockMove
	FileNumber  int    `json:"file_number"`
	Description string `json:"description"`
	PartyName   string `json:"party_name,omitempty"`
	Invoice     string `json:"invoice,omitempty"` // issued by the program, or the credit note that takes it back
}

// StockMoves is the stock book with one row a movement.
func (r *Room) StockMoves(ctx context.Context) ([]StockMoveRow, error) {
	watches, err := r.shop.Stock(ctx)
	if err != nil {
		return nil, fmt.Errorf("stock book: %w", err)
	}
	names, _, err := r.shop.Names(ctx, "stock book")
	if err != nil {
		return nil, err
	}
	invoices, err := r.invoices(ctx)
	if err != nil {
		return nil, err
	}
	var out []StockMoveRow
	err = r.Books(ctx, func(b *ledger.Books) error {
		for _, m := range b.StockMoves() {
			w, _ := watches.Watch(shop.WatchID(m.Watch))
			row := StockMoveRow{m, w.Number, w.Title, names[m.Party], ""}
			if m.Sale && m.Of == m.Entry {
				row.Invoice = invoices[m.Entry]
			}
			out = append(out, row)
		}
		return nil
	})
	return out, err
}

// invoices are the numbers of the invoices made, by the entry of the sale.
func (r *Room) invoices(ctx context.Context) (map[string]string, error) {
	made, err := r.stores.Papers.Papers(ctx, shop.PaperFilter{})
	if err != nil {
		return nil, fmt.Errorf("stock book: invoices: %w", err)
	}
	out := map[string]string{}
	for _, p := range made {
		if p.Kind == shop.PaperInvoice {
			out[p.Entry] = p.Number
		}
	}
	return out, nil
}

// StockBook is the stock book of the margin scheme. Names of people whose data were
// erased are left out; their ids stay.
func (r *Room) StockBook(ctx context.Context) ([]StockBookRow, error) {
	watches, err := r.shop.Stock(ctx)
	if err != nil {
		return nil, fmt.Errorf("stock book: %w", err)
	}
	names, _, err := r.shop.Names(ctx, "stock book")
	if err != nil {
		return nil, err
	}
	invoices, err := r.invoices(ctx)
	if err != nil {
		return nil, err
	}
	var out []StockBookRow
	err = r.Books(ctx, func(b *ledger.Books) error {
		for _, r := range b.StockBook() {
			w, _ := watches.Watch(shop.WatchID(r.Watch))
			out = append(out, StockBookRow{r, w.Number, w.Title, w.Serial, names[r.Seller], names[r.Buyer],
				invoices[r.SaleEntry]})
		}
		return nil
	})
	return out, err
}

// Profit sums income less expense by watch, reference, route or month.
func (r *Room) Profit(ctx context.Context, by string) ([]ledger.ProfitRow, error) {
	name, err := r.shop.NamesOfWatches(ctx)
	if err != nil {
		return nil, fmt.Errorf("profit: %w", err)
	}
	var out []ledger.ProfitRow
	err = r.Books(ctx, func(b *ledger.Books) (err error) {
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
			err = shop.Refuse("profit", "by", fmt.Sprintf("%q", by), "watch, reference, route or month")
		}
		return err
	})
	return out, err
}

// VerifyLedger errs where the ledger's entries are not what was once kept.
func (r *Room) VerifyLedger(ctx context.Context) error {
	return r.stores.Steps.VerifyLedger(ctx)
}
