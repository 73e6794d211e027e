package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"midcase/internal/shop"
)

// hookTable keeps the addresses that hear of changes. It is part of a Store.
type hookTable struct{ in *Store }

// KeepHook implements shop.HookStore.
func (t hookTable) KeepHook(ctx context.Context, h shop.Hook) error {
	if err := checkKey("address that hears of changes", h.ID); err != nil {
		return err
	}
	doc, err := json.Marshal(h)
	if err != nil {
		return err
	}
	return t.in.change(ctx, "keep an address that hears of changes", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO hooks (id, made, doc) VALUES ($1, $2, $3)`, h.ID, writeTime(h.Made),
			string(doc))
		return err
	})
}

// Hooks implements shop.HookStore.
func (t hookTable) Hooks(ctx context.Context) ([]shop.Hook, error) {
	return docs(ctx, t.in.read, "addresses that hear of changes", readJSON[shop.Hook],
		`SELECT doc FROM hooks ORDER BY made, id`)
}

// DropHook implements shop.HookStore.
func (t hookTable) DropHook(ctx context.Context, id string) error {
	return t.in.change(ctx, "remove an address that hears of changes", func(tx *transaction) error {
		there, err := have(ctx, tx, `SELECT COUNT(*) FROM hooks WHERE id = $1`, plain(id))
		if err != nil {
			return err
		}
		if !there {
			return shop.ErrNotFound
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM deliveries WHERE hook = $1`, plain(id)); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `DELETE FROM hooks WHERE id = $1`, plain(id))
		return err
	})
}

// Heard implements shop.HookStore.
func (t hookTable) Heard(ctx context.Context) (shop.HookPlace, error) {
	p, err := heard(ctx, t.in.read)
	if err != nil {
		return p, fmt.Errorf("changes that were told: %w", err)
	}
	return p, nil
}

func heard(ctx context.Context, q interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}) (p shop.HookPlace, err error) {
	err = q.QueryRowContext(ctx, `SELECT records, evidence, entries, papers FROM heard WHERE one = 1`).
		Scan(&p.Records, &p.Evidence, &p.Entries, &p.Papers)
	return p, err
}

// deliveriesKept is how long what was delivered, or given up, is kept.
const deliveriesKept = 30 * 24 * time.Hour

// QueueDeliveries implements shop.HookStore.
func (t hookTable) QueueDeliveries(ctx context.Context, was, now shop.HookPlace, all []shop.Delivery) error {
	return t.in.change(ctx, "queue what changes are told", func(tx *transaction) error {
		at, err := heard(ctx, tx)
		if err != nil {
			return err
		}
		if at != was {
			return shop.ErrConflict
		}
		_, err = tx.ExecContext(ctx, `UPDATE heard SET records = $1, evidence = $2, entries = $3, papers = $4 WHERE one = 1`,
			now.Records, now.Evidence, now.Entries, now.Papers)
		if err != nil {
			return err
		}
		if len(all) == 0 {
			return nil
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM deliveries WHERE due = '' AND made < $1`,
			writeTime(all[0].Made.Add(-deliveriesKept))); err != nil {
			return err
		}
		for _, d := range all {
			doc, err := json.Marshal(d)
			if err != nil {
				return err
			}
			_, err = tx.ExecContext(ctx, `INSERT INTO deliveries (id, hook, made, due, doc) VALUES ($1, $2, $3, $4, $5)`,
				d.ID, d.Hook, writeTime(d.Made), writeTime(d.Due), string(doc))
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// TakeDeliveries implements shop.HookStore. Changes run one at a time, so that no two servers take the same.
func (t hookTable) TakeDeliveries(ctx context.Context, now, again time.Time, most int) (out []shop.Delivery, err error) {
	there, err := have(ctx, t.in.read, `SELECT COUNT(*) FROM deliveries WHERE due <> '' AND due <= $1`, writeTime(now))
	if err != nil || !there {
		return nil, err
	}
	err = t.in.change(ctx, "take what changes are told", func(tx *transaction) error {
		out, err = docs(ctx, tx, "what changes are told", readJSON[shop.Delivery],
			fmt.Sprintf(`SELECT doc FROM deliveries WHERE due <> '' AND due <= $1 ORDER BY made, id LIMIT %d`, most), writeTime(now))
		if err != nil {
			return err
		}
		for _, d := range out {
			if _, err := tx.ExecContext(ctx, `UPDATE deliveries SET due = $1 WHERE id = $2`, writeTime(again), d.ID); err != nil {
				return err
			}
		}
		return nil
	})
	return out, err
}

// SettleDelivery implements shop.HookStore.
func (t hookTable) SettleDelivery(ctx context.Context, d shop.Delivery) error {
	doc, err := json.Marshal(d)
	if err != nil {
		return err
	}
	due := ""
	if !d.Due.IsZero() {
		due = writeTime(d.Due)
	}
	return t.in.change(ctx, "note what came of telling a change", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `UPDATE deliveries SET due = $1, doc = $2 WHERE id = $3`, due, string(doc), d.ID)
		return err
	})
}

// Deliveries implements shop.HookStore.
func (t hookTable) Deliveries(ctx context.Context, hook string, last int) ([]shop.Delivery, error) {
	return docs(ctx, t.in.read, "what changes were told", readJSON[shop.Delivery], fmt.Sprintf(
		`SELECT doc FROM deliveries WHERE hook = $1 ORDER BY made DESC, id DESC LIMIT %d`, last), plain(hook))
}
