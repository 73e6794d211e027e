package shop

import (
	"cmp"
	"context"
	"slices"
	"sync"
)

// Place is how far a store's records have come: it grows with every change of a record
// and with every item of evidence.
type Place struct{ Records, Evidence int64 }

// knownStock is the stock list in memory. The slice all is never changed once it was
// handed out.
type knownStock struct {
	mu    sync.Mutex
	place Place
	all   []Watch         // by file number
	at    map[WatchID]int // place in all
	seen  map[WatchID]int // how often the record or the evidence of a watch was found changed

	compared map[[2]string]comparedItems // by maker and reference, in lower case
}

// stockList is the whole stock list by file number, for reading only, read anew only as
// far as it changed.
func (s *Shop) StockList(ctx context.Context) ([]Watch, error) {
	k := &s.stock
	k.mu.Lock()
	defer k.mu.Unlock()
	changed, examined, now, err := s.stores.Watches.ChangedWatches(ctx, k.place)
	if err != nil {
		return nil, err
	}
	if k.seen == nil {
		k.seen, k.at = map[WatchID]int{}, map[WatchID]int{}
	}
	k.place = now
	for _, id := range examined {
		k.seen[id]++
	}
	if len(changed) > 0 {
		k.put(changed)
	}
	return k.all, nil
}

func (k *knownStock) put(changed []Watch) {
	all := slices.Clone(k.all)
	inOrder := true
	for _, w := range changed {
		k.seen[w.ID]++
		if i, ok := k.at[w.ID]; ok {
			all[i] = w
			continue
		}
		inOrder = inOrder && (len(all) == 0 || all[len(all)-1].Number < w.Number)
		k.at[w.ID] = len(all)
		all = append(all, w)
	}
	if !inOrder {
		slices.SortFunc(all, func(a, b Watch) int { return cmp.Compare(a.Number, b.Number) })
		for i, w := range all {
			k.at[w.ID] = i
		}
	}
	k.all = all
}

// knownWatch is a watch of the list with how often it was found changed; ok is false where
// the store does not tell of changes or has no such watch.
func (s *Shop) KnownWatch(id WatchID) (w Watch, seen int, ok bool) {
	k := &s.stock
	k.mu.Lock()
	defer k.mu.Unlock()
	i, ok := k.at[id]
	if !ok {
		return Watch{}, 0, false
	}
	return k.all[i], k.seen[id], true
}

// stockIsKnown reports whether the list was read before.
func (s *Shop) StockIsKnown() bool {
	k := &s.stock
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.place != Place{}
}
