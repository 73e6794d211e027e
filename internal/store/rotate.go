package store

import (
	"context"
	"crypto/cipher"
	"database/sql"
	"errors"
	"fmt"
)

// OpensClients reports whether a key is the one of the client data; any key is, where
// none are encrypted.
func (s *Store) OpensClients(ctx context.Context, key []byte) (bool, error) {
	k, err := clientKeyOf(key)
	if err != nil {
		return false, err
	}
	err = s.holdsKey(ctx, s.read, k)
	if errors.Is(err, ErrClientKey) {
		return false, nil
	}
	return err == nil, err
}

func clientKeyOf(key []byte) (cipher.AEAD, error) {
	if len(key) != ClientKeyBytes {
		return nil, fmt.Errorf("client key: found %d bytes; want %d", len(key), ClientKeyBytes)
	}
	return gcm(key)
}

// holdsKey errs where a key does not open the data key of a client.
func (s *Store) holdsKey(ctx context.Context, q querier, k cipher.AEAD) error {
	var id, wrapped string
	err := q.QueryRowContext(ctx, `SELECT id, wrapped FROM client_keys LIMIT 1`).Scan(&id, &wrapped)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = unseal(k, aboutKey(id), wrapped)
	return err
}

// RotateClientKey puts another key in the place of the one under which the data keys of
// the clients are encrypted: all of them or none, in one transaction. The caller has
// put the new key where it will be found before, and takes the old one away after. It
// says how many data keys there were.
func (s *Store) RotateClientKey(ctx context.Context, key []byte) (clients int, err error) {
	fresh, err := clientKeyOf(key)
	if err != nil {
		return 0, err
	}
	if s.clientKey == nil {
		return 0, errors.New("rotate the client key: client data of this shop are kept without encryption")
	}
	err = s.change(ctx, "rotate the client key", func(tx *transaction) error {
		wrapped, err := wrappedKeys(ctx, tx)
		if err != nil {
			return err
		}
		clients = len(wrapped)
		for id, text := range wrapped {
			plainKey, err := unseal(s.clientKey, aboutKey(id), text)
			if err != nil {
				return fmt.Errorf("client %s: %w", id, err)
			}
			if _, err := tx.ExecContext(ctx, `UPDATE client_keys SET wrapped = $1 WHERE id = $2`, seal(fresh, aboutKey(id), plainKey), id); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	s.clientKey = fresh
	return clients, s.flush(ctx)
}

func wrappedKeys(ctx context.Context, q querier) (map[string]string, error) {
	rows, err := q.QueryContext(ctx, `SELECT id, wrapped FROM client_keys`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[string]string{}
	for rows.Next() {
		var id, text string
		if err := rows.Scan(&id, &text); err != nil {
			return nil, err
		}
		out[id] = text
	}
	return out, rows.Err()
}
