package shop

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"time"
)

// WatchName is what lists that rest on the ledger say of a watch.
type WatchName struct {
	Number    int
	Title     string
	Reference string // maker and number
}

// watchNames holds the names of all watches for the lists of the ledger; they are read anew
// after an hour, and those of new watches one by one.
type watchNames struct {
	mu  sync.Mutex
	at  time.Time
	all map[string]WatchName
}

const namesLast = time.Hour

// NamesOfWatches returns a function that names a watch by its id.
func (s *Shop) NamesOfWatches(ctx context.Context) (func(id string) WatchName, error) {
	c := &s.watchNames
	c.mu.Lock()
	defer c.mu.Unlock()
	if now := s.opt.Now(); c.all == nil || now.Sub(c.at) > namesLast || now.Before(c.at) {
		all, err := s.stores.Watches.Watches(ctx, Filter{})
		if err != nil {
			return nil, fmt.Errorf("names of watches: %w", err)
		}
		c.all, c.at = make(map[string]WatchName, len(all)), now
		for _, w := range all {
			c.all[string(w.ID)] = nameOfWatch(w)
		}
	}
	return func(id string) WatchName {
		c.mu.Lock()
		defer c.mu.Unlock()
		n, ok := c.all[id]
		if !ok && id != "" {
			if w, err := s.stores.Watches.Watch(ctx, WatchID(id)); err == nil {
				n = nameOfWatch(w)
				c.all[id] = n
			}
		}
		return n
	}, nil
}

func nameOfWatch(w Watch) WatchName {
	return WatchName{w.Number, w.Title, strings.TrimSpace(w.Maker + " " + w.Reference)}
}
