package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"
)

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
