package shop

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"midcase/evidence"
	"midcase/internal/shop/memo"
)

// Cursor is a place in the history of the records and in the log of the evidence, from which a
// reader goes on.
type Cursor struct{ Records, Evidence int64 }

// StockMark is what the stock list follows from.
type StockMark struct{ watches, evidence int64 }

// Stock is what the stock list follows from.
func (r Revision) Stock() StockMark { return StockMark{r.Watches, r.Evidence} }

// Stock is the stock list as it was at a cursor. It is never changed once it was handed out.
type Stock struct {
	cursor Cursor
	All    []Watch // by file number
	Marks  []Mark  // beside All
	at     map[WatchID]int
}

// Mark changes with everything that the opinion on one watch follows from, beside what all opinions
// follow from.
type Mark struct {
	version  int
	evidence int64 // the cursor at which the last evidence was found
	compared int64 // likewise of evidence that may change how its reference compares
}

// Watch is a watch of the list.
func (l *Stock) Watch(id WatchID) (Watch, bool) {
	i, ok := l.at[id]
	if !ok {
		return Watch{}, false
	}
	return l.All[i], true
}

// MarkOf is the mark of a watch's record, also of one that came after the list was read.
func (l *Stock) MarkOf(w Watch) Mark {
	if i, ok := l.at[w.ID]; ok {
		return l.Marks[i]
	}
	return Mark{version: w.Version}
}

// MarkOf is the mark of a watch; zero for one that is not on the list.
func (s *Shop) MarkOf(ctx context.Context, id WatchID) (Mark, error) {
	l, err := s.Stock(ctx)
	if err != nil {
		return Mark{}, err
	}
	if i, ok := l.at[id]; ok {
		return l.Marks[i], nil
	}
	return Mark{}, nil
}

// Stock is the stock list, read again only as far as it changed.
func (s *Shop) Stock(ctx context.Context) (*Stock, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return s.known.stock.Grow(ctx, memo.One{}, rev.Stock(), s.readOn)
}

// StockList is the whole stock by file number, for reading only.
func (s *Shop) StockList(ctx context.Context) ([]Watch, error) {
	l, err := s.Stock(ctx)
	if err != nil {
		return nil, err
	}
	return l.All, nil
}

// readOn reads what was written since a list was read.
func (s *Shop) readOn(ctx context.Context, was *Stock) (*Stock, error) {
	if was == nil {
		was = &Stock{at: map[WatchID]int{}}
	}
	changed, examined, now, err := s.stores.Watches.ChangedWatches(ctx, was.cursor)
	if err != nil {
		return nil, err
	}
	if len(changed)+len(examined) == 0 {
		return was, nil
	}
	next := &Stock{now, slices.Clone(was.All), slices.Clone(was.Marks), was.at}
	if slices.ContainsFunc(changed, func(w Watch) bool { _, ok := was.at[w.ID]; return !ok }) {
		next.at = maps.Clone(was.at)
	}
	next.put(changed)
	next.drop()
	return next, s.examine(ctx, next, examined)
}

// put takes in new and changed watches.
func (l *Stock) put(changed []Watch) {
	inOrder := true
	for _, w := range changed {
		if i, ok := l.at[w.ID]; ok {
			l.All[i], l.Marks[i].version = w, w.Version
			continue
		}
		inOrder = inOrder && (len(l.All) == 0 || l.All[len(l.All)-1].Number < w.Number)
		l.at[w.ID] = len(l.All)
		l.All, l.Marks = append(l.All, w), append(l.Marks, Mark{version: w.Version})
	}
	if inOrder {
		return
	}
	marks := make(map[WatchID]Mark, len(l.All))
	for i, w := range l.All {
		marks[w.ID] = l.Marks[i]
	}
	slices.SortFunc(l.All, func(a, b Watch) int { return cmp.Compare(a.Number, b.Number) })
	for i, w := range l.All {
		l.at[w.ID], l.Marks[i] = i, marks[w.ID]
	}
}

// drop takes out the files that were taken back.
func (l *Stock) drop() {
	if !slices.ContainsFunc(l.All, func(w Watch) bool { return w.State == TakenBack }) {
		return
	}
	all, marks, at := []Watch(nil), []Mark(nil), map[WatchID]int{}
	for i, w := range l.All {
		if w.State != TakenBack {
			at[w.ID] = len(all)
			all, marks = append(all, w), append(marks, l.Marks[i])
		}
	}
	l.All, l.Marks, l.at = all, marks, at
}

// examine marks the watches of which evidence was added. Where one of them was compared with others of
// its reference, the opinions on those that were compared follow from it too.
func (s *Shop) examine(ctx context.Context, l *Stock, examined []WatchID) error {
	asked := map[[2]string]map[WatchID][]evidence.Item{}
	for _, id := range examined {
		i, ok := l.at[id]
		if !ok {
			continue
		}
		l.Marks[i].evidence = l.cursor.Evidence
		of := [2]string{l.All[i].Maker, l.All[i].Reference}
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
				l.Marks[i].compared = l.cursor.Evidence
			}
		}
	}
	return nil
}
