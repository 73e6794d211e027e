package shop

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"midcase/evidence"
)

// Cursor is a place in the history of the records and in the log of the evidence, from which a
// reader goes on.
type Cursor struct{ Records, Evidence int64 }

// stockMark is what the stock list follows from.
type stockMark struct{ watches, evidence int64 }

// stockList is the stock list as it was at a cursor. It is never changed once it was handed out.
type stockList struct {
	cursor Cursor
	all    []Watch // by file number
	marks  []Mark  // beside all
	at     map[WatchID]int
}

// Mark changes with everything that the opinion on one watch follows from, beside what all opinions
// follow from.
type Mark struct {
	version  int
	evidence int64 // the cursor at which the last evidence was found
	compared int64 // likewise of evidence that may change how its reference compares
}

// watch is a watch of the list.
func (l *stockList) watch(id WatchID) (Watch, bool) {
	i, ok := l.at[id]
	if !ok {
		return Watch{}, false
	}
	return l.all[i], true
}

// MarkOf is the mark of a watch; zero for one that is not on the list.
func (s *Shop) MarkOf(ctx context.Context, id WatchID) (Mark, error) {
	l, err := s.stock(ctx)
	if err != nil {
		return Mark{}, err
	}
	if i, ok := l.at[id]; ok {
		return l.marks[i], nil
	}
	return Mark{}, nil
}

// stock is the stock list, read again only as far as it changed.
func (s *Shop) stock(ctx context.Context) (*stockList, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return s.known.stock.Grow(ctx, only{}, stockMark{rev.Watches, rev.Evidence}, s.readOn)
}

// StockList is the whole stock by file number, for reading only.
func (s *Shop) StockList(ctx context.Context) ([]Watch, error) {
	l, err := s.stock(ctx)
	if err != nil {
		return nil, err
	}
	return l.all, nil
}

// readOn reads what was written since a list was read.
func (s *Shop) readOn(ctx context.Context, was *stockList) (*stockList, error) {
	if was == nil {
		was = &stockList{at: map[WatchID]int{}}
	}
	changed, examined, now, err := s.stores.Watches.ChangedWatches(ctx, was.cursor)
	if err != nil {
		return nil, err
	}
	if len(changed)+len(examined) == 0 {
		return was, nil
	}
	next := &stockList{now, slices.Clone(was.all), slices.Clone(was.marks), was.at}
	if slices.ContainsFunc(changed, func(w Watch) bool { _, ok := was.at[w.ID]; return !ok }) {
		next.at = maps.Clone(was.at)
	}
	next.put(changed)
	return next, s.examine(ctx, next, examined)
}

// put takes in new and changed watches.
func (l *stockList) put(changed []Watch) {
	inOrder := true
	for _, w := range changed {
		if i, ok := l.at[w.ID]; ok {
			l.all[i], l.marks[i].version = w, w.Version
			continue
		}
		inOrder = inOrder && (len(l.all) == 0 || l.all[len(l.all)-1].Number < w.Number)
		l.at[w.ID] = len(l.all)
		l.all, l.marks = append(l.all, w), append(l.marks, Mark{version: w.Version})
	}
	if inOrder {
		return
	}
	marks := make(map[WatchID]Mark, len(l.all))
	for i, w := range l.all {
		marks[w.ID] = l.marks[i]
	}
	slices.SortFunc(l.all, func(a, b Watch) int { return cmp.Compare(a.Number, b.Number) })
	for i, w := range l.all {
		l.at[w.ID], l.marks[i] = i, marks[w.ID]
	}
}

// examine marks the watches of which evidence was added. Where one of them was compared with others of
// its reference, the opinions on those that were compared follow from it too.
func (s *Shop) examine(ctx context.Context, l *stockList, examined []WatchID) error {
	asked := map[[2]string]map[WatchID][]evidence.Item{}
	for _, id := range examined {
		i, ok := l.at[id]
		if !ok {
			continue
		}
		l.marks[i].evidence = l.cursor.Evidence
		of := [2]string{l.all[i].Maker, l.all[i].Reference}
		if _, ok := asked[of]; !ok {
			items, err := s.stores.Watches.ItemsOfReference(ctx, of[0], of[1], evidence.KindComparison)
			if err != nil {
				return err
			}
			asked[of] = items
		}
		if len(asked[of][id]) == 0 {
			continue
		}
		for other := range asked[of] {
			if i, ok := l.at[other]; ok {
				l.marks[i].compared = l.cursor.Evidence
			}
		}
	}
	return nil
}
