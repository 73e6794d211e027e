package accounts

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
)

// entryIndex knows in which places of the journal an account or a document number occurs.
// Watches and clients have an index in the store.
type entryIndex struct {
	accounts  map[ledger.Account][]int64
	documents map[string][]int64
}

func newEntryIndex() entryIndex {
	return entryIndex{map[ledger.Account][]int64{}, map[string][]int64{}}
}

func (x entryIndex) add(e ledger.Entry) {
	for _, l := range e.Lines {
		if all := x.accounts[l.Account]; len(all) == 0 || all[len(all)-1] != e.Seq {
			x.accounts[l.Account] = append(all, e.Seq)
		}
	}
	if e.Document != "" {
		k := strings.ToLower(strings.TrimSpace(e.Document))
		x.documents[k] = append(x.documents[k], e.Seq)
	}
}

// JournalQuery narrows the journal. Zero fields do not narrow.
type JournalQuery struct {
	Account  ledger.Account // one of the chart, or the beginning of some, such as expenses
	Watch    shop.WatchID
	Party    string
	Document string
	ID       string
	Page     int // from 1, the newest first
	Rows     int // a page
}

// JournalPage is a page of the journal, the newest entry first.
type JournalPage struct {
	Entries []ledger.Entry
	Total   int // that pass
	Page    int
	Pages   int
}

// Journal is a page of the journal. It reads no more entries than it shows, but where a watch or a
// client narrows it.
func (r *Room) Journal(ctx context.Context, q JournalQuery) (JournalPage, error) {
	out := JournalPage{Page: max(1, q.Page)}
	q.Rows = max(1, q.Rows)
	if q.ID != "" || q.Watch != "" || q.Party != "" {
		all, err := r.shop.Entries(ctx, shop.EntryFilter{ID: q.ID, Watch: q.Watch, Party: q.Party})
		if err != nil {
			return out, fmt.Errorf("journal: %w", err)
		}
		all = slices.DeleteFunc(all, func(e ledger.Entry) bool { return !q.passes(e) })
		slices.Reverse(all)
		out.Total, out.Pages = len(all), pages(len(all), q.Rows)
		out.Page = max(1, min(out.Page, out.Pages))
		first := min(len(all), (out.Page-1)*q.Rows)
		out.Entries = all[first:min(len(all), first+q.Rows)]
		return out, nil
	}
	var places []int64 // newest first
	err := r.indexedBooks(ctx, func(b *ledger.Books, x entryIndex) error {
		switch {
		case q.Document != "":
			places = slices.Clone(x.documents[strings.ToLower(strings.TrimSpace(q.Document))])
		case q.Account != "":
			for a, at := range x.accounts {
				if under(a, q.Account) {
					places = append(places, at...)
				}
			}
			slices.Sort(places)
			places = slices.Compact(places)
		default:
			out.Total = b.Posted()
			return nil
		}
		slices.Reverse(places)
		out.Total = len(places)
		return nil
	})
	if err != nil {
		return out, err
	}
	out.Pages = pages(out.Total, q.Rows)
	out.Page = max(1, min(out.Page, out.Pages))
	first := min(out.Total, (out.Page-1)*q.Rows)
	last := min(out.Total, first+q.Rows)
	if q.Document == "" && q.Account == "" {
		latest := shop.EntryFilter{From: int64(out.Total - last), Limit: max(1, last-first)}
		out.Entries, err = r.shop.Entries(ctx, latest)
		slices.Reverse(out.Entries)
		out.Entries = out.Entries[:min(len(out.Entries), last-first)]
		return out, err
	}
	for _, at := range places[first:last] {
		one, err := r.shop.Entries(ctx, shop.EntryFilter{From: at, Limit: 1})
		if err != nil {
			return out, fmt.Errorf("journal: %w", err)
		}
		out.Entries = append(out.Entries, one...)
	}
	return out, nil
}

// passes reports whether an entry found by its subject also has account and document.
func (q JournalQuery) passes(e ledger.Entry) bool {
	if q.Document != "" && !strings.EqualFold(strings.TrimSpace(e.Document), strings.TrimSpace(q.Document)) {
		return false
	}
	return q.Account == "" || slices.ContainsFunc(e.Lines, func(l ledger.Line) bool {
		return under(l.Account,
			q.Account)
	})
}

// under reports whether an account is another or lies below it.
func under(a, top ledger.Account) bool {
	return a == top || strings.HasPrefix(string(a), string(top)+":")
}

func pages(n, rows int) int { return (n + rows - 1) / rows }

// StockBookPage is a page of the stock book, the newest row first, with the number of rows in
// all.
func (r *Room) StockBookPage(ctx context.Context, page, rows int) (out []StockBookRow, total int, err error) {
	var some []ledger.StockRow
	err = r.Books(ctx, func(b *ledger.Books) error {
		all := b.StockBook()
		total = len(all)
		last := max(0, total-(max(1, page)-1)*rows)
		some = slices.Clone(all[max(0, last-rows):last])
		return nil
	})
	if err != nil {
		return nil, 0, err
	}
	slices.Reverse(some)
	names, _, err := r.shop.Names(ctx, "stock book")
	if err != nil {
		return nil, 0, err
	}
	invoices, err := r.invoices(ctx)
	if err != nil {
		return nil, 0, err
	}
	for _, row := range some {
		w, err := r.stores.Watches.Watch(ctx, shop.WatchID(row.Watch))
		if err != nil {
			return nil, 0, fmt.Errorf("stock book: %w", err)
		}
		out = append(out, StockBookRow{row, w.Number, w.Title, w.Serial, names[row.Seller], names[row.Buyer],
			invoices[row.SaleEntry]})
	}
	return out, total, nil
}

// profitMark is what profits follow from.
type profitMark struct{ ledger, watches int64 }

type profitRows []ledger.ProfitRow

// RankedProfit is Profit with the latest month first, or else the highest profit first. Callers do not
// change it.
func (r *Room) RankedProfit(ctx context.Context, by string) ([]ledger.ProfitRow, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, fmt.Errorf("profit: %w", err)
	}
	return r.profits.Get(ctx, by, profitMark{rev.Ledger, rev.Watches},
		func(ctx context.Context) (profitRows, error) {
			rows, err := r.Profit(ctx, by)
			if err != nil {
				return nil, err
			}
			if by == "month" {
				slices.Reverse(rows)
				return rows, nil
			}
			slices.SortStableFunc(rows, func(a,
				b ledger.ProfitRow) int {
				return b.Profit.Decimal().Cmp(a.Profit.Decimal())
			})
			return rows, nil
		})
}
