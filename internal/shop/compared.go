package shop

import (
	"context"
	"strings"

	"midcase/evidence"
)

// ReferenceItems is what a store of watches may offer besides: the items of some kinds of
// all watches of a reference, without reading their other evidence.
type ReferenceItems interface {
	ItemsOfReference(ctx context.Context, maker, reference string, kinds ...evidence.Kind) (map[WatchID][]evidence.Item, error)
}

// comparedItems are the comparisons among the examples of a reference, with the withdrawals
// that may concern them, as they stood at a place.
type comparedItems struct {
	place Place
	of    map[WatchID][]evidence.Item
}

const comparedKept = 500 // references

// compared are the items by which the examples of a reference were compared, by watch, for
// reading only.
func (s *Shop) compared(ctx context.Context, maker, reference string) (map[WatchID][]evidence.Item, error) {
	kinds := []evidence.Kind{evidence.KindComparison, evidence.KindWithdrawal}
	items, ok := s.stores.Watches.(ReferenceItems)
	if !ok {
		return s.comparedOneByOne(ctx, maker, reference)
	}
	if !s.stockIsKnown() {
		return items.ItemsOfReference(ctx, maker, reference, kinds...)
	}
	if _, err := s.stockList(ctx); err != nil { // brings the place up to date
		return nil, err
	}
	k := &s.wanted.stock
	key := [2]string{strings.ToLower(maker), strings.ToLower(reference)}
	k.mu.Lock()
	place := k.place
	kept, ok := k.compared[key]
	k.mu.Unlock()
	if ok && kept.place == place {
		return kept.of, nil
	}
	of, err := items.ItemsOfReference(ctx, maker, reference, kinds...)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.compared == nil || len(k.compared) >= comparedKept {
		k.compared = map[[2]string]comparedItems{}
	}
	k.compared[key] = comparedItems{place, of}
	return of, nil
}

func (s *Shop) comparedOneByOne(ctx context.Context, maker, reference string) (map[WatchID][]evidence.Item, error) {
	all, err := s.stores.Watches.Watches(ctx, Filter{Maker: maker, Reference: reference})
	if err != nil {
		return nil, err
	}
	out := map[WatchID][]evidence.Item{}
	for _, w := range all {
		if out[w.ID], err = s.stores.Watches.Evidence(ctx, w.ID); err != nil {
			return nil, err
		}
	}
	return out, nil
}
