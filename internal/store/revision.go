package store

import (
	"context"
	"fmt"

	"midcase/internal/shop"
)

// A part of the records that counts its changes.
type part string

const (
	partWatches  part = "watches"
	partEvidence part = "evidence"
	partSales    part = "sales"
	partClients  part = "clients"
	partSettings part = "settings"
	partLedger   part = "ledger"
	partShowings part = "showings"
	partPapers   part = "papers"
	partOpinions part = "opinions"
	partBook     part = "book"
	partExamples part = "examples"
	partTexts    part = "texts"
)

// counter is the count of a part within a revision; nil for a part that this program does not know.
func counter(r *shop.Revision, p part) *int64 {
	switch p {
	case partWatches:
		return &r.Watches
	case partEvidence:
		return &r.Evidence
	case partSales:
		return &r.Sales
	case partClients:
		return &r.Clients
	case partSettings:
		return &r.Settings
	case partLedger:
		return &r.Ledger
	case partShowings:
		return &r.Showings
	case partPapers:
		return &r.Papers
	case partOpinions:
		return &r.Opinions
	case partExamples:
		return &r.Examples
	case partTexts:
		return &r.Texts
	case partBook:
		return &r.BookEdits
	}
	return nil
}

// Revision implements shop.RevisionStore.
func (s *Store) Revision(ctx context.Context) (shop.Revision, error) {
	var r shop.Revision
	rows, err := s.read.QueryContext(ctx, `SELECT part, n FROM revision`)
	if err != nil {
		return r, fmt.Errorf("revision: %w", err)
	}
	defer rows.Close()
	for rows.Next() {
		var p part
		var n int64
		if err := rows.Scan(&p, &n); err != nil {
			return r, fmt.Errorf("revision: %w", err)
		}
		if at := counter(&r, p); at != nil {
			*at = n
		}
	}
	if err := rows.Err(); err != nil {
		return r, fmt.Errorf("revision: %w", err)
	}
	return r, nil
}

// advance counts a change of a part. It is called wherever a row of the part is written.
func advance(ctx context.Context, tx *transaction, p part) error {
	if err := onTime(ctx, tx, p); err != nil {
		return err
	}
	at := ""
	if !tx.now.IsZero() {
		at = writeTime(tx.now)
	}
	_, err := tx.ExecContext(ctx, `UPDATE revision SET n = n + 1, at = CASE WHEN at < $2 THEN $2 ELSE at END
		WHERE part = $1`, string(p), at)
	return err
}

// EditBook implements shop.RevisionStore. The edit runs once, unlike other changes.
func (s *Store) EditBook(ctx context.Context, edit func() error) error {
	err := s.changeOnce(ctx, func(tx *transaction) error {
		if err := advance(ctx, tx, partBook); err != nil {
			return err
		}
		return edit()
	})
	if err != nil {
		return fmt.Errorf("edit the book: %w", err)
	}
	return nil
}
