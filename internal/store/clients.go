package store

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"midcase/internal/shop"
)

// CreateClient implements shop.ClientStore. It sets Version to 1.
func (s *Store) CreateClient(ctx context.Context, c shop.Client) (shop.Client, error) {
	var kept shop.Client
	err := s.change(ctx, fmt.Sprintf("create client %s", c.ID), func(tx *transaction) error {
		var err error
		kept, err = addClient(ctx, tx, s, c)
		return err
	})
	if err != nil {
		return shop.Client{}, err
	}
	return kept, nil
}

// addClient adds a client that is not there yet.
func addClient(ctx context.Context, tx *transaction, s *Store, c shop.Client) (shop.Client, error) {
	if err := checkKey("client id", c.ID); err != nil {
		return shop.Client{}, err
	}
	if _, err := clientDoc(ctx, tx, c.ID); !errors.Is(err, shop.ErrNotFound) {
		return shop.Client{}, orExists(err)
	}
	c.Version = 1
	return keepClient(ctx, tx, s, "", c)
}

// UpdateClient implements shop.ClientStore: it writes c over the version it was read
// at, or returns shop.ErrConflict. The time of creation stays as it is.
func (s *Store) UpdateClient(ctx context.Context, c shop.Client) (shop.Client, error) {
	var kept shop.Client
	err := s.change(ctx, fmt.Sprintf("update client %s", c.ID), func(tx *transaction) (err error) {
		kept, err = updateClient(ctx, tx, s, c)
		return err
	})
	if err != nil {
		return shop.Client{}, err
	}
	return kept, nil
}

func updateClient(ctx context.Context, tx *transaction, s *Store, c shop.Client) (shop.Client, error) {
	before, err := clientDoc(ctx, tx, c.ID)
	if err != nil {
		return shop.Client{}, err
	}
	old, err := s.openClient(c.ID, before)
	if err != nil {
		return shop.Client{}, err
	}
	if s.keyLost {
		return shop.Client{}, ErrClientKey
	}
	if old.Version != c.Version {
		return shop.Client{}, fmt.Errorf("version %d, now %d: %w", c.Version, old.Version, shop.ErrConflict)
	}
	c.Version++
	c.Created = old.Created
	return keepClient(ctx, tx, s, before.doc, c)
}

func keepClient(ctx context.Context, tx *transaction, s *Store, before string, c shop.Client) (shop.Client, error) {
	if s.keyLost {
		return shop.Client{}, ErrClientKey
	}
	kept, doc, err := roundTrip(c)
	if err != nil {
		return shop.Client{}, err
	}
	if s.clientKey != nil && c.Erased.IsZero() {
		if doc, err = s.sealClient(ctx, tx, c.ID, doc); err != nil {
			return shop.Client{}, err
		}
	}
	if err := putClient(ctx, tx, kept, doc); err != nil {
		return shop.Client{}, err
	}
	if err := advance(ctx, tx, partClients); err != nil {
		return shop.Client{}, err
	}
	return kept, record(ctx, tx, SubjectClient, c.ID, c.Version, c.Changed, before, doc)
}

// putClient writes the row of a client. The name of a sealed one is no key to sort by.
func putClient(ctx context.Context, tx *transaction, c shop.Client, doc string) error {
	name := searchKey(c.Name)
	if sealed(doc) {
		name = ""
	}
	_, err := tx.ExecContext(ctx, `
		INSERT INTO clients (id, name_key, version, doc) VALUES ($1, $2, $3, $4)
		ON CONFLICT (id) DO UPDATE SET name_key = excluded.name_key, version = excluded.version, doc = excluded.doc`,
		c.ID, name, c.Version, doc)
	return err
}

// keptClient is a client's record with the wrapped key of its data, if it has one.
type keptClient struct{ doc, wrapped string }

func clientDoc(ctx context.Context, q querier, id string) (k keptClient, err error) {
	err = q.QueryRowContext(ctx, `SELECT c.doc, COALESCE(k.wrapped, '') FROM clients c LEFT JOIN client_keys k ON k.id = c.id WHERE c.id = $1`, plain(id)).Scan(&k.doc, &k.wrapped)
	return k, found(err)
}

// openClient reads a record, sealed or plain.
func (s *Store) openClient(id string, k keptClient) (shop.Client, error) {
	if s.keyLost && sealed(k.doc) {
		return shop.Client{ID: id, Name: Unreadable}, nil
	}
	var c shop.Client
	doc, err := s.unsealClient(id, k)
	if err != nil {
		return c, err
	}
	err = json.Unmarshal([]byte(doc), &c)
	return c, err
}

// Client implements shop.ClientStore.
func (s *Store) Client(ctx context.Context, id string) (shop.Client, error) {
	k, err := clientDoc(ctx, s.read, id)
	if err != nil {
		return shop.Client{}, fmt.Errorf("client %s: %w", id, err)
	}
	c, err := s.openClient(plain(id), k)
	if err != nil {
		return shop.Client{}, fmt.Errorf("client %s: %w", id, err)
	}
	return c, nil
}

// Clients implements shop.ClientStore: by name without regard to case or accents.
func (s *Store) Clients(ctx context.Context) ([]shop.Client, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT c.id, c.doc, COALESCE(k.wrapped, '') FROM clients c LEFT JOIN client_keys k ON k.id = c.id`)
	if err != nil {
		return nil, fmt.Errorf("list clients: %w", err)
	}
	defer rows.Close()
	type named struct {
		key string
		c   shop.Client
	}
	var all []named
	for rows.Next() {
		var id string
		var k keptClient
		if err := rows.Scan(&id, &k.doc, &k.wrapped); err != nil {
			return nil, fmt.Errorf("list clients: %w", err)
		}
		c, err := s.openClient(id, k)
		if err != nil {
			return nil, fmt.Errorf("list clients: client %s: %w", id, err)
		}
		all = append(all, named{searchKey(c.Name), c})
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("list clients: %w", err)
	}
	slices.SortFunc(all, func(a, b named) int { return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.c.ID, b.c.ID)) })
	var out []shop.Client
	for _, n := range all {
		out = append(out, n.c)
	}
	return out, nil
}
