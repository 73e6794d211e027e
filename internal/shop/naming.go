package shop

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"

	"midcase/money"
)

// nameCache holds the clients' names, which many pages write beside ids. It is read
// anew when a client was added or changed.
type nameCache struct {
	mu    sync.Mutex
	stamp string
	names map[string]string
	list  []Named
}

// Named is a client's id and name.
type Named struct{ ID, Name, Kind string }

// Names are the clients' names by id, and the same as a list in the order of the names.
// Those whose data were erased have no name and are not in the list. Callers do not change
// them. The log of accesses notes what they were for.
func (s *Shop) Names(ctx context.Context, what string) (map[string]string, []Named, error) {
	if err := s.logAccess(ctx, "", "names for the "+what); err != nil {
		return nil, nil, err
	}
	stamp := ""
	if s.stores.Privacy != nil {
		var err error
		if stamp, err = s.stores.Privacy.ClientStamp(ctx); err != nil {
			return nil, nil, err
		}
	}
	c := &s.naming
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.names != nil && stamp != "" && stamp == c.stamp {
		return c.names, c.list, nil
	}
	all, err := s.stores.Clients.Clients(ctx)
	if err != nil {
		return nil, nil, err
	}
	c.stamp, c.names, c.list = stamp, make(map[string]string, len(all)), make([]Named, 0, len(all))
	for _, x := range all {
		c.names[x.ID] = x.Name
		if x.Erased.IsZero() {
			c.list = append(c.list, Named{x.ID, x.Name, x.Kind})
		}
	}
	slices.SortFunc(c.list, func(a, b Named) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), strings.Compare(a.ID, b.ID))
	})
	return c.names, c.list, nil
}

// RateOn is the shop's rate of a day from its table of exchange rates: so much of the
// shop's currency for 1 of another. ok is false where the table does not tell.
func (s *Shop) RateOn(ctx context.Context, of money.Currency, day string) (rate float64, ok bool) {
	return s.rateBetween(ctx, of, s.opt.Currency, day)
}
