package store

import (
	"context"
	"fmt"
	"time"

	"midcase/internal/shop"
)

// triesKept is how long a try to sign in is kept: longer than any limit counts it.
const triesKept = 24 * time.Hour

// TakeTry implements shop.DoorStore. Changes run one at a time, so that of tries at once no more are
// let through than there are left.
func (s *Store) TakeTry(ctx context.Context, id string, at time.Time, limits []shop.TryLimit) (time.Duration, error) {
	var wait time.Duration
	err := s.change(shop.WithToken(ctx, nil), "count a try", func(tx *transaction) error {
		wait = 0
		if _, err := tx.ExecContext(ctx, `DELETE FROM tries WHERE at < $1`, writeTime(at.Add(-triesKept))); err != nil {
			return err
		}
		for _, l := range limits {
			left, err := untilNext(ctx, tx, l, at)
			if err != nil {
				return err
			}
			wait = max(wait, left)
		}
		if wait > 0 {
			return nil
		}
		for _, l := range limits {
			if _, err := tx.ExecContext(ctx, `INSERT INTO tries (id, subject, at) VALUES ($1, $2, $3)`,
				id, l.Key, writeTime(at)); err != nil {
				return err
			}
		}
		return nil
	})
	return wait, err
}

// untilNext is how long a limit has no try left. A try dated ahead of the clock counts as one of now, so
// that a clock that was set back opens nothing and closes nothing for longer than the limit says.
func untilNext(ctx context.Context, tx *transaction, l shop.TryLimit, at time.Time) (time.Duration, error) {
	var oldest string
	err := tx.QueryRowContext(ctx, `SELECT at FROM tries WHERE subject = $1 AND at > $2 ORDER BY at DESC LIMIT 1 OFFSET $3`,
		l.Key, writeTime(at.Add(-l.Within)), l.Most-1).Scan(&oldest)
	if found(err) == shop.ErrNotFound {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	first, err := readTime(oldest)
	if err != nil {
		return 0, err
	}
	return min(first.Add(l.Within).Sub(at), l.Within), nil
}

// ForgetTries implements shop.DoorStore.
func (s *Store) ForgetTries(ctx context.Context, id string, keys ...string) error {
	return s.change(shop.WithToken(ctx, nil), "forget tries", func(tx *transaction) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM tries WHERE id = $1`, id); err != nil {
			return err
		}
		for _, key := range keys {
			if _, err := tx.ExecContext(ctx, `DELETE FROM tries WHERE subject = $1`, key); err != nil {
				return err
			}
		}
		return nil
	})
}

// NoteSignIn implements shop.DoorStore.
func (s *Store) NoteSignIn(ctx context.Context, in shop.SignIn) error {
	return s.change(shop.WithToken(ctx, nil), "note a sign-in", func(tx *transaction) error {
		seq, err := nextSeq(ctx, tx, "sign_ins")
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO sign_ins (seq, at, name, address, actor, what) VALUES ($1, $2, $3, $4, $5, $6)`,
			seq, writeTime(in.At), plain(in.Name), plain(in.Address), plain(in.By), plain(in.What))
		return err
	})
}

// SignIns implements shop.DoorStore.
func (s *Store) SignIns(ctx context.Context, last int) ([]shop.SignIn, error) {
	query := `SELECT at, name, address, actor, what FROM sign_ins ORDER BY seq DESC`
	if last > 0 {
		query += fmt.Sprintf(` LIMIT %d`, last)
	}
	rows, err := s.read.QueryContext(ctx, query)
	if err != nil {
		return nil, fmt.Errorf("sign-ins: %w", err)
	}
	defer rows.Close()
	var out []shop.SignIn
	for rows.Next() {
		var in shop.SignIn
		var at string
		if err := rows.Scan(&at, &in.Name, &in.Address, &in.By, &in.What); err != nil {
			return nil, fmt.Errorf("sign-ins: %w", err)
		}
		if in.At, err = readTime(at); err != nil {
			return nil, fmt.Errorf("sign-ins: %w", err)
		}
		out = append(out, in)
	}
	return out, rows.Err()
}

// Serve implements shop.DoorStore.
func (s *Store) Serve(ctx context.Context, id string, until time.Time) error {
	return s.change(shop.WithToken(ctx, nil), "note the server", func(tx *transaction) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM serving WHERE id = $1`, id); err != nil || until.IsZero() {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO serving (id, until) VALUES ($1, $2)`, id, writeTime(until))
		return err
	})
}

// Served implements shop.DoorStore.
func (s *Store) Served(ctx context.Context, now time.Time) (bool, error) {
	served, err := have(ctx, s.read, `SELECT COUNT(*) FROM serving WHERE until > $1`, writeTime(now))
	if err != nil {
		return false, fmt.Errorf("servers of the shop: %w", err)
	}
	return served, nil
}
