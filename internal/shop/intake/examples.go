package intake

import (
	"context"
	"fmt"
	"midcase/internal/shop"
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
func (r *Room) ReferenceExample(ctx context.Context, maker, reference string) (id shop.WatchID, ok bool, err error) {
	var all map[string]shop.WatchID
	if _, err := r.shop.ReadSetting(ctx, examplesName, "reference examples", &all); err != nil {
		return "", false, err
	}
	id, ok = all[exampleKey(maker, reference)]
	return id, ok, nil
}

// SetReferenceExample names a watch as the yardstick for its reference, in place of the
// one before.
func (r *Room) SetReferenceExample(ctx context.Context, id shop.WatchID) (shop.Watch, error) {
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return shop.Watch{}, fmt.Errorf("reference example: %w", err)
	}
	all := map[string]shop.WatchID{}
	return w, r.shop.ChangeSetting(ctx, examplesName, "reference examples", &all, func() error {
		all[exampleKey(w.Maker, w.Reference)] = id
		return nil
	})
}
