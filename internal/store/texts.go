package store

import (
	"context"
	"fmt"

	"midcase/internal/shop"
)

// textTable keeps texts in the dealer's own words. It is part of a Store.
type textTable struct{ in *Store }

// KeepText implements shop.TextStore.
func (t textTable) KeepText(ctx context.Context, x shop.OwnText) (shop.OwnText, error) {
	var kept shop.OwnText
	err := t.in.change(ctx, "keep a text", func(tx *transaction) error {
		if err := checkKey("text", x.Of.Key()); err != nil {
			return err
		}
		if err := needWatch(ctx, tx, x.Watch); err != nil {
			return fmt.Errorf("watch %s: %w", x.Watch, err)
		}
		var last int
		err := tx.QueryRowContext(ctx, `SELECT COALESCE(MAX(n), 0) FROM texts WHERE watch = $1 AND of = $2`,
			string(x.Watch), x.Of.Key()).Scan(&last)
		if err != nil {
			return err
		}
		if x.N != last+1 {
			return fmt.Errorf("version %d: %w", x.N, shop.ErrConflict)
		}
		if x.Seq, err = nextSeq(ctx, tx, "texts"); err != nil {
			return err
		}
		var doc string
		if kept, doc, err = roundTrip(x); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO texts (seq, watch, of, n, doc) VALUES ($1, $2, $3, $4, $5)`,
			x.Seq, string(x.Watch), x.Of.Key(), x.N, doc)
		if err != nil {
			return err
		}
		return advance(ctx, tx, partTexts)
	})
	return kept, err
}

// Texts implements shop.TextStore.
func (t textTable) Texts(ctx context.Context, id shop.WatchID, of shop.TextOf) ([]shop.OwnText, error) {
	query, args := `SELECT doc FROM texts WHERE watch = $1`, []any{plain(string(id))}
	if of != (shop.TextOf{}) {
		query, args = query+` AND of = $2`, append(args, plain(of.Key()))
	}
	return docs(ctx, t.in.read, "texts", readJSON[shop.OwnText], query+` ORDER BY seq DESC`, args...)
}
