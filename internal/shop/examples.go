package shop

import (
	"context"
	"encoding/json"
	"errors"
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
	all, err := s.examples(ctx)
	if err != nil {
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
	s.exampleMu.Lock()
	defer s.exampleMu.Unlock()
	all, err := s.examples(ctx)
	if err != nil {
		return Watch{}, err
	}
	all[exampleKey(w.Maker, w.Reference)] = id
	b, err := json.Marshal(all)
	if err != nil {
		return Watch{}, fmt.Errorf("reference example: %w", err)
	}
	if err := s.stores.Settings.SetSetting(ctx, examplesName, string(b)); err != nil {
		return Watch{}, fmt.Errorf("reference example: %w", err)
	}
	return w, nil
}

func (s *Shop) examples(ctx context.Context) (map[string]WatchID, error) {
	text, err := s.stores.Settings.Setting(ctx, examplesName)
	if errors.Is(err, ErrNotFound) {
		return map[string]WatchID{}, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reference examples: %w", err)
	}
	all := map[string]WatchID{}
	if err := json.Unmarshal([]byte(text), &all); err != nil {
		return nil, fmt.Errorf("reference examples are damaged: %w", err)
	}
	return all, nil
}
