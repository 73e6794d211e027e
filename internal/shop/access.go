package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"
)

type userKey struct{}

// As returns a context in which what is done is done by a user: the log of accesses to
// client data names them.
func As(ctx context.Context, by string) context.Context {
	return context.WithValue(ctx, userKey{}, by)
}

func userOf(ctx context.Context) string {
	if by, ok := ctx.Value(userKey{}).(string); ok && strings.TrimSpace(by) != "" {
		return strings.TrimSpace(by)
	}
	return "not told"
}

// logAccess notes that client data are seen or changed. Of lists that one user looks at
// again and again, one look a minute is noted.
func (s *Shop) logAccess(ctx context.Context, client, what string) error {
	a := Access{At: s.opt.Now(), By: userOf(ctx), Client: client, What: what}
	if client == "" && !s.lists.due(a) {
		return nil
	}
	if err := s.stores.Privacy.LogAccess(ctx, a); err != nil {
		return fmt.Errorf("log of accesses: %w", err)
	}
	return nil
}

// listLooks remembers when lists were last noted in the log of accesses.
type listLooks struct {
	mu   sync.Mutex
	last map[[2]string]time.Time // by user and list
}

func (l *listLooks) due(a Access) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	k := [2]string{a.By, a.What}
	if last, ok := l.last[k]; ok && a.At.Sub(last) < time.Minute && !a.At.Before(last) {
		return false
	}
	const most = 1000
	if l.last == nil || len(l.last) >= most {
		l.last = map[[2]string]time.Time{}
	}
	l.last[k] = a.At
	return true
}

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
	stamp, err := s.stores.Privacy.ClientStamp(ctx)
	if err != nil {
		return nil, nil, err
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

// onRecord checks that an id is that of a client whose data were not erased.
func (s *Shop) onRecord(ctx context.Context, what, id string) error {
	if id == "" {
		return invalid(what, "client", "nothing", "the id of a client")
	}
	c, err := s.stores.Clients.Client(ctx, id)
	switch {
	case errors.Is(err, ErrNotFound):
		return invalid(what, "client", fmt.Sprintf("%q", id), "the id of a client")
	case err != nil:
		return fmt.Errorf("%s: %w", what, err)
	case !c.Erased.IsZero():
		return invalid(what, "client", fmt.Sprintf("%q, whose data were erased", id), "a client on record")
	}
	return nil
}
