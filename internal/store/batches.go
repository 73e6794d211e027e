package store

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"midcase/internal/shop"
	"midcase/market"
)

// keepImport writes what a step brings in from a file, or takes back.
func keepImport(ctx context.Context, tx *transaction, s *Store, in *shop.Import) error {
	if err := addImported(ctx, tx, in); err != nil {
		return err
	}
	for _, c := range in.Clients {
		if _, err := addClient(ctx, tx, s, c); err != nil {
			return fmt.Errorf("client %s: %w", c.ID, err)
		}
	}
	if len(in.Withdraw) > 0 {
		for _, id := range in.Withdraw {
			if _, err := tx.ExecContext(ctx, `DELETE FROM sales WHERE id = $1`, plain(id)); err != nil {
				return fmt.Errorf("sale %s: %w", id, err)
			}
		}
		if err := advance(ctx, tx, partSales); err != nil {
			return err
		}
	}
	return putBatch(ctx, tx, in.Batch)
}

// addImported adds sales that are not there yet, and watches.
func addImported(ctx context.Context, tx *transaction, in *shop.Import) error {
	var rows []any
	inOrder := slices.SortedFunc(slices.Values(in.Sales), func(a, b market.Sale) int { return cmp.Compare(a.ID, b.ID) })
	for _, sale := range inOrder { // in the order of their ids the index is written from one end to the other
		row, err := saleRow(sale)
		if err != nil {
			return fmt.Errorf("sale %s: %w", sale.ID, err)
		}
		rows = append(rows, row...)
	}
	added, err := insertSales(ctx, tx, rows, in.Written)
	if err != nil {
		return err
	}
	if added != len(in.Sales) { // somebody added some since they were looked up
		return fmt.Errorf("%d of %d sales: %w", len(in.Sales)-added, len(in.Sales), shop.ErrConflict)
	}
	if added > 0 {
		if err := advance(ctx, tx, partSales); err != nil {
			return err
		}
		if err := setSetting(ctx, tx, salesImportedName, in.Batch.At.UTC().Format(time.RFC3339Nano)); err != nil {
			return err
		}
	}
	for i, n := range in.Watches {
		if in.Written != nil && i%100 == 0 {
			in.Written(i)
		}
		if _, err := addWatch(ctx, tx, n.Watch, n.Items); err != nil {
			return fmt.Errorf("watch %s: %w", n.Watch.ID, err)
		}
	}
	return nil
}

// putBatch writes a batch over the one with its id.
func putBatch(ctx context.Context, tx *transaction, b shop.Batch) error {
	if err := checkKey("batch", b.ID); err != nil {
		return err
	}
	doc, err := json.Marshal(b)
	if err != nil {
		return err
	}
	there, err := have(ctx, tx, `SELECT COUNT(*) FROM batches WHERE id = $1`, b.ID)
	if err != nil {
		return err
	}
	if there {
		_, err = tx.ExecContext(ctx, `UPDATE batches SET doc = $1 WHERE id = $2`, string(doc), b.ID)
		return err
	}
	seq, err := nextSeq(ctx, tx, "batches")
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO batches (seq, id, doc) VALUES ($1, $2, $3)`, seq, b.ID, string(doc))
	return err
}

// Batches implements shop.BatchStore.
func (s *Store) Batches(ctx context.Context, id string) ([]shop.Batch, error) {
	query, args := `SELECT doc FROM batches ORDER BY seq DESC`, []any(nil)
	if id != "" {
		query, args = `SELECT doc FROM batches WHERE id = $1`, []any{plain(id)}
	}
	rows, err := s.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("batches: %w", err)
	}
	defer rows.Close()
	var out []shop.Batch
	for rows.Next() {
		var doc []byte
		var b shop.Batch
		if err := rows.Scan(&doc); err != nil {
			return nil, fmt.Errorf("batches: %w", err)
		}
		if err := json.Unmarshal(doc, &b); err != nil {
			return nil, fmt.Errorf("batches: %w", err)
		}
		out = append(out, b)
	}
	return out, rows.Err()
}
