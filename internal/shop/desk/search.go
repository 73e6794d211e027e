package desk

import (
	"context"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/memo"
)

// searchKey is the key of a watch at a version of its record.
type searchKey struct {
	version int
	key     string
}

// searchKeys are the keys of all watches, made anew of those that changed.
func (r *Room) searchKeys(ctx context.Context) (map[shop.WatchID]searchKey, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.searched.Grow(ctx, memo.One{}, rev.Watches,
		func(ctx context.Context, was map[shop.WatchID]searchKey) (map[shop.WatchID]searchKey, error) {
			list, err := r.shop.StockList(ctx)
			if err != nil {
				return nil, err
			}
			out := make(map[shop.WatchID]searchKey, len(list))
			for _, w := range list {
				k, ok := was[w.ID]
				if !ok || k.version != w.Version {
					k = searchKey{w.Version, shop.SearchKey(strings.Join([]string{w.Title, w.Maker, w.Reference, w.Serial,
						w.Place, w.Holder, w.Note}, "\n"))}
				}
				out[w.ID] = k
			}
			return out, nil
		})
}

// clientKeys are the search keys of the clients' names by id.
func (r *Room) clientKeys(ctx context.Context) (map[string]string, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.named.Get(ctx, memo.One{}, rev.Clients, func(ctx context.Context) (map[string]string, error) {
		clients, err := r.shop.ClientList(ctx)
		if err != nil {
			return nil, err
		}
		out := make(map[string]string, len(clients))
		for _, c := range clients {
			if c.Erased.IsZero() {
				out[c.ID] = shop.SearchKey(c.Name)
			}
		}
		return out, nil
	})
}

// Search keeps the watches in which all words of a text are found: in title, maker,
// reference, serial number, place, holder or note, or in the name of the client.
func (r *Room) Search(ctx context.Context, all []Brief, text string) ([]Brief, error) {
	words := strings.Fields(shop.SearchKey(text))
	if len(words) == 0 {
		return all, nil
	}
	keys, err := r.searchKeys(ctx)
	if err != nil {
		return nil, err
	}
	names, err := r.clientKeys(ctx)
	if err != nil {
		return nil, err
	}
	if !shop.SeesNames(ctx) {
		names = nil
	}
	var out []Brief
	for _, b := range all {
		if holdsAll(words, keys[b.Watch.ID].key, names[b.Watch.Client], names[b.Watch.Holder]) {
			out = append(out, b)
		}
	}
	return out, nil
}

func holdsAll(words []string, in ...string) bool {
	for _, w := range words {
		found := false
		for _, s := range in {
			found = found || strings.Contains(s, w)
		}
		if !found {
			return false
		}
	}
	return true
}
