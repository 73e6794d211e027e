package desk

import (
	"cmp"
	"context"
	"slices"

	"midcase/internal/shop"
	"midcase/internal/shop/memo"
	"midcase/refbook"
)

// Met is a reference that the shop knows of: by the book, or by stock and sales alone.
type Met struct {
	Maker, MakerID, Reference, Name, Metal string
	Aliases                                []string // of the maker, in the book
	InBook                                 bool
	Watches, Sales                         int // watches in hand, sales on record
}

// Met lists the references of the book, of the stock in hand and of the sales on record,
// each once, those of the book first.
func (r *Room) Met(ctx context.Context) ([]Met, error) {
	var all []*Met
	at := map[string]*Met{}
	of := func(maker, reference string) *Met {
		key := letters(maker) + "|" + letters(reference)
		if at[key] == nil {
			at[key] = &Met{Maker: maker, Reference: reference}
			all = append(all, at[key])
		}
		return at[key]
	}
	for _, m := range MetInBook(r.shop.Book(ctx)) {
		*of(m.Maker, m.Reference) = m
	}
	stock, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, err
	}
	for _, w := range stock {
		if w.Maker != "" && w.Reference != "" && inSight(w.State) {
			of(w.Maker, w.Reference).Watches++
		}
	}
	sales, err := r.salesMet(ctx)
	if err != nil {
		return nil, err
	}
	for s, n := range sales {
		if s.reference != "" {
			of(s.maker, s.reference).Sales += n
		}
	}
	out := make([]Met, len(all))
	for i, m := range all {
		out[i] = *m
	}
	slices.SortStableFunc(out, func(a, b Met) int {
		if a.InBook != b.InBook {
			if a.InBook {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(b.Watches, a.Watches), cmp.Compare(b.Sales, a.Sales), cmp.Compare(a.Maker, b.Maker),
			cmp.Compare(a.Reference, b.Reference))
	})
	return out, nil
}

// MetInBook lists the references of a book.
func MetInBook(book *refbook.Book) []Met {
	var out []Met
	for _, m := range book.Makers {
		for _, ref := range m.References {
			out = append(out, Met{Maker: m.Name, MakerID: m.ID, Reference: ref.ID, Name: ref.Name, Metal: ref.Metal,
				Aliases: m.Aliases, InBook: true})
		}
	}
	return out
}

type metName struct{ maker, reference string }

// salesMet counts the sales by maker and reference.
func (r *Room) salesMet(ctx context.Context) (map[metName]int, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.met.Get(ctx, memo.One{}, rev.Sales, func(ctx context.Context) (map[metName]int, error) {
		out := map[metName]int{}
		for sale, err := range r.stores.Sales.Sales(ctx) {
			if err != nil {
				return nil, err
			}
			out[metName{sale.Maker, sale.Reference}]++
		}
		return out, nil
	})
}

// inSight reports whether a watch is here or offered to us.
func inSight(s shop.State) bool { return s.Held() || s == shop.Offered }
