package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"midcase/internal/shop/rights"
)

type userKey struct{}

// As returns a context in which what is done is done by a user: the log of accesses to
// client data names them.
func As(ctx context.Context, by string) context.Context {
	return context.WithValue(ctx, userKey{}, by)
}

func User(ctx context.Context) string {
	if by, ok := ctx.Value(userKey{}).(string); ok && strings.TrimSpace(by) != "" {
		return strings.TrimSpace(by)
	}
	return "not told"
}

// LogAccess notes that client data are seen or changed. Of lists that one user looks at
// again and again, one look in each minute is noted.
func (s *Shop) LogAccess(ctx context.Context, client, what string) error {
	a := Access{At: s.opt.Now(), By: User(ctx), Client: client, What: what}
	note := func(ctx context.Context) (struct{}, error) { return struct{}{}, s.stores.Privacy.LogAccess(ctx, a) }
	var err error
	if client == "" {
		_, err = s.looks.Get(ctx, [2]string{a.By, a.What}, a.At.Unix()/60, note)
	} else {
		_, err = note(ctx)
	}
	// On a full disk nothing can be changed, and looking goes on although it cannot be noted.
	if err != nil && !errors.Is(err, ErrDiskFull) {
		return fmt.Errorf("log of accesses: %w", err)
	}
	return nil
}

// Named is a client's id and name.
type Named struct{ ID, Name, Kind string }

// knownClients are all clients, as they were read last.
type knownClients struct {
	all   []Client          // by name
	names map[string]string // by id
	list  []Named           // by name, without those who were erased
}

func (s *Shop) knownClients(ctx context.Context) (*knownClients, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return s.clients.Get(ctx, struct{}{}, rev.Clients, func(ctx context.Context) (*knownClients, error) {
		all, err := s.stores.Clients.Clients(ctx)
		if err != nil {
			return nil, err
		}
		k := &knownClients{all, make(map[string]string, len(all)), make([]Named, 0, len(all))}
		for _, c := range all {
			k.names[c.ID] = c.Name
			if c.Erased.IsZero() {
				k.list = append(k.list, Named{c.ID, c.Name, c.Kind})
			}
		}
		slices.SortFunc(k.list, func(a, b Named) int {
			return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)),
				strings.Compare(a.ID, b.ID))
		})
		return k, nil
	})
}

// clientList is every client by name, for reading only. The log of accesses does not note it.
func (s *Shop) ClientList(ctx context.Context) ([]Client, error) {
	k, err := s.knownClients(ctx)
	if err != nil {
		return nil, err
	}
	return k.all, nil
}

// Names are the clients' names by id, and the same as a list in the order of the names.
// Those whose data were erased have no name and are not in the list. Callers do not change
// them. The log of accesses notes what they were for. Whoever may not see clients gets none.
func (s *Shop) Names(ctx context.Context, what string) (map[string]string, []Named, error) {
	if !SeesNames(ctx) {
		return nil, nil, nil
	}
	if err := s.LogAccess(ctx, "", "names for the "+what); err != nil {
		return nil, nil, err
	}
	k, err := s.knownClients(ctx)
	if err != nil {
		return nil, nil, err
	}
	return k.names, k.list, nil
}

// SeesNames reports whether whoever asks may see clients' names: the books and the papers have them too.
func SeesNames(ctx context.Context) bool {
	return rights.May(ctx, rights.Clients) || rights.May(ctx, rights.Ledger)
}

// onRecord checks that an id is that of a client whose data were not erased.
func (s *Shop) ClientOnRecord(ctx context.Context, what, id string) error {
	if id == "" {
		return Refuse(what, "client", "nothing", "the id of a client")
	}
	c, err := s.stores.Clients.Client(ctx, id)
	switch {
	case errors.Is(err, ErrNotFound):
		return Refuse(what, "client", fmt.Sprintf("%q", id), "the id of a client")
	case err != nil:
		return fmt.Errorf("%s: %w", what, err)
	case !c.Erased.IsZero():
		return Refuse(what, "client", fmt.Sprintf("%q, whose data were erased", id), "a client on record")
	}
	return nil
}
