package shop

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"midcase/evidence"
)

// comparedItems are the comparisons among the examples of a reference, with the withdrawals that may
// concern them, by watch.
type comparedItems map[WatchID][]evidence.Item

// compared are the items by which the examples of a reference were compared, for reading only.
func (s *Shop) compared(ctx context.Context, maker, reference string) (comparedItems, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, err
	}
	key := [2]string{strings.ToLower(maker), strings.ToLower(reference)}
	return s.known.compared.Get(ctx, key, rev.Stock(),
		func(ctx context.Context) (comparedItems, error) {
			return s.stores.Watches.ItemsOfReference(ctx, maker, reference, evidence.KindComparison,
				evidence.KindWithdrawal)
		})
}

// Judgement is one comparison of two examples side by side, as it stands.
type Judgement struct {
	ID   evidence.ID
	On   WatchID // on whose file it is recorded
	By   string
	At   time.Time
	Slot evidence.Slot // none for the whole watch
	A, B WatchID       // A is better, unless Same
	Same bool
}

// Judgements are the comparisons among the watches of a reference as of a time, without those withdrawn by then.
func (s *Shop) Judgements(ctx context.Context, maker, reference string, asOf time.Time) ([]Judgement, error) {
	all, err := s.compared(ctx, maker, reference)
	if err != nil {
		return nil, fmt.Errorf("examples of %s: %w", reference, err)
	}
	var out []Judgement
	for _, id := range slices.Sorted(maps.Keys(all)) {
		file := evidence.Fold(evidence.Watch{ID: string(id), Evidence: all[id]}, asOf)
		for _, c := range evidence.All[*evidence.Comparison](file) {
			j := Judgement{ID: c.Item.ID, On: id, By: c.Item.By, At: c.Item.At, Slot: c.Data.Slot, A: id,
				B: WatchID(c.Data.Other), Same: c.Data.Result == "same"}
			if c.Data.Result == "worse" {
				j.A, j.B = j.B, j.A
			}
			out = append(out, j)
		}
	}
	return out, nil
}
