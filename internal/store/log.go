package store

import (
	"context"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"midcase/evidence"
	"midcase/internal/shop"
)

// ErrLogDamaged is wrapped by Verify and CheckHead where the evidence log is not what
// was once written.
var ErrLogDamaged = errors.New("evidence log damaged")

// logRecord is the record of the hash tree that stands for one item: it binds the
// item to its watch. A watch id has no line break.
func logRecord(watch string, item []byte) []byte {
	b := make([]byte, 0, len(watch)+1+len(item))
	b = append(b, watch...)
	b = append(b, '\n')
	return append(b, item...)
}

// openedLog appends to the log within one transaction.
type openedLog struct {
	tx     *transaction
	size   int64
	hashes *storedHashes
}

func openLog(ctx context.Context, tx *transaction) (*openedLog, error) {
	l := &openedLog{tx: tx}
	var err error
	if l.size, err = logSize(ctx, tx); err != nil {
		return nil, err
	}
	l.hashes = &storedHashes{ctx: ctx, tx: tx}
	return l, nil
}

func logSize(ctx context.Context, q querier) (size int64, err error) {
	err = q.QueryRowContext(ctx, `SELECT COALESCE(MAX(seq) + 1, 0) FROM log`).Scan(&size)
	return size, err
}

// append adds one item and the hashes of the tree that it completes.
func (l *openedLog) append(ctx context.Context, watch shop.WatchID, id evidence.ID, item []byte) error {
	there, err := have(ctx, l.tx, `SELECT COUNT(*) FROM log WHERE watch = $1 AND id = $2`, string(watch), string(id))
	if err != nil || there {
		return errors.Join(err, existsIf(there))
	}
	hashes, err := tlog.StoredHashes(l.size, logRecord(string(watch), item), l.hashes)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrLogDamaged, err)
	}
	if _, err := l.tx.ExecContext(ctx, `INSERT INTO log (seq, watch, id, item) VALUES ($1, $2, $3, $4)`,
		l.size, string(watch), string(id), string(item)); err != nil {
		return err
	}
	first := tlog.StoredHashIndex(0, l.size)
	for i, h := range hashes {
		if _, err := l.tx.ExecContext(ctx, `INSERT INTO log_hashes (n, hash) VALUES ($1, $2)`,
			first+int64(i), h.String()); err != nil {
			return err
		}
	}
	l.size++
	return nil
}

// storedHashes reads the kept hashes of the tree in a transaction.
type storedHashes struct {
	ctx context.Context
	tx  *transaction
}

// ReadHashes implements tlog.HashReader.
func (s *storedHashes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, n := range indexes {
		var text string
		if err := s.tx.QueryRowContext(s.ctx, `SELECT hash FROM log_hashes WHERE n = $1`, n).Scan(&text); err != nil {
			return nil, fmt.Errorf("hash %d: %w", n, found(err))
		}
		h, err := tlog.ParseHash(text)
		if err != nil {
			return nil, fmt.Errorf("hash %d: %w", n, err)
		}
		out[i] = h
	}
	return out, nil
}

// Head is the log's size in items and the root of its hash tree, in base64. Printed
// or kept elsewhere, it lets CheckHead prove later that nothing before it was changed
// or lost.
func (s *Store) Head(ctx context.Context) (size int64, root string, err error) {
	err = s.snapshot(ctx, func(tx *transaction) error {
		if size, err = logSize(ctx, tx); err != nil {
			return err
		}
		hash, err := tlog.TreeHash(size, &storedHashes{ctx: ctx, tx: tx})
		if err != nil {
			return err
		}
		root = hash.String()
		return nil
	})
	if err != nil {
		return 0, "", fmt.Errorf("head of the log: %w", err)
	}
	return size, root, nil
}

// CheckHead proves that the log still begins with the size items that had this root,
// or wraps ErrLogDamaged. It trusts the stored hashes: run Verify as well.
func (s *Store) CheckHead(ctx context.Context, size int64, root string) error {
	err := s.snapshot(ctx, func(tx *transaction) error {
		now, err := logSize(ctx, tx)
		if err != nil {
			return err
		}
		return headHolds(now, &storedHashes{ctx: ctx, tx: tx}, size, root)
	})
	if err != nil && !errors.Is(err, ErrLogDamaged) {
		return fmt.Errorf("check head: %w", err)
	}
	return err
}
