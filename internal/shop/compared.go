package shop

import (
	"context"
	"strings"

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
