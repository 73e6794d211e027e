package store

import (
	"context"
	"fmt"

	"midcase/internal/shop"
)

// exampleTable keeps the examples. It is part of a Store.
type exampleTable struct{ in *Store }

// AddExamples implements shop.ExampleStore.
func (t exampleTable) AddExamples(ctx context.Context, all []shop.SeenExample) ([]shop.SeenExample, error) {
	var kept []shop.SeenExample
	err := t.in.change(ctx, "add examples", func(tx *transaction) error {
		kept = nil
		for _, e := range all {
			k, err := addExample(ctx, tx, e)
			if err != nil {
				return fmt.Errorf("example %s: %w", e.ID, err)
			}
			kept = append(kept, k)
		}
		if len(kept) == 0 {
			return nil
		}
		return advance(ctx, tx, partExamples)
	})
	return kept, err
}

func addExample(ctx context.Context, tx *transaction, e shop.SeenExample) (shop.SeenExample, error) {
	if err := checkKey("example id", e.ID); err != nil {
		return e, err
	}
	if err := checkText("withdrawn", e.Withdraws); err != nil {
		return e, err
	}
	there, err := have(ctx, tx, `SELECT COUNT(*) FROM examples WHERE id = $1 OR (withdraws <> '' AND withdraws = $2)`,
		e.ID, e.Withdraws)
	if err != nil {
		return e, err
	}
	if there {
		return e, shop.ErrExists
	}
	if e.Withdraws != "" {
		ok, err := have(ctx, tx, `SELECT COUNT(*) FROM examples WHERE id = $1 AND withdraws = ''`, e.Withdraws)
		if err != nil {
			return e, err
		}
		if !ok {
			return e, shop.ErrNotFound
		}
	}
	if e.Seq, err = nextSeq(ctx, tx, "examples"); err != nil {
		return e, err
	}
	kept, doc, err := roundTrip(e)
	if err != nil {
		return e, err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO examples (seq, id, withdraws, doc) VALUES ($1, $2, $3, $4)`,
		e.Seq, e.ID, e.Withdraws, doc)
	return kept, err
}

// Examples implements shop.ExampleStore.
func (t exampleTable) Examples(ctx context.Context) ([]shop.SeenExample, error) {
	return docs(ctx, t.in.read, "examples", readJSON[shop.SeenExample], `SELECT doc FROM examples ORDER BY seq`)
}
