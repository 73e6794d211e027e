package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"midcase/internal/shop"
)

// Leeway is how far the clocks of several servers of one shop may be apart.
const Leeway = 5 * time.Minute

// WithClock has the store compare what the machine's clock says with what it said at the last change, and refuse
// changes of dated records with *shop.ClockBehind while it is behind.
func WithClock(now func() time.Time) Option {
	return func(s *Store) error { s.now = now; return nil }
}

// onTime refuses a change at a time when the clock is behind what it said at an earlier one; once for each transaction,
// which may write thousands of rows. Settings and opinions
// that are kept bear no day that anything follows from; without them no backup could be noted meanwhile.
func onTime(ctx context.Context, tx *transaction, p part) error {
	if tx.now.IsZero() || tx.onTime || p == partSettings || p == partOpinions {
		return nil
	}
	newest, err := newestChange(ctx, tx)
	if err != nil {
		return err
	}
	if tx.onTime = !newest.After(tx.now.Add(Leeway)); tx.onTime {
		return nil
	}
	return &shop.ClockBehind{Now: tx.now, Newest: newest}
}

// newestChange is the latest that the clock said at a change; zero where it never said anything.
func newestChange(ctx context.Context, q querier) (time.Time, error) {
	var at string
	if err := q.QueryRowContext(ctx, `SELECT COALESCE(MAX(at), '') FROM revision`).Scan(&at); err != nil || at == "" {
		return time.Time{}, err
	}
	return readTime(at)
}

// ClockBehind tells by how much the clock is behind what it said at the last change; nil where it is not.
func ClockBehind(ctx context.Context, s *Store) (*shop.ClockBehind, error) {
	if s.now == nil {
		return nil, nil
	}
	newest, err := newestChange(ctx, s.read)
	if err != nil {
		return nil, fmt.Errorf("compare the clock: %w", err)
	}
	if now := s.now(); newest.After(now.Add(Leeway)) {
		return &shop.ClockBehind{Now: now, Newest: newest}, nil
	}
	return nil, nil
}

// clocks is what a store does for the clock.
type clocks struct{ on *Store }

// ClockIsRight implements shop.RevisionStore. What was recorded ahead of the clock keeps its dates.
func (c clocks) ClockIsRight(ctx context.Context) error {
	s := c.on
	if s.now == nil {
		return nil
	}
	return s.change(ctx, "take the clock for right", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `UPDATE revision SET at = $1 WHERE at > $1`, writeTime(tx.now))
		return err
	})
}

// Ahead is what is dated after a moment.
type Ahead struct {
	Items   int       // of evidence
	Records int       // changes of watches, clients and settings
	Latest  time.Time // of both
}

// DatedAfter tells what is dated after a moment, such as now: after the clock was put right, such items of evidence
// count for no opinion until their day has come.
func DatedAfter(ctx context.Context, s *Store, t time.Time) (Ahead, error) {
	var out Ahead
	var latest string
	err := s.read.QueryRowContext(ctx, `SELECT COUNT(*), COALESCE(MAX(at), '') FROM history WHERE at > $1`,
		writeTime(t)).Scan(&out.Records, &latest)
	if err != nil {
		return out, fmt.Errorf("what is dated ahead: %w", err)
	}
	if latest != "" {
		if out.Latest, err = readTime(latest); err != nil {
			return out, fmt.Errorf("what is dated ahead: %w", err)
		}
	}
	rows, err := s.read.QueryContext(ctx, `SELECT item FROM log`)
	if err != nil {
		return out, fmt.Errorf("what is dated ahead: %w", err)
	}
	defer rows.Close()
	for rows.Next() {
		var b []byte
		if err := rows.Scan(&b); err != nil {
			return out, fmt.Errorf("what is dated ahead: %w", err)
		}
		var item struct {
			At time.Time `json:"at"`
		}
		if json.Unmarshal(b, &item) != nil || !item.At.After(t) {
			continue // what cannot be read is the check's to say
		}
		out.Items++
		if item.At.After(out.Latest) {
			out.Latest = item.At
		}
	}
	return out, rows.Err()
}

// Checkpoint moves what was written into the database file itself, so that a copy of that one file made by
// somebody who does not know of the write-ahead log lacks little.
func Checkpoint(ctx context.Context, s *Store) error { return s.flush(ctx) }
