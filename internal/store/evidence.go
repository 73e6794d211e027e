package store

import (
	"context"
	"encoding/json"
	"fmt"

	"midcase/evidence"
	"midcase/internal/shop"
)

// Append implements shop.WatchStore. The items and their hashes go in together.
func (s *Store) Append(ctx context.Context, id shop.WatchID, items ...evidence.Item) error {
	return s.change(ctx, fmt.Sprintf("append to watch %s", id), func(tx *transaction) error {
		if err := needWatch(ctx, tx, id); err != nil {
			return err
		}
		return appendItems(ctx, tx, id, items)
	})
}

// needWatch is ErrNotFound where there is no such watch.
func needWatch(ctx context.Context, q querier, id shop.WatchID) error {
	var one int
	return found(q.QueryRowContext(ctx, `SELECT 1 FROM watches WHERE id = $1`, plain(string(id))).Scan(&one))
}

func appendItems(ctx context.Context, tx *transaction, id shop.WatchID, items []evidence.Item) error {
	if len(items) == 0 {
		return nil
	}
	log, err := openLog(ctx, tx)
	if err != nil {
		return err
	}
	for _, item := range items {
		b, err := writeItem(item)
		if err != nil {
			return err
		}
		if err := log.append(ctx, id, item.ID, b); err != nil {
			return fmt.Errorf("item %s: %w", item.ID, err)
		}
	}
	return advance(ctx, tx, partEvidence)
}

// writeItem is the JSON of the item, made sure to be read again: a log that cannot
// be changed must not take in what cannot be read.
func writeItem(item evidence.Item) ([]byte, error) {
	if err := checkKey("item id", string(item.ID)); err != nil {
		return nil, err
	}
	if item.Data == nil {
		return nil, fmt.Errorf("item %s: found no data; want the data of its kind", item.ID)
	}
	b, err := json.Marshal(item)
	if err != nil {
		return nil, err
	}
	var back evidence.Item
	if err := json.Unmarshal(b, &back); err != nil {
		return nil, err
	}
	return b, nil
}

// Evidence implements shop.WatchStore.
func (s *Store) Evidence(ctx context.Context, id shop.WatchID) ([]evidence.Item, error) {
	items, err := s.evidence(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("evidence of watch %s: %w", id, err)
	}
	return items, nil
}

func (s *Store) evidence(ctx context.Context, id shop.WatchID) ([]evidence.Item, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT item FROM log WHERE watch = $1 ORDER BY seq`, plain(string(id)))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []evidence.Item
	for rows.Next() {
		var b []byte
		if err := rows.Scan(&b); err != nil {
			return nil, err
		}
		var item evidence.Item
		if err := json.Unmarshal(b, &item); err != nil {
			return nil, fmt.Errorf("%w: %w", shop.ErrDamaged, err)
		}
		out = append(out, item)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	if len(out) == 0 {
		return nil, needWatch(ctx, s.read, id)
	}
	return out, nil
}
