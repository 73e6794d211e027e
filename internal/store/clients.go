package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"midcase/internal/shop"
)

// CreateClient implements shop.ClientStore. It sets Version to 1.
func (s *Store) CreateClient(ctx context.Context, c shop.Client) (shop.Client, error) {
	if err := checkKey("client id", c.ID); err != nil {
		return shop.Client{}, fmt.Errorf("create client: %w", err)
	}
	var kept shop.Client
	err := s.change(ctx, fmt.Sprintf("create client %s", c.ID), func(tx *sql.Tx) error {
		c := c
		if _, err := clientDoc(ctx, tx, c.ID); !errors.Is(err, shop.ErrNotFound) {
			return orExists(err)
		}
		c.Version = 1
		var err error
		kept, err = keepClient(ctx, tx, "", c)
		return err
	})
	if err != nil {
		return shop.Client{}, err
	}
	return kept, nil
}

// UpdateClient implements shop.ClientStore: it writes c over the version it was read
// at, or returns shop.ErrConflict. The time of creation stays as it is.
func (s *Store) UpdateClient(ctx context.Context, c shop.Client) (shop.Client, error) {
	var kept shop.Client
	err := s.change(ctx, fmt.Sprintf("update client %s", c.ID), func(tx *sql.Tx) error {
		c := c
		before, err := clientDoc(ctx, tx, c.ID)
		if err != nil {
			return err
		}
		old, err := readClient(before)
		if err != nil {
			return err
		}
		if old.Version != c.Version {
			return fmt.Errorf("version %d, now %d: %w", c.Version, old.Version, shop.ErrConflict)
		}
		c.Version++
		c.Created = old.Created
		kept, err = keepClient(ctx, tx, before, c)
		return err
	})
	if err != nil {
		return shop.Client{}, err
	}
	return kept, nil
}

func keepClient(ctx context.Context, tx *sql.Tx, before string, c shop.Client) (shop.Client, error) {
	b, err := json.Marshal(c)
	if err != nil {
		return shop.Client{}, err
	}
	doc := string(b)
	kept, err := readClient(doc)
	if err != nil {
		return shop.Client{}, err
	}
	if err := putClient(ctx, tx, kept, doc); err != nil {
		return shop.Client{}, err
	}
	return kept, record(ctx, tx, SubjectClient, c.ID, c.Version, c.Changed, before, doc)
}

func putClient(ctx context.Context, tx *sql.Tx, c shop.Client, doc string) error {
	_, err := tx.ExecContext(ctx, `
		INSERT INTO clients (id, name_key, version, doc) VALUES ($1, $2, $3, $4)
		ON CONFLICT (id) DO UPDATE SET name_key = excluded.name_key, version = excluded.version, doc = excluded.doc`,
		c.ID, searchKey(c.Name), c.Version, doc)
	return err
}

func clientDoc(ctx context.Context, q querier, id string) (doc string, err error) {
	err = q.QueryRowContext(ctx, `SELECT doc FROM clients WHERE id = $1`, plain(id)).Scan(&doc)
	return doc, found(err)
}

func readClient(doc string) (shop.Client, error) {
	var c shop.Client
	err := json.Unmarshal([]byte(doc), &c)
	return c, err
}

// Client implements shop.ClientStore.
func (s *Store) Client(ctx context.Context, id string) (shop.Client, error) {
	doc, err := clientDoc(ctx, s.read, id)
	if err != nil {
		return shop.Client{}, fmt.Errorf("client %s: %w", id, err)
	}
	c, err := readClient(doc)
	if err != nil {
		return shop.Client{}, fmt.Errorf("client %s: %w", id, err)
	}
	return c, nil
}

// Clients implements shop.ClientStore: by name without regard to case or accents.
func (s *Store) Clients(ctx context.Context) ([]shop.Client, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT doc FROM clients ORDER BY name_key, id`)
	if err != nil {
		return nil, fmt.Errorf("list clients: %w", err)
	}
	defer rows.Close()
	var out []shop.Client
	for rows.Next() {
		var doc string
		if err := rows.Scan(&doc); err != nil {
			return nil, fmt.Errorf("list clients: %w", err)
		}
		c, err := readClient(doc)
		if err != nil {
			return nil, fmt.Errorf("list clients: %w", err)
		}
		out = append(out, c)
	}
	return out, rows.Err()
}
