package store

import (
	"context"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"midcase/internal/proof"
	"midcase/internal/shop"
)

// Prove returns, for each item of a watch among the first size of the log, the hashes that prove it to be under
// the root that the log had then.
func (s *Store) Prove(ctx context.Context, id shop.WatchID, size int64) ([]proof.Record, error) {
	var out []proof.Record
	err := s.snapshot(ctx, func(tx *transaction) error {
		places, err := placesOf(ctx, tx, id, size)
		if err != nil {
			return err
		}
		hashes := &storedHashes{ctx: ctx, tx: tx}
		for _, n := range places {
			leaf, err := hashes.ReadHashes([]int64{tlog.StoredHashIndex(0, n)})
			if err != nil {
				return err
			}
			path, err := tlog.ProveRecord(size, n, hashes)
			if err != nil {
				return err
			}
			r := proof.Record{Index: n, Hash: leaf[0].String(), Path: []string{}}
			for _, h := range path {
				r.Path = append(r.Path, h.String())
			}
			out = append(out, r)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("prove the evidence of watch %s: %w", id, err)
	}
	return out, nil
}

// placesOf are the places in the log of a watch's items among the first size.
func placesOf(ctx context.Context, tx *transaction, id shop.WatchID, size int64) ([]int64, error) {
	rows, err := tx.QueryContext(ctx, `SELECT seq FROM log WHERE watch = $1 AND seq < $2 ORDER BY seq`,
		plain(string(id)), size)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []int64
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, rows.Err()
}
