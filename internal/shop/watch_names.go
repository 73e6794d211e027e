package shop

import (
	"context"
	"fmt"
	"strings"
)

// WatchName is what lists that rest on the ledger say of a watch.
type WatchName struct {
	Number    int
	Title     string
	Reference string // maker and number
}

// NamesOfWatches returns a function that names a watch by its id.
func (s *Shop) NamesOfWatches(ctx context.Context) (func(id string) WatchName, error) {
	list, err := s.Stock(ctx)
	if err != nil {
		return nil, fmt.Errorf("names of watches: %w", err)
	}
	return func(id string) WatchName {
		w, _ := list.Watch(WatchID(id))
		return WatchName{w.Number, w.Title, strings.TrimSpace(w.Maker + " " + w.Reference)}
	}, nil
}
