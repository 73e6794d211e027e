package store

import (
	"context"
	"errors"
	"fmt"

	"midcase/internal/shop"
)

// EraseClient implements shop.PrivacyStore: the record becomes what c says, and the key
// of everything kept of the client before is destroyed. A client of whom anything was
// kept in plain text is refused, since the history cannot be changed.
func (s *Store) EraseClient(ctx context.Context, c shop.Client) (shop.Client, error) {
	var kept shop.Client
	err := s.change(ctx, "erase client "+c.ID, func(tx *transaction) error {
		if c.Erased.IsZero() {
			return errors.New("found no time of erasure; want it")
		}
		clear, err := have(ctx, tx, `SELECT COUNT(*) FROM history WHERE subject = $1 AND id = $2 AND doc_after NOT LIKE $3`, SubjectClient, plain(c.ID), sealPrefix+"%")
		if err != nil {
			return err
		}
		if clear {
			return errors.New("the client's data were kept without encryption, and the history cannot be changed; open the shop with a key from the start")
		}
		if kept, err = updateClient(ctx, tx, s, c); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `DELETE FROM client_keys WHERE id = $1`, c.ID)
		return err
	})
	if err != nil {
		return shop.Client{}, err
	}
	return kept, sweep(ctx, s, "client_keys")
}

// flush empties SQLite's write-ahead log, in which what was deleted still stands.
func (s *Store) flush(ctx context.Context) error {
	if s.dialect.name != sqlite.name || s.full.shut.Load() {
		return nil
	}
	var busy, pages, moved int
	if err := s.write.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &pages, &moved); err != nil {
		return fmt.Errorf("empty the write-ahead log: %w", err)
	}
	return nil // busy: a reader stands in the way; the log is emptied when it is gone
}

// LogAccess implements shop.PrivacyStore. It takes no form's token, since a look is no change.
func (s *Store) LogAccess(ctx context.Context, a shop.Access) error {
	return s.change(shop.WithToken(ctx, nil), "log access", func(tx *transaction) error {
		seq, err := nextSeq(ctx, tx, "client_access")
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO client_access (seq, at, actor, client, what) VALUES ($1, $2, $3, $4, $5)`,
			seq, writeTime(a.At), plain(a.By), plain(a.Client), plain(a.What))
		return err
	})
}

// Accesses implements shop.PrivacyStore.
func (s *Store) Accesses(ctx context.Context, client string) ([]shop.Access, error) {
	query, args := `SELECT at, actor, client, what FROM client_access ORDER BY seq`, []any(nil)
	if client != "" {
		query, args = `SELECT at, actor, client, what FROM client_access WHERE client = $1 ORDER BY seq`, []any{plain(client)}
	}
	rows, err := s.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("accesses: %w", err)
	}
	defer rows.Close()
	var out []shop.Access
	for rows.Next() {
		var a shop.Access
		var at string
		if err := rows.Scan(&at, &a.By, &a.Client, &a.What); err != nil {
			return nil, fmt.Errorf("accesses: %w", err)
		}
		if a.At, err = readTime(at); err != nil {
			return nil, fmt.Errorf("accesses: %w", err)
		}
		out = append(out, a)
	}
	return out, rows.Err()
}
