package shop

import (
	"context"
	"strings"

	"midcase/evidence"
)

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
	if !s.StockIsKnown() {
		return s.stores.Watches.ItemsOfReference(ctx, maker, reference, kinds...)
	}
	if _, err := s.StockList(ctx); err != nil { // brings the place up to date
		return nil, err
	}
	k := &s.stock
	key := [2]string{strings.ToLower(maker), strings.ToLower(reference)}
	k.mu.Lock()
	place := k.place
	kept, ok := k.compared[key]
	k.mu.Unlock()
	if ok && kept.place == place {
		return kept.of, nil
	}
	of, err := s.stores.Watches.ItemsOfReference(ctx, maker, reference, kinds...)
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
