package shop

import (
	"context"
	"fmt"
	"strings"
)

// examplesName is the setting that holds the reference examples as JSON: by maker and
// reference, the id of the watch.
const examplesName = "reference examples"

func exampleKey(maker, reference string) string {
	return strings.ToLower(strings.TrimSpace(maker)) + "/" + strings.ToLower(strings.TrimSpace(reference))
}

// ReferenceExample is the watch that is kept as the yardstick for a reference; ok is
// false where none was named.
func (s *Shop) ReferenceExample(ctx context.Context, maker, reference string) (id WatchID, ok bool, err error) {
	var all map[string]WatchID
	if _, err := s.readKept(ctx, examplesName, "reference examples", &all); err != nil {
		return "", false, err
	}
	id, ok = all[exampleKey(maker, reference)]
	return id, ok, nil
}

// SetReferenceExample names a watch as the yardstick for its reference, in place of the
// one before.
func (s *Shop) SetReferenceExample(ctx context.Context, id WatchID) (Watch, error) {
	w, err := s.stores.Watches.Watch(ctx, id)
	if err != nil {
		return Watch{}, fmt.Errorf("reference example: %w", err)
	}
	all := map[string]WatchID{}
	return w, s.changeKept(ctx, examplesName, "reference examples", &all, func() error {
		all[exampleKey(w.Maker, w.Reference)] = id
		return nil
	})
}
